"""What breaks a strand: its plates and pins as they came together."""

from __future__ import annotations

from typing import Any

from linkwright.processes.models.assembled_chain import ChainBreaking, chain_breaking_force
from linkwright.processes.models.plate_response import plate_response
from linkwright.processes.models.roller_joint import pin_shear_force
from linkwright.processes.strand import PLATE
from linkwright.route.stock import Stock


def strand_strength(chain: Stock, strands: Any) -> ChainBreaking:
    """Breaking force by inner plates, outer plates and pins, of all strands."""
    plates = {
        side: plate_response(
            hole_spacing_mm=chain["hole_spacing_mm"],
            **{name: chain[f"{side}_{name}"] for name in PLATE},
            tensile_strength_MPa=chain[f"{side}_tensile_strength_MPa"],
        ).plate_breaking_force_kN
        for side in ("inner", "outer")
    }
    pins = pin_shear_force(
        pin_diameter_mm=chain["pin_diameter_mm"],
        pin_tensile_strength_MPa=chain["pin_tensile_strength_MPa"],
        strands=strands,
    )
    return chain_breaking_force(
        inner_plate_force_kN=plates["inner"],
        outer_plate_force_kN=plates["outer"],
        pin_force_kN=pins,
        strands=strands,
    )
