"""Trial: every held number of roller chain, one to six strands, planned in one batch.

Each is worked once in the demo works, whose strip, bar and wire are bought as each part needs
them. A number that lies outside a limit says which; the margin of the tensile strength is that of
what breaks first over what the standard asks for.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from measured import Figure

from linkwright.planning.plan import nominal, outside, verdict_of
from linkwright.quantities import CannotPlan
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.standards.reader import published_table
from linkwright.works import Works, demo_works, order_of_bytes
from trials.outcome import Counts, Listing, Outcome

STRANDS = (1, 2, 3, 4, 5, 6)
LEAST, GREATEST = 5.0, 40.0
"""Margin of the tensile strength that is asked for, per cent."""


class Verdict(NamedTuple):
    """What came of one number: margin, what breaks first, what is outside its limits."""

    number: str
    margin_percent: float | None
    breaks: str
    verdict: str
    reason: str


def run(counts: Counts, _: Path) -> Outcome:
    """All numbers; margins between their bounds, or the reason beside them."""
    works, begin = demo_works(), time.perf_counter()
    found = [verdict_on(number, works) for number in asked(counts.every_size)]
    took = time.perf_counter() - begin
    margins = [one.margin_percent for one in found if one.margin_percent is not None]
    beyond = [one for one in margins if not LEAST <= one <= GREATEST]
    shown = [one for one in found if one.reason or "-" not in one.number]
    rows = tuple(
        (one.number, "–" if one.margin_percent is None else f"{one.margin_percent:.1f} %",
         one.breaks, one.verdict, one.reason)
        for one in shown
    )  # fmt: skip
    return Outcome(
        (
            Figure("numbers and strands planned", len(margins), least=len(found)),
            Figure("least margin of the tensile strength", min(margins), "%"),
            Figure("greatest margin of the tensile strength", max(margins), "%"),
            Figure("margins beyond 5 to 40 %", len(beyond), greatest=0),
            Figure("with a finding outside its limits", sum(bool(one.reason) for one in found)),
            Figure("time of the batch", took, "s"),
        ),
        (Listing("Every number of roller chain (several strands where one is outside)",
                 ("number", "margin", "breaks first", "verdict", "outside its limits"), rows),),
        ("The works is the invented demo; sizes that no table prints are derived by the stated "
         "rules of docs/models/roller.md.",),
    )  # fmt: skip


def asked(every_size: bool) -> Iterator[str]:
    """Numbers with their strands; one of each series if not every one."""
    rows = list(published_table("iso606_chain"))
    for row in rows if every_size else rows[::12]:
        number = str(row.cells["chain_number"])
        several = "transverse_pitch_mm" in row.cells and every_size
        yield from (f"{number}-{n}" if n > 1 else number for n in (STRANDS if several else (1,)))


def verdict_on(number: str, works: Works) -> Verdict:
    """One number, worked nominally."""
    text = (
        '[order]\nnumber = "T"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
        f'product = "roller"\nstandard = "ISO 606"\nsize = "{number}"\nlength = "300 m"\n'
    )
    line = order_of_bytes(text.encode()).lines[0]
    machines = machines_of(line, works)
    try:
        settled = nominal(lambda: job_to_plan(line, works, chain_job(line, works, machines)))
    except CannotPlan as error:
        return Verdict(number, None, "–", "not planned", " ".join(str(error).split()))
    bench = settled.steps["chain/roller_inspection"]
    forces = {name: float(bench.finding(f"{name}_force_kN").value)
              for name in ("inner_plates", "outer_plates", "pins")}  # fmt: skip
    reason = "; ".join(
        f"{found.subject} {float(found.value):.4g} at {key}" for key, found in
        outside(settled.steps)
    )  # fmt: skip
    margin = float(bench.finding("strength_margin_percent").value)
    weakest = min(forces, key=lambda name: forces[name]).replace("_", " ")
    return Verdict(number, margin, weakest, verdict_of(settled.steps), reason)
