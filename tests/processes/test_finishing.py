"""Marking, tumbling, blasting, oiling, plating, bake and packing by themselves."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest

from linkwright.catalogue import recording, sourced
from linkwright.processes.finishing import Blasting, Oiling, Tumbling
from linkwright.processes.marking import Marking
from linkwright.processes.packing import Packing
from linkwright.processes.plating import HotDipZinc, HydrogenRelief, Plating
from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Conditions, Operation, SetUp, Step, Stock
from linkwright.route.setting import lacking, with_card
from linkwright.works import MachineRecord, Works
from linkwright.works.demo import demo_works

NOMINAL = Conditions()
SIZES = {
    "wire_diameter_mm": 8.05, "lot_wire_diameter_mm": 8.05, "pitch_mm": 24.0,
    "outer_width_mm": 27.0, "centreline_length_mm": 78.0,
}  # fmt: skip
CONDITION = {
    "hardness_HV": 385.0, "tensile_strength_MPa": 1215.0, "tempering_temperature_degC": 520.0,
}  # fmt: skip
AMOUNT = {"links": 12750.0, "length_m": 306.0, "ordered_length_m": 300.0}
WANTED = {name: SIZES[name] for name in ("wire_diameter_mm", "pitch_mm", "outer_width_mm")}
OPERATIONS: tuple[Operation, ...] = (
    Marking(None, "a standard", "8"), Tumbling(), Blasting(), Oiling(), Plating(),
    HydrogenRelief(), HotDipZinc(), Packing(label=("EN 818-2 grade 8", "8 mm")),
)  # fmt: skip
EACH = pytest.mark.parametrize("operation", OPERATIONS, ids=lambda one: str(one.name))


@cache
def works() -> Works:
    """The demonstration's works."""
    return demo_works()


def machine(operation: Operation) -> MachineRecord:
    """The first machine of the works for an operation."""
    return works().machines_for(operation.name)[0]


def chain(**changed: Any) -> Stock:
    """Hardened and tempered chain, with some fields new."""
    groups = [
        {name: changed.get(name, value) for name, value in group.items()}
        for group in (SIZES, CONDITION, AMOUNT)
    ]
    sources = [
        {name: sourced(name, value, "file", "lot") for name, value in group.items()}
        for group in groups
    ]
    shape, condition, amount = sources
    return Stock("chain", "23MnNiCrMo5-2", shape, condition, amount)


def done(operation: Operation, stock: Stock | None = None, **given: float) -> tuple[SetUp, Step]:
    """Set-up with its card, and the nominal step."""
    stocks, bench = {MAIN: stock or chain()}, machine(operation)
    set_up = operation.set_up(stocks, WANTED, bench, NOMINAL, given)
    set_up = with_card(set_up, operation, bench, given)
    return set_up, operation.run(stocks, set_up, bench, NOMINAL)


@EACH
def test_the_card_is_complete(operation: Operation) -> None:
    """Every name that the operation asks for; each checked, each number with its tolerance."""
    set_up, _ = done(operation)
    assert operation.card
    assert lacking(set_up, operation) == ()
    for setting in set_up.settings:
        assert len(setting.check) > 3, setting
        assert isinstance(setting.value, str) or setting.tolerance is not None, setting


@EACH
def test_members_equal_single_runs(operation: Operation) -> None:
    """Arrays over lots and links give what each member gives alone, to 1e-9."""
    set_up, _ = done(operation)
    moved = {
        "wire_diameter_mm": np.array([[8.0, 8.06], [8.04, 8.1]]),
        "lot_wire_diameter_mm": np.array([[8.02], [8.07]]),
        "pitch_mm": np.array([[23.9, 24.0], [24.1, 24.2]]),
        "hardness_HV": np.array([[370.0, 380.0], [390.0, 395.0]]),
        "tensile_strength_MPa": np.array([[1150.0, 1190.0], [1215.0, 1240.0]]),
    }
    together = operation.run({MAIN: chain(**moved)}, set_up, machine(operation), NOMINAL)
    for lot in range(2):
        for link in range(2):
            one = {k: float(np.broadcast_to(v, (2, 2))[lot, link]) for k, v in moved.items()}
            alone = operation.run({MAIN: chain(**one)}, set_up, machine(operation), NOMINAL)
            for both, single in zip(together.findings, alone.findings, strict=True):
                value = np.broadcast_to(both.value, (2, 2))[lot, link]
                assert value == pytest.approx(float(single.value), rel=1e-9), both.subject


@EACH
def test_every_number_opens(operation: Operation) -> None:
    """No calculation is handed a number without a source."""
    with recording() as book:
        _, step = done(operation)
    assert [entry.id for entry in book.entries.values() if entry.kind == "bare"] == []
    assert step.cautions
    for found in step.findings:
        assert found.verdict != "outside", found
        assert found.source or (found.least is None and found.greatest is None)


@EACH
def test_what_must_come_in_comes_out_as_wanted(operation: Operation) -> None:
    """The wire that is asked for has, once treated, the diameter that was wanted."""
    asked = operation.ask(WANTED, chain(), machine(operation), NOMINAL)[MAIN]
    came = dict.fromkeys(("wire_diameter_mm", "lot_wire_diameter_mm"), asked["wire_diameter_mm"])
    _, step = done(operation, chain(**came))
    assert float(step.stock["wire_diameter_mm"]) == pytest.approx(8.05, abs=1e-9)


def test_a_harder_chain_takes_more_force_for_the_same_mark() -> None:
    """The depth is the aim; force is proportional to hardness."""
    soft, hard = (done(OPERATIONS[0], chain(hardness_HV=hv))[0] for hv in (200.0, 400.0))
    assert float(hard["mark_force_kN"]) == pytest.approx(2.0 * float(soft["mark_force_kN"]))
    assert soft["grade_mark"] == "8"


def test_thin_wire_is_marked_less_deep() -> None:
    """The depth goes with the wire; the share of the section that is lost stays."""
    thin, thick = (done(OPERATIONS[0], chain(wire_diameter_mm=d)) for d in (5.0, 10.0))
    assert float(thick[0]["mark_depth_mm"]) == pytest.approx(2.0 * float(thin[0]["mark_depth_mm"]))
    losses = [float(step.finding("section_loss_percent").value) for _, step in (thin, thick)]
    assert losses[0] == pytest.approx(losses[1])


def test_every_piece_has_a_serial_number() -> None:
    """300 m in pieces of 50 m: six numbers in a row, each piece with its marks."""
    set_up, step = done(OPERATIONS[0], first_serial_number=100.0)
    assert float(set_up["pieces_count"]) == 6.0
    assert float(set_up["last_serial_number"]) == 105.0
    assert float(step.stock["piece_length_m"]) == 50.0
    between = float(set_up["links_between_marks"])
    last = 2.0 + between * (float(step.finding("marks_on_piece_count").value) - 1.0)
    assert last <= 50.0 / 0.024 < last + between


def test_a_given_force_makes_its_own_depth() -> None:
    """Twice the force, twice the depth, and a section loss outside of what the works allows."""
    _, step = done(OPERATIONS[0], mark_force_kN=48.0)
    assert float(step.finding("mark_depth_mm").value) == pytest.approx(0.39, abs=0.01)
    assert step.finding("section_loss_percent").verdict == "outside"


def test_without_the_standard_s_spacing_the_works_own_counts() -> None:
    """A standard whose spacing is not held leaves it to the works, and the finding says so."""
    _, step = done(Marking(None, "DIN 766"))
    found = step.finding("mark_distance_mm")
    assert found.greatest == 1000.0
    assert "not held" in found.source


def test_the_bake_follows_the_strength() -> None:
    """1215 MPa: twelve hours and the margin; soft steel needs none."""
    relief = HydrogenRelief()
    assert float(done(relief)[0]["bake_time_h"]) == pytest.approx(12.0 * 1.1)
    assert float(done(relief, chain(tensile_strength_MPa=900.0))[0]["bake_time_h"]) == 0.0


def test_a_short_or_hot_bake_is_outside() -> None:
    """Hours below the rule, heat above its range, and heat above the temper of the chain."""
    relief = HydrogenRelief()
    _, step = done(relief, bake_time_h=8.0, bake_temperature_degC=240.0)
    assert step.finding("bake_hours_beyond_rule_h").verdict == "outside"
    assert step.finding("bake_temperature_degC").verdict == "outside"
    _, step = done(relief, chain(tempering_temperature_degC=195.0))
    assert step.finding("below_temper_K").verdict == "outside"


def test_an_oven_that_cannot_reach_the_bake_is_named() -> None:
    """A setting outside the range of the machine is refused with the range."""
    with pytest.raises(CannotPlan, match="baking oven"):
        done(HydrogenRelief(), bake_temperature_degC=400.0)


def test_the_label_says_length_and_mass_of_whole_pieces() -> None:
    """Two pieces of 50 m in a drum; net and gross mass as weighed."""
    stock = chain().changed(amount={"piece_length_m": 50.0})
    set_up, step = done(OPERATIONS[-1], stock)
    assert float(set_up["pieces_per_package_count"]) == 2.0
    mass = 100.0 * float(step.finding("chain_mass_kg_per_m").value)
    assert set_up["label_text"] == (
        f"EN 818-2 grade 8, 8 mm, 100 m, net {mass:.1f} kg, gross {mass + 9.0:.1f} kg"
    )
    assert float(step.finding("packages").value) == 3.0
