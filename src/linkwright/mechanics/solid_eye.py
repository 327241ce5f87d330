"""An open eye of jack chain by finite elements, pulled open by its neighbour.

    Eye                 its sizes
    EyePull, pull_eye   force over the opening of the gap, until the neighbour can leave

The eye is an arc of one radius, clamped where its neck runs into it and free at its other end;
half of the wire, cut by the plane of the eye, is swept from neck to end. The neighbour's eye
stands at right angles and is taken as a rigid ring of the same wire (a torus) on the line of the
neck; a thin wire is symmetric between its root and where it is pulled, so that the pull stays on
that line of its own (docs/models/jack.md). The neck is drawn away from the ring. Penalty contact
without friction; large displacement; J2 plasticity.

The distance of a point P from the ring of mean radius R with its middle at (c, 0, 0), axis
across: D = sqrt((rho - R)^2 + P_y^2) - d/2, rho^2 = (P_x - c)^2 + P_z^2; energy
1/2 k A min(D, 0)^2 at every tested point.

Left out: residual stress of forming and its direction (Bauschinger), the bend into the neck (its
root is held fast), friction, the neighbour's own yielding.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.solid_bearing import Bearing, bearing_of
from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_mesh import Mesh, half_disc, skin_of, swept_mesh
from linkwright.mechanics.solid_model import single, steel_of_curve
from linkwright.mechanics.solid_newton import Body, Count, Solid, at_rest
from linkwright.mechanics.solid_octant import Fineness, fineness_named
from linkwright.mechanics.solid_path import Path, follow
from linkwright.quantities import ArgumentError, LinkwrightError

_PENALTY, _ORDER = 1500.0, 3
_FIRST, _LONGEST, _MOST = 0.002, 0.02, 3.0
"""First and longest step and farthest pull, in wire diameters."""
_FALLEN = 0.2


class Eye(NamedTuple):
    """An open eye; the gap is the free way from the end of the wire to the neck."""

    wire_diameter_mm: float
    mean_diameter_mm: float
    gap_mm: float

    @property
    def arc_rad(self) -> float:
        """Angle of the wire from the neck round to its end."""
        across = (self.gap_mm + self.wire_diameter_mm / 2) / self.mean_diameter_mm
        return float(2 * np.pi - 2 * np.arcsin(across))


class EyeReading(NamedTuple):
    """A state of the pull."""

    force_N: float
    pull_mm: float
    """Way of the neighbour from first touch."""
    gap_mm: float
    """Free way past the end of the wire."""
    greatest_strain: float


class EyeNotOpened(LinkwrightError):
    """An eye that could not be followed until it let go."""

    code = "not-solved"
    exit_code = 1


@dataclass(frozen=True)
class EyePull:
    """An eye pulled open."""

    readings: list[EyeReading] = field(repr=False)
    opening_force_N: float
    """Greatest force on the way; under it the eye goes on opening until the neighbour leaves."""
    opened: bool
    """Whether the neighbour could leave."""
    ended: str
    factorisations: int
    eye: Eye
    mesh: Mesh = field(repr=False)
    last: Solid = field(repr=False)

    def force_at_gap(self, gap_mm: Floats | float) -> Floats:
        """Force at gaps, linear between readings; nan outside."""
        gaps = np.array([reading.gap_mm for reading in self.readings])
        force = np.array([reading.force_N for reading in self.readings])
        return np.asarray(np.interp(gap_mm, gaps, force, left=np.nan, right=np.nan))


@dataclass(frozen=True)
class Ring:
    """The neighbour as a rigid ring; a `Prop` of the body."""

    bearing: Bearing
    area: Floats
    """(faces, points)."""
    penalty: float
    radius_mm: float
    centre_mm: float
    half_wire_mm: float

    @property
    def elements(self) -> Ints:
        """Elements whose skin may come to bear."""
        return self.bearing.elements

    def forces(self, placed: Floats) -> tuple[Floats, float]:
        """Forces (faces, 20, 3) as residual and energy, N mm."""
        gap, normal, _ = self._met(placed)
        push = self.penalty * self.area * np.minimum(gap, 0.0)
        return self.bearing.on_nodes(push[..., None] * normal), float(np.sum(push * gap) / 2)

    def stiffness(self, placed: Floats) -> Floats:
        """(faces, 60, 60)."""
        gap, normal, bend = self._met(placed)
        weight = self.penalty * self.area * (gap < 0)
        block = normal[..., :, None] * normal[..., None, :] + gap[..., None, None] * bend
        return self.bearing.of_elements(weight[..., None, None] * block)

    def _met(self, placed: Floats) -> tuple[Floats, Floats, Floats]:
        """Distance, its gradient and its second derivative at all points."""
        at = self.bearing.points(placed)
        along = at[..., 0] - self.centre_mm
        rho = np.hypot(along, at[..., 2])
        a = rho - self.radius_mm
        b = at[..., 1]
        q = np.maximum(np.hypot(a, b), 1e-12)
        none = np.zeros_like(rho)
        outward = np.stack([along / rho, none, at[..., 2] / rho], axis=-1)
        across = np.stack([none, none + 1, none], axis=-1)
        around = np.stack([-at[..., 2] / rho, none, along / rho], axis=-1)
        normal = (a[..., None] * outward + b[..., None] * across) / q[..., None]
        dyads = [v[..., :, None] * v[..., None, :] for v in (outward, across, normal, around)]
        bend = (dyads[0] + dyads[1] - dyads[2]) / q[..., None, None]
        bend += (a / (q * rho))[..., None, None] * dyads[3]
        return q - self.half_wire_mm, normal, bend


def pull_eye(
    eye: Eye, curve: SwiftCurve, *, fineness: str = "medium", factorisations: int = 200
) -> EyePull:
    """Pull an eye open until its gap has grown to the wire diameter, by displacement.

    Raises `ArgumentError` for sizes that make no eye, `EyeNotOpened` if no loaded state was
    found; a pull that ends earlier says so in ``opened`` and ``ended``.
    """
    cells = fineness_named(fineness)
    _must_be_an_eye(eye)
    body, mesh, ends = _model(eye, curve, cells)
    wire, count = eye.wire_diameter_mm, Count(factorisations)

    def enough(path: Path) -> bool:
        return _gap(path.last, ends, wire) >= wire or _fell(path)

    path = follow(
        body, at_rest(body), _MOST * wire, count,
        first=_FIRST * wire, longest=_LONGEST * wire, enough=enough,
    )  # fmt: skip
    if len(path.states) < 3:
        raise EyeNotOpened(f"the eye found no loaded state: {path.ended}")
    readings = [
        EyeReading(2 * state.force, state.pull, _gap(state, ends, wire),
                   float(state.metal.plastic_strain.max()))
        for state in path.states
    ]  # fmt: skip
    opened = readings[-1].gap_mm >= wire
    force = np.array([reading.force_N for reading in readings])
    return EyePull(
        readings=readings,
        opening_force_N=float(force.max()),
        opened=opened,
        ended="the neighbour can leave" if opened else path.ended,
        factorisations=count.done,
        eye=eye,
        mesh=mesh,
        last=path.last,
    )


def _must_be_an_eye(eye: Eye) -> None:
    if not eye.wire_diameter_mm > 0:
        raise ArgumentError("wire_diameter_mm", eye.wire_diameter_mm, "mm", "above 0")
    if not 2.0 * eye.wire_diameter_mm < eye.mean_diameter_mm <= 8.0 * eye.wire_diameter_mm:
        raise ArgumentError(
            "eye_mean_diameter_mm", eye.mean_diameter_mm, "mm",
            "above 2 and up to 8 wire diameters, so that a neighbour fits",
        )  # fmt: skip
    if not 0 <= eye.gap_mm < eye.wire_diameter_mm:
        raise ArgumentError("gap_mm", eye.gap_mm, "mm", "from 0, less than the wire diameter")


def _model(eye: Eye, curve: SwiftCurve, cells: Fineness) -> tuple[Body, Mesh, Ints]:
    """The body, its mesh, and the nodes in the middle of neck and end."""
    radius, half = eye.mean_diameter_mm / 2, eye.wire_diameter_mm / 2
    slices = max(8, round(eye.arc_rad * radius / (cells.leg_mm_per_slice * half * 1.4)))
    section = half_disc(cells.core, cells.rings)

    def place(station: Floats, outward: Floats, up: Floats) -> Floats:
        r = radius + half * outward
        return np.stack([r * np.cos(station), -r * np.sin(station), half * up], axis=1)

    mesh = swept_mesh(section, np.linspace(0.0, eye.arc_rad, slices + 1), place)
    strength = single("tensile_strength_MPa", curve.tensile_strength_MPa)
    neck = mesh.layer(0)
    flat = np.flatnonzero(np.abs(mesh.nodes[:, 2]) < 1e-9 * half)
    fixed = np.unique(np.concatenate([3 * flat + 2, 3 * neck + 1, 3 * neck + 2]))
    body = Body.of(mesh, steel_of_curve(curve), fixed, 3 * neck, np.ones(len(neck)))
    ring = _ring(mesh, eye, _PENALTY * strength / eye.wire_diameter_mm)
    centre = int(np.argmin(np.square(section.points).sum(axis=1)))
    return body._replace(prop=ring), mesh, np.array([neck[centre], mesh.layer(-1)[centre]])


def _ring(mesh: Mesh, eye: Eye, penalty: float) -> Ring:
    """The neighbour inside the eye, opposite to the neck, just touching."""
    radius, wire = eye.mean_diameter_mm / 2, eye.wire_diameter_mm
    rim = mesh.section.rim
    skin = skin_of(mesh, rim[: 3 * (len(rim) - 1) // 4 + 1], 0, mesh.slices)
    faces = skin.faces.reshape(-1, 8)
    # all that may come to bear: not the root, not the last bit of the free end
    along = np.arctan2(-mesh.nodes[faces[:, 0], 1], mesh.nodes[faces[:, 0], 0]) % (2 * np.pi)
    faces = faces[(along > np.pi / 3) & (along < 1.6 * np.pi)]
    bearing = bearing_of(mesh, faces, _ORDER)
    area = np.linalg.norm(bearing.area, axis=-1)
    return Ring(bearing, area, penalty, radius, wire - 2 * radius, wire / 2)


def _gap(state: Solid, ends: Ints, wire: float) -> float:
    """Free way from the middle of the end to the surface of the neck."""
    neck, end = state.placed[ends]
    return float(np.linalg.norm(end - neck) - wire / 2)


def _fell(path: Path) -> bool:
    greatest = max(state.force for state in path.states)
    return path.last.spent > 0 and path.last.force < (1 - _FALLEN) * greatest
