"""Trial: every listed size of every standard of welded chain, planned nominally or refused.

Each size is worked once in the demo works, with rod of the size: by every rod and heat treatment
that the standard admits until one does not fail. A chain that cannot be planned ends with what
is missing, by name.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from measured import Figure

from linkwright.planning.plan import nominal, outside, verdict_of
from linkwright.quantities import CannotPlan, split, value_text
from linkwright.route import OUTSIDE, Finding
from linkwright.services.chain_jobs import chain_choices, chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.standards.chain_requirements import CHAIN_STANDARDS, ChainStandard
from linkwright.works import Line, Works, demo_bytes, order_of_bytes, works_of_bytes
from trials.outcome import Counts, Listing, Outcome

NOT_PLANNED = "not planned"
_OF_A_RANGE = (4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 11.2, 13.0, 16.0, 18.0, 20.0, 22.0, 30.0, 76.0)
"""Sizes tried where a standard gives a range or a formula instead of a list."""


_ROD = re.compile(r"^(diameter_mm\s*=\s*)([0-9.]+)", re.MULTILINE)
_USUAL_MM = 8.0


class Verdict(NamedTuple):
    """What came of one size: verdict, how it was made, what is outside or missing."""

    chain: str
    size_mm: float
    verdict: str
    made: str
    reason: str


def works_with_rod(size_mm: float) -> Works:
    """The demo works with every rod as much thicker or thinner as the chain is than 8 mm."""

    def scaled(found: re.Match[str]) -> str:
        return f"{found[1]}{float(found[2]) * size_mm / _USUAL_MM:.6g}"

    return works_of_bytes(_ROD.sub(scaled, demo_bytes("works.toml").decode()).encode())


def run(counts: Counts, _: Path) -> Outcome:
    """Verdicts of all sizes of all standards; every one planned or explained."""
    found = [verdict_on(chain, size) for chain, size in asked(counts.every_size)]
    planned = [one for one in found if one.verdict != NOT_PLANNED]
    head = ("chain", "size", "verdict", "made by", "outside its limits, or missing")
    rows = tuple(
        (one.chain, f"{one.size_mm:g} mm", one.verdict, one.made, one.reason) for one in found
    )
    unexplained = [one for one in found
                   if one.verdict in (NOT_PLANNED, OUTSIDE) and not one.reason]  # fmt: skip
    return Outcome(
        (
            Figure("sizes tried", len(found)),
            Figure("planned nominally", len(planned)),
            Figure("of these without a finding outside its limits",
                   sum(one.verdict != OUTSIDE for one in planned)),
            Figure("not planned, with what is missing", len(found) - len(planned)),
            Figure("neither planned nor explained", len(unexplained), greatest=0),
        ),
        (Listing("Every size of every standard", head, rows),),
        ("The works is the invented demo; its rods are scaled to the size, its machines are not.",),
    )  # fmt: skip


def asked(every_size: bool) -> Iterator[tuple[ChainStandard, float]]:
    """Standards with their sizes; one size of each if not every one."""
    for chain in CHAIN_STANDARDS:
        sizes = chain.sizes or _within(chain)
        yield from ((chain, size) for size in (sizes if every_size else sizes[:1]))


def verdict_on(chain: ChainStandard, size_mm: float) -> Verdict:
    """The first way of making this size that does not fail, else the usual one and why."""
    line, works = _line(chain, size_mm), works_with_rod(size_mm)
    tried: list[Verdict] = []
    try:
        machines = machines_of(line, works)
        for choice in chain_choices(line, works, machines):
            tried.append(_tried(chain, line, works, choice))
            if tried[-1].verdict not in (NOT_PLANNED, OUTSIDE):
                return tried[-1]
    except CannotPlan as error:
        return Verdict(chain.designation, size_mm, NOT_PLANNED, "–", _one_line(error))
    planned = [one for one in tried if one.verdict != NOT_PLANNED]
    return (planned or tried)[0]


def _tried(chain: ChainStandard, line: Line, works: Works, choice: object) -> Verdict:
    machines = machines_of(line, works)
    made = f"{choice.rod}, {choice.treatment}"  # type: ignore[attr-defined]
    size = float(line.size_mm or 0.0)
    try:
        settled = nominal(
            lambda: job_to_plan(line, works, chain_job(line, works, machines, choice))  # type: ignore[arg-type]
        )
    except CannotPlan as error:
        return Verdict(chain.designation, size, NOT_PLANNED, made, _one_line(error))
    reason = "; ".join(_told(found) for _, found in outside(settled.steps))
    return Verdict(chain.designation, size, verdict_of(settled.steps), made, reason)


def _line(chain: ChainStandard, size_mm: float) -> Line:
    kind = f'chain_type = "{chain.chain_type}"\n' if chain.chain_type else ""
    text = (
        '[order]\nnumber = "T"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
        f'product = "welded"\nstandard = "{chain.standard}"\ngrade = "{chain.grade}"\n{kind}'
        f'size_mm = {size_mm}\nlength = "300 m"\n'
    )
    return order_of_bytes(text.encode()).lines[0]


def _within(chain: ChainStandard) -> tuple[float, ...]:
    low, high = chain.size_range_mm or (1.0, 500.0)
    return tuple(size for size in _OF_A_RANGE if low <= size <= high)


def _told(found: Finding) -> str:
    stem, unit = split(found.subject)
    bounds = [
        f"{word} {value_text(float(bound), unit)}"
        for word, bound in (("at least", found.least), ("at most", found.greatest))
        if bound is not None
    ]
    return ", ".join([f"{stem.replace('_', ' ')} {value_text(float(found.value), unit)}", *bounds])


def _one_line(error: CannotPlan) -> str:
    return " ".join(str(error).split())
