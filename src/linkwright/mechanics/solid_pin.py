"""A round pin in a hole along z: elastic by Lamé or as good as rigid, loose, neat or pressed in.

    Pin, pin_in     a `Prop` that bears on the skin of a hole round the origin
    pin_stiffness   pressure over radial displacement of a solid or hollow pin

The surface of the pin is a circle of radius R about the origin. A point of the hole at the
distance rho has the gap rho - R; a negative one is pressed out by the pressure k (R - rho), energy
1/2 k A (rho - R)^2 at every tested point. No friction. k is that of a ring under even pressure
(Lamé, plane stress, bore i, diameter d = 2 R):

    k = E/(R ((d^2 + i^2)/(d^2 - i^2) - nu))

so that a press fit has the pressure of two elastic members. Under a pull the same k serves point
by point; the pin does not bend.

References: S. P. Timoshenko and J. N. Goodier, Theory of Elasticity, 3rd edition, 1970, art. 28
(thick cylinder); penalty contact as in `solid_eye`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linkwright.mechanics.solid_bearing import Bearing, bearing_of
from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_mesh import Mesh, skin_of

_ORDER = 3
_RIGID = 20.0
"""Stiffness of a rigid pin over that of a solid one of steel."""


def pin_stiffness(
    radius_mm: float, bore_mm: float, elastic_MPa: float, poisson: float = 0.3
) -> float:
    """Pressure (MPa) for a radial displacement of 1 mm."""
    hollow = (bore_mm / (2 * radius_mm)) ** 2
    return elastic_MPa / (radius_mm * ((1 + hollow) / (1 - hollow) - poisson))


def rigid_pin_stiffness(radius_mm: float, elastic_MPa: float) -> float:
    """That of a pin which gives way by a twentieth of what a steel one would."""
    return _RIGID * pin_stiffness(radius_mm, 0.0, elastic_MPa)


@dataclass(frozen=True)
class Pin:
    """The pin; a `Prop` of the body."""

    bearing: Bearing
    area: Floats
    """(faces, points)."""
    stiffness_MPa_per_mm: float
    radius_mm: float

    @property
    def elements(self) -> Ints:
        """Elements at the hole."""
        return self.bearing.elements

    def grown(self, radius_mm: float) -> Pin:
        """The same pin with another radius."""
        return replace(self, radius_mm=radius_mm)

    def forces(self, placed: Floats) -> tuple[Floats, float]:
        """Forces (faces, 20, 3) as residual and energy, N mm."""
        gap, outward, _ = self._met(placed)
        push = self.stiffness_MPa_per_mm * self.area * np.minimum(gap, 0.0)
        return self.bearing.on_nodes(push[..., None] * outward), float(np.sum(push * gap) / 2)

    def stiffness(self, placed: Floats) -> Floats:
        """(faces, 60, 60)."""
        gap, outward, rho = self._met(placed)
        weight = self.stiffness_MPa_per_mm * self.area * (gap < 0)
        around = np.stack([-outward[..., 1], outward[..., 0], outward[..., 2]], axis=-1)
        block = outward[..., :, None] * outward[..., None, :]
        block = block + (gap / rho)[..., None, None] * around[..., :, None] * around[..., None, :]
        return self.bearing.of_elements(weight[..., None, None] * block)

    def pressure(self, placed: Floats) -> tuple[Floats, Floats]:
        """Angles and pressures of all tested points, nodes at ``placed`` (faces, 20, 3)."""
        gap, outward, _ = self._met(placed)
        angle = np.arctan2(outward[..., 1], outward[..., 0])
        return angle.ravel(), (self.stiffness_MPa_per_mm * np.maximum(-gap, 0.0)).ravel()

    def _met(self, placed: Floats) -> tuple[Floats, Floats, Floats]:
        at = self.bearing.points(placed)
        rho = np.hypot(at[..., 0], at[..., 1])
        outward = np.stack([at[..., 0] / rho, at[..., 1] / rho, np.zeros_like(rho)], axis=-1)
        return rho - self.radius_mm, outward, rho


def pin_in(mesh: Mesh, rim: Ints, radius_mm: float, stiffness_MPa_per_mm: float) -> Pin:
    """The pin in the hole of a swept mesh whose section meets the hole in the nodes ``rim``."""
    faces = skin_of(mesh, rim, 0, mesh.slices).faces.reshape(-1, 8)
    bearing = bearing_of(mesh, faces, _ORDER)
    area = np.linalg.norm(bearing.area, axis=-1)
    return Pin(bearing, area, stiffness_MPa_per_mm, radius_mm)
