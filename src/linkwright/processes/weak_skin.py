"""A decarburised skin on its way: thinned by drawing, felt in the breaking force.

- `drawn_skin`: what drawing leaves of the measured depth
- `with_weak_skin`: a factor on the breaking force with the loss of the skin

Stock without `decarburised_depth_mm` was not measured, and nothing is claimed of its skin.
"""

from __future__ import annotations

from typing import Any

from linkwright.processes.models.rod import (
    decarburised_strength_share,
    drawn_depth,
    weakened_factor,
)
from linkwright.route.stock import Stock

_DEPTH = "decarburised_depth_mm"


def drawn_skin(rod: Stock, wire_mm: Any) -> dict[str, Any]:
    """The depth in the drawn wire, as a field of its condition; nothing if it is not known."""
    if _DEPTH not in rod:
        return {}
    depth = drawn_depth(
        decarburised_depth_mm=rod[_DEPTH],
        start_diameter_mm=rod["wire_diameter_mm"],
        final_diameter_mm=wire_mm,
    )
    return {_DEPTH: depth}


def with_weak_skin(factor: Any, chain: Stock | None) -> Any:
    """A factor on the breaking force, less what a skin without carbon does not bear."""
    if chain is None or _DEPTH not in chain:
        return factor
    share = decarburised_strength_share(
        decarburised_depth_mm=chain[_DEPTH], wire_diameter_mm=chain["lot_wire_diameter_mm"]
    )
    return weakened_factor(breaking_force_factor=factor, strength_share=share)
