"""The trial worth making, against a toy whose preposterior analysis is closed form."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import cache

import numpy as np
import planned
import pytest
from scipy.integrate import quad
from scipy.special import ndtr

from linkwright.planning.chance import chance_of
from linkwright.planning.draws import Ensemble, drawn
from linkwright.planning.influence import design_of, influence_of
from linkwright.planning.trial_worth import PIECES, USUAL, Trial, TrialsWorth, trials_worth
from linkwright.route import Factor, Requirement, Scatter

LIMIT, FACTOR, LOT, LINK = 96.0, 3.0, 2.0, 1.5
STRONG, WEAK, IDLE = "factor/bench/strong", "factor/bench/weak", "factor/bench/idle"


@cache
def toy(
    *, weak: float = 0.0, gauge: float = 0.0, lots: int = 512, pieces: float = 1.0,
    columns: int = 1,
) -> TrialsWorth | None:  # fmt: skip
    """Let x = 100 + 3 strong + weak w + 2 lot + 1.5 link reach 96; y shows weak, v idle.

    The lot's part may come of several columns alike.
    """
    ensemble = Ensemble(lots=lots)
    factors = [Factor(name, 1.0, 0.1, "toy", f"test {name}") for name in (STRONG, WEAK, IDLE)]
    of_lot = [f"lot/a/bench/l{column}" for column in range(columns)]
    scatter = [Scatter(name, 1.0, "toy") for name in (*of_lot, "link/a/bench/z")]
    conditions = drawn(scatter, factors, ensemble)
    z = conditions.draws
    link = z["link/a/bench/z"]
    x = 100.0 + FACTOR * z[STRONG] + weak * z[WEAK] + LINK * link
    x = x + LOT / math.sqrt(columns) * sum(z[name] for name in of_lot)
    found = {"bench": {"x_kN": x, "y_mm": z[WEAK] + link, "v_mm": z[IDLE] + link}}
    design = design_of(conditions, ensemble)
    influence = influence_of(x, design)
    part = chance_of(x, Requirement("x_kN", LIMIT, None, pieces, "toy"), influence)
    return trials_worth(
        found, design, [part], {"x_kN": influence}, conditions.factors, gauges={"kN": gauge}
    )


def trial(worth: TrialsWorth | None, name: str) -> Trial:
    """The trial of a factor."""
    assert worth is not None
    return next(one for one in worth.trials if one.factor.name == name)


def spread(chance: Callable[[float], float]) -> float:
    """Standard deviation of a function of one standard normal variable, by quadrature."""

    def mean(power: int) -> float:
        def density(u: float) -> float:
            return chance(u) ** power * math.exp(-u * u / 2.0) / math.sqrt(2.0 * math.pi)

        return float(quad(density, -9.0, 9.0, epsabs=1e-12)[0])

    return math.sqrt(mean(2) - mean(1) ** 2)


def exact(pieces: int, gauge: float = 0.0) -> tuple[float, float, float]:
    """Spread of ln factor and of the chance after so many pieces, and before any."""
    rest = math.hypot(LOT, LINK)
    noise = (LINK**2 / pieces + (gauge * 100.0) ** 2 / 3.0) / FACTOR**2
    known = 1.0 / (1.0 + noise)
    now = spread(lambda u: float(ndtr((100.0 - LIMIT + FACTOR * u) / rest)))
    wide = math.hypot(rest, FACTOR * math.sqrt(1.0 - known))
    stated = spread(lambda u: float(ndtr((100.0 - LIMIT + FACTOR * math.sqrt(known) * u) / wide)))
    return 0.1 * math.sqrt(1.0 - known), math.sqrt(now**2 - stated**2), now


@pytest.mark.parametrize("gauge", [0.0, 0.01])
def test_the_closed_form_comes_out(gauge: float) -> None:
    """Normal in ln factor, one requirement on one piece: within 1 % for every number of pieces."""
    worth = toy(gauge=gauge)
    assert worth is not None
    assert worth.now.sd == pytest.approx(exact(1)[2], rel=0.01)
    for after in trial(worth, STRONG).afterwards:
        spread_left, sd_left, now = exact(after.pieces, gauge)
        assert after.spread == pytest.approx(spread_left, rel=0.01)
        # the narrowing, a difference of two spreads, is held to 1 % of the whole
        assert after.sd == pytest.approx(sd_left, abs=0.01 * now)


def test_many_columns_of_scatter_are_as_one_of_their_sum() -> None:
    """More columns than the usual points of scatter: within 3 % of the closed form, as fits are."""
    worth = toy(columns=40)
    assert worth is not None
    assert worth.now.sd == pytest.approx(exact(1)[2], rel=0.03)


def test_quantiles_of_the_chance_are_those_of_the_factor() -> None:
    """The chance rises with the factor, so its 5 % quantile is that at z = -1.645."""
    worth = toy()
    assert worth is not None
    rest = math.hypot(LOT, LINK)
    least = float(ndtr((4.0 - 1.6449 * FACTOR) / rest))
    assert worth.now.least == pytest.approx(least, abs=0.01)
    left = 10.0 * exact(USUAL)[0]
    least = float(ndtr((4.0 - 1.6449 * FACTOR * left) / rest))
    assert trial(worth, STRONG).least == pytest.approx(least, abs=0.01)


def test_more_pieces_leave_less_doubt() -> None:
    """Spread of factor and of chance fall with the pieces; what is stated moves more."""
    for name in (STRONG, WEAK):
        rows = trial(toy(weak=2.0), name).afterwards
        assert [row.pieces for row in rows] == list(PIECES)
        for column in ("spread", "sd"):
            values = [getattr(row, column) for row in rows]
            assert all(np.diff(values) < 0)
        assert all(np.diff([row.move for row in rows]) > 0)


def test_a_factor_without_influence_narrows_nothing() -> None:
    """Its own doubt shrinks, that of the chance stays as it is."""
    worth = toy()
    assert worth is not None
    for name in (WEAK, IDLE):
        one = trial(worth, name)
        assert one.narrowing == 0.0
        assert one.afterwards[-1].spread < 0.1
        assert {row.sd for row in one.afterwards} == {worth.now.sd}
        assert (one.least, one.greatest) == (worth.now.least, worth.now.greatest)


def test_the_factor_that_moves_the_chance_most_comes_first() -> None:
    """Ranked by narrowing a piece."""
    worth = toy(weak=1.5)
    assert worth is not None
    assert [one.factor.name for one in worth.trials] == [STRONG, WEAK, IDLE]
    narrowings = [one.narrowing for one in worth.trials]
    assert narrowings[0] > narrowings[1] > narrowings[2] == 0.0


def test_each_factor_is_measured_where_it_shows_best() -> None:
    """The weak factor hides in x and stands clear in y."""
    assert trial(toy(weak=1.0), WEAK).finding == "y_mm"
    assert trial(toy(weak=1.0), STRONG).finding == "x_kN"


def test_a_gauge_that_may_be_off_leaves_doubt_that_no_number_of_pieces_takes_away() -> None:
    """With 1 % on 100 kN a hundredth of the factor's sixth is left at least."""
    plain, rough = (trial(toy(gauge=gauge), STRONG).afterwards[-1] for gauge in (0.0, 0.03))
    assert rough.spread > plain.spread
    assert rough.spread > 0.1 * 0.5  # 3 kN / sqrt 3 against 3 kN a standard deviation


def test_with_too_few_lots_nothing_is_stated() -> None:
    """No fit, no trials."""
    assert toy(lots=8) is None


def test_the_demo_names_the_trial_worth_making() -> None:
    """Plain data in plan.json, the best trial first, every factor in it."""
    trials = planned.line()["trials"]
    names = [row["name"] for row in trials["factors"]]
    assert set(names) == {row["name"] for row in planned.line()["factors"]}
    best: Mapping[str, float] = trials["factors"][0]
    assert best["narrowing"] == max(row["narrowing"] for row in trials["factors"]) > 0
    assert trials["least"] < best["least"] <= best["greatest"]
