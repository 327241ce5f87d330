"""The trade's formulas of upset welding: heating, its inverse, upset, bulge, trimming."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import CATALOGUE, ValidityWarning, recording, sourced
from linkwright.processes.models.hot_strength import (
    flow_stress_shida,
    shida_law,
    solidus_temperature,
    strain_rate_shida,
)
from linkwright.processes.models.upset_welding import upset_weld_current, upset_weld_heating
from linkwright.processes.models.weld_setting import closed_back_length, weld_metal
from linkwright.processes.models.weld_trimming import trim_weld
from linkwright.processes.models.weld_upset import (
    upset_length,
    upset_profile,
    weld_bulge,
)
from linkwright.quantities import ArgumentError, CannotPlan, UnknownName

EIGHT = {"wire_diameter_mm": 8.0, "weld_time_s": 0.4}


@pytest.mark.parametrize("time", [0.3, 0.4, 0.5])
def test_8_mm_link_needs_what_the_trade_expects(time: float) -> None:
    """8 mm: 9 to 12.5 kA, 2 to 3.5 kJ, a third past the joint (common practice, no source)."""
    needed = upset_weld_current(
        wire_diameter_mm=8.0, weld_time_s=time, joint_temperature_degC=1275.0
    )
    assert 9.0 < needed.secondary_current_kA < 12.5
    joint = upset_weld_heating(
        wire_diameter_mm=8.0, weld_time_s=time, secondary_current_kA=needed.secondary_current_kA
    )
    assert joint.joint_temperature_degC == pytest.approx(1275.0, abs=0.5)
    assert 2.0 < joint.useful_heat_kJ < 3.5
    assert 0.25 < joint.back_current_share < 0.42
    assert 600.0 < joint.edge_temperature_degC < joint.joint_temperature_degC


def test_heat_is_accounted_for() -> None:
    """Heat made in the joint is the useful heat and what electrodes and surface take."""
    joint = upset_weld_heating(secondary_current_kA=10.6, **EIGHT)
    lost = joint.electrode_heat_kJ + joint.surface_heat_kJ
    assert joint.made_heat_kJ == pytest.approx(joint.useful_heat_kJ + lost, rel=1e-9)
    assert joint.machine_energy_kJ > joint.made_heat_kJ
    assert joint.apparent_power_kVA * 0.4 > joint.machine_energy_kJ


def test_contact_collapses_as_the_joint_heats() -> None:
    """At the end the pressed faces add next to nothing, cold they were a large part."""
    joint = upset_weld_heating(secondary_current_kA=11.0, **EIGHT)
    assert joint.contact_resistance_microohm < 0.02 * joint.joint_resistance_microohm
    assert joint.joint_resistance_microohm > 3.0 * joint.cold_joint_resistance_microohm


def test_voltage_and_current_drive_meet_the_same_temperature() -> None:
    """The voltage found for a fixed tap also gives the wanted temperature."""
    needed = upset_weld_current(joint_temperature_degC=1250.0, drive="voltage", **EIGHT)
    joint = upset_weld_heating(secondary_voltage_V=needed.secondary_voltage_V, **EIGHT)
    assert joint.joint_temperature_degC == pytest.approx(1250.0, abs=0.5)
    assert joint.secondary_current_kA == pytest.approx(needed.secondary_current_kA, rel=1e-6)
    assert joint.secondary_voltage_V == pytest.approx(needed.secondary_voltage_V, rel=1e-9)


def test_arrays_equal_single_calls_and_keep_their_shape() -> None:
    """A (2, 3) call gives (2, 3) results, each as if asked alone."""
    current = np.array([[9.0, 10.0, 11.0], [9.5, 10.5, 11.5]])
    whole = upset_weld_heating(
        secondary_current_kA=current, contact_spots=np.array([[50.0], [400.0]]), **EIGHT
    )
    assert whole.joint_temperature_degC.shape == (2, 3)
    one = upset_weld_heating(secondary_current_kA=10.5, contact_spots=400.0, **EIGHT)
    for name, value in one._asdict().items():
        assert isinstance(value, float)
        assert getattr(whole, name)[1, 1] == pytest.approx(value, rel=1e-9), name


def test_thicker_wire_and_shorter_time_need_more_current() -> None:
    """The current for 1275 °C rises with the wire's diameter and falls with the time."""
    by_size = upset_weld_current(
        wire_diameter_mm=np.array([6.0, 8.0, 10.0, 13.0]),
        weld_time_s=0.5,
        joint_temperature_degC=1275.0,
    )
    by_time = upset_weld_current(
        wire_diameter_mm=8.0, weld_time_s=np.array([0.3, 0.4, 0.6]), joint_temperature_degC=1275.0
    )
    assert (np.diff(by_size.secondary_current_kA) > 0.0).all()
    assert (np.diff(by_time.secondary_current_kA) < 0.0).all()


def test_more_resistivity_makes_a_hotter_joint() -> None:
    """At a held current a heat of higher resistivity is hotter, joint and back together."""
    joint = upset_weld_heating(
        secondary_current_kA=10.0, resistivity_factor=np.array([0.95, 1.0, 1.05]), **EIGHT
    )
    assert (np.diff(joint.joint_temperature_degC) > 20.0).all()
    assert (np.diff(joint.back_temperature_degC) > 0.0).all()


def test_longer_hold_does_not_change_what_stands_at_the_end_of_current() -> None:
    """The hold only adds to the lengths that have been hot."""
    short = upset_weld_heating(secondary_current_kA=10.6, **EIGHT)
    held = upset_weld_heating(secondary_current_kA=10.6, hold_time_s=0.3, **EIGHT)
    assert held.joint_temperature_degC == short.joint_temperature_degC
    assert held.softened_length_mm >= short.softened_length_mm
    assert held.softened_length_mm > held.affected_length_mm > 0.0


def test_temperature_out_of_reach_is_said() -> None:
    """With electrodes that swallow the heat no current in range gives the temperature."""
    with pytest.raises(CannotPlan, match="1 of 1"):
        upset_weld_current(
            wire_diameter_mm=4.0, weld_time_s=60.0, joint_temperature_degC=1400.0,
            electrode_distance_mm=1.0, electrode_heat_transfer_kW_per_m2K=500.0,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        ({}, ArgumentError),
        ({"secondary_current_kA": 10.0, "secondary_voltage_V": 3.0}, ArgumentError),
        ({"secondary_current_kA": -1.0}, ArgumentError),
        ({"secondary_current_kA": 10.0, "material": "unobtainium"}, UnknownName),
        ({"secondary_current_kA": 10.0, "electrode_distance_mm": 200.0}, ArgumentError),
        ({"secondary_current_kA": 10.0, "C_percent": [0.1, 0.3]}, ArgumentError),
    ],
)
def test_bad_settings_are_refused(wrong: dict[str, object], error: type[Exception]) -> None:
    """No source, two sources, negative current, unknown steel, electrodes beyond the link."""
    with pytest.raises(error):
        upset_weld_heating(**EIGHT, **wrong)


def test_unknown_drive_is_refused() -> None:
    """Only current and voltage can be sought."""
    with pytest.raises(ArgumentError, match="drive"):
        upset_weld_current(joint_temperature_degC=1275.0, drive="power", **EIGHT)


def test_sizes_outside_the_range_warn() -> None:
    """A 25 mm wire is reckoned with a warning."""
    with pytest.warns(ValidityWarning, match="wire_diameter_mm"):
        upset_weld_heating(wire_diameter_mm=25.0, weld_time_s=3.0, secondary_current_kA=45.0)


def test_heating_enters_the_derivation() -> None:
    """While recording, every result opens to the settings it rests on."""
    with recording() as book:
        current = sourced("secondary_current_kA", 10.6, "file", "works, line 1")
        joint = upset_weld_heating(secondary_current_kA=current, **EIGHT)
        behind = book.behind(joint.joint_temperature_degC.entry)
    assert {"secondary_current_kA", "contact_spots"} <= {entry.name for entry in behind}


def test_closed_back_is_the_rest_of_the_link() -> None:
    """Centreline less electrode distance, and an impossible distance is refused."""
    lengths = closed_back_length(
        link_centreline_length_mm=np.array([85.6, 100.0]), electrode_distance_mm=8.0
    )
    np.testing.assert_allclose(lengths, [77.6, 92.0])
    with pytest.raises(ArgumentError, match="electrode_distance_mm"):
        closed_back_length(link_centreline_length_mm=10.0, electrode_distance_mm=12.0)


def test_tables_of_the_steel_keep_enthalpy_and_resistivity() -> None:
    """The solver's tables give back the published enthalpy and resistivity."""
    metal = weld_metal("1023 steel, annealed")
    heat = metal.enthalpy_at(np.array([20.0, 850.0, 1200.0]))
    per_kg = (heat[1:] - heat[0]) / 7850.0 / 1e3
    np.testing.assert_allclose(per_kg, [598.6, 827.1], rtol=0.002)
    state = metal.state(metal.enthalpy_at(np.array([20.0, 600.0, 1000.0])))
    np.testing.assert_allclose(state.resistivity * 1e6, [0.169, 0.758, 1.167], rtol=0.002)


@pytest.mark.parametrize("carbon", [0.08, 0.2, 0.45, 0.8])
def test_branches_of_shidas_law_meet(carbon: float) -> None:
    """Where austenite ends the two branches differ by less than 2 % in stress."""
    turning = 950.0 * (carbon + 0.41) / (carbon + 0.32) - 273.15
    sides = shida_law(
        temperature_degC=np.array([turning - 0.01, turning + 0.01]), strain=0.2, C_percent=carbon
    )
    assert sides.stress_MPa[0] == pytest.approx(sides.stress_MPa[1], rel=0.02)


@settings(max_examples=30, derandomize=True, deadline=None)
@given(
    heat=st.floats(950.0, 1200.0), rate=st.floats(0.1, 100.0), strain=st.floats(0.02, 0.4),
    carbon=st.floats(0.07, 0.8),
)  # fmt: skip
def test_shidas_law_turns_round(heat: float, rate: float, strain: float, carbon: float) -> None:
    """The rate that a flow stress drives is the rate it was reckoned for; hotter is softer."""
    where = {"temperature_degC": heat, "strain": strain, "C_percent": carbon}
    stress = flow_stress_shida(strain_rate_per_s=rate, **where)
    assert strain_rate_shida(stress_MPa=stress, **where) == pytest.approx(rate, rel=1e-9)
    where["temperature_degC"] = heat - 20.0
    assert flow_stress_shida(strain_rate_per_s=rate, **where) > stress


def test_solidus_falls_with_carbon_and_phosphorus() -> None:
    """Pure iron melts at 1536 °C; each tenth of carbon takes 41.5 K."""
    assert solidus_temperature(C_percent=0.0) == 1536.0
    assert solidus_temperature(C_percent=0.1) == pytest.approx(1494.47)
    assert solidus_temperature(C_percent=0.1, P_percent=0.02) < 1494.47


PROFILE = {
    "wire_diameter_mm": 8.0, "electrode_distance_mm": 8.0, "joint_temperature_degC": 1190.0,
    "edge_temperature_degC": 800.0,
}  # fmt: skip


def test_upset_grows_with_force_time_and_heat() -> None:
    """More force, more time or a hotter joint shorten it more."""
    force = upset_length(upset_force_kN=np.array([0.0, 2.0, 4.0, 6.0]), **PROFILE)
    time = upset_length(upset_force_kN=4.0, upset_time_s=np.array([0.02, 0.1, 0.4]), **PROFILE)
    assert force.upset_length_mm[0] == 0.0
    assert (np.diff(force.upset_length_mm) > 0.0).all()
    assert (np.diff(time.upset_length_mm) > 0.0).all()
    cooler = upset_length(
        upset_force_kN=4.0, upset_time_s=0.1, **{**PROFILE, "joint_temperature_degC": 1100.0}
    )
    assert cooler.upset_length_mm < time.upset_length_mm[1]


def test_even_bar_upsets_at_the_rate_of_the_law() -> None:
    """An evenly hot bar follows the ordinary equation for its strain, solved independently."""
    from scipy.integrate import solve_ivp

    force, time, heat = 5.0, 0.1, 1150.0
    nominal = force * 1e3 / (np.pi / 4.0 * 64.0)

    def rate(_: float, strain: np.ndarray) -> np.ndarray:
        held = np.clip(strain, 0.05, 0.7)
        law = shida_law(temperature_degC=heat, strain=held, C_percent=0.2)
        return 10.0 * (nominal * np.exp(-strain) / law.stress_MPa) ** (1.0 / law.exponent)

    exact = solve_ivp(rate, (0.0, time), [0.0], rtol=1e-8, atol=1e-10).y[0, -1]
    got = upset_profile(
        width_mm=np.full((4, 1), 1.0),
        temperature_degC=np.full((4, 1), heat),
        wire_diameter_mm=8.0,
        upset_force_kN=force,
        upset_time_s=time,
        ram_speed_mm_per_s=1e6,
    )
    assert exact > 0.1
    assert got.face_strain[0] == pytest.approx(exact, rel=0.02)
    assert got.upset_length_mm[0] == pytest.approx(8.0 * (1.0 - np.exp(-exact)), rel=0.02)


def test_stop_and_ram_speed_limit_the_upset() -> None:
    """The ram neither passes its stop nor outruns its speed."""
    stopped = upset_length(upset_force_kN=8.0, upset_stop_mm=1.0, **PROFILE)
    assert stopped.upset_length_mm == pytest.approx(1.0, rel=1e-6)
    assert stopped.upset_duration_s < 0.1
    slow = upset_length(upset_force_kN=8.0, ram_speed_mm_per_s=5.0, upset_time_s=0.1, **PROFILE)
    assert slow.upset_length_mm <= 0.5 * (1.0 + 1e-9)
    assert slow.upset_length_mm > 0.4


def test_above_the_laws_range_the_upset_warns() -> None:
    """Shida's law ends at 1200 °C; hotter joints are given with a warning."""
    hot = {**PROFILE, "joint_temperature_degC": 1275.0}
    with pytest.warns(ValidityWarning, match="joint_temperature_degC"):
        assert upset_length(upset_force_kN=3.0, **hot).upset_length_mm > 0.2


def test_surface_hotter_than_the_joint_is_refused() -> None:
    """The profile must fall towards the electrodes."""
    with pytest.raises(ArgumentError, match="edge_temperature_degC"):
        upset_length(upset_force_kN=3.0, **{**PROFILE, "edge_temperature_degC": 1195.0})


@settings(max_examples=20, derandomize=True, deadline=None)
@given(d=st.floats(4.0, 20.0), upset=st.floats(0.02, 0.5), length=st.floats(0.6, 2.0))
def test_bulge_and_trimming_keep_the_volume(d: float, upset: float, length: float) -> None:
    """Integrated bulge volume is the upset volume; what is trimmed is the part beyond the cut."""
    bulge = weld_bulge(wire_diameter_mm=d, upset_length_mm=upset * d, heated_length_mm=length * d)
    half = np.linspace(-0.5, 0.5, 20001) * bulge.bulge_length_mm
    height = (bulge.bulge_diameter_mm - d) / 2.0
    radius = d / 2.0 + height * (1.0 - (2.0 * half / bulge.bulge_length_mm) ** 2)
    volume = np.trapezoid(np.pi * (radius**2 - d**2 / 4.0), half)
    assert volume == pytest.approx(np.pi / 4.0 * d**2 * upset * d, rel=1e-5)
    to = d + 0.3 * (bulge.bulge_diameter_mm - d)
    cut = trim_weld(
        wire_diameter_mm=d, bulge_diameter_mm=bulge.bulge_diameter_mm,
        bulge_length_mm=bulge.bulge_length_mm, trimmed_diameter_mm=to,
    )  # fmt: skip
    beyond = np.trapezoid(np.pi * np.maximum(radius**2 - to**2 / 4.0, 0.0), half)
    assert cut.trimmed_volume_mm3 == pytest.approx(beyond, rel=1e-4)
    assert cut.cut_length_mm == pytest.approx(np.ptp(half[radius >= to / 2.0]), rel=1e-3)


def test_trimming_force_is_area_times_hot_shear_strength() -> None:
    """F = pi D l s/sqrt(3); a bulge below the trimmed diameter costs nothing."""
    where = {"wire_diameter_mm": 8.0, "bulge_length_mm": 6.0, "trimmed_diameter_mm": 8.4}
    cut = trim_weld(bulge_diameter_mm=10.0, **where)
    stress = flow_stress_shida(temperature_degC=900.0, strain=0.5, strain_rate_per_s=50.0)
    assert cut.cut_area_mm2 == pytest.approx(np.pi * 8.4 * 6.0 * np.sqrt(1.6 / 2.0))
    assert cut.trimming_force_kN == pytest.approx(cut.cut_area_mm2 * stress / np.sqrt(3.0) / 1e3)
    assert trim_weld(bulge_diameter_mm=8.2, **where).trimming_force_kN == 0.0
    with pytest.raises(ArgumentError, match="trimmed_diameter_mm"):
        trim_weld(bulge_diameter_mm=10.0, **{**where, "trimmed_diameter_mm": 7.9})


def test_all_are_in_the_catalogue_with_source_and_description() -> None:
    """Each calculation of the room can be asked by name and says what it rests on."""
    names = (
        "upset_weld_heating", "upset_weld_current", "upset_length", "weld_bulge", "trim_weld",
        "closed_back_length", "flow_stress_shida", "strain_rate_shida", "solidus_temperature",
    )  # fmt: skip
    for name in names:
        entry = CATALOGUE[name]
        assert entry.source
        assert len(entry.description) > 60
