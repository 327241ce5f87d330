"""Carbonitriding: the case wanted with nitrogen in it, its members, ammonia, what cannot be."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pytest

from linkwright.catalogue import not_recording, sourced
from linkwright.processes.carbonitriding import Carbonitriding
from linkwright.processes.case_hardening import CaseHardening
from linkwright.processes.models.carbonitriding import ammonia_of_loads
from linkwright.processes.models.carburising import nitrided_profile
from linkwright.processes.models.case_hardening import hardened_case
from linkwright.processes.models.case_structure import case_structure
from linkwright.route import MAIN, Conditions, Stock
from linkwright.works import demo_works

WORKS = demo_works()
FURNACE = WORKS.machines_for("carbonitriding")[0]
LEAN = {"C_percent": 0.16, "Si_percent": 0.25, "Mn_percent": 1.15, "Cr_percent": 0.95,
        "Ni_percent": 0.1, "Mo_percent": 0.02}  # fmt: skip
SIZES = {"bushing_outside_mm": 11.3, "bushing_bore_mm": 8.3, "bushing_wall_mm": 1.5,
         "bushing_length_mm": 25.0}  # fmt: skip
TUBE = Stock("bushing", "16MnCr5", SIZES, LEAN, {"pieces": 1000.0, "steel_kg": 20.0})
NITROGEN = "factor/carbonitriding/nitrogen"
STEEL = {"Mn_percent": 1.15, "Cr_percent": 0.95, "Si_percent": 0.25}
QUENCH = {"parameter_degC": 870.0, "bath_temperature_degC": 50.0, **STEEL}


def _conditions(work: CaseHardening, draws: Any = None) -> Conditions:
    return Conditions(
        {one.name: one for one in work.scatter}, {one.name: one for one in work.factors},
        draws or {},
    )  # fmt: skip


def _set_up(work: CaseHardening, depth: float, given: Any = None, stock: Stock = TUBE) -> Any:
    wanted = {"case_depth_mm": sourced("case_depth_mm", depth, "file", "test")}
    with not_recording():
        return work.set_up({MAIN: stock}, wanted, FURNACE, _conditions(work), given or {})


def _run(work: CaseHardening, settings: Any, draws: Any = None, stock: Stock = TUBE) -> Any:
    return work.run({MAIN: stock}, settings, FURNACE, _conditions(work, draws))


def _value(step: Any, subject: str) -> float:
    return float(np.asarray(step.finding(subject).value).reshape(-1)[0])


@pytest.mark.parametrize("depth", [0.1, 0.3, 0.5])
def test_carbon_and_nitrogen_together_give_the_depth_wanted(depth):
    work = Carbonitriding("bushing")
    step = _run(work, _set_up(work, depth))
    assert _value(step, "case_depth_mm") == pytest.approx(depth, rel=0.03)
    assert _value(step, "surface_carbon_percent") == pytest.approx(0.65, abs=2e-3)
    assert 0.15 < _value(step, "surface_nitrogen_percent") < 0.32
    assert step.use["ammonia_kg"] > 0.0
    assert any("Ammonia is poisonous" in one.danger for one in step.cautions)
    assert len(step.curves["case"]()["case_nitrogen_percent"]) == 41


def test_more_ammonia_is_more_nitrogen_and_more_austenite_until_it_is_refused():
    work, found = Carbonitriding("bushing"), []
    for ammonia in (1.0, 3.0, 5.0):
        settings = _set_up(work, 0.3, {"ammonia_percent": ammonia})
        assert settings["nitrogen_potential_percent"] == pytest.approx(0.32 * ammonia / 3.0)
        found.append(_run(work, settings))
    for subject in ("surface_nitrogen_percent", "retained_austenite_percent"):
        values = [_value(step, subject) for step in found]
        assert values == sorted(values)
        assert values[-1] > 1.5 * values[0]
    assert found[1].finding("surface_nitrogen_percent").verdict == "within"
    voids = found[2].finding("surface_nitrogen_percent")
    assert voids.verdict == "outside"
    assert "voids" in voids.source


def test_nitrogen_shortens_the_time_in_gas():
    """What nitrogen does for the hardness, carbon need not do."""
    work = Carbonitriding("bushing")
    times = []
    for ammonia in (1.0, 5.0):
        settings = _set_up(work, 0.3, {"ammonia_percent": ammonia})
        times.append(float(settings["boost_time_h"] + settings["diffuse_time_h"]))
    assert times[1] < times[0]


def test_nitrogen_hardens_deeper_and_keeps_more_austenite():
    """Common practice, no source: oil too slow for a lean case hardens one with nitrogen."""
    slow, fast = {"cooling_rate_K_per_s": 6.0, **QUENCH}, {"cooling_rate_K_per_s": 100.0, **QUENCH}
    plain, with_nitrogen = (
        case_structure(carbon_percent=0.3, nitrogen_percent=n, **slow) for n in (0.0, 0.2)
    )
    assert with_nitrogen.martensite_fraction > plain.martensite_fraction + 0.1
    left = [
        case_structure(carbon_percent=0.7, nitrogen_percent=n, **fast).retained_austenite_fraction
        for n in (0.0, 0.15, 0.3)
    ]
    assert left[0] < left[1] < left[2]


def test_without_nitrogen_the_case_is_that_of_carburising():
    same = {
        "section_mm": 8.4, "boost_time_h": 1.2, "boost_potential_percent": 1.0,
        "diffuse_time_h": 0.5, "diffuse_potential_percent": 0.8, "temperature_degC": 900.0,
        "hold_temperature_degC": 840.0, "hold_time_min": 10.0, "cooling_rate_K_per_s": 60.0,
        "C_percent": 0.16, **QUENCH,
    }  # fmt: skip
    plain = hardened_case(**same)
    trace = hardened_case(**same, nitrogen_potential_percent=1e-9)
    assert plain.surface_nitrogen_percent == 0.0
    assert trace[:-1] == pytest.approx(plain[:-1], rel=1e-6)


def test_the_hold_takes_up_nitrogen_as_the_stay_does():
    """A stay cut in two at one temperature is the stay, within the step of time."""
    gas = {"section_mm": 3.0, "nitrogen_potential_percent": 0.35, "temperature_degC": 850.0,
           "transfer_m_per_s": 5e-8, "body": "flat"}  # fmt: skip
    whole = nitrided_profile(time_h=1.0, **gas)
    cut = nitrided_profile(time_h=0.7, hold_time_min=18.0, hold_temperature_degC=850.0, **gas)
    assert cut.content_percent == pytest.approx(np.asarray(whole.content_percent), abs=5e-4)


@pytest.mark.filterwarnings("ignore::linkwright.catalogue.ValidityWarning")
def test_members_by_slopes_are_near_the_full_calculation():
    """Two deviations of furnace, gas, ammonia, bath, nitrogen's factor and heat, mixed."""
    work = Carbonitriding("bushing")
    settings = _set_up(work, 0.3)
    gas = ("temperature_degC", "boost_potential_percent", "nitrogen_potential_percent")
    sd = (4.0, 0.02, 0.03)
    for z in product((-2.0, 2.0), repeat=3):
        draws = {f"lot/bushing/carbonitriding/{name}": np.array([[one]])
                 for name, one in zip(gas, z, strict=True)}  # fmt: skip
        draws |= {"factor/carbonitriding/heat_transfer": np.array([[z[0]]]),
                  NITROGEN: np.array([[z[1]]]),
                  "factor/tempering/strength_of_hardness": np.zeros((1, 1))}  # fmt: skip
        moved = {"C_percent": 0.16 + 0.006 * z[2], "Mn_percent": 1.15 + 0.02 * z[0],
                 "Cr_percent": 0.95 - 0.012 * z[1]}  # fmt: skip
        heat = TUBE.changed(condition={name: np.array([[one]]) for name, one in moved.items()})
        step = _run(work, settings, draws, heat)
        made = {**settings, "nitrogen_factor": float(np.exp(0.25 * z[1]))}
        for name, one, off in zip(gas, z, sd, strict=True):
            made[name] = float(settings[name]) + off * one
        metal = TUBE.changed(condition=moved)
        rate = work._rate(metal, made, FURNACE, np.exp(0.30 * z[0]))
        full = hardened_case(**work._arguments(metal, made, rate, FURNACE))
        for subject, most in (("case_depth_mm", 0.03), ("core_hardness_HV", 0.02),
                              ("surface_hardness_HV", 0.07), ("surface_nitrogen_percent", 0.02),
                              ("retained_austenite_percent", 0.15)):  # fmt: skip
            assert _value(step, subject) == pytest.approx(
                float(getattr(full, subject)), rel=most
            ), (subject, z)


def test_every_member_is_its_single_run():
    work, rng = Carbonitriding("bushing"), np.random.default_rng(4)
    settings = _set_up(work, 0.3)
    lots = {
        name: rng.standard_normal((5, 1))
        for name in (*(one.name for one in work.scatter), *(one.name for one in work.factors))
    }
    carbon = 0.16 + 0.006 * rng.standard_normal((5, 1))
    whole = _run(work, settings, lots, TUBE.changed(condition={"C_percent": carbon}))
    for at in range(5):
        one = {name: draw[at : at + 1] for name, draw in lots.items()}
        heat = TUBE.changed(condition={"C_percent": carbon[at : at + 1]})
        alone = _run(work, settings, one, heat)
        for found in whole.findings:
            together = np.broadcast_to(np.asarray(found.value, float), (5, 1))[at, 0]
            assert _value(alone, found.subject) == pytest.approx(together, rel=1e-9)


def test_ammonia_of_two_loads():
    """Two loads of two hours at 10 m3/h with 4 %: 1.6 m3 of 17.031 g in 22.414 l."""
    kg = ammonia_of_loads(steel_kg=500.0, load_mass_kg=250.0, gas_flow_m3_per_h=10.0,
                          ammonia_percent=4.0, gas_time_h=2.0)  # fmt: skip
    assert kg == pytest.approx(1.6 * 17.031 / 22.414)
