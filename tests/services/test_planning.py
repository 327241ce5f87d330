"""Planning an order in a works: whose numbers are used, and what the plan says of itself."""

from __future__ import annotations

import dataclasses
import json
import math
from typing import Any

import numpy as np
import planned
import pytest
from planned import FEW, demo, finding, order, works

from linkwright.planning.draws import Ensemble
from linkwright.services.planning import OrderPlan, plan_order

FORCE = "factor/inspection/breaking_force"
KINETICS = "factor/tempering/hardness"


def learned(name: str, median: float, spread: float) -> str:
    """A factor as a works file holds it."""
    return f'\n[[factor]]\nname = "{name}"\nmedian = {median}\nspread = {spread}\n'


def in_works(*replaced: tuple[str, str], more: str = "") -> OrderPlan:
    """The demo order planned in a changed works, few lots."""
    return plan_order(order(), works(*replaced, more=more), ensemble=FEW)


def test_a_learned_factor_is_used_with_median_and_spread() -> None:
    """The works' own factor stands in place of ours, in the drum's force and in the members."""
    factor = demo().lines[0].plan.members.factors["factor/drawing/force"]
    assert (factor.median, factor.spread) == (1.03, 0.03)
    without = in_works(("median       = 1.03", "median       = 1.0"))
    ratio = finding(demo(), "drawing", "drawing_force_N") / finding(
        without, "drawing", "drawing_force_N"
    )
    assert ratio == pytest.approx(1.03, rel=1e-9)
    draws = demo().lines[0].plan.members.draws["factor/drawing/force"]
    results = demo().lines[0].plan.results["drawing_force_N"]
    # what is left after the factor is scatter of rod and die: the factor explains most
    correlation = np.corrcoef(draws[:, 0], np.log(results[:, 0]))[0, 1]
    assert correlation > 0.6


def test_a_factor_of_the_breaking_force_moves_what_is_asked_of_the_temper() -> None:
    """Links that break 4 % below the model are tempered stronger for the same aim."""
    weak = in_works(more=learned(FORCE, 0.96, 0.01))
    assert finding(weak, "inspection", "breaking_force_kN") == pytest.approx(
        finding(demo(), "inspection", "breaking_force_kN"), rel=1e-3
    )
    assert finding(weak, "tempering", "tensile_strength_MPa") > 1.03 * finding(
        demo(), "tempering", "tensile_strength_MPa"
    )


def test_the_less_is_unknown_the_better_the_chance() -> None:
    """With half the spread of the two factors that matter most the chance rises."""
    half = in_works(more=learned(FORCE, 1.0, 0.015) + learned(KINETICS, 1.0, 0.015))
    tight = in_works(more=learned(FORCE, 1.0, 0.003) + learned(KINETICS, 1.0, 0.003))
    chances = [plan.lines[0].plan.chance.chance for plan in (in_works(), half, tight)]
    assert chances[0] < chances[1] < chances[2]


def test_the_chance_falls_with_the_margin_aimed_at() -> None:
    """Less above the limit, more lots below it."""
    row = next(r for r in planned.demo_rows("works.toml") if r.startswith("breaking_force_margin"))
    chances = [
        in_works((row, f"breaking_force_margin_percent = {margin}")).lines[0].plan.chance.chance
        for margin in (10.0, 6.0, 2.0)
    ]
    assert chances[0] > chances[1] > chances[2]


def test_a_machines_spread_replaces_the_usual_one() -> None:
    """[machine.spread] lot_wire_diameter_mm is the scatter of the wire, with its line."""
    scatter = demo().lines[0].plan.members.scatter["lot/wire/drawing/wire_diameter_mm"]
    assert scatter.sd == 0.015
    assert scatter.source.startswith("works.toml:")
    wide = in_works(("lot_wire_diameter_mm  = 0.015", "lot_wire_diameter_mm  = 0.06"))
    spread = [
        np.std(plan.lines[0].plan.results["drawn_wire_diameter_mm"][:, 0])
        for plan in (in_works(), wide)
    ]
    assert spread[1] == pytest.approx(4 * spread[0], rel=1e-9)


def test_another_seed_is_another_sample_of_the_same_plan() -> None:
    """Settings are the same; the chance moves by no more than its error says."""
    other = plan_order(order(), works(), ensemble=Ensemble(seed=7))
    first, second = demo().document()["lines"][0], other.document()["lines"][0]
    assert first["steps"] == second["steps"]
    assert first["chance"]["value"] != second["chance"]["value"]
    error = math.hypot(first["chance"]["error"], second["chance"]["error"])
    assert abs(first["chance"]["value"] - second["chance"]["value"]) < 4 * error


def test_more_lots_do_not_move_the_chance_beyond_its_error() -> None:
    """64 lots and 512 lots agree within four standard errors."""
    few = in_works().lines[0].plan.chance
    many = demo().lines[0].plan.chance
    assert abs(few.chance - many.chance) < 4 * math.hypot(few.error, many.error)


def test_requirements_of_a_lot_are_met_together() -> None:
    """Together no oftener than the least likely, no rarer than if all failed apart."""
    chance = demo().lines[0].plan.chance
    parts = [part.chance for part in chance.parts]
    assert chance.chance <= min(parts) + 3 * chance.error
    assert chance.chance >= 1 - sum(1 - part for part in parts) - 3 * chance.error
    assert chance.chance >= math.prod(parts) - 3 * chance.error  # what is shared helps
    assert all(0.0 <= part <= 1.0 for part in parts)


def test_unused_factors_are_named() -> None:
    """A misspelt factor does not stay silent."""
    plan = in_works(more=learned("factor/drawing/farce", 1.0, 0.1))
    assert plan.unused_factors == ("factor/drawing/farce",)
    assert demo().unused_factors == ()


def test_the_document_is_made_once_and_is_plain_data() -> None:
    """The same object every time; JSON gives it back."""
    assert demo().document() is demo().document()
    text = json.dumps(demo().document(), allow_nan=False)
    assert json.loads(text) == demo().document()


@pytest.mark.parametrize(
    ("changed", "hash_"),
    [
        ({"order": ('"300 m"', '"301 m"')}, "order"),
        ({"works": ("price_EUR_per_h = 38.0", "price_EUR_per_h = 39.0")}, "works"),
        ({"works": ("spread       = 0.03", "spread       = 0.04")}, "factors"),
    ],
)
def test_a_hash_moves_with_what_it_stands_for(
    changed: dict[str, tuple[str, str]], hash_: str
) -> None:
    """Order, works and factors each have their own."""
    orders = [changed["order"]] if "order" in changed else []
    works_ = [changed["works"]] if "works" in changed else []
    other = plan_order(order(*orders), works(*works_), ensemble=FEW).document()["hashes"]
    same = in_works().document()["hashes"]
    assert other[hash_] != same[hash_]
    assert other["tables"] == same["tables"]
    if hash_ != "order":
        assert other["order"] == same["order"]


def test_comments_and_spelling_do_not_move_a_hash() -> None:
    """What the content is counts, not how it is written."""
    other = plan_order(order(('"300 m"', '"300.0 m" # said by phone')), works(), ensemble=FEW)
    assert other.document()["hashes"] == in_works().document()["hashes"]


def test_nothing_of_this_machine_is_in_the_document() -> None:
    """No path, host, user or time."""
    import getpass
    import os
    import socket

    text = json.dumps(demo().document())
    for private in (os.getcwd(), os.path.expanduser("~") + "/", socket.gethostname()):
        assert private not in text
    assert getpass.getuser() + "@" not in text


def test_numbers_of_the_document_are_plain() -> None:
    """No number type of an array library, no infinity."""

    def look(value: Any) -> None:
        if isinstance(value, dict):
            for inner in value.values():
                look(inner)
        elif isinstance(value, list):
            for inner in value:
                look(inner)
        else:
            assert value is None or type(value) in (str, int, float, bool), type(value)
            assert not isinstance(value, float) or math.isfinite(value)

    look(demo().document())


def test_a_verdict_is_the_worst_of_its_findings() -> None:
    """Outside before close before within, as the findings themselves say."""
    cold = planned.with_settings("hardening.temperature_degC = 830.0")
    line = cold.document()["lines"][0]
    verdicts = {found["verdict"] for step in line["steps"] for found in step["findings"]}
    assert "outside" in verdicts
    assert line["verdict"] == "outside"
    assert not cold.passes
    assert demo().passes


def test_a_finding_has_the_verdict_of_its_numbers() -> None:
    """What plan.json says of a finding follows from value and limits that stand beside it."""
    for step in planned.line()["steps"]:
        for found in step["findings"]:
            low = -math.inf if found["least"] is None else found["least"]
            high = math.inf if found["greatest"] is None else found["greatest"]
            inside = low <= found["value"] <= high
            if found["least"] is None and found["greatest"] is None:
                assert found["verdict"] == "no limit given"
            else:
                assert (found["verdict"] != "outside") == inside


def test_a_plan_is_frozen() -> None:
    """Nobody changes a plan by the way."""
    with pytest.raises(dataclasses.FrozenInstanceError):
        demo().lines = ()  # type: ignore[misc]
