"""Flow curve and friction of a finished link: from the chain where a heat treatment gave them.

- `curve_of`: exponent and yield offset of the chain, else those that the works holds
"""

from __future__ import annotations

from typing import Any

from linkwright.route import Machine
from linkwright.route.stock import Stock

_GIVEN_BY_HEAT = {"hardening_exponent": "hardening_exponent", "prestrain": "yield_offset_strain"}


def curve_of(chain: Stock | None, machine: Machine) -> dict[str, Any]:
    """Arguments of the link models by name; friction is always the works' own."""
    curve = {
        argument: chain[name] if chain is not None and name in chain else machine.held[name]
        for argument, name in _GIVEN_BY_HEAT.items()
    }
    return {**curve, "friction_coefficient": machine.held["friction_coefficient"]}
