"""The transient of a welded joint against analytical solutions, balances and itself."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from mechanics.joints import (
    ALONE,
    CONDUCTIVITY,
    DENSITY,
    DIFFUSIVITY,
    LINK,
    OHM_M,
    SPECIFIC_HEAT,
    TABLE_DEGC,
    TABLE_MICROOHM_M,
    amperes,
    even_metal,
)
from scipy.special import erf, erfc

from linkwright.catalogue import ValidityWarning
from linkwright.materials.thermal import ec3_enthalpy, ec3_thermal_conductivity
from linkwright.mechanics.joint_circuit import WeldCircuit
from linkwright.mechanics.joint_heat import (
    Clamp,
    JointGeometry,
    JointGrid,
    JointMetal,
    current_for_temperature,
    heat_joint,
)


def test_adiabatic_heating_takes_the_reference_time() -> None:
    """A long rod under 100 A/mm2 passes 600, 850 and 1200 °C at the published integral's times."""
    grid = np.arange(0.0, 1601.0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        enthalpy = ec3_enthalpy(temperature_degC=grid) / 1e3
        conductivity = ec3_thermal_conductivity(temperature_degC=grid)
    metal = JointMetal.from_curves(
        temperature_degC=grid,
        enthalpy_kJ_per_kg=enthalpy,
        conductivity_W_per_mK=conductivity,
        resistivity_microohm_m=np.interp(grid, TABLE_DEGC, TABLE_MICROOHM_M),
        flow_stress_MPa=np.full(grid.shape, 100.0),
        emissivity=0.0,
        convection_W_per_m2K=0.0,
    )
    current_kA = 100.0 * np.pi / 4.0 * 8.0**2 / 1e3
    joint = heat_joint(
        JointGeometry(8.0, 300.0, 8.0, ALONE),
        amperes(current_kA),
        Clamp(contact_spots=np.inf),
        metal,
        weld_time_s=1.1,
        grid=JointGrid(steps=160),
    )
    times = np.interp(
        [600.0, 850.0, 1200.0], joint.history.face_degC[:, 0], joint.history.time_s[:, 0]
    )
    np.testing.assert_allclose(times, [0.711, 0.927, 1.0803], rtol=0.002)


def test_steady_rod_between_cold_ends_is_a_parabola() -> None:
    """Between cold ends a rod settles at T0 + J^2 rho L^2/(8 k) in the middle."""
    length, rise = 10e-3, 500.0
    density = np.sqrt(rise * 8.0 * CONDUCTIVITY / (OHM_M * length**2))
    joint = heat_joint(
        JointGeometry(8.0, length * 1e3, 0.0, ALONE),
        amperes(density * np.pi / 4.0 * 8e-3**2 / 1e3),
        Clamp(contact_spots=np.inf, electrode_temperature_degC=40.0, start_degC=40.0),
        even_metal(),
        weld_time_s=30.0,
        grid=JointGrid(free_cells=20, clamp_cells=0, steps=100),
    )
    x = joint.position_mm[:, 0] / 1e3
    profile = 40.0 + rise * (1.0 - (2.0 * x / length) ** 2)
    np.testing.assert_allclose(joint.temperature_degC[:, 0], profile, atol=0.005 * rise)
    assert joint.joint_temperature_degC[0] == pytest.approx(40.0 + rise, abs=0.002 * rise)


def test_contact_heat_flows_into_half_spaces() -> None:
    """Constant heat of the faces gives 2 q sqrt(t/(pi k rho c)) and the ierfc profile behind."""
    metal, time, current = even_metal(), 0.2, 800.0
    joint = heat_joint(
        JointGeometry(8.0, 30.0, 8.0, ALONE),
        amperes(current / 1e3),
        Clamp(force_kN=0.05, contact_spots=1.0, electrode_heat_share=0.0),
        metal,
        weld_time_s=time,
        grid=JointGrid(free_cells=60, clamp_cells=6, steps=120),
    )
    area = np.pi / 4.0 * 8e-3**2
    contact = joint.history.contact_resistance_microohm[-1, 0] * 1e-6
    flux = current**2 * contact / (2.0 * area)
    even = (current / area) ** 2 * OHM_M * time / (SPECIFIC_HEAT * DENSITY)
    z = joint.position_mm[:40, 0] / 1e3 / (2.0 * np.sqrt(DIFFUSIVITY * time))
    ierfc = np.exp(-(z**2)) / np.sqrt(np.pi) - z * erfc(z)
    behind = 20.0 + even + 2.0 * flux * np.sqrt(DIFFUSIVITY * time) / CONDUCTIVITY * ierfc
    face = 20.0 + even + 2.0 * flux / CONDUCTIVITY * np.sqrt(DIFFUSIVITY * time / np.pi)
    assert face > 300.0
    assert joint.joint_temperature_degC[0] == pytest.approx(face, rel=0.005)
    np.testing.assert_allclose(joint.temperature_degC[:40, 0], behind, atol=0.005 * face)


def test_hot_rod_cools_into_a_cold_end_as_an_error_function() -> None:
    """Without current the end held cold draws heat as in a half-space."""
    time = 0.3
    joint = heat_joint(
        JointGeometry(8.0, 30.0, 0.0, ALONE),
        amperes(0.0),
        Clamp(contact_spots=np.inf, electrode_temperature_degC=0.0, start_degC=1000.0),
        even_metal(),
        weld_time_s=time,
        grid=JointGrid(free_cells=80, clamp_cells=0, steps=150),
    )
    depth = 15e-3 - joint.position_mm[:, 0] / 1e3
    expected = 1000.0 * erf(depth / (2.0 * np.sqrt(DIFFUSIVITY * time)))
    np.testing.assert_allclose(joint.temperature_degC[:, 0], expected, atol=4.0)
    drawn = 2.0 * CONDUCTIVITY * 1000.0 * np.sqrt(time / (np.pi * DIFFUSIVITY))
    out = 2.0 * drawn * np.pi / 4.0 * 8e-3**2 / 1e3
    assert joint.electrode_heat_kJ[0] == pytest.approx(out, rel=0.01)


@pytest.mark.parametrize("clamp_cells", [9, 0])
def test_heat_made_is_heat_stored_and_lost(steel: JointMetal, clamp_cells: int) -> None:
    """Through the peak of the specific heat no heat is lost or made by the method."""
    joint = heat_joint(
        LINK, amperes(6.0, 10.0, 12.0), Clamp(), steel, weld_time_s=0.4,
        grid=JointGrid(clamp_cells=clamp_cells),
    )  # fmt: skip
    kept = joint.stored_heat_kJ + joint.surface_heat_kJ + joint.electrode_heat_kJ
    np.testing.assert_allclose(joint.joint_heat_kJ, kept, rtol=1e-10)
    assert (joint.stored_heat_kJ > 0.3).all()


def test_machine_energy_is_loop_joint_and_back(steel: JointMetal) -> None:
    """The secondary's real energy is what loop, electrodes, joint and back turn into heat."""
    circuit = amperes(10.5)
    quiet = Clamp(electrode_heat_share=0.0)
    joint = heat_joint(LINK, circuit, quiet, steel, weld_time_s=0.4)
    loop = (60.0 + 2.0 * 15.0) * 1e-6 * 10500.0**2 * 0.4 / 1e3
    made = loop + joint.joint_heat_kJ + joint.back_heat_kJ
    np.testing.assert_allclose(joint.machine_energy_kJ, made, rtol=1e-9)


def test_steps_converge_with_second_order() -> None:
    """Half the steps, a quarter of the error, on a problem with smooth properties."""
    at = np.array([0.0, 3000.0])
    metal = JointMetal.from_curves(
        temperature_degC=at,
        enthalpy_kJ_per_kg=SPECIFIC_HEAT * at / 1e3,
        conductivity_W_per_mK=[CONDUCTIVITY] * 2,
        resistivity_microohm_m=[0.3, 3.0],
        flow_stress_MPa=[500.0, 500.0],
    )

    def face(steps: int) -> float:
        joint = heat_joint(
            LINK, amperes(9.0), Clamp(contact_spots=np.inf), metal, weld_time_s=0.4,
            grid=JointGrid(steps=steps),
        )  # fmt: skip
        return float(joint.joint_temperature_degC[0])

    exact = face(1600)
    errors = [abs(face(steps) - exact) for steps in (10, 20, 40)]
    rates = np.log2(np.array(errors[:-1]) / errors[1:])
    assert (rates > 1.7).all()


def test_default_grid_is_within_5_K_of_a_fine_one(steel: JointMetal) -> None:
    """Joint and edge temperature of 4 to 20 mm joints differ at most 5 K from a fine run."""
    d = np.array([4.0, 4.0, 8.0, 8.0, 8.0, 13.0, 20.0])
    time = np.array([0.1, 0.25, 0.3, 0.4, 0.5, 1.0, 2.0])
    current = np.array([5.3, 3.6, 12.0, 10.6, 9.6, 17.6, 28.5])
    sizes = JointGeometry(d, d, d, 9.7 * d)
    press = Clamp(force_kN=0.05 * np.pi / 4.0 * d**2)
    runs = [
        heat_joint(sizes, amperes(*current), press, steel, weld_time_s=time, grid=grid)
        for grid in (JointGrid(), JointGrid(free_cells=64, clamp_cells=36, steps=600))
    ]
    assert (runs[1].joint_temperature_degC > 1100.0).all()
    for name in ("joint_temperature_degC", "edge_temperature_degC"):
        coarse, fine = (getattr(run, name) for run in runs)
        np.testing.assert_allclose(coarse, fine, atol=5.0)


def test_every_member_is_as_if_run_alone(steel: JointMetal) -> None:
    """32 members at the ends of the ranges equal their single runs to 1e-9."""
    ends = np.array(np.meshgrid([7.0, 9.0], [8.0, 13.0], [0.2, 0.7], [20.0, 600.0], [1.5, 4.0]))
    d, current, time, spots, force = ends.reshape(5, -1)
    names = ("joint_temperature_degC", "edge_temperature_degC", "machine_energy_kJ",
             "back_current_share", "peak_temperature_degC")  # fmt: skip
    grid = JointGrid(hold_steps=8)

    def run(k: slice) -> list[np.ndarray]:
        joint = heat_joint(
            JointGeometry(d[k], 8.0, 8.0, 77.6),
            WeldCircuit(secondary_current_kA=current[k]),
            Clamp(force_kN=force[k], contact_spots=spots[k]),
            steel,
            weld_time_s=time[k],
            hold_time_s=0.2,
            grid=grid,
        )
        return [getattr(joint, name) for name in names]

    together = run(slice(None))
    assert d.size == 32
    for member in range(d.size):
        for whole, single in zip(together, run(slice(member, member + 1)), strict=True):
            np.testing.assert_allclose(whole[..., member], single[..., 0], rtol=1e-9)


@settings(max_examples=8, derandomize=True, deadline=None)
@given(d=st.floats(4.0, 20.0), pressure=st.floats(20.0, 90.0), hot=st.floats(0.1, 1.0))
def test_more_current_makes_a_hotter_joint(d: float, pressure: float, hot: float) -> None:
    """Joint temperature rises with the current over the whole useful range."""
    metal = JointMetal.from_curves(
        temperature_degC=[0.0, 735.0, 1800.0],
        enthalpy_kJ_per_kg=[0.0, 460.0, 1200.0],
        conductivity_W_per_mK=[54.0, 27.3, 27.3],
        resistivity_microohm_m=[0.16, 1.0, 1.3],
        flow_stress_MPa=[600.0, 230.0, 30.0],
    )
    time = 0.4 * (d / 8.0) ** 2
    plain = 0.104 * np.pi / 4.0 * d**2 / np.sqrt(time)
    joint = heat_joint(
        JointGeometry(d, d, d, 9.7 * d),
        WeldCircuit(secondary_current_kA=np.linspace(0.2, 1.0 + hot, 40) * plain),
        Clamp(force_kN=pressure * np.pi / 4.0 * d**2 / 1e3),
        metal,
        weld_time_s=time,
    )
    assert (np.diff(joint.joint_temperature_degC) > 0.0).all()


def test_long_coarse_steps_stay_in_bounds(steel: JointMetal) -> None:
    """A thin wire heated for long (many diffusion times a step) neither rings nor runs away."""
    joint = heat_joint(
        JointGeometry(4.0, 4.0, 4.0, 39.0), amperes(1.4), Clamp(force_kN=0.63), steel,
        weld_time_s=3.0,
    )  # fmt: skip
    assert (np.diff(joint.history.face_degC[:, 0]) > -1.0).all()
    assert (np.diff(joint.temperature_degC[:, 0]) < 0.0).all()
    assert 700.0 < joint.joint_temperature_degC[0] < 2000.0


def test_hold_only_raises_the_peak_away_from_the_faces(steel: JointMetal) -> None:
    """Heat that spreads after the current raises the peaks outside and leaves the joint's end."""
    short = heat_joint(LINK, amperes(10.5), Clamp(), steel, weld_time_s=0.4)
    held = heat_joint(
        LINK, amperes(10.5), Clamp(), steel, weld_time_s=0.4, hold_time_s=0.5,
        grid=JointGrid(hold_steps=16),
    )  # fmt: skip
    np.testing.assert_array_equal(held.temperature_degC, short.temperature_degC)
    wider = held.peak_temperature_degC - short.peak_temperature_degC
    assert (wider >= 0.0).all()
    assert wider[-1] > 5.0
    reached = short.peak_temperature_degC[-2, 0] + 10.0
    assert held.affected_length_mm(reached)[0] > short.affected_length_mm(reached)[0]


def test_current_found_gives_the_wanted_temperature(steel: JointMetal) -> None:
    """Heating with the current found meets the wanted temperature within 0.2 K."""
    wanted = np.array([1200.0, 1275.0, 1350.0])
    found = current_for_temperature(
        LINK, amperes(1.0), Clamp(), steel,
        joint_temperature_degC=wanted, weld_time_s=0.4, bracket=(2.0, 60.0),
    )  # fmt: skip
    joint = heat_joint(LINK, amperes(*found), Clamp(), steel, weld_time_s=0.4)
    np.testing.assert_allclose(joint.joint_temperature_degC, wanted, atol=0.2)
    alone = current_for_temperature(
        LINK, amperes(1.0), Clamp(), steel,
        joint_temperature_degC=1275.0, weld_time_s=0.4, bracket=(2.0, 60.0),
    )  # fmt: skip
    np.testing.assert_allclose(alone[0], found[1], rtol=1e-9)


def test_member_without_a_root_is_marked(steel: JointMetal) -> None:
    """A bracket that cannot reach the wanted temperature gives nan, others are kept."""
    found = current_for_temperature(
        LINK, amperes(1.0), Clamp(), steel, joint_temperature_degC=np.array([1275.0, 1275.0]),
        weld_time_s=0.4, bracket=(np.array([2.0, 2.0]), np.array([60.0, 5.0])),
    )  # fmt: skip
    assert np.isnan(found).tolist() == [False, True]


def test_hold_keeps_the_heat_of_the_joint() -> None:
    """Where nothing is lost, heat only spreads: the profile's content stays, its top falls."""
    press = Clamp(electrode_heat_transfer_kW_per_m2K=0.0)
    joint = heat_joint(
        JointGeometry(8.0, 8.0, 8.0, ALONE), amperes(9.0), press, even_metal(),
        weld_time_s=0.3, hold_time_s=0.4, grid=JointGrid(hold_steps=8),
    )  # fmt: skip
    before, after = (
        (values * joint.width_mm).sum(axis=0)
        for values in (joint.temperature_degC, joint.held_temperature_degC)
    )
    np.testing.assert_allclose(after, before, rtol=1e-9)
    assert joint.released_temperature_degC[0] < joint.joint_temperature_degC[0] - 20.0


def test_hold_in_few_steps_is_near_a_fine_one(steel: JointMetal) -> None:
    """Six steps give the faces at the end of a hold within 3 K of 200 steps, 4 to 20 mm."""
    d = np.array([4.0, 8.0, 13.0, 20.0])
    runs = [
        heat_joint(
            JointGeometry(d, d, d, 9.7 * d), amperes(3.6, 10.6, 17.6, 28.5),
            Clamp(force_kN=0.05 * np.pi / 4.0 * d**2), steel,
            weld_time_s=np.array([0.25, 0.4, 1.0, 2.0]), hold_time_s=0.3 * (d / 8.0) ** 2,
            grid=JointGrid(hold_steps=steps),
        )
        for steps in (6, 200)
    ]  # fmt: skip
    coarse, fine = (run.released_temperature_degC for run in runs)
    np.testing.assert_allclose(coarse, fine, atol=3.0)
