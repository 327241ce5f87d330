"""Use priced by the rates of a works."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import planned
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.costing.prices import PriceRow, Rates, priced, totals

RATES = Rates(
    machine_EUR_per_h={"wire/drawing": 38.0, "wire/forming": 16.0},
    machines={"wire/drawing": 1, "wire/forming": 12},
    electricity_EUR_per_kWh=0.19,
    water_EUR_per_m3=2.4,
    steel_EUR_per_kg={"wire/drawing": 1.38, "wire/forming": 1.38},
    carbon_kg_per_kWh=0.38,
)
USE: dict[str, dict[str, Any]] = {
    "wire/drawing": {"machine_time_h": 2.0, "electricity_kWh": 10.0, "steel_kg": 100.0},
    "wire/forming": {"machine_time_h": 0.5, "electricity_kWh": 20.0, "water_m3": 3.0},
}
NONE = Rates({}, {}, None, None, {}, None)
AMOUNTS = st.floats(0.0, 1e6)


def line() -> dict[str, Any]:
    """The demo plan's line as data."""
    return planned.line()


def test_a_row_is_amount_times_rate() -> None:
    """Every use has a row with amount, rate and price; hours count for each machine alike."""
    rows = {(row.step, row.what): row for row in priced(USE, RATES)}
    assert len(rows) == 6
    assert rows["wire/drawing", "machine_time_h"].price_EUR == 76.0
    forming = rows["wire/forming", "machine_time_h"]
    assert (forming.amount, forming.price_EUR) == (6.0, 96.0)
    assert rows["wire/forming", "water_m3"].price_EUR == pytest.approx(7.2)


def test_totals_are_the_sums_of_the_rows() -> None:
    """Hours, energy, water, steel, price; carbon is that of the energy."""
    made = totals(priced(USE, RATES), RATES)
    assert made["machine_time_h"] == 8.0
    assert made["electricity_kWh"] == 30.0
    assert made["water_m3"] == 3.0
    assert made["steel_kg"] == 100.0
    assert made["price_EUR"] == pytest.approx(76 + 96 + 30 * 0.19 + 7.2 + 138)
    assert made["carbon_kg"] == pytest.approx(30 * 0.38)


def test_what_has_no_rate_has_no_price_and_is_left_out_of_the_sum() -> None:
    """A works file without prices gives amounts, not invented money."""
    rows = priced(USE, NONE)
    assert all(row.rate_EUR is None and row.price_EUR is None for row in rows)
    made = totals(rows, NONE)
    assert (made["price_EUR"], made["carbon_kg"]) == (0.0, None)
    assert made["electricity_kWh"] == 30.0


def test_nothing_used_costs_nothing() -> None:
    """No rows, sums of zero."""
    assert totals([], RATES)["price_EUR"] == 0.0


def test_a_use_that_nobody_prices_is_kept_as_a_row() -> None:
    """An unknown use keeps its amount and has no rate."""
    (row,) = priced({"chain/packing": {"boxes_count": 4.0}}, RATES)
    assert row == PriceRow("chain/packing", "boxes_count", 4.0, None)


@settings(derandomize=True, max_examples=30, deadline=None)
@given(energy=st.lists(AMOUNTS, min_size=1, max_size=8), more=AMOUNTS)
def test_more_use_never_costs_less(energy: list[float], more: float) -> None:
    """The price grows with every use, and twice the use costs twice as much."""
    use = {f"step {index}": {"electricity_kWh": each} for index, each in enumerate(energy)}
    base = totals(priced(use, RATES), RATES)["price_EUR"]
    use["last"] = {"electricity_kWh": more}
    greater = totals(priced(use, RATES), RATES)["price_EUR"]
    assert base is not None
    assert greater is not None
    assert greater >= base
    twice = {step: {"electricity_kWh": 2 * one["electricity_kWh"]} for step, one in use.items()}
    assert totals(priced(twice, RATES), RATES)["price_EUR"] == pytest.approx(2 * greater)


@pytest.mark.parametrize(
    "what", ["machine_time_h", "electricity_kWh", "water_m3", "steel_kg"]
)  # fmt: skip
def test_totals_of_the_demo_are_the_sums_of_its_rows(what: str) -> None:
    """plan.json adds up, to the last bit, in the order of its rows."""
    total = 0.0
    for row in line()["prices"]:
        if row["what"] == what:
            total += row["amount"]
    assert line()["totals"][what] == total


def test_the_price_of_the_demo_is_the_sum_of_its_prices() -> None:
    """Every row of the demo has a rate, and the sum is the total."""
    total = 0.0
    for row in line()["prices"]:
        assert row["price_EUR"] == row["amount"] * row["rate_EUR"]
        total += row["price_EUR"]
    assert line()["totals"]["price_EUR"] == total


def test_rows_of_the_demo_are_the_use_of_its_steps() -> None:
    """No use is priced twice or forgotten; hours are those of all machines alike."""
    machines = {"forming": 12, "welding": 8}
    used = {
        (f"{step['branch']}/{step['operation']}", what): amount
        * (machines.get(step["operation"], 1) if what == "machine_time_h" else 1)
        for step in line()["steps"]
        for what, amount in step["use"].items()
    }
    rows = {(row["step"], row["what"]): row["amount"] for row in line()["prices"]}
    assert rows == pytest.approx(used)


def test_numbers_of_the_demo_are_finite_and_not_negative() -> None:
    """No money back, no endless hours."""
    for row in line()["prices"]:
        assert 0.0 <= row["amount"] < math.inf
        assert 0.0 <= row["price_EUR"] < math.inf
    assert all(0.0 < total < math.inf for total in line()["totals"].values())


def test_cotters_are_priced_by_their_mass_where_the_works_says_what_they_cost() -> None:
    """The rate stands with the machine that puts them in; without it the row has no price."""
    use = {"chain/cottering": {"cotters_kg": 8.5}}
    row = priced(use, replace(RATES, cotters_EUR_per_kg={"chain/cottering": 4.2}))[0]
    assert row.price_EUR == pytest.approx(35.7)
    assert priced(use, RATES)[0].price_EUR is None
