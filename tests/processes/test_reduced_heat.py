"""How far the planner's reduced models of heat may be off the fine ones: 2 K and 1 HV.

The same works runs once on the grids of the planner and once on some three times finer ones, over
members at the ends of what varies; and a link off its lot is compared with a run of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
import planned
import pytest

from linkwright.materials.structure_hardness import martensite_hardness
from linkwright.processes.models import coil_heat, quenching, temper_heat
from linkwright.processes.models.line_heat import coil_exit, ring_cooling, temper_soak
from linkwright.processes.models.quench_sums import rate_per_hour
from linkwright.processes.tempered_strength import tempered_zones

MEMBERS = 24
GREATEST_OFF_K, GREATEST_OFF_HV = 2.0, 1.0
COIL: dict[str, Any] = {"crown_coupling": 0.98, "contact_coupling": 0.96}


def spread(middle: float, share: float, place: int) -> np.ndarray:
    """Members spread evenly about a middle, in an order of its own for each quantity."""
    even = np.linspace(-1.0, 1.0, MEMBERS)
    return np.asarray(middle * (1.0 + share * even[(np.arange(MEMBERS) * place) % MEMBERS]))


@contextmanager
def finer(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Three times the nodes and four times the steps of the planner's grids."""
    with monkeypatch.context() as patch:
        for function, steps in ((coil_heat.heat_in_coil, 160), (quenching.quench, 192)):
            defaults = {**(function.__kwdefaults__ or {}), "nodes": 49, "steps": steps}
            patch.setattr(function, "__kwdefaults__", defaults)
        defaults = {**(temper_heat.temper_course.__kwdefaults__ or {}), "nodes": 49, "steps": 96}
        patch.setattr(temper_heat.temper_course, "__kwdefaults__", defaults)
        yield


def hardened(frequency_kHz: float) -> Any:
    """Members of 8 mm chain out of the first coil."""
    return coil_exit(
        wire_diameter_mm=spread(8.05, 0.01, 5),
        line_speed_m_per_s=spread(0.1, 0.02, 7),
        coil_length_mm=1200.0,
        coil_field_kA_per_m=spread(43.6, 0.02, 11),
        frequency_kHz=frequency_kHz,
        **COIL,
    )


@pytest.mark.parametrize("frequency_kHz", [72.0, 100.0])
def test_the_coil_is_within_two_kelvin(
    monkeypatch: pytest.MonkeyPatch, frequency_kHz: float
) -> None:
    """Coldest, hottest and the three zones of every member."""
    coarse = hardened(frequency_kHz)
    with finer(monkeypatch):
        fine = hardened(frequency_kHz)
    for name in ("coldest", "hottest", "straight", "crown", "contact"):
        off = getattr(coarse, f"{name}_temperature_degC") - getattr(
            fine, f"{name}_temperature_degC"
        )
        assert np.abs(off).max() < GREATEST_OFF_K, name
    assert np.abs(off).max() > 0.0  # the finer grid is really another one


def quenched(section: np.ndarray, start_degC: float) -> Any:
    """Members in the ring, from one section at the exit of the coil."""
    return ring_cooling(
        section_temperature_degC=section,
        wire_diameter_mm=spread(8.05, 0.01, 5),
        line_speed_m_per_s=spread(0.1, 0.02, 7),
        gap_length_mm=80.0,
        ring_length_mm=700.0,
        impingement_density_kg_per_m2s=spread(25.0, 0.15, 11),
        water_temperature_degC=spread(22.0, 0.3, 13),
        coefficient_factor=spread(1.0, 0.5, 17),
        crown_share=1.0,
        contact_share=0.6,
        martensite_start_temperature_degC=start_degC,
    )


def hardness(cooled: Any) -> np.ndarray:
    """Hardness of martensite at every zone and place."""
    rate = rate_per_hour(cooling_rate_K_per_s=cooled.cooling_rate_K_per_s)
    return np.asarray(
        martensite_hardness(C_percent=0.23, Mn_percent=1.25, cooling_rate_K_per_h=rate)
    )


def test_the_quench_is_within_one_vickers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hardness as quenched by the rates of both grids; the section is even at 940 °C."""
    coarse = hardness(quenched(np.full((17, 3, MEMBERS), 940.0), 388.0))
    with finer(monkeypatch):
        fine = hardness(quenched(np.full((49, 3, MEMBERS), 940.0), 388.0))
    assert 0.0 < np.abs(coarse - fine).max() < GREATEST_OFF_HV


def test_one_martensite_start_for_all_lots_is_enough() -> None:
    """Ms of a heat 10 K off the nominal one moves no hardness by a tenth of a Vickers."""
    nominal, other = (hardness(quenched(np.full((17, 3, MEMBERS), 940.0), ms)) for ms in (388, 378))
    assert np.abs(nominal - other).max() < 0.1 * GREATEST_OFF_HV


def tempered() -> Any:
    """Members out of the second coil and its soak."""
    return temper_soak(
        wire_diameter_mm=spread(8.05, 0.01, 5),
        line_speed_m_per_s=spread(0.1, 0.02, 7),
        coil_length_mm=1000.0,
        coil_field_kA_per_m=spread(34.8, 0.02, 11),
        frequency_kHz=10.0,
        soak_length_mm=1500.0,
        start_temperature_degC=40.0,
        crown_coupling=0.99,
        contact_coupling=0.97,
    )


def test_the_temper_is_within_two_kelvin_and_one_vickers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit temperature, both parameters as temperatures of one hour, hardness of the zones."""
    chain = demo_stock()
    coarse = tempered()
    with finer(monkeypatch):
        fine = tempered()
    off = coarse.straight_temperature_degC - fine.straight_temperature_degC
    assert 0.0 < np.abs(off).max() < GREATEST_OFF_K
    assert np.abs(coarse.parameter_K - fine.parameter_K).max() < GREATEST_OFF_K
    zones = [np.asarray(tempered_zones(chain, one.parameter_K, 1.0)) for one in (coarse, fine)]
    assert np.abs(zones[0] - zones[1]).max() < GREATEST_OFF_HV


def demo_stock() -> Any:
    """The quenched chain of the demo."""
    one = planned.demo().lines[0]
    return next(step.stock for key, step in one.plan.steps.items() if key.endswith("/quenching"))


def test_a_link_off_its_lot_by_a_slope_is_within_one_vickers() -> None:
    """The hardness of links by the slope about the setting against a temper of their own.

    Two standard deviations of 4 K either side: the field is turned until the straight leaves
    the coil as much hotter or colder.
    """
    one = planned.demo().lines[0]
    key = next(key for key in one.plan.steps if key.endswith("/tempering"))
    set_up, machine = one.plan.settled.set_ups[key], one.job.route.place("tempering").machine
    chain = demo_stock()
    amps = float(set_up["coil_current_A"]) * np.linspace(0.98, 1.02, 81)
    held = {name: float(machine.held[name]) for name in ("turns", "coil_length_mm")}
    soak = temper_soak(
        wire_diameter_mm=float(chain["lot_wire_diameter_mm"]),
        line_speed_m_per_s=float(chain["line_speed_m_per_s"]),
        coil_length_mm=held["coil_length_mm"],
        coil_field_kA_per_m=np.sqrt(2.0) * held["turns"] * amps / held["coil_length_mm"],
        frequency_kHz=float(set_up["frequency_kHz"]),
        soak_length_mm=float(set_up["soak_length_mm"]),
        start_temperature_degC=float(machine.held["start_temperature_degC"]),
        crown_coupling=float(machine.held["crown_coupling"]),
        contact_coupling=float(machine.held["contact_coupling"]),
    )
    exits = np.asarray(soak.straight_temperature_degC)
    own = np.asarray(tempered_zones(chain, soak.parameter_K, 1.0))
    slope = float(set_up.prepared["hardness_per_K"])
    middle = float(set_up["temperature_degC"])
    at = [np.interp(middle, exits, zone) for zone in own]
    for off in (-8.0, -4.0, 4.0, 8.0):
        full = [np.interp(middle + off, exits, zone) for zone in own]
        reduced = [hard + slope * off for hard in at]
        assert np.abs(np.subtract(full, reduced)).max() < GREATEST_OFF_HV, off
