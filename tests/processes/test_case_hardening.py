"""Case hardening as an operation: the case wanted, its members by slopes, what cannot be."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pytest

from linkwright.catalogue import not_recording, sourced
from linkwright.processes.case_hardening import CaseHardening
from linkwright.processes.models.case_hardening import case_share, cooled_thickness, hardened_case
from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Conditions, Stock
from linkwright.works import demo_works

LINE = demo_works().machines_for("case_hardening")[0]
STEEL = {"C_percent": 0.21, "Si_percent": 0.25, "Mn_percent": 0.8, "Cr_percent": 0.9,
         "Ni_percent": 1.6, "Mo_percent": 0.28}  # fmt: skip


def _pin(diameter: float) -> Stock:
    return Stock("pin", "20NiCrMo6-4", {"diameter_mm": diameter, "pin_length_mm": 4 * diameter},
                 dict(STEEL), {"pieces": 1000.0, "steel_kg": 20.0})  # fmt: skip


def _conditions(work: CaseHardening, draws: Any = None) -> Conditions:
    return Conditions(
        {one.name: one for one in work.scatter}, {one.name: one for one in work.factors},
        draws or {},
    )  # fmt: skip


def _set_up(work: CaseHardening, stock: Stock, depth: float, given: Any = None) -> Any:
    wanted = {"case_depth_mm": sourced("case_depth_mm", depth, "file", "test")}
    with not_recording():
        return work.set_up({MAIN: stock}, wanted, LINE, _conditions(work), given or {})


@pytest.mark.filterwarnings("ignore::linkwright.catalogue.ValidityWarning")
@pytest.mark.parametrize("diameter", [2.3, 4.0, 8.3, 16.0, 40.0])
def test_the_case_is_as_deep_as_wanted(diameter):
    work, depth = CaseHardening("pin"), 0.055 * diameter
    settings = _set_up(work, _pin(diameter), depth)
    step = work.run({MAIN: _pin(diameter)}, settings, LINE, _conditions(work))
    assert float(step.finding("case_depth_mm").value) == pytest.approx(depth, rel=0.03)
    assert float(step.finding("surface_carbon_percent").value) == pytest.approx(0.75, abs=2e-3)


@pytest.mark.filterwarnings("ignore::linkwright.catalogue.ValidityWarning")
@pytest.mark.parametrize(
    ("part", "outside", "wall", "depth"),
    [("bushing", 6.4, 0.9, 0.13), ("bushing", 11.3, 1.5, 0.3), ("roller", 15.9, 2.2, 0.45),
     ("roller", 48.0, 7.0, 1.0)],
)  # fmt: skip
def test_the_case_of_tubes_is_as_deep_as_wanted(part, outside, wall, depth):
    work = CaseHardening(part)
    sizes = {"outside_mm": outside, "bore_mm": outside - 2.0 * wall, "wall_mm": wall,
             "length_mm": 2.0 * outside}  # fmt: skip
    tube = Stock(part, "20NiCrMo6-4", {f"{part}_{name}": one for name, one in sizes.items()},
                 dict(STEEL), {"pieces": 1000.0, "steel_kg": 20.0})  # fmt: skip
    settings = _set_up(work, tube, depth)
    step = work.run({MAIN: tube}, settings, LINE, _conditions(work))
    assert float(step.finding("case_depth_mm").value) == pytest.approx(depth, rel=0.03)
    assert step.stock[f"{part}_outside_mm"] > outside
    assert step.cautions


def test_hotter_and_longer_gas_grows_the_grain():
    """Number falls as the grain grows; past the works' least it is outside."""
    work, pin = CaseHardening("pin"), _pin(8.3)
    settings = _set_up(work, pin, 0.5)
    numbers = []
    for degC, hours in ((880.0, 1.0), (925.0, 1.0), (925.0, 4.0), (1000.0, 4.0)):
        made = _Given(settings, temperature_degC=degC, boost_time_h=hours)
        found = work.run({MAIN: pin}, made, LINE, _conditions(work)).finding(
            "austenite_grain_size_number"
        )
        numbers.append(float(found.value))
    assert numbers == sorted(numbers, reverse=True)
    assert numbers[0] > numbers[-1] + 1.0
    assert found.least == LINE.held["least_grain_size_number"]


class _Given(dict[str, Any]):
    """A set-up with some settings new."""

    def __init__(self, settings: Any, **new: float) -> None:
        super().__init__({**settings, **new})
        self.prepared = settings.prepared


def test_members_by_slopes_are_near_the_full_calculation():
    """Two deviations of furnace, gas and bath together, and one by one."""
    work, pin = CaseHardening("pin"), _pin(8.3)
    settings = _set_up(work, pin, 0.5)
    names = ("lot/pin/case_hardening/temperature_degC",
             "lot/pin/case_hardening/boost_potential_percent",
             "factor/case_hardening/heat_transfer")  # fmt: skip
    alone = [tuple(sign * (i == k) for i in range(3)) for k in range(3) for sign in (-2, 2)]
    for z in (*alone, *product((-2, 2), repeat=3)):
        draws = {name: np.array([[float(one)]]) for name, one in zip(names, z, strict=True)}
        draws["factor/tempering/strength_of_hardness"] = np.zeros((1, 1))
        step = work.run({MAIN: pin}, settings, LINE, _conditions(work, draws))
        sd = (4.0, 0.02)
        made = {
            **settings,
            "temperature_degC": settings["temperature_degC"] + sd[0] * z[0],
            "boost_potential_percent": settings["boost_potential_percent"] + sd[1] * z[1],
        }
        rate = work._rate(pin, made, LINE, np.exp(0.30 * z[2]))
        full = hardened_case(**work._arguments(pin, made, rate, LINE))
        depth = float(np.asarray(step.finding("case_depth_mm").value).item())
        assert depth == pytest.approx(float(full.case_depth_mm), rel=0.02), z
        core = float(np.asarray(step.finding("core_hardness_HV").value).item())
        assert core == pytest.approx(float(full.core_hardness_HV), rel=0.02), z


@pytest.mark.filterwarnings("ignore::linkwright.catalogue.ValidityWarning")
@pytest.mark.parametrize("diameter", [4.0, 8.3, 16.0])
def test_members_of_a_lean_steel_follow_the_bath(diameter):
    """A core of 16MnCr5 goes from a third martensite to all of it within the bath's band."""
    lean = {"C_percent": 0.16, "Si_percent": 0.25, "Mn_percent": 1.15, "Cr_percent": 0.95,
            "Ni_percent": 0.1, "Mo_percent": 0.02}  # fmt: skip
    work, pin = CaseHardening("pin"), _pin(diameter).changed(condition=lean)
    settings, z = _set_up(work, pin, 0.055 * diameter), np.array([[-2.0, -1.1, 0.0, 0.7, 2.0]])
    draws = {one.name: np.zeros((1, 5)) for one in (*work.scatter, *work.factors)}
    draws["factor/case_hardening/heat_transfer"] = z
    step = work.run({MAIN: pin}, settings, LINE, _conditions(work, draws))
    rate = work._rate(pin, dict(settings), LINE, np.exp(0.30 * z))
    full = hardened_case(**work._arguments(pin, dict(settings), rate, LINE))
    core, martensite = (
        step.finding(f"core_{n}").value for n in ("hardness_HV", "martensite_percent")
    )
    assert core == pytest.approx(np.asarray(full.core_hardness_HV), rel=0.02)
    assert martensite == pytest.approx(np.asarray(full.core_martensite_percent), abs=3.0)


def test_a_case_deeper_than_the_part_is_refused_in_words():
    with pytest.raises(CannotPlan, match="cannot give the pin its case of 3"):
        _set_up(CaseHardening("pin"), _pin(4.0), 3.0)


def test_thin_cases_are_made_cooler():
    thin, usual = (_set_up(CaseHardening("pin"), _pin(d), c) for d, c in ((2.3, 0.13), (8.3, 0.5)))
    assert thin["temperature_degC"] == 860.0
    assert usual["temperature_degC"] == 925.0


def test_what_the_order_gives_is_taken():
    settings = _set_up(CaseHardening("pin"), _pin(8.3), 0.5, {"boost_time_h": 3.0})
    assert settings["boost_time_h"] == 3.0
    work = CaseHardening("pin")
    step = work.run({MAIN: _pin(8.3)}, settings, LINE, _conditions(work))
    assert step.finding("case_depth_mm").verdict == "outside"


def test_a_tube_cools_as_a_plate_of_its_wall():
    assert cooled_thickness(section_mm=11.3, bore_mm=8.3) == pytest.approx(1.5)
    assert cooled_thickness(section_mm=8.0) == pytest.approx(4.0)


def test_share_is_the_way_to_the_middle_of_the_metal():
    assert case_share(case_depth_mm=0.4, section_mm=8.0) == pytest.approx(10.0)
    assert case_share(case_depth_mm=0.3, section_mm=11.3, bore_mm=8.3) == pytest.approx(40.0)
