"""Comparing two plan documents: what changed, and how a difference is shared out."""

import copy
import math
from functools import cache
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.planning.attribution import (
    Source,
    attributed,
    by_slopes,
    mean_moves,
    normal_chance,
)
from linkwright.planning.comparison import ALL, compared, file_inputs
from linkwright.planning.draws import Ensemble
from linkwright.services.planning import plan_order
from linkwright.works import (
    demo_bytes,
    demo_line_bytes,
    demo_line_order,
    demo_works,
    order_of_bytes,
    works_of_bytes,
)

ENSEMBLE = Ensemble(lots=64, pairs=2)


@cache
def plan_of(
    order: bytes = b"", works: bytes = b"", ensemble: Ensemble = ENSEMBLE
) -> dict[str, Any]:
    the_order = order_of_bytes(order) if order else demo_line_order()
    the_works = works_of_bytes(works, "other.toml") if works else demo_works()
    return plan_order(the_order, the_works, ensemble=ensemble).document()


def works_with(*pairs: tuple[bytes, bytes]) -> bytes:
    raw = demo_bytes("works.toml")
    for old, new in pairs:
        assert old in raw, old
        raw = raw.replace(old, new, 1)
    return raw


WARM = (b"start_temperature_degC = 40.0", b"start_temperature_degC = 60.0")
MARGIN = (b"breaking_force_margin_percent = 8.5", b"breaking_force_margin_percent = 7.0")


def test_a_plan_compared_with_itself_has_no_change() -> None:
    """Nothing differs, and the chances stand side by side."""
    made = compared(plan_of(), copy.deepcopy(plan_of()))
    (line,) = made.lines
    assert (made.hashes, made.members, made.only_a, made.only_b) == ((), (), (), ())
    changed = (line.inputs, line.factors, line.settings, line.findings, line.totals)
    assert changed == ((), (), (), (), ())
    assert all(row.difference == 0.0 for row in line.chances)


def test_an_input_is_known_by_table_name_and_operation() -> None:
    """One number changed under another file name, ten lines lower, is the only input that did."""
    lower = b"# a comment\n" * 10 + works_with(WARM)
    (line,) = compared(plan_of(), plan_of(b"", lower)).lines
    assert [(row.where, row.name, row.a, row.b) for row in line.inputs] == [
        ("[machine.held] tempering", "start_temperature_degC", 40.0, 60.0)
    ]


def test_settings_and_findings_change_with_value_and_word() -> None:
    """A changed order setting is given instead of solved; the verdicts of both are kept."""
    order = demo_line_bytes() + b"\n[line.settings]\nwelding.heat_cycles = 15\n"
    (line,) = compared(plan_of(), plan_of(order)).lines
    changed = {row.name: row for row in line.settings}
    time = changed["heat_cycles"]
    assert (time.where, time.a, time.b, time.word_a, time.word_b) == (
        "welding", 20.0, 15.0, "solved", "given",
    )  # fmt: skip
    assert changed["secondary_current_kA"].difference > 0.5
    assert "cut_length_mm" not in changed
    finding = next(row for row in line.findings if row.name == "apparent_power_kVA")
    steps = [one["lines"][0]["steps"] for one in (plan_of(), plan_of(order))]
    values = [
        next(f for s in one for f in s["findings"] if f["subject"] == "apparent_power_kVA")
        for one in steps
    ]
    assert (finding.a, finding.b) == (values[0]["value"], values[1]["value"])


def test_factors_totals_and_hashes_change_by_name() -> None:
    """A factor's median and spread, a price, and the hashes that they move."""
    raw = works_with(
        (b"median       = 1.03", b"median       = 1.06"),
        (b"electricity_EUR_per_kWh = 0.19", b"electricity_EUR_per_kWh = 0.25"),
    )
    made = compared(plan_of(), plan_of(b"", raw))
    (line,) = made.lines
    assert [row.name for row in made.hashes] == ["works", "factors"]
    assert [(row.where, row.name, row.a, row.b) for row in line.factors] == [
        ("factor/drawing/force", "median", 1.03, 1.06)
    ]
    price = next(row for row in line.totals if row.name == "price_EUR")
    assert price.difference > 10.0
    assert all(row.difference == 0.0 for row in line.chances)


def test_changes_are_data_with_units() -> None:
    """A change as data names its unit and its difference."""
    (line,) = compared(plan_of(), plan_of(b"", works_with(WARM))).lines
    row = line.inputs[0].to_dict()
    assert (row["unit"], row["difference"]) == ("degC", 20.0)


def test_lines_and_steps_of_one_plan_only_are_named() -> None:
    """A line that only one order has is listed; a step that only one plan has is None beside."""
    other = copy.deepcopy(plan_of())
    other["lines"].append({**other["lines"][0], "id": "2"})
    other["lines"][0] = {**other["lines"][0], "steps": other["lines"][0]["steps"][1:]}
    made = compared(plan_of(), other)
    assert (made.only_a, made.only_b) == ((), ("2",))
    gone = [row for row in made.lines[0].findings if row.where == "receiving"]
    assert gone
    assert all((row.b, row.word_b) == (None, "") for row in gone)


def test_customer_and_date_are_inputs() -> None:
    """Texts of the order count as changed input."""
    raw = demo_line_bytes().replace(b"Northmoor quarry", b"Southmoor quarry")
    (line,) = compared(plan_of(), plan_of(raw)).lines
    assert [(row.name, row.b) for row in line.inputs] == [("customer", "Southmoor quarry")]


def test_every_file_number_of_a_plan_has_a_place_of_its_own() -> None:
    """No two numbers of the demo's files share table, name and operation by chance."""
    inputs = file_inputs(plan_of()["lines"][0])
    assert len(inputs) > 100
    assert not [where for where, _ in inputs if where.endswith(")")]


@given(
    values=st.lists(st.floats(0.0, 1.0), min_size=8, max_size=8),
)
@settings(derandomize=True, max_examples=50)
def test_shares_add_up_and_are_shapley_s_for_two_changes(values: list[float]) -> None:
    """Shares of three changes sum to the whole; those of two equal the average of all orders."""
    table = {
        key: values[index]
        for index, key in enumerate(
            [(), (0,), (1,), (2,), (0, 1), (0, 2), (1, 2), (0, 1, 2)],
        )
    }
    shares = attributed(3, lambda taken: {"x": table[taken]})
    assert sum(share["x"] for share in shares) == pytest.approx(
        table[0, 1, 2] - table[()], abs=1e-12
    )
    two = attributed(2, lambda taken: {"x": table[taken]})
    for one in (0, 1):
        gains = []
        for order in permutations((0, 1)):
            before = tuple(sorted(order[: order.index(one)]))
            gains.append(table[tuple(sorted((*before, one)))] - table[before])
        assert two[one]["x"] == pytest.approx(sum(gains) / 2, abs=1e-12)


def test_a_change_that_cannot_stand_alone_shares_its_step() -> None:
    """Without a plan for the first change alone, it shares equally with the next."""
    table = {(): {"x": 1.0}, (0,): None, (1,): {"x": 0.9}, (0, 1): {"x": 0.6}}
    shares = attributed(2, lambda taken: table[taken])
    # forward: both together -0.4, so -0.2 each; backward: -0.1 for the second, -0.3 for the first
    assert [share["x"] for share in shares] == pytest.approx([-0.25, -0.15])


def test_ends_must_have_a_value() -> None:
    """Without a plan of B there is no difference to share out."""
    with pytest.raises(ValueError, match="no value"):
        attributed(1, lambda taken: None if taken else {"x": 1.0})


def test_each_state_is_planned_once() -> None:
    """Both orders share their ends: n changes need 2 n plans."""
    asked: list[tuple[int, ...]] = []

    def value(taken: tuple[int, ...]) -> dict[str, float]:
        asked.append(taken)
        return {"x": float(len(taken))}

    attributed(5, value)
    assert len(asked) == len(set(asked)) == 10


PART = {
    "subject": "x_kN", "least": 80.0, "greatest": None, "pieces": 1.0, "mean": 84.0,
    "sd_between": 3.0, "sd_within": 4.0,
}  # fmt: skip


def test_normal_chance_against_the_exact_integral() -> None:
    """One piece of a normal lot: Phi(z) with both spreads added in squares."""
    z = (84.0 - 80.0) / math.hypot(3.0, 4.0)
    assert normal_chance(PART) == pytest.approx(0.5 * (1 + math.erf(z / math.sqrt(2))), abs=1e-4)


def documents(mean: float, setting: float) -> dict[str, Any]:
    """A line with one setting that moves the mean by 2 kN a millimetre."""
    part = {**PART, "mean": mean}
    part["chance"] = normal_chance(part)
    shares = [{"name": "lot/wire/cutting/cut_length_mm", "share": 0.5, "slope": 0.1}]
    step = {
        "branch": "wire", "operation": "cutting", "findings": [],
        "settings": [{"name": "cut_length_mm", "value": setting, "how": "solved", "entry": None}],
    }  # fmt: skip
    return {
        "chance": {"value": part["chance"], "error": 0.0, "parts": [{**part, "error": 0.0}]},
        "influence": [{"subject": "x_kN", "explained": 1.0, "shares": shares}],
        "steps": [step],
        "derivation": [],
        "factors": [],
    }


def test_slopes_give_the_whole_move_of_a_linear_plan() -> None:
    """Slope 0.1 kN for 0.05 mm: a cut 1 mm longer moves the mean by 2 kN and nothing is left."""
    a, b = documents(84.0, 86.0), documents(86.0, 87.0)
    sources = {"lot/wire/cutting/cut_length_mm": Source(0.05, relative=False)}
    (moved,) = mean_moves(a, b, sources, {})
    assert moved.moves["x_kN"] == pytest.approx(2.0)
    rows = by_slopes(a, b, [moved])
    difference = b["chance"]["value"] - a["chance"]["value"]
    assert rows[0].moves[ALL] == pytest.approx(difference, abs=1e-12)
    assert all(abs(row.moves[ALL]) < 1e-12 for row in rows[1:])


def test_relative_sources_and_factors_have_their_own_steps() -> None:
    """A share moves by b / a - 1; a factor by the logarithm of its medians."""
    a, b = documents(84.0, 86.0), documents(84.0, 87.0)
    relative = {"lot/wire/cutting/cut_length_mm": Source(0.01, relative=True)}
    (moved,) = mean_moves(a, b, relative, {})
    assert moved.moves["x_kN"] == pytest.approx(0.1 * (87.0 / 86.0 - 1.0) / 0.01)
    for document, median in ((a, 1.0), (b, 1.1)):
        document["factors"] = [{"name": "factor/f", "median": median, "spread": 0.05}]
    a["influence"][0]["shares"] = [{"name": "factor/f", "share": 1.0, "slope": 0.4}]
    (moved,) = mean_moves(a, b, {}, {})
    assert moved.moves["x_kN"] == pytest.approx(0.4 * math.log(1.1) / 0.05)


def test_shares_by_slopes_add_up_to_the_documents_difference() -> None:
    """Whatever the slopes do not explain stands in rows of its own."""
    a, b = plan_of()["lines"][0], plan_of(b"", works_with(MARGIN))["lines"][0]
    sources = {"lot/chain/tempering/coil_current_A": Source(0.006, relative=True)}
    rows = by_slopes(a, b, mean_moves(a, b, sources, {}))
    whole = {part["subject"]: part["chance"] for part in b["chance"]["parts"]}
    for part in a["chance"]["parts"]:
        total = sum(row.moves.get(part["subject"], 0.0) for row in rows)
        assert total == pytest.approx(whole[part["subject"]] - part["chance"], abs=1e-9)
    assert sum(row.moves[ALL] for row in rows) == pytest.approx(
        b["chance"]["value"] - a["chance"]["value"], abs=1e-9
    )


def test_a_smaller_margin_shows_in_the_temper_s_current() -> None:
    """Where the margin alone is smaller, the slopes lay the loss on the hotter temper.

    First order: within three twentieths of the true difference on 256 lots.
    """
    many = Ensemble(lots=256)
    a, b = (plan_of(b"", works, many)["lines"][0] for works in (b"", works_with(MARGIN)))
    sources = {"lot/chain/tempering/coil_current_A": Source(0.006, relative=True)}
    rows = by_slopes(a, b, mean_moves(a, b, sources, {}))
    difference = b["chance"]["value"] - a["chance"]["value"]
    current = next(row for row in rows if row.name == "tempering coil_current_A")
    assert difference < -0.04
    assert current.moves[ALL] == pytest.approx(difference, rel=0.15)
