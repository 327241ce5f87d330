"""Geometry and state of a quarter of an oval link, as arrays over members.

    Shape, shape_of     the undeformed quarter as a polygon of stations
    Link, link_of       what stays while a link is pulled
    State, start        what changes; the unloaded link
    some_of, some_of_link, placed, stacked   some members out of an ensemble, and back into it

Sizes are in wire diameters, stresses in units of the strength coefficient K of the curve,
forces in units of K d^2. Node 0 is the middle of the leg, the last node the crown's apex.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.mechanics.cased_section import CasedFibres
from linkwright.mechanics.link_contact import Bearing, fresh_bearing
from linkwright.mechanics.section import (
    Bar,
    Fibres,
    FibreState,
    Floats,
    averaging,
    fresh_state,
    round_fibres,
)

Bools = NDArray[np.bool_]
Rows = NDArray[np.intp]

LEG, CORNER, APEX = 2, 6, 3
"""Beams in half a leg, in the outer 60 degrees and the inner 30 degrees of half a crown."""
FIBRES = 9
POINTS = np.polynomial.legendre.leggauss(3)
"""Places and weights of the points of a crown's beam that bear on the neighbour."""
_NECK = 0.25  # the stretch that thins a section is averaged over this spread, in diameters


class Shape(NamedTuple):
    """The undeformed quarter, arrays of shape (members, nodes) or (members, beams)."""

    across: Floats
    along: Floats
    length: Floats
    chord: Floats
    curvature: Floats
    direction: Floats


class Link(NamedTuple):
    """What stays the same while the links are pulled."""

    shape: Shape
    bar: Bar
    friction: Floats


class State(NamedTuple):
    """The links after an accepted step."""

    moved: Floats
    """Displacement across, along, and rotation: (members, nodes, 3)."""
    pin: Floats
    """Motion of the neighbour's wire along the chain."""
    fibres: FibreState
    bearing: Bearing
    force: Floats
    well: Bools
    last_move: Floats
    last_pin: Floats
    strain: Floats
    bend: Floats

    @property
    def extension(self) -> Floats:
        """Growth of the pitch in diameters."""
        return self.pin + self.moved[:, -1, 1]


def shape_of(pitch: Floats, width: Floats, crown_radius: Floats) -> Shape:
    """Quarter of a link; all arguments over the wire diameter, shape (members,).

    ``crown_radius`` is the mean radius of the middle 60 degrees of the crown; for a
    semicircular crown it equals (width - 1)/2. The outer 60 degrees on either side have the
    radius that makes leg and crown tangent, 2 R - crown_radius with R = (width - 1)/2.
    """
    half = (width - 1) / 2
    corner = 2 * half - crown_radius
    height = crown_radius * (1 - np.cos(np.pi / 6)) + corner * np.cos(np.pi / 6)
    leg = (pitch + 1) / 2 - height

    def spread(values: list[Floats]) -> Floats:
        counts = (LEG, CORNER, APEX)
        columns = [
            np.repeat(v[:, None], count, axis=1) for v, count in zip(values, counts, strict=True)
        ]
        return np.concatenate(columns, axis=1)

    length = spread([leg / LEG, corner * (np.pi / 3) / CORNER, crown_radius * (np.pi / 6) / APEX])
    curvature = spread([np.zeros_like(leg), 1 / corner, 1 / crown_radius])
    turned = np.cumsum(curvature * length, axis=1)
    middle = turned - curvature * length / 2
    chord = length * np.sinc(curvature * length / (2 * np.pi))
    first = np.zeros_like(half)[:, None]
    across = half[:, None] - np.cumsum(np.hstack([first, chord * np.sin(middle)]), axis=1)
    along = np.cumsum(np.hstack([first, chord * np.cos(middle)]), axis=1)
    return Shape(across, along, length, chord, curvature, np.pi / 2 + middle)


def link_of(
    shape: Shape,
    elastic: Floats,
    prestrain: Floats,
    exponent: Floats,
    friction: Floats,
    case: CasedFibres | None = None,
) -> Link:
    """The link made of a shape and a material, each of shape (members,); perhaps with a case."""
    fibres = round_fibres(FIBRES) if case is None else case.fibres
    bar = Bar(
        fibres=fibres,
        curvature=shape.curvature,
        elastic=elastic[:, None],
        prestrain=prestrain[:, None],
        exponent=exponent[:, None],
        smoothing=averaging(shape.length, _NECK),
        shift=1 + fibres.height * shape.curvature,
        strength=None if case is None else case.strength,
        crack_strain=None if case is None else case.crack_strain,
    )
    return Link(shape, bar, friction)


def start(link: Link) -> State:
    """The unloaded link, its neighbour just touching."""
    members, nodes = link.shape.across.shape
    zero = np.zeros(members)
    crown_radius = 1 / link.shape.curvature[:, -1]
    still = np.zeros((members, nodes, 3))
    return State(
        moved=still,
        pin=zero,
        fibres=fresh_state(link.bar),
        bearing=fresh_bearing(2 - 1 / (crown_radius - 0.5), (CORNER + APEX) * len(POINTS[0])),
        force=zero,
        well=np.ones(members, dtype=bool),
        last_move=still,
        last_pin=zero,
        strain=np.zeros_like(link.bar.curvature),
        bend=np.zeros_like(link.bar.curvature),
    )


_PLAIN = tuple(name for name in State._fields if name not in ("fibres", "bearing"))


def some_of(state: State, rows: Rows) -> State:
    """The state of some of the members."""
    fibres = FibreState(*(v[:, rows] if v.ndim == 3 else v[rows] for v in state.fibres))
    bearing = Bearing(*(v[rows] for v in state.bearing))
    rest = {name: getattr(state, name)[rows] for name in _PLAIN}
    return State(fibres=fibres, bearing=bearing, **rest)


def some_of_link(link: Link, rows: Rows) -> Link:
    """Some of the members of a link."""
    bar = link.bar
    plain = {
        name: getattr(bar, name)[rows]
        for name in ("curvature", "elastic", "prestrain", "exponent", "smoothing")
    }
    if bar.strength is not None and bar.crack_strain is not None:
        fibres = Fibres(*(v[:, rows] for v in bar.fibres))
        bar = bar._replace(
            fibres=fibres,
            strength=bar.strength[:, rows],
            crack_strain=bar.crack_strain[:, rows],
        )
    return Link(
        Shape(*(v[rows] for v in link.shape)),
        bar._replace(shift=bar.shift[:, rows], **plain),
        link.friction[rows],
    )


def placed(state: State, part: State, rows: Rows) -> State:
    """The state with some of its members replaced by those of ``part``."""

    def put(whole: Any, some: Any, axis: int = 0) -> Any:
        made = whole.copy()
        made[(slice(None),) * axis + (rows,)] = some
        return made

    fibres = FibreState(
        *(put(v, p, int(v.ndim == 3)) for v, p in zip(state.fibres, part.fibres, strict=True))
    )
    bearing = Bearing(*(put(v, p) for v, p in zip(state.bearing, part.bearing, strict=True)))
    rest = {name: put(getattr(state, name), getattr(part, name)) for name in _PLAIN}
    return State(fibres=fibres, bearing=bearing, **rest)


def stacked(states: list[State]) -> State:
    """Several states of one ensemble as one state of many members, state by state."""

    def join(parts: list[Any], axis: int = 0) -> Any:
        return np.concatenate(parts, axis=axis)

    fibres = FibreState(
        *(
            join(list(parts), int(parts[0].ndim == 3))
            for parts in zip(*(state.fibres for state in states), strict=True)
        )
    )
    bearing = Bearing(
        *(join(list(parts)) for parts in zip(*(state.bearing for state in states), strict=True))
    )
    rest = {name: join([getattr(state, name) for state in states]) for name in _PLAIN}
    return State(fibres=fibres, bearing=bearing, **rest)
