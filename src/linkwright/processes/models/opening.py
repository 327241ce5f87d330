"""What opens the eye of a cold-formed link: elastic stiffness, plastic collapse, opening force.

- `eye_opening_stiffness`: thin open ring by Castigliano, small opening
- `eye_collapse_force`: ideal-plastic hinge at the side of the eye, with and without tension
- `eye_opening_force`: force at which the gap lets the neighbour's wire out, large opening
- `force_against_gap`: the same pull step by step, for a picture

The eye is a hook: neck at the top, load at the crown, M = F x on the side that joins them, x
the distance from the load line; the wire beyond the load is free. The neighbour slides, so
that it always bears where the wire lies square to the load. Left out: friction, the small
out-of-plane share of the other eye, residual stress of forming, the Bauschinger effect (the
opening bends the wire back), shear, thick-bar effects, the flattening of the section.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

Array = NDArray[Any]
_EYE = {"wire_diameter_mm": POSITIVE, "eye_mean_diameter_mm": POSITIVE}
_CURVE = {"K_MPa": POSITIVE, "n": (0.0, 0.999), "prestrain": NOT_NEGATIVE}
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(16)
_ANGLES, _SHARES = (np.pi / 4.0) * (1.0 + _NODES), (np.pi / 4.0) * _WEIGHTS
_TABLE_POINTS = 32
_GRADED = np.concatenate(
    [[0.0], np.geomspace(1e-3, 0.3, 20), 1.0 - 0.7 * (1.0 - np.arange(1, 18) / 17.0) ** 2]
)
"""Shares of a change of curvature: close at 0, where the wire is elastic, and towards the end."""


class EyeStiffness(NamedTuple):
    """Results of `eye_opening_stiffness`: force over widening of the gap, over stretch."""

    gap_stiffness_N_per_mm: Values
    crown_stiffness_N_per_mm: Values


class EyeCollapse(NamedTuple):
    """Results of `eye_collapse_force`; the flow stress is the section's plastic mean."""

    flow_stress_MPa: Values
    plastic_moment_Nm: Values
    bending_collapse_force_N: Values
    collapse_force_N: Values


class EyeOpening(NamedTuple):
    """Results of `eye_opening_force`.

    `unrolling_force_N` is never passed however far the eye opens; `straightened_share` is the
    change of curvature at the side of the eye over the curvature it was formed to.
    """

    opening_force_N: Values
    unrolling_force_N: Values
    straightened_share: Values


@calculation(
    source="S. P. Timoshenko, Strength of Materials, curved bars, Castigliano's theorem: thin "
    "open ring held at the neck and pulled at the crown",
    basis="computed",
    needs={**_EYE, "gap_mm": NOT_NEGATIVE, "E_MPa": POSITIVE},
)
def eye_opening_stiffness(
    *, wire_diameter_mm: Values, eye_mean_diameter_mm: Values, gap_mm: Values, E_MPa: Values
) -> EyeStiffness:
    """Elastic stiffness of an eye against opening its gap and against stretching.

    M = F R sin(t) from crown (t = 0) to neck (t = pi): the crown moves by pi F R^3/(2 E I)
    along the load, 2 F R^3/(E I) across, and turns by 2 F R^2/(E I); the free end goes with
    it. The gap widens by F R^3/(E I) [2 cos(p/2) + (pi/2) sin(p/2)], p the missing angle,
    2 asin((g + d/2)/(2 R)). Bending only, thin ring: for R of about 1.7 d a thick bar is
    some per cent stiffer.

    Raises `ArgumentError` for a gap wider than the eye.

    References: S. P. Timoshenko, Strength of Materials, Part I (curved bar of a semicircle:
    pi F R^3/(2 E I) and 2 F R^3/(E I)).

    Example:
        >>> eye = eye_opening_stiffness(wire_diameter_mm=2.68, eye_mean_diameter_mm=9.0,
        ...                             gap_mm=0.5, E_MPa=206000.0)
        >>> print(round(eye.gap_stiffness_N_per_mm), round(eye.crown_stiffness_N_per_mm))
        2512 3644
    """
    _refuse_wide(gap_mm, wire_diameter_mm, eye_mean_diameter_mm)
    radius = eye_mean_diameter_mm / 2.0
    unit = E_MPa * np.pi * wire_diameter_mm**4 / 64.0 / radius**3
    half = np.arcsin((gap_mm + wire_diameter_mm / 2.0) / (2.0 * radius))
    widening = 2.0 * np.cos(half) + np.pi / 2.0 * np.sin(half)
    return EyeStiffness(unit / widening, unit * 2.0 / np.pi)


@calculation(
    source="T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996), plastic "
    "hinge, round section; limit of bending with tension integrated over the circle",
    basis="computed",
    needs={**_EYE, **_CURVE},
)
def eye_collapse_force(
    *,
    wire_diameter_mm: Values,
    eye_mean_diameter_mm: Values,
    K_MPa: Values,
    n: Values = 0.0,
    prestrain: Values = 0.0,
) -> EyeCollapse:
    """Force at which the side of an eye becomes a plastic hinge, the eye still round.

    Plastic moment of the worked section: fibre y carries K (eps0 + |y|/R)^n, the flow stress
    after drawing (eps0) and forming (|y|/R); the mean flow stress is 6 Mp/d^3. Bending alone:
    F = Mp/R, since M = F R at the side. With the tension F there: F R = Mp cos^3(b),
    F = Np (2 b + sin 2b)/pi, Np the force to stretch the section. n = 0 is an ideal-plastic
    wire of yield stress K.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996);
    S. P. Timoshenko, Strength of Materials, Part II, bending beyond the elastic limit.

    Example:
        >>> eye = eye_collapse_force(wire_diameter_mm=2.68, eye_mean_diameter_mm=9.0, K_MPa=700.0)
        >>> print(round(eye.bending_collapse_force_N, 1), round(eye.collapse_force_N, 1))
        499.0 491.9
    """
    strain = wire_diameter_mm / eye_mean_diameter_mm
    curve = [np.asarray(value, float)[..., None] for value in (prestrain, strain, n)]
    worked = np.power(curve[0] + curve[1] * np.sin(_ANGLES), curve[2])
    flow = 3.0 * K_MPa * ((worked * _lever()) @ _SHARES)
    moment = flow * wire_diameter_mm**3 / 6.0
    bending = moment / (eye_mean_diameter_mm / 2.0)
    return EyeCollapse(flow, moment / 1000.0, bending, bending * _tension_share(strain))


@calculation(
    source="first integral of the plastic elastica: moment of a round section as T. X. Yu & "
    "L. C. Zhang, Plastic Bending (1996); S. P. Timoshenko & J. M. Gere, Theory of Elastic "
    "Stability (elastica)",
    basis="computed",
    needs={
        **_EYE, **_CURVE, "E_MPa": POSITIVE, "gap_mm": NOT_NEGATIVE, "passing_wire_mm": POSITIVE,
    },
)  # fmt: skip
def eye_opening_force(
    *,
    wire_diameter_mm: Values,
    eye_mean_diameter_mm: Values,
    gap_mm: Values,
    K_MPa: Values,
    E_MPa: Values,
    n: Values = 0.0,
    prestrain: Values = 0.0,
    passing_wire_mm: Values = None,
) -> EyeOpening:
    """Force at which the gap of a loaded eye has grown to the wire that may slip out.

    Section: fibre y carries the lesser of E e and K (eps0 + |y|/R + e)^n, e = k |y|, k the
    change of curvature (drawn, formed, bent back; isotropic); M(k) is its integral over the
    circle. Shape: dtheta/ds = 1/R - k(F x), dx/ds = cos(theta) have the first integral

        F sin(theta) = F x/R - integral of k dM from 0 to F x,

    so the wire from contact to neck is symmetric about its widest place, where theta = 90 deg,
    the neck stays on the load line, and with k1 the change of curvature at the widest place

        F R = M(k1) - R integral of k dM = integral of (1 - R k) dM from 0 to M(k1).

    F rises with k1 up to k1 = 1/R, where the side of the eye is straight: there F is the work
    to straighten a unit length, integral of M dk, and the eye unrolls without more force.
    Arc and height are quadratures over theta; k1 is the bracketed root at which the way
    between the wire's end and the neck is the wire that passes (the link's own unless given).
    0 if it passes unloaded. n = 0 is an ideal-plastic wire of yield stress K.

    Raises `ArgumentError` for a gap wider than the eye.

    References: T. X. Yu & L. C. Zhang, Plastic Bending: Theory and Applications (1996), large
    deflections beyond yield; S. P. Timoshenko & J. M. Gere, Theory of Elastic Stability.

    Example:
        >>> eye = eye_opening_force(wire_diameter_mm=2.68, eye_mean_diameter_mm=9.0, gap_mm=0.5,
        ...                         K_MPa=700.0, E_MPa=206000.0)
        >>> print(round(eye.opening_force_N), round(eye.unrolling_force_N))
        492 492
    """
    _refuse_wide(gap_mm, wire_diameter_mm, eye_mean_diameter_mm)
    wire = wire_diameter_mm if passing_wire_mm is None else passing_wire_mm
    given = (
        wire_diameter_mm, eye_mean_diameter_mm, gap_mm, K_MPa, E_MPa, n, prestrain, wire,
    )  # fmt: skip
    spread = np.broadcast_arrays(*(np.asarray(value, float) for value in given))
    d, mean, gap, K, E, exponent, eps0, passing = (value.ravel() for value in spread)
    hook = _Hook(d, mean, gap, _Section(d / mean, exponent, eps0, E / K))
    share = hook.straightened((passing + d / 2.0) / (mean / 2.0))
    rows = np.arange(d.size)
    unit = 2.0 * K * d**3 / mean
    unrolling = unit * hook.load(np.ones(d.size), rows)
    # quadrature may pass the limit by its own error
    results = (np.minimum(unit * hook.load(share, rows), unrolling), unrolling, share)
    return EyeOpening(*(value.reshape(spread[0].shape)[()] for value in results))


def force_against_gap(
    *,
    wire_diameter_mm: float,
    eye_mean_diameter_mm: float,
    gap_mm: float,
    K_MPa: float,
    E_MPa: float,
    n: float = 0.0,
    prestrain: float = 0.0,
    points: int = 24,
) -> dict[str, Array]:
    """Force in N and gap in mm of one eye up to its opening, arguments as `eye_opening_force`."""
    last = eye_opening_force(
        wire_diameter_mm=wire_diameter_mm, eye_mean_diameter_mm=eye_mean_diameter_mm,
        gap_mm=gap_mm, K_MPa=K_MPa, E_MPa=E_MPa, n=n, prestrain=prestrain,
    ).straightened_share  # fmt: skip
    given = (wire_diameter_mm, eye_mean_diameter_mm, gap_mm, n, prestrain, E_MPa / K_MPa)
    d, mean, gap, exponent, eps0, stiff = (np.full(points, value) for value in given)
    hook = _Hook(d, mean, gap, _Section(d / mean, exponent, eps0, stiff))
    # most of the way is elastic in force and plastic in gap: close steps at the start
    share, rows = last * np.linspace(0.0, 1.0, points) ** 4, np.arange(points)
    force = 2.0 * K_MPa * d**3 / mean * hook.load(share, rows)
    return {"force_N": force, "gap_mm": hook.away(share, rows) * mean / 2.0 - d / 2.0}


class _Section:
    """Moment M/(K d^3) against the change of curvature k R, member by member.

    formed: surface strain of forming, d/D. Elastic up to first yield of the surface, beyond
    it a table over even steps of the logarithm, straight between in logarithms.
    """

    def __init__(self, formed: Array, n: Array, eps0: Array, stiff: Array) -> None:
        first = _first_yield(eps0 + formed, n, stiff) / formed
        self.slope = np.pi / 32.0 * stiff * formed
        self.start = np.log(np.minimum(first, 0.5))
        self.step = -self.start / (_TABLE_POINTS - 1)
        curvature = np.exp(self.start[:, None] + self.step[:, None] * np.arange(_TABLE_POINTS))
        added = (formed[:, None] * curvature)[..., None] * np.sin(_ANGLES)
        worked = (eps0[:, None] + formed[:, None] * np.sin(_ANGLES))[:, None] + added
        flow = np.power(worked, n[:, None, None])
        stress = np.minimum(stiff[:, None, None] * added, flow)
        self.table = np.log(0.5 * ((stress * _lever()) @ _SHARES))

    def moment(self, curvature: Array, rows: Array) -> Array:
        """M/(K d^3) at k R (members, points); at most the curvature formed, k R = 1."""
        place = np.log(np.maximum(curvature, 1e-300)) - self.start[rows, None]
        place = place / self.step[rows, None]
        lower = np.clip(place, 0.0, _TABLE_POINTS - 2).astype(int)
        first, second = self.table[rows[:, None], lower], self.table[rows[:, None], lower + 1]
        beyond = np.exp(first + np.maximum(place - lower, 0.0) * (second - first))
        elastic = self.slope[rows, None] * curvature
        return np.asarray(np.where(place <= 0.0, elastic, beyond))


class _Hook:
    """Eyes as members: lengths in radii, loads F R/(K d^3), ``share`` = k R at the side."""

    def __init__(self, wire: Array, mean: Array, gap: Array, section: _Section) -> None:
        self.arc = 2.0 * np.pi - 2.0 * np.arcsin((gap + wire / 2.0) / mean)
        self.section = section

    def load(self, share: Array, rows: Array) -> Array:
        """Load at which the side of the eye has changed its curvature by that share."""
        return np.asarray(self._loads(share[:, None] * _GRADED, rows)[:, -1])

    def away(self, share: Array, rows: Array) -> Array:
        """Distance of the free end from the centre line of the neck."""
        curvature = share[:, None] * _GRADED
        load = self._loads(curvature, rows)
        last = np.maximum(load[:, -1:], 1e-300)
        # unloaded, the wire is round: its angle is any even division
        sine = np.where(last > 1e-300, load / last, np.sin(np.pi / 2.0 * _GRADED))
        angle = np.arcsin(np.minimum(sine, 1.0))
        bent = 1.0 / np.maximum(1.0 - curvature, 1e-9)
        part = np.diff(angle, axis=1) * (bent[:, 1:] + bent[:, :-1]) / 2.0
        rise = -np.diff(np.cos(angle), axis=1) * (bent[:, 1:] + bent[:, :-1]) / 2.0
        rest = np.maximum(self.arc[rows] - 2.0 * part.sum(axis=1), 0.0)
        below = 2.0 * rise.sum(axis=1) - (1.0 - np.cos(rest))
        return np.asarray(np.hypot(np.sin(rest), np.maximum(below, 0.0)))

    def straightened(self, wanted: Array) -> Array:
        """Share at which the free end is that far from the neck.

        0 if it is so unloaded; 1 if the end of the bracket does not resolve it: a wire without
        hardening unrolls at one force.
        """
        from scipy.optimize import elementwise  # noqa: PLC0415 - heavy, on use

        rows = np.arange(wanted.size)
        none, whole = np.zeros(wanted.size), np.ones(wanted.size)
        lost, all_ = self.away(none, rows) >= wanted, self.away(whole, rows) <= wanted

        def beyond(share: Array, rows: Array) -> Array:
            rise = self.away(share, rows) - wanted[rows]
            return np.where(lost[rows], share, np.where(all_[rows], share - 1.0, rise))

        found = elementwise.find_root(
            beyond, (none, whole), args=(rows,), tolerances={"xatol": 1e-11, "xrtol": 1e-11}
        )
        return np.asarray(found.x)

    def _loads(self, curvature: Array, rows: Array) -> Array:
        """Integral of (1 - k R) dM up to each curvature."""
        moment = self.section.moment(curvature, rows)
        left = 1.0 - (curvature[:, 1:] + curvature[:, :-1]) / 2.0
        parts = np.cumsum(np.diff(moment, axis=1) * left, axis=1)
        return np.concatenate([np.zeros((rows.size, 1)), parts], axis=1)


def _refuse_wide(gap: Values, wire: Values, mean: Values) -> None:
    """`ArgumentError` for a gap that no eye of this size can have."""
    if np.any(gap + wire / 2.0 >= np.asarray(mean, float)):
        raise ArgumentError("gap_mm", float(np.max(gap)), "mm", "less than the eye is wide")


def _lever() -> Array:
    """The product sin t cos^2 t at the nodes: M/d^3 is half its integral with the stress."""
    return np.asarray(np.sin(_ANGLES) * np.cos(_ANGLES) ** 2)


def _first_yield(worked: Array, n: Array, stiff: Array) -> Array:
    """Surface strain at which E e meets K (worked + e)^n: a few rounds, e is small."""
    strain = np.power(worked, n) / stiff
    for _ in range(20):
        strain = np.power(worked + strain, n) / stiff
    return np.asarray(strain)


def _tension_share(strain: Values) -> Values:
    """Collapse force with tension over that by bending alone, for d/D = ``strain``.

    cos^3(b) where (2 b + sin 2b)/pi = q cos^3(b), q = Mp/(R Np) = 4 d/(3 pi D).
    """
    q = 4.0 * np.asarray(strain, float) / (3.0 * np.pi)
    low, high = np.zeros_like(q), np.full_like(q, np.pi / 2.0)
    for _ in range(60):
        middle = (low + high) / 2.0
        short = (2.0 * middle + np.sin(2.0 * middle)) / np.pi < q * np.cos(middle) ** 3
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return (np.cos(low) ** 3)[()]
