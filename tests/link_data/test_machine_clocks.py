"""Clocks of two machines from the order of links, held against an independent solver."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from linkwright.link_data.clock_polygon import bounds_of, clock_polygon, clock_segments
from linkwright.link_data.machine_clocks import (
    NoRelation,
    Span,
    keep_relation,
    kept_relations,
    relation_of_links,
    span_between,
)

LEAST, GREATEST = 40.0, 90.0


def links(
    seed: int, count: int, offset: float, drift: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Times of links by either clock, and the true time of the second machine by the first's."""
    rng = np.random.default_rng(seed)
    here = np.sort(rng.uniform(0.0, 86400.0, count))
    true = here + rng.uniform(LEAST, GREATEST, count)
    return here, true + offset + drift * true, true


@pytest.mark.parametrize("count", [1, 2, 7, 5000])
def test_the_polygon_is_that_of_a_linear_programme(count: int) -> None:
    """Extremes in six directions; scipy.optimize.linprog (HiGHS) over all half-planes."""
    here, there, _ = links(count, count, 37.2, 4e-5)
    low, high = np.full(count, LEAST), np.full(count, GREATEST)
    corners = clock_polygon(bounds_of(here, there, low, high))
    one = np.ones(count)
    left = np.vstack((np.column_stack((one, here + low)), -np.column_stack((one, here + high))))
    right = np.concatenate((there - here - low, -(there - here - high)))
    for cost in ([1, 0], [-1, 0], [0, 1], [0, -1], [1, 5e4], [-1, -9e4]):
        best = linprog(cost, A_ub=left, b_ub=right, bounds=[(None, None), (-1e-3, 1e-3)])
        assert (corners @ cost).min() == pytest.approx(best.fun, rel=1e-6, abs=1e-6)


@settings(derandomize=True, max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 300), st.floats(-1e4, 1e4), st.floats(-9e-4, 9e-4))
def test_the_truth_lies_within(seed: int, count: int, offset: float, drift: float) -> None:
    """Every widened span holds the times that links truly had, there and back."""
    here, there, true = links(seed, count, offset, drift)
    us = [np.round(one * 1e6).astype(np.int64) for one in (here, there, true)]
    made = relation_of_links(("H", "T"), us[0], us[1], (LEAST, GREATEST), resolution_s=2e-6)
    assert len(made.stretches) == 1
    rng = np.random.default_rng(seed)
    for t in rng.uniform(-1e5, 2e5, 5):
        shown = t + offset + drift * t
        at = Span(int(t * 1e6), int(t * 1e6))
        first, last = made.span_there(at)
        assert first - 2 <= shown * 1e6 <= last + 2
        first, last = made.span_here(Span(int(shown * 1e6), int(shown * 1e6)))
        assert first - 2 <= t * 1e6 <= last + 2
    k = int(rng.integers(count))
    first, last = made.passed(Span(int(us[0][k]), int(us[0][k])))
    assert first <= us[1][k] <= last


def test_clocks_that_were_set_are_found() -> None:
    """Two settings of a clock give three stretches that part between the right links."""
    here, there, _ = links(4, 20_000, 37.2, 4e-5)
    there[7_000:] += 300.0
    there[15_000:] -= 120.0
    low, high = np.full(here.size, LEAST), np.full(here.size, GREATEST)
    made = clock_segments(here, there, low, high)
    assert [one.first for one in made.held] == [0, 7_000, 15_000]
    assert [(one.after, one.before) for one in made.partings] == [(6_999, 7_000), (14_999, 15_000)]


def test_versions_stay(tmp_path: Path) -> None:
    """Each finding is the next file; the newest is used, over machines in between."""
    here, there, _ = links(5, 500, 10.0, 0.0)
    us = [np.round(one * 1e6).astype(np.int64) for one in (here, there)]
    made = relation_of_links(("H", "T"), us[0], us[1], (LEAST, GREATEST))
    paths = [keep_relation(tmp_path, made)[0] for _ in range(2)]
    keep_relation(tmp_path, relation_of_links(("T", "P"), us[1], us[1] + 60_000_000, (50.0, 70.0)))
    assert [path.name for path in paths] == ["v0001.json", "v0002.json"]
    kept = kept_relations(tmp_path)
    assert [one.version for one in kept] == [2, 1]
    first, last = span_between(kept, "P", "H", Span(10**9, 2 * 10**9))
    assert first < 10**9 - 10_000_000 < last
    assert last - first > 10**9
    with pytest.raises(NoRelation, match="nothing is known"):
        span_between(kept, "P", "W", Span(0, 1))
