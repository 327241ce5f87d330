"""Every listed size of every standard has a job, or ends with what is missing by name.

The whole batch with its verdicts is a trial (`scripts/trials/every_size.py`); here each size is
only prepared, and one of each standard that can be planned is settled.
"""

from __future__ import annotations

from functools import cache

import pytest
from planned import works

from linkwright.planning.plan import nominal, verdict_of
from linkwright.quantities import CannotPlan
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.standards.chain_requirements import CHAIN_STANDARDS, ChainStandard
from linkwright.works import Line, order_of_bytes

NAMES = (
    "case hardening of whole links", "hot bending", "flash-butt welding", "no proof_force_kN",
    "no rod in stock",
)  # fmt: skip
"""What a size may miss: an operation, a number of the standard, or rod in the demo's stock."""


@cache
def line_of(standard: str, grade: str, chain_type: str, size_mm: float) -> Line:
    """One line of an order."""
    kind = f'chain_type = "{chain_type}"\n' if chain_type else ""
    text = (
        '[order]\nnumber = "T"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
        f'product = "welded"\nstandard = "{standard}"\ngrade = "{grade}"\n{kind}'
        f'size_mm = {size_mm}\nlength = "300 m"\n'
    )
    return order_of_bytes(text.encode()).lines[0]


def named(chain: ChainStandard, size_mm: float) -> Line:
    """The line of a standard's size."""
    return line_of(chain.standard, chain.grade, chain.chain_type, size_mm)


@pytest.mark.parametrize("chain", CHAIN_STANDARDS, ids=lambda one: one.designation)
def test_every_size_has_a_job_or_a_name_for_what_is_missing(chain: ChainStandard) -> None:
    """Nothing ends in any other way."""
    low, high = chain.size_range_mm or (1.0, 76.0)
    for size in chain.sizes or (low, (low + high) / 2.0, high):
        line, missing = named(chain, size), ""
        try:
            job = chain_job(line, works(), machines_of(line, works()))
        except CannotPlan as error:
            missing = str(error)
        if missing:
            assert any(name in missing for name in NAMES), (size, missing)
        else:
            assert job.route.places[-1].operation.name == "packing"
            assert not chain.missing


@pytest.mark.parametrize(
    ("standard", "grade"),
    [("EN 818-2", "8"), ("EN 818-3", "4"), ("DIN 766", "3")],
)
def test_a_usual_size_of_each_standard_settles(standard: str, grade: str) -> None:
    """Chain of 8 mm is worked from rod to drum, with a verdict."""
    line = line_of(standard, grade, "", 8.0)
    machines = machines_of(line, works())
    settled = nominal(lambda: job_to_plan(line, works(), chain_job(line, works(), machines)))
    assert verdict_of(settled.steps) in ("within", "close", "outside")
    assert float(settled.steps["chain/packing"].finding("packages").value) >= 1.0
