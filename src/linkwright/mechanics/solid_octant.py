"""Parts of a link as swept meshes: an octant, and a quarter whose legs may differ.

    LinkPart                        the mesh, its planes of symmetry, the skin that may touch
    octant_mesh, quarter_mesh       half of half a leg and half a crown, or all round the crown
    Outline                         sizes of the link, and what a weld changes of them
    Fineness, FINENESS              how many cells

Axes: x along the chain, y across the link, z across its plane. The link lies at negative x in
the plane z = 0 with the inner point of its crown at the origin. The neighbour is the same body
turned half round about the line x = 0, y = z: (x, y, z) -> (-x, z, y). The octant is y >= 0,
z >= 0, from the middle of the leg (station 0) to the crown's apex (last station). The quarter is
z >= 0, from the middle of the welded leg (station 0, y > 0) to that of the sound one (y < 0). Its
second half is the mirror image of the unwelded first, so that without a weld it is two octants.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, Ints, face_shapes
from linkwright.mechanics.solid_mesh import Mesh, Place, Skin, half_disc, skin_of, swept_mesh
from linkwright.quantities import ArgumentError


class Fineness(NamedTuple):
    """Number of cells; about the same length of edge in all directions."""

    core: int
    """Half the cells across the core of the section; the rim has four times as many."""
    rings: int
    corner: int
    """Slices in the outer 60 degrees of a half crown."""
    apex: int
    """Slices in the inner 30 degrees."""
    leg_mm_per_slice: float
    """Greatest length of a slice of the leg, in wire diameters."""


FINENESS: dict[str, Fineness] = {
    "coarse": Fineness(1, 2, 5, 3, 0.5),
    "medium": Fineness(2, 2, 8, 5, 0.35),
    "fine": Fineness(3, 3, 12, 8, 0.25),
    "finest": Fineness(4, 4, 16, 10, 0.2),
}


def fineness_named(fineness: str | Fineness) -> Fineness:
    """A fineness by its name, or itself. Raises `ArgumentError` for another name."""
    if not isinstance(fineness, str):
        return fineness
    if fineness not in FINENESS:
        raise ArgumentError("fineness", fineness, "", "one of " + ", ".join(FINENESS))
    return FINENESS[fineness]


class Outline(NamedTuple):
    """Sizes of the link in mm."""

    wire_mm: float
    pitch_mm: float
    outer_width_mm: float
    crown_radius_mm: float
    """Mean radius of the middle 60 degrees of the crown."""
    bulge: float = 0.0
    """Growth of the radius at the middle of the leg, as a share; below 0 an all-round undercut."""
    bulge_length_mm: float = 1.0
    """Distance from the middle of the leg at which bulge and undercut have died out."""
    undercut: float = 0.0
    """Depth of a one-sided undercut at the middle of the leg over the radius."""
    undercut_side: float = 1.0
    """1 on the outside of the link, -1 on its inside."""

    @property
    def arcs(self) -> Floats:
        """Mean radii of corner and apex."""
        return np.array([self.outer_width_mm - self.wire_mm - self.crown_radius_mm,
                         self.crown_radius_mm])  # fmt: skip

    @property
    def lengths(self) -> Floats:
        """Lengths of the centre line: half leg, corner, apex."""
        corner, apex = self.arcs
        height = apex * (1 - np.cos(np.pi / 6)) + corner * np.cos(np.pi / 6)
        leg = (self.pitch_mm + self.wire_mm) / 2 - height
        return np.array([leg, corner * np.pi / 3, apex * np.pi / 6])


class LinkPart(NamedTuple):
    """Mesh of a part of a link with what its supports need."""

    mesh: Mesh
    skin: Skin
    """The inside of the crown; rows run from greater to smaller stations, columns from inside
    outward."""
    pulled: Ints
    """Nodes of the middles of the legs."""
    fixed: Ints
    """Degrees of freedom (3 node + axis) that symmetry holds, those of ``pulled`` left out."""
    stations: Floats
    """Of the layers, mm along the centre line from the middle of the first leg."""

    @property
    def along_mm(self) -> Floats:
        """Distance of the integration points from the middle of the first leg, (elements, 8)."""
        share = np.tile((1 + np.array([-1.0, 1.0]) / np.sqrt(3.0)) / 2, 4)
        slices = self.stations[:-1, None] + np.diff(self.stations)[:, None] * share
        made: Floats = np.repeat(slices, len(self.mesh.section.cells), axis=0)
        return made

    @property
    def depth_share(self) -> Floats:
        """Depth of the integration points below the surface over the radius, (elements, 8)."""
        place = np.array([-1.0, 1.0]) / np.sqrt(3.0)
        grid = np.stack(np.meshgrid(place, place, indexing="ij"), axis=-1).reshape(-1, 2)
        section = self.mesh.section
        points = face_shapes(grid)[0] @ section.points[section.cells]
        deep = 1.0 - np.hypot(points[..., 0], points[..., 1])
        # two points one behind the other along the wire
        return np.tile(np.repeat(deep, 2, axis=1), (self.mesh.slices, 1))


def octant_mesh(outline: Outline, fineness: Fineness) -> LinkPart:
    """The mesh of an octant; see the module for axes."""
    stations = _stations(outline, fineness)
    mesh = swept_mesh(half_disc(fineness.core, fineness.rings), stations, _place(outline))
    apex = 3 * mesh.layer(-1) + 1
    return _part(mesh, mesh.layer(0), apex, stations)


def quarter_mesh(outline: Outline, fineness: Fineness) -> LinkPart:
    """The mesh of a quarter; see the module for axes."""
    half = _stations(outline, fineness)
    stations = np.concatenate([half, 2 * half[-1] - half[-2::-1]])
    first = _place(outline)
    second = _place(outline._replace(bulge=0.0, undercut=0.0))

    def place(station: Floats, outward: Floats, up: Floats) -> Floats:
        if station[0] <= half[-1]:
            return first(station, outward, up)
        return second(2 * half[-1] - station, outward, up) * [1.0, -1.0, 1.0]

    mesh = swept_mesh(half_disc(fineness.core, fineness.rings), stations, place)
    legs = np.concatenate([mesh.layer(0), mesh.layer(-1)])
    return _part(mesh, legs, np.zeros(0, dtype=np.intp), stations)


def _part(mesh: Mesh, pulled: Ints, fixed: Ints, stations: Floats) -> LinkPart:
    # a neighbour touches the inner half of the wire, all along crown and leg; the skin goes on to
    # 135 degrees, so that no ray near the side of the wire misses it
    rim = mesh.section.rim
    skin = skin_of(mesh, rim[: 3 * (len(rim) - 1) // 4 + 1], mesh.slices, 0)
    flat = np.flatnonzero(np.abs(mesh.nodes[:, 2]) < 1e-9 * stations[-1])
    return LinkPart(mesh, skin, pulled, np.union1d(3 * flat + 2, fixed), stations)


def _stations(outline: Outline, fineness: Fineness) -> Floats:
    """Layers from the middle of a leg to the apex."""
    lengths = outline.lengths
    leg = max(1, int(np.ceil(lengths[0] / (fineness.leg_mm_per_slice * outline.wire_mm))))
    ends = np.concatenate([[0.0], np.cumsum(lengths)])
    counts = (leg, fineness.corner, fineness.apex)
    pieces = [
        np.linspace(start, end, count + 1)[:-1]
        for start, end, count in zip(ends[:-1], ends[1:], counts, strict=True)
    ]
    return np.concatenate([*pieces, ends[-1:]])


def _place(outline: Outline) -> Place:
    radius = outline.wire_mm / 2
    corner, apex = outline.arcs
    leg, long_corner, _ = outline.lengths
    half_width = (outline.outer_width_mm - outline.wire_mm) / 2
    half_pitch = outline.pitch_mm / 2

    def place(station: Floats, outward: Floats, up: Floats) -> Floats:
        turned = np.clip((station - leg) / corner, 0.0, np.pi / 3)
        further = np.maximum(station - leg - long_corner, 0.0) / apex
        angle = turned + further
        x = np.minimum(station, leg) + corner * np.sin(turned)
        y = half_width - corner * (1 - np.cos(turned))
        x = x + apex * (np.sin(angle) - np.sin(turned))
        y = y - apex * (np.cos(turned) - np.cos(angle))
        near = np.clip(station / outline.bulge_length_mm, 0.0, 1.0)
        bell = (1 + np.cos(np.pi * near)) / 2
        # deepest on one side of the wire, nothing on the other
        towards = (1 + outline.undercut_side * outward) / 2
        size = radius * (1 + bell * (outline.bulge - outline.undercut * towards))
        return np.stack(
            [
                x + size * outward * np.sin(angle) - half_pitch,
                y + size * outward * np.cos(angle),
                size * up,
            ],
            axis=1,
        )

    return place
