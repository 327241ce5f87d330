"""How the wire of the neighbouring link bears in the crown of a link.

Two equal links cross at right angles. In either principal plane the wire (radius d/2) lies
in a crown (inner radius R - d/2), so the undeformed gap is the same in both directions and
the patch is round. Sizes in wire diameters, stresses in units of the strength coefficient K.

    bearing_pressure    mean pressure of an indented patch from its sharpness (Johnson)
    BearingLaw, law     what a patch of the present size can carry
    Bearing             what the contact remembers: deepest indentation and its load
    line_load           load per length of centre line from the indentation at each node
    loaded              the memory after an accepted step

Model: at a place where the wires overlap by w, the patch is 2 y wide with y = a sqrt(w/w0),
a the half width and w0 the overlap at the apex (the patch reaches as far across as along,
because the links are equal). Its pressure is parabolic across and grows elastically with a
modulus matched to Hertz for the whole patch, limited by the bearing pressure; both act in
series. y is held to the wire's radius. Unloading returns the elastic part only.

References: H. Hertz in K. L. Johnson, Contact Mechanics, 1985, eq. 4.22 to 4.24; expanding
cavity model of indentation, the same, section 6.3 (formula from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_ONSET = 1.1  # mean pressure over yield stress at first yield below a round contact
_FULL = 3.0  # and when the plastic zone has reached the surface everywhere
_REPRESENTATIVE = 0.2  # strain of an indentation over its slope a/R (Tabor)
_POISSON = 0.3
_WIDEST = 0.5  # half width of a patch at most the radius of the wire
_LEAST_HALF_WIDTH = 0.03
_CONFORMAL = 0.05  # least relative curvature times diameter that is told apart from zero


class BearingLaw(NamedTuple):
    """What a contact patch of the present size can carry, each of shape (members, 1)."""

    pressure: Floats
    overlap: Floats
    """Overlap at which the elastic pressure alone would reach the bearing pressure."""
    curvature: Floats
    """Relative curvature times diameter."""


class Bearing(NamedTuple):
    """What the contact remembers."""

    half_width: Floats
    """Half width of the patch, (members,)."""
    curvature: Floats
    """Relative curvature of the patch, (members,)."""
    overlap: Floats
    """Greatest overlap so far, (members, nodes)."""
    load: Floats
    """Load per length at that overlap."""
    elastic: Floats
    """Elastic part of that overlap."""


def fresh_bearing(relative_curvature: Floats, nodes: int) -> Bearing:
    """The contact before any load: a point."""
    zero = np.zeros((len(relative_curvature), nodes))
    return Bearing(
        np.full_like(relative_curvature, 0.1), relative_curvature, zero, zero, zero + 1e-9
    )


def bearing_pressure(sharpness: Floats) -> Floats:
    """Mean pressure of an indentation over the yield stress.

    ``sharpness`` = E* a / (Y R), with 1/E* = 2 (1 - nu^2)/E for two equal bodies, half width
    a, relative radius R, yield stress Y at the representative strain. Formula
    p/Y = (2/3) (2 + ln(sharpness/3)), held between 1.1 (first yield) and 3 (fully plastic).

    References: K. L. Johnson, Contact Mechanics, 1985, section 6.3 (formula from memory).
    """
    cavity = (2 / 3) * (2 + np.log(np.maximum(sharpness, 1e-9) / 3))
    return np.clip(cavity, _ONSET, _FULL)


def law(bearing: Bearing, elastic: Floats, prestrain: Floats, exponent: Floats) -> BearingLaw:
    """The law of the present patch; all arguments of shape (members,)."""
    size, curvature = bearing.half_width, bearing.curvature
    strain = prestrain + _REPRESENTATIVE * size * curvature
    yield_stress = strain**exponent
    contact_modulus = elastic / (2 * (1 - _POISSON**2))
    pressure = yield_stress * bearing_pressure(contact_modulus * size * curvature / yield_stress)
    # a mattress of modulus k over a patch of half width a carries k pi a^4 / (4 R), Hertz
    # (4/3) E* a'^3 / R with a' = a / sqrt(2) for the same overlap; both are equal for
    modulus = 4 * np.sqrt(2) * contact_modulus / (3 * np.pi * size)
    return BearingLaw(pressure[:, None], (pressure / modulus)[:, None], curvature[:, None])


def line_load(
    bearing: Bearing, present: BearingLaw, overlap: Floats
) -> tuple[Floats, Floats, Floats]:
    """Load per length of centre line over K d, its slope, and the elastic part of the overlap.

    The bearing surface is half as long as the centre line (radius d/2 against d), so the
    load per centre-line length is pressure times half width.
    """
    deep = np.maximum(overlap, 1e-12)
    width, width_slope = _half_width(deep, present.curvature)
    carried, carried_slope = _carried(deep / present.overlap)
    load = present.pressure * width * carried
    slope = present.pressure * (width_slope * carried + width * carried_slope / present.overlap)
    ratio = np.maximum((overlap - bearing.overlap + bearing.elastic) / bearing.elastic, 0.0)
    back = overlap < bearing.overlap
    load = np.where(back, bearing.load * ratio * np.sqrt(ratio), load)
    slope = np.where(back, 1.5 * bearing.load * np.sqrt(ratio) / bearing.elastic, slope)
    touching = overlap > 0
    elastic = deep / (1 + (2 / 3) * deep / present.overlap)
    return np.where(touching, load, 0.0), np.where(touching, slope, 0.0), elastic


def rebased(bearing: Bearing, present: BearingLaw) -> Bearing:
    """The memory told in terms of the present law, so that loading goes on without a jump."""
    never = bearing._replace(overlap=np.full_like(bearing.overlap, -1.0))
    load, _, elastic = line_load(never, present, bearing.overlap)
    return bearing._replace(load=load, elastic=np.maximum(elastic, 1e-9))


def loaded(bearing: Bearing, overlap: Floats, angle: Floats, growing: NDArray[np.bool_]) -> Bearing:
    """The memory after a step.

    ``angle`` is the direction of each node seen from the centre of the neighbour's wire,
    zero at the apex (last node); the patch ends where the overlap does. Members whose force
    is not ``growing`` keep the size of their patch.
    """
    rows = np.arange(len(overlap))
    first = np.argmax(overlap > 0, axis=1)
    before = np.maximum(first - 1, 0)
    inside, outside = overlap[rows, first], overlap[rows, before]
    share = np.clip(inside / np.where(first > before, inside - outside, 1.0), 0.0, 1.0)
    reach = angle[rows, first] + (angle[rows, before] - angle[rows, first]) * share
    touching = growing & (inside > 0)
    half_width = np.where(touching, np.maximum(reach / 2, _LEAST_HALF_WIDTH), bearing.half_width)
    curvature = np.clip(2 * overlap[:, -1] / np.square(half_width), _CONFORMAL, 2.0)
    return bearing._replace(
        half_width=half_width,
        curvature=np.where(touching, curvature, bearing.curvature),
        overlap=np.maximum(bearing.overlap, overlap),
    )


def _half_width(overlap: Floats, curvature: Floats) -> tuple[Floats, Floats]:
    """Half width of the patch and its slope, smoothly held to the wire's radius."""
    free = np.sqrt(2 * overlap / curvature)
    crowding = np.square(np.square(free / _WIDEST))
    width = free / np.sqrt(np.sqrt(1 + crowding))
    return width, width / ((1 + crowding) * 2 * overlap)


def _carried(ratio: Floats) -> tuple[Floats, Floats]:
    """Share of the bearing pressure that is carried, and its slope, by elastic overlap."""
    across = (2 / 3) * ratio
    return across / (1 + across), (2 / 3) / np.square(1 + across)
