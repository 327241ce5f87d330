"""Flat bodies with a hole that closed forms are known for, as meshes and bodies."""

import numpy as np

from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_fields import on_mesh, stress_of
from linkwright.mechanics.solid_newton import Body, Count, Solid, advance, at_rest, first_guess
from linkwright.mechanics.solid_pin import pin_in
from linkwright.mechanics.solid_plasticity import Steel, steel_of
from linkwright.mechanics.solid_plate import PlateShape
from linkwright.mechanics.solid_plate_mesh import PlateCells, PlatePart, Star, part_of, star_mesh
from linkwright.processes.models.plate_contour import link_plate_contour

YOUNG = 206e3
ELASTIC = steel_of(YOUNG, 0.3, 1e6, 1e-3, 0.01)
FINE = PlateCells(14, 48, 4.0)


def plate_16b(hole_mm: float = 8.247, thickness_mm: float = 3.05) -> PlateShape:
    """The outer plate of chain 16B as `standards.roller_parts` derives it."""
    found = link_plate_contour(
        hole_spacing_mm=25.4, plate_height_mm=20.8692, waist_height_mm=15.6519
    )
    return PlateShape(25.4, hole_mm, thickness_mm, *(float(value) for value in found[:3]))


def rectangle_reach(right: float, top: float, left: float):
    """Distance from the origin to a rectangle's edge, and the angles of its corners."""

    def reach(angle: float) -> float:
        along = right if angle < np.pi / 2 else left
        return min(along / max(abs(np.cos(angle)), 1e-12), top / max(np.sin(angle), 1e-12))

    return reach, np.arctan2(top, right), np.pi - np.arctan2(top, left)


def strip(ratio: float, steel: Steel, cells: PlateCells = FINE) -> tuple[Body, PlatePart]:
    """A quarter of a strip of width 2 with a hole of 2 ``ratio`` in its middle, thin."""
    reach, corner, _ = rectangle_reach(3.0, 1.0, 3.0)
    part = part_of(star_mesh(Star(ratio, 0.02, reach, (0.0, corner, np.pi / 2)), cells), 3.0)
    side = 3 * np.flatnonzero(np.abs(part.mesh.nodes[:, 0]) < 1e-9)
    fixed = np.union1d(part.fixed, side)
    return Body.of(part.mesh, steel, fixed, 3 * part.pulled, np.ones(len(part.pulled))), part


def lug(
    ratio: float, head: float, steel: Steel, pin_MPa_per_mm: float, cells: PlateCells = FINE
) -> tuple[Body, PlatePart]:
    """Half a thin lug of width 2 with a neat pin in its hole of 2 ``ratio``.

    Its square end is ``head`` widths before the middle of the hole.
    """
    reach, first, second = rectangle_reach(2 * head, 1.0, 4.0)
    star = Star(ratio, 0.04, reach, (0.0, first, second, np.pi))
    part = part_of(star_mesh(star, cells), -4.0)
    pulled = part.pulled
    body = Body.of(part.mesh, steel, part.fixed, 3 * pulled, -np.ones(len(pulled)))
    return body._replace(prop=pin_in(part.mesh, part.rim, ratio, pin_MPa_per_mm)), part


def ring(inside: float, outside: float, steel: Steel, wide: float, stiff: float) -> Body:
    """Half a ring round a pin that is wider than its bore by ``wide``."""
    star = Star(inside / 2, 0.05 * inside, lambda angle: outside / 2, (0.0, np.pi))
    part = part_of(star_mesh(star, FINE), np.inf)
    body = Body.of(part.mesh, steel, part.fixed, np.zeros(0, dtype=np.intp), np.zeros(0))
    return body._replace(prop=pin_in(part.mesh, part.rim, (inside + wide) / 2, stiff))


def pulled_once(body: Body, pull: float) -> Solid:
    """The state of a small pull from rest."""
    count, start = Count(60), at_rest(body)
    return advance(body, start, pull, count, first_guess(body, start, pull, count))


def at_rim(body: Body, part: PlatePart, state: Solid, tensor: tuple[int, int]) -> Floats:
    """A component of stress at the rim of the hole, in the middle of the thickness."""
    stress = on_mesh(part.mesh, stress_of(body, state)[..., tensor[0], tensor[1]])
    layers = range(part.mesh.slices + 1)
    made: Floats = stress[[part.mesh.layer(k)[part.rim[0]] for k in layers]]
    return made
