"""A stud between the legs of a link: elastic columns that the inner skin of a leg may leave.

    Stud          its sizes
    Seat, seat_of its end on a leg, a `Prop` of the octant

The seat of a stud fits the wire, so every bit of its end is taken as a column of its own from leg
to leg. With v the way of the skin across the link (negative where it comes closer), s half the
squeeze with which the stud was set (negative: half its play), L its length and A the projected
area of the seat

    o = s - v,    pressure E max(o, 0) / (L/2),    energy 1/2 E A max(o, 0)^2 / (L/2)

A stud only pushes: where the skin leaves it, nothing is carried. No shear is carried and nothing
tells the stud from its legs along the chain. Squeeze and elastic shortening are small beside L.

Reference: E. Winkler's foundation (1867), one elastic column beside the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_bearing import Bearing, bearing_of
from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_mesh import Mesh, skin_of
from linkwright.quantities import ArgumentError

_ORDER = 8  # points along each edge of a face, so that the round edge of the seat is met well
_MOST_SQUEEZE = 0.05
QUARTERS = 4
"""An octant holds a quarter of the seat on one leg."""


class Stud(NamedTuple):
    """A round stud across the middle of the link."""

    diameter_mm: float
    elastic_modulus_GPa: float = 205.0
    squeeze_mm: float = 0.0
    """By how much the stud was longer than the free width between the legs; negative: play."""


@dataclass(frozen=True)
class Seat:
    """The end of a stud on a quarter of its seat; a `Prop`."""

    bearing: Bearing
    across: Floats
    """Where the points stand across the link at rest, (faces, points), mm."""
    column: Floats
    """Stiffness of the column on every point, N/mm."""
    half_squeeze_mm: float

    @property
    def elements(self) -> Ints:
        """Elements under the seat."""
        return self.bearing.elements

    def forces(self, placed: Floats) -> tuple[Floats, float]:
        """Forces (elements, 20, 3) as residual and energy, N mm."""
        short = np.maximum(self._shortening(placed), 0.0)
        push = np.zeros((*short.shape, 3))
        push[..., 1] = -self.column * short
        return self.bearing.on_nodes(push), float(np.sum(self.column * short**2) / 2)

    def stiffness(self, placed: Floats) -> Floats:
        """(elements, 60, 60)."""
        block = np.zeros((*self.column.shape, 3, 3))
        block[..., 1, 1] = self.column * (self._shortening(placed) >= 0)
        return self.bearing.of_elements(block)

    def force_N(self, placed: Floats) -> float:
        """What the whole stud carries, nodes of the elements at ``placed``."""
        forces, _ = self.forces(placed)
        return float(-QUARTERS * forces[..., 1].sum())

    def _shortening(self, placed: Floats) -> Floats:
        """Of every half column; negative where the skin has left it."""
        made: Floats = self.half_squeeze_mm + self.across - self.bearing.points(placed)[..., 1]
        return made


def seat_of(mesh: Mesh, stud: Stud, inner_width_mm: float) -> Seat:
    """The seat on the inner skin about station 0 of an octant.

    Raises `ArgumentError` for a stud thicker than the leg, a soft one, or one that is longer or
    shorter than the width between the legs by more than a twentieth of it.
    """
    _must_fit(stud, float(np.ptp(mesh.nodes[mesh.layer(0), 1])), inner_width_mm)
    rim = mesh.section.rim
    skin = skin_of(mesh, rim[: (len(rim) - 1) // 2 + 1], 0, mesh.slices)
    every = bearing_of(mesh, skin.faces.reshape(-1, 8), _ORDER)
    at = every.points(mesh.nodes[mesh.elements[every.elements]])
    middle = mesh.nodes[mesh.layer(0)[0], 0]
    under = np.hypot(at[..., 0] - middle, at[..., 2]) <= stud.diameter_mm / 2
    stiff = 1e3 * stud.elastic_modulus_GPa / (inner_width_mm / 2)
    column = stiff * under * np.abs(every.area[..., 1])
    some = np.flatnonzero(under.any(axis=1))
    bearing = Bearing(every.elements[some], every.rows[some], every.value, every.area[some])
    return Seat(bearing, at[some, :, 1], column[some], stud.squeeze_mm / 2)


def _must_fit(stud: Stud, wire_mm: float, inner_width_mm: float) -> None:
    if not 0 < stud.diameter_mm <= wire_mm:
        raise ArgumentError(
            "stud_diameter_mm", stud.diameter_mm, "mm", "above 0, at most the wire diameter"
        )
    if not stud.elastic_modulus_GPa > 0:
        raise ArgumentError("stud_modulus_GPa", stud.elastic_modulus_GPa, "GPa", "above 0")
    most = _MOST_SQUEEZE * inner_width_mm
    if not abs(stud.squeeze_mm) <= most:
        raise ArgumentError(
            "stud_squeeze_mm", stud.squeeze_mm, "mm",
            f"from {-most:.3g} (play) to {most:.3g}, a twentieth of the width between the legs",
        )  # fmt: skip
