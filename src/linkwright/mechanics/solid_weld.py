"""What a weld changes of a link: bulge, undercut, a zone of other strength, on one leg or both.

Offers `Weld`.

The middle of a leg is a plane of symmetry, so the weld sits there: one beside it cannot be given.
A zone has flanks that fall over a fifth of its length, so that its effect does not hang on where
the layers of the mesh lie.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_octant import Outline
from linkwright.quantities import ArgumentError

_MOST = 0.3
_FLANK = 0.2

Along = Callable[[Floats], Floats]
"""Strength over that of the link, at distances (mm) along the wire from the middle of the leg."""


@dataclass(frozen=True)
class Weld:
    """The weld of a link; as it stands, one that nothing tells from the wire."""

    one_leg: bool = True
    """Whether the other leg is sound; else both are alike, which is solved in half the unknowns."""
    bulge: float = 0.0
    """Growth of the radius, a share; below 0 an undercut all round."""
    bulge_length_mm: float | None = None
    """Distance at which bulge and undercut have died out; half a wire diameter if left out."""
    undercut: float = 0.0
    """Depth of a one-sided undercut over the radius."""
    undercut_inside: bool = False
    """Whether it faces the other leg."""
    zone_strength: float = 1.0
    """Strength in the weld's zone over that of the link."""
    zone_length_mm: float | None = None
    """Length of the zone along the wire; one wire diameter if left out."""
    strength_along: Along | None = None
    """In place of a zone: strength from a measured or computed hardness along the wire."""

    def checked(self) -> Weld:
        """Itself; raises `ArgumentError` for what is no weld."""
        for name, low in (("bulge", -_MOST), ("undercut", 0.0)):
            value = getattr(self, name)
            if not low <= value <= _MOST:
                raise ArgumentError(f"weld_{name}", value, "", f"from {low:g} to {_MOST:g}")
        if not 0.2 <= self.zone_strength <= 2:
            raise ArgumentError("weld_zone_strength", self.zone_strength, "", "from 0.2 to 2")
        for name in ("bulge_length_mm", "zone_length_mm"):
            value = getattr(self, name)
            if value is not None and not value > 0:
                raise ArgumentError(f"weld_{name}", value, "mm", "more than 0")
        return self

    @property
    def differs(self) -> bool:
        """Whether anything tells the weld from the wire."""
        shaped = self.bulge != 0 or self.undercut != 0
        return shaped or self.zone_strength != 1 or self.strength_along is not None

    def on(self, outline: Outline) -> Outline:
        """The outline with this weld's bulge and undercut."""
        length = outline.wire_mm / 2 if self.bulge_length_mm is None else self.bulge_length_mm
        side = -1.0 if self.undercut_inside else 1.0
        return outline._replace(
            bulge=self.bulge, bulge_length_mm=length, undercut=self.undercut, undercut_side=side
        )

    def strength(self, along_mm: Floats, wire_mm: float) -> Floats:
        """Strength over that of the link at distances from the middle of the leg."""
        if self.strength_along is not None:
            made = np.asarray(self.strength_along(along_mm), dtype=float)
            return np.broadcast_to(made, along_mm.shape)
        length = wire_mm if self.zone_length_mm is None else self.zone_length_mm
        half, flank = length / 2, _FLANK * length
        inside = np.clip((half + flank / 2 - np.abs(along_mm)) / flank, 0.0, 1.0)
        return np.asarray(1 + (self.zone_strength - 1) * inside)


SOUND = Weld(one_leg=False)
"""A link that is the same all along its wire."""
