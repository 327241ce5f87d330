"""What hardening adds to the sizes of a part, by the works' own measuring (``growth_percent``).

- `before_growth`: sizes that must come in, so that those that are wanted come out
- `grown`: a part with its sizes as hardening leaves them
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from linkwright.processes.models.plate_quench import grown_size, size_before_growth
from linkwright.route import Machine, Wanted
from linkwright.route.stock import Stock


def before_growth(wanted: Wanted, names: Iterable[str], machine: Machine) -> dict[str, Any]:
    """The sizes of these names, smaller by what hardening adds."""
    growth = machine.held["growth_percent"]
    return {name: size_before_growth(size_mm=wanted[name], growth_percent=growth) for name in names}


def grown(part: Stock, names: Iterable[str], machine: Machine) -> Stock:
    """The part with the sizes of these names larger by what hardening adds."""
    growth = machine.held["growth_percent"]
    return part.changed(
        shape={name: grown_size(size_mm=part[name], growth_percent=growth) for name in names}
    )
