"""A hole that a hard ball expands: pressure, yielding zone, what springs back, stress that stays.

- `ball_sized_hole`: hole, force and residual stress after a ball was pushed through
- `hole_before_sizing`: hole that a ball of a wanted interference leaves as wanted

The ring yields as in `plastic_fit`; here a hard ball takes the place of a member of the same metal
and leaves again.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_NEWTON, _ROUNDS = 14, 12


class SizedHole(NamedTuple):
    """Results of `ball_sized_hole`; tension is positive."""

    hole_diameter_mm: Values
    """Once the ball is out."""
    springback_um: Values
    """Of the ball over the hole it leaves."""
    pressure_MPa: Values
    plastic_depth_percent: Values
    """Of the ring's wall: 0 elastic, 100 yielding throughout."""
    residual_hoop_stress_MPa: Values
    """At the edge of the hole; compression is negative."""
    ball_force_kN: Values


@calculation(
    source="R. Hill, The Mathematical Theory of Plasticity (1950), ch. 5, thin ring in plane "
    "stress, loaded by a rigid ball and unloaded by Lame's formulas",
    basis="computed",
    needs={
        "ring_outside_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "ball_diameter_mm": POSITIVE,
        "yield_strength_MPa": POSITIVE,
        "friction": (0.0, 1.0),
        "E_MPa": POSITIVE,
        "poisson": (0.0, 0.5),
    },
)
def ball_sized_hole(
    *,
    ring_outside_mm: Values,
    hole_diameter_mm: Values,
    ball_diameter_mm: Values,
    yield_strength_MPa: Values,
    friction: Values = 0.1,
    E_MPa: Values = 206000.0,
    poisson: Values = 0.3,
) -> SizedHole:
    """Hole of a ring through which a hard ball was pushed.

    a hole radius, b ring radius, u = (ball - hole)/2 what the ball moves the edge by, Y yield
    stress (Tresca, no hardening), c radius to which the ring yields, beta = b^2/a^2:

        p = Y/2 (1 - c^2/b^2) + Y ln(c/a),  u/a = (Y/E) (c/a)^2 - (1 - nu) p/E
        springs back  2 (p a/E) ((beta + 1)/(beta - 1) + nu)
        residual hoop stress  Y - 2 p beta/(beta - 1), not below -Y
        F = p (pi/4 (B^2 - d^2) + mu pi d (B/2) sqrt(1 - (d/B)^2))

    Elastic rings give back all: hole as before, no residual stress. A ball not above the hole does
    nothing. Beyond c = b the pressure stays.

    Validity: rigid ball (one of carbide gives way by a third of steel); thin ring as in
    `plastic_fit`; where the residual stress reaches -Y the edge yields back and springs more.

    Raises `ArgumentError` if the ball is not below the ring.

    References: as the source; force by statics of the contact on the leading side of the ball.

    Example:
        >>> got = ball_sized_hole(ring_outside_mm=21.0, hole_diameter_mm=11.2,
        ...                       ball_diameter_mm=11.3, yield_strength_MPa=900.0)
        >>> print(round(got.hole_diameter_mm, 3), round(got.residual_hoop_stress_MPa))
        11.238 -610
    """
    hole, ball = np.asarray(hole_diameter_mm, float), np.asarray(ball_diameter_mm, float)
    if np.any(np.maximum(hole, ball) >= ring_outside_mm):
        accepted = f"below the ring of {float(np.min(ring_outside_mm)):.4g} mm"
        raise ArgumentError("ball_diameter_mm", float(np.max(ball)), "mm", accepted)
    flow, beta = np.asarray(yield_strength_MPa, float), (ring_outside_mm / hole) ** 2
    moved = np.maximum(ball / hole - 1.0, 0.0)
    lame = (beta + 1.0) / (beta - 1.0) + poisson
    square = _yielding(moved * E_MPa / flow, beta, np.asarray(poisson, float))
    flowing = flow * (1.0 - square / beta + np.log(square)) / 2.0
    first = flow * (1.0 - 1.0 / beta) / 2.0
    elastic = moved * E_MPa / lame
    yields = elastic > first
    pressure = np.where(yields, flowing, elastic)
    spring = pressure / E_MPa * lame * hole
    residual = np.where(yields, flow - 2.0 * pressure * beta / (beta - 1.0), 0.0)
    inside = np.maximum(ball, hole)
    slope = np.sqrt(1.0 - (hole / inside) ** 2)
    area = np.pi / 4.0 * (inside**2 - hole**2) + friction * np.pi * hole * inside / 2.0 * slope
    depth = np.where(yields, (np.sqrt(square) - 1.0) / (np.sqrt(beta) - 1.0), 0.0)
    return SizedHole(
        (inside - spring)[()],
        (1000.0 * spring)[()],
        pressure[()],
        (100.0 * depth)[()],
        np.maximum(residual, -flow)[()],
        (pressure * area / 1000.0)[()],
    )


@calculation(
    source="`ball_sized_hole` solved for the hole",
    gives="hole_diameter_mm",
    basis="computed",
    needs={
        "ring_outside_mm": POSITIVE,
        "sized_hole_mm": POSITIVE,
        "ball_interference_percent": (0.0, 10.0),
        "yield_strength_MPa": POSITIVE,
    },
)
def hole_before_sizing(
    *,
    ring_outside_mm: Values,
    sized_hole_mm: Values,
    ball_interference_percent: Values,
    yield_strength_MPa: Values,
    E_MPa: Values = 206000.0,
    poisson: Values = 0.3,
) -> Values:
    """Hole that becomes the one wanted by a ball so many per cent larger than itself.

    Steps d wanted/got, which shrink by the share that springs back.

    Raises `ArgumentError` as `ball_sized_hole`.

    References: as `ball_sized_hole`.

    Example:
        >>> print(round(hole_before_sizing(ring_outside_mm=21.0, sized_hole_mm=11.238,
        ...     ball_interference_percent=0.893, yield_strength_MPa=900.0), 2))
        11.2
    """
    wanted = np.asarray(sized_hole_mm, float)
    hole = wanted
    for _ in range(_ROUNDS):
        got = ball_sized_hole(
            ring_outside_mm=ring_outside_mm,
            hole_diameter_mm=hole,
            ball_diameter_mm=hole * (1.0 + np.asarray(ball_interference_percent) / 100.0),
            yield_strength_MPa=yield_strength_MPa,
            E_MPa=E_MPa,
            poisson=poisson,
        )
        hole = hole * wanted / got.hole_diameter_mm
    return hole[()]


def _yielding(wanted: Values, beta: Values, poisson: Values) -> Values:
    """(c/a)^2 for a wanted u E/(a Y), at most beta; rising, begun at its left end."""
    square = np.ones(np.broadcast_shapes(np.shape(wanted), np.shape(beta)))
    for _ in range(_NEWTON):
        part = (1.0 - poisson) / 2.0
        value = square - part * (1.0 - square / beta + np.log(square))
        slope = 1.0 - part * (1.0 / square - 1.0 / beta)
        square = np.clip(square + (wanted - value) / slope, 1.0, None)
    return np.minimum(square, beta)
