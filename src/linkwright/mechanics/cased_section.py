"""A round section of two metals: a core, and a case about it whose strength falls inwards.

    LinkCase        depth, strength over the core's, and crack strain of a case
    cased_fibres    places and weights of the fibres of core and case, and their depths

The core is a disc with the fibres of a plain circle. The case is rings, two from the surface to
its depth and two from there to twice that depth, where a diffused case runs out. Radii are
Gauss-Legendre points in the square of the radius, and the fibres of a ring Gauss-Chebyshev points
of the first kind, so that area and second moment are exact and every weight is positive.

References: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 1964, 25.4.30 and
25.4.38.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import Values
from linkwright.mechanics.section import Fibres, Floats, outer_share, round_fibres
from linkwright.quantities import ArgumentError

_CORE_FIBRES = 9
_RING_FIBRES = 10
_RUN_OUT = 2.0  # depth at which a case has run out, over its depth
_DEEPEST = 0.5


@dataclass(frozen=True)
class LinkCase:
    """A case, sizes as floats or arrays that broadcast with those of the links.

    Strength over that of the core at a depth x is 1 + (``surface_ratio`` - 1) shape(x/depth), with
    ``shape`` straight between its points: 1 at the surface, 0 from twice the depth on. Down to
    ``depth_mm`` a fibre bears nothing any more once its tensile logarithmic strain has passed
    ``crack_strain``; what lies deeper does not crack.

    Raises `ArgumentError` for a depth that is not between none and half the wire.
    """

    depth_mm: Values
    surface_ratio: Values
    crack_strain: Values = np.inf
    shape_depth: tuple[float, ...] = (0.0, 1.0, 2.0)
    shape: tuple[float, ...] = (1.0, 0.5, 0.0)


class CasedFibres(NamedTuple):
    """Results of `cased_fibres`; arrays of shape (fibres, members, 1)."""

    fibres: Fibres
    strength: Floats
    """Over that of the core."""
    crack_strain: Floats


def cased_fibres(
    depth: Floats,
    surface_ratio: Floats,
    crack_strain: Floats,
    shape_depth: tuple[float, ...] = (0.0, 1.0, 2.0),
    shape: tuple[float, ...] = (1.0, 0.5, 0.0),
) -> CasedFibres:
    """Fibres of sections of diameter 1 with a case; arguments of shape (members,).

    ``depth`` is that of the case over the diameter.

    >>> made = cased_fibres(np.array([0.05]), np.array([1.5]), np.array([0.02]))
    >>> round(float(made.fibres.weight.sum()) * 4 / 3.141592653589793, 12)
    1.0
    """
    if np.any(depth <= 0.0) or np.any(depth > _DEEPEST):
        worst = float(depth[np.argmax(np.abs(depth - _DEEPEST / 2))])
        raise ArgumentError(
            "case_depth_mm", worst, "wire diameters", "above 0, at most half the wire"
        )
    run_out = np.minimum(_RUN_OUT * depth, _DEEPEST)
    core = round_fibres(_CORE_FIBRES)
    narrow = (1.0 - 2.0 * run_out)[None, :, None]
    heights, weights = [core.height * narrow], [core.weight * narrow**2]
    depths = [np.broadcast_to(run_out[None, :, None], heights[0].shape)]
    for outer, inner in ((0.0 * depth, depth), (depth, run_out)):
        ring = _rings(outer, inner)
        for found, part in zip((heights, weights, depths), ring, strict=True):
            found.append(part)
    height, weight, deep = (np.concatenate(part) for part in (heights, weights, depths))
    # the outermost fibres stand first and last, as in a plain circle
    order = np.argsort(-height, axis=0, kind="stable")
    height, weight, deep = (np.take_along_axis(v, order, 0) for v in (height, weight, deep))
    relative = deep / depth[None, :, None]
    strength = 1.0 + (surface_ratio[None, :, None] - 1.0) * np.interp(relative, shape_depth, shape)
    cracks = np.where(relative < 1.0, crack_strain[None, :, None], np.inf)
    # fibres of the core lie in their metal, however deep the case
    return CasedFibres(Fibres(height, weight, outer_share(height)), strength, cracks)


def _rings(outer: Floats, inner: Floats) -> tuple[Floats, Floats, Floats]:
    """Heights, weights and depths of two rings between two depths, (fibres, members, 1)."""
    high, low = (0.5 - outer) ** 2, (0.5 - inner) ** 2
    angle = (np.arange(_RING_FIBRES) + 0.5) * np.pi / _RING_FIBRES
    parts: list[tuple[Floats, Floats, Floats]] = []
    for place in (-1.0, 1.0):
        radius = np.sqrt((high + low) / 2.0 + place / np.sqrt(12.0) * (high - low))
        height = np.cos(angle)[:, None] * radius
        area = np.pi * (high - low) / 2.0 / _RING_FIBRES
        weight = np.broadcast_to(area, height.shape)
        deep = np.broadcast_to(0.5 - radius, height.shape)
        parts.append((height, weight, deep))
    whole = [np.concatenate(part)[..., None] for part in zip(*parts, strict=True)]
    return whole[0], whole[1], whole[2]
