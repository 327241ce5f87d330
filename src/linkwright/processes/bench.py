"""What the benches that test chain have in common: pieces counted, the speed of the test."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.processes.choosing import chosen
from linkwright.route import Machine, SetUp

_SPEED_SHARE = 0.1
"""How far the test speed may be off; a stated rule, forces hardly follow the speed."""


def bench_set_up(
    counts: Sequence[str], display: str, machine: Machine, given: Mapping[str, Any]
) -> SetUp:
    """Pieces of each kind that the inspection plan asks for, and the speed of the test.

    ``display``: which display shows the speed.
    """
    pieces = [
        chosen(name, machine, given, check="inspection plan", tolerance=0.0) for name in counts
    ]
    check = f"{display} display, each test"
    speed = chosen("test_speed_mm_per_s", machine, given, check=check, share=_SPEED_SHARE)
    return SetUp((*pieces, speed), {"machine": machine.name})
