"""What the assembly of a roller chain knows of the chain it makes.

- `Strand`: parts, row of the standard, strength, how many; what a plate of it must be, and what
  turns its joints
- `CotteredEnd`: the end of a pin that holds its plate by a cotter
- `PLATE`: sizes of a plate that decide its strength
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linkwright.processes.models.assembled_chain import joint_friction_torque
from linkwright.processes.models.cottered_end import cottered_pin_length
from linkwright.route import Machine, Wanted
from linkwright.standards.cotters import Cotter
from linkwright.standards.roller_chain import ChainStrength, Iso606Chain
from linkwright.standards.roller_parts import RollerParts

PLATE = ("plate_thickness_mm", "plate_height_mm", "waist_height_mm", "hole_diameter_mm")


@dataclass(frozen=True)
class CotteredEnd:
    """A pin's end with its cross hole; the other end of the pin is riveted.

    projection_mm: what stands beyond the plate; hole_from_end_mm: to the middle of the hole.
    """

    cotter: Cotter
    projection_mm: Any
    hole_from_end_mm: Any


@dataclass(frozen=True)
class Strand:
    """One roller chain to be assembled.

    row, strength: what ISO 606 asks. strands, pitches: how many. greatest_pull_kN: pull of the
    chain at the works' safety, by which joints turn. case_depths_mm: by part. cotter: the end of
    its pins, None where both are riveted.
    """

    parts: RollerParts
    row: Iso606Chain
    strength: ChainStrength
    strands: Any
    pitches: Any
    greatest_pull_kN: Any
    case_depths_mm: Mapping[str, Any]
    cotter: CotteredEnd | None = None

    @property
    def pin_length_mm(self) -> Any:
        """Length of a finished pin: riveted at both ends, or longer by a cottered one."""
        pin = self.parts.pin
        if self.cotter is None:
            return pin.pin_length_mm
        return cottered_pin_length(
            riveted_length_mm=pin.pin_length_mm,
            rivet_projection_mm=pin.rivet_projection_mm,
            cotter_projection_mm=self.cotter.projection_mm,
        )

    @property
    def several(self) -> bool:
        """Whether middle plates lie between strands."""
        return float(self.strands) > 1.0

    def case_depth(self, part: str) -> Any:
        """Effective depth of the case wanted on a part."""
        return self.case_depths_mm[part]

    def turning_torque(self, pin_diameter_mm: Any, machine: Machine) -> Any:
        """Torque by which the friction of a joint turns its pressed members at that pull."""
        return joint_friction_torque(
            chain_pull_kN=self.greatest_pull_kN,
            friction=machine.held["joint_friction"],
            pin_diameter_mm=pin_diameter_mm,
            strands=self.strands,
        )

    def plate_wanted(self, side: str, spacing_mm: Any, hole_mm: Any, strength_MPa: Any) -> Wanted:
        """A finished plate of the inner or outer link."""
        plate = self.parts.inner_plate if side == "inner" else self.parts.outer_plate
        return {
            "hole_spacing_mm": spacing_mm,
            "hole_diameter_mm": hole_mm,
            "plate_thickness_mm": plate.plate_thickness_mm,
            "plate_height_mm": plate.plate_height_mm,
            "waist_height_mm": plate.waist_height_mm,
            "tensile_strength_MPa": strength_MPa,
        }
