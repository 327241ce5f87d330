"""Metal followed through passages, held against following every link by itself."""

from __future__ import annotations

import time
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.link_data.marks import links_by_mark
from linkwright.link_data.passages import Passage, carried, columns_of, passages_of
from linkwright.link_data.ranges import merged, within, without
from linkwright.link_data.tracing import PassagesCircle, trace

RUNS = st.lists(st.tuples(st.integers(0, 60), st.integers(0, 12)), min_size=1, max_size=8)


def members(pairs: list[tuple[int, int]]) -> set[int]:
    return {number for first, last in pairs for number in range(first, last + 1)}


@settings(derandomize=True, max_examples=60)
@given(RUNS, RUNS)
def test_ranges_are_sets(one: list[tuple[int, int]], other: list[tuple[int, int]]) -> None:
    """Union, difference and intersection hold the same numbers as sets of single ones."""
    made = [merged([a for a, _ in runs], [a + n for a, n in runs]) for runs in (one, other)]
    sets = [members([(a, a + n) for a, n in runs]) for runs in (one, other)]
    assert members(made[0].pairs()) == sets[0]
    assert members(without(*made).pairs()) == sets[0] - sets[1]
    assert members(within(*made).pairs()) == sets[0] & sets[1]


@settings(derandomize=True, max_examples=80)
@given(st.integers(1, 30), st.integers(1, 30), st.booleans(), st.data())
def test_a_passage_joins_what_overlaps(n: int, m: int, back: bool, data: st.DataObject) -> None:
    """Numbers touch where their shares of the run overlap, there and back alike, nothing else."""
    ends = (m + 99, 100) if back else (100, m + 99)
    passages = passages_of(columns_of([Passage("a", "A", 7, 6 + n, "b", "B", *ends)]))
    first = data.draw(st.integers(0, n - 1))
    last = data.draw(st.integers(first, n - 1))
    side, other = passages.pairs["a", "b"]
    here = passages.on_line("a", "A", 7 + first, 7 + last)
    at, low, high = passages.split(carried(here, side).there)
    found = set(range(int(low[0]), int(high[0]) + 1))
    begin, end = Fraction(first, n), Fraction(last + 1, n)
    met = [j for j in range(m) if Fraction(j, m) < end and Fraction(j + 1, m) > begin]
    true = {100 + (m - 1 - j if back else j) for j in met}
    assert found == true
    assert passages.numberings[int(at[0])].name == "B"
    again = carried(carried(here, side).there, other).there
    assert not without(here, again).first.size
    assert n != m or again.same(here)


def test_a_repaired_link_has_its_own_way() -> None:
    """A link cut out and welded anew leads to its own weld; its neighbours to theirs."""
    rows = [Passage("weld", "W07", 1000, 1199, "strand", "S", 0, 199),
            Passage("strand", "S", 0, 199, "piece", "A", 0, 199),
            Passage("piece", "A", 0, 56, "piece", "A2", 0, 56),
            Passage("weld", "W09", 7, 7, "piece", "A2", 57, 57),
            Passage("piece", "A", 58, 199, "piece", "A2", 58, 199),
            Passage("piece", "A2", 50, 64, "harden", "H02", 14, 0)]  # fmt: skip
    passages = passages_of(columns_of(rows))

    def of(number: int) -> set[tuple[str, int]]:
        found = trace(passages, "piece", passages.on_line("piece", "A2", number, number)).found()
        return {(one.name, one.first) for one in found if one.kind in ("weld", "harden")}

    assert of(57) == {("W09", 7), ("H02", 7)}
    assert of(56) == {("W07", 1056), ("H02", 8)}
    assert of(120) == {("W07", 1120)}


def test_a_link_stays_one_link_though_its_coil_is_known_in_mm() -> None:
    """Going back to mm rounds outwards and going on from there adds no neighbour."""
    rows = [Passage("coil_mm", "K", 0, 178_123, "weld", "W", 0, 4999),
            Passage("weld", "W", 0, 2498, "strand", "S1", 0, 2498),
            Passage("weld", "W", 2499, 4999, "strand", "S2", 0, 2500)]  # fmt: skip
    passages = passages_of(columns_of(rows))
    made = trace(passages, "weld", passages.on_line("weld", "W", 2499, 2499))
    assert [(one.kind, one.name, one.numbers) for one in made.found()] == [
        ("coil_mm", "K", 36), ("weld", "W", 1), ("strand", "S2", 1)]  # fmt: skip


@settings(derandomize=True, max_examples=40)
@given(st.integers(0, 399), st.integers(0, 30), st.integers(0, 4), st.data())
def test_a_miscount_never_loses_a_link(first: int, n: int, off: int, data: st.DataObject) -> None:
    """With counts off by up to n links the true links are always among those found."""
    last = min(first + n, 399)
    wrong = data.draw(st.integers(-off, off))
    rows = [Passage("strand", "S", 0, 399, "harden", "H", 1000, 1399),
            Passage("strand", "S", 0, 399, "piece", "A", 399, 0)]  # fmt: skip
    passages = passages_of(columns_of(rows))
    true = {399 - k for k in range(max(first, 0), last + 1)}
    counted = passages.on_line("harden", "H", 1000 + first + wrong, 1000 + last + wrong)
    if not counted.first.size:
        return
    found = trace(passages, "harden", counted, miscount=off).found("piece")
    held = members([(one.first, one.last) for one in found])
    inside = {399 - k for k in range(first, last + 1) if 0 <= k + wrong <= 399}
    assert inside <= true
    assert inside <= held


def test_passages_in_a_circle_are_told() -> None:
    """Metal that becomes itself shifted ends in a sentence."""
    rows = [Passage("piece", "A", 0, 9998, "piece", "A", 1, 9999)]
    passages = passages_of(columns_of(rows))
    with pytest.raises(PassagesCircle, match="lead back"):
        trace(passages, "piece", passages.on_line("piece", "A", 5000, 5000))


def test_a_month_is_traced_in_a_tenth_of_a_second() -> None:
    """Of 3 million links and 150,000 strokes: one link, and a coil of 5000."""
    rows = []
    for s in range(600):
        rows.append(Passage("weld", "W", 5000 * s, 5000 * s + 4999, "strand", f"S{s}", 0, 4999))
        rows.append(Passage("coil", f"K{s}", 0, 4999, "weld", "W", 5000 * s, 5000 * s + 4999))
        rows.append(Passage("strand", f"S{s}", 4999, 0, "harden", "H", 5000 * s, 5000 * s + 4999))
        rows += [Passage("strand", f"S{s}", 20 * k, 20 * k + 19, "stroke", "P", 250 * s + k,
                         250 * s + k) for k in range(250)]  # fmt: skip
        rows += [Passage("strand", f"S{s}", 200 * k, 200 * k + 199, "piece", f"A{s}.{k}", 0, 199)
                 for k in range(25)]  # fmt: skip
    passages = passages_of(columns_of(rows))
    best = [9.0, 9.0]
    for at, (kind, name, number) in enumerate([("weld", "W", 1_234_567), ("coil", "K99", None)]):
        ends = passages.extent(kind, name) if number is None else (number, number)
        for _ in range(3):
            begun = time.perf_counter()
            made = trace(passages, kind, passages.on_line(kind, name, *ends))
            best[at] = min(best[at], time.perf_counter() - begun)
        assert made.count("strand") == (5000 if number is None else 1)
        assert made.count("stroke") == (250 if number is None else 1)
    assert max(best) < 0.1


def test_marks_give_candidates_on_both_sides_or_one() -> None:
    """Without a direction both; towards another mark one; a miscount widens."""
    rows = [Passage("strand", "S", 0, 299, "piece", "A", 0, 299),
            Passage("strand", "S", 100, 100, "mark", "Q1", 0, 0),
            Passage("strand", "S", 200, 200, "mark", "Q2", 0, 0)]  # fmt: skip
    passages = passages_of(columns_of(rows))

    def links(**given: object) -> list[tuple[int, int]]:
        found = links_by_mark(passages, "Q1", 13, **given)  # type: ignore[arg-type]
        return list(zip(*(one.tolist() for one in passages.split(found.links)[1:]), strict=True))

    assert links() == [(87, 87), (113, 113)]
    assert links(toward="Q2") == [(113, 113)]
    assert links(toward="Q2", miscount=2) == [(111, 115)]
    assert np.all(passages.first >= 0)
