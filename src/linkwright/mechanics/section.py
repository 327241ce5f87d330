"""Fibres of a round bar in bending, tension and shear, elastic-plastic and at large strain.

All sizes are in bar diameters, all stresses in units of the strength coefficient K of the
hardening curve, so that one array holds bars of any size. Arrays are laid out as
(fibres, members, stations).

    round_fibres        places and weights of the fibres of a circle
    Bar, FibreState     what stays and what changes while a bar is bent
    fresh_state         the unstrained bar
    respond             forces, moment and tangent for trial strains of the stations
    settled             the state after an accepted step

Kinematics: plane sections of a curved bar (Winkler). With the centre-line strain e, the
change of curvature k, the shear angle g and the initial curvature c of a station, the
fibre at height y (positive outward) has stretch l = 1 + (e + y k)/(1 + y c), logarithmic
strain ln l and shear angle g/(1 + y c).

Material: J2 plasticity with isotropic Swift hardening under hoop stress s, shear t and a
known radial stress r that comes from the pressure of a neighbour on the inside of the bend:

    s^2 - s r + r^2 + 3 t^2 = Y^2,   Y = (e0 + p)^n     (the third normal stress is zero)

In x = s - r/2 this is x^2 + 3 t^2 = Y^2 - 3/4 r^2 and, with Poisson's ratio one half, x
follows the hoop strain alone: a radial return in (x, t), solved by Newton's method. With
G = E/3 the uniform shear has within 4 per cent the stiffness 0.9 G A of the usual shear
coefficient of a circle at Poisson's ratio 0.3.

References: Winkler-Bach curved bar in S. Timoshenko, Strength of Materials, Part II, 1930;
H. W. Swift, Plastic instability under plane stress, J. Mech. Phys. Solids 1, 1952;
R. Hill, The Mathematical Theory of Plasticity, 1950, chapter II.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_LEAST_STRETCH = 0.05  # below this a trial step is nonsense; keeps the logarithm defined
_RETURN_STEPS = 2
# radial stress and thinning are held during a step, at the value foreseen for its middle
_AHEAD = 0.5


class Fibres(NamedTuple):
    """Fibres of a circle of diameter 1, shape (fibres, 1, 1), or with an axis of members."""

    height: Floats
    """Distance from the centre line, positive outward."""
    weight: Floats
    """Area of the fibre; the sum is pi/4."""
    outer_share: Floats
    """Area outward of the fibre, as a share of the whole, over the chord at its height."""


def round_fibres(count: int) -> Fibres:
    """Gauss-Chebyshev points of the second kind over the depth of a circle.

    Exact for polynomials up to degree 2 count - 1 over the circle:

    >>> fibres = round_fibres(5)
    >>> round(float((fibres.weight * fibres.height**2).sum()) * 64 / 3.141592653589793, 12)
    1.0
    """
    angle = np.arange(1, count + 1) * np.pi / (count + 1)
    height = np.cos(angle) / 2
    weight = np.pi / (count + 1) * np.sin(angle) ** 2 / 2
    places = height[:, None, None]
    return Fibres(places, weight[:, None, None], outer_share(places))


def outer_share(height: Floats) -> Floats:
    """Area of a circle of diameter 1 outward of a height, as share of it, over the chord there."""
    angle = np.arccos(2 * height)
    return np.asarray((angle - np.sin(angle) * np.cos(angle)) / np.pi / np.sin(angle))


class Bar(NamedTuple):
    """What stays the same while a bar is bent."""

    fibres: Fibres
    curvature: Floats
    """Initial curvature times diameter, (members, stations)."""
    elastic: Floats
    """Young's modulus over K, (members, 1)."""
    prestrain: Floats
    """e0 of the hardening curve, (members, 1)."""
    exponent: Floats
    """n of the hardening curve, (members, 1)."""
    smoothing: Floats
    """Rows that average along the bar, (members, stations, stations)."""
    shift: Floats
    """1 + y c of every fibre."""
    strength: Floats | None = None
    """Flow stress of every fibre over that of the curve, where they differ."""
    crack_strain: Floats | None = None
    """Tensile strain beyond which a fibre bears nothing any more, where there is one."""


class FibreState(NamedTuple):
    """Strain, stress and shape of all fibres after an accepted step."""

    log_strain: Floats
    shear: Floats
    stress: Floats
    """x = hoop stress less half the radial stress."""
    shear_stress: Floats
    plastic_strain: Floats
    yield_stress: Floats
    radius: Floats
    """Radius of the yield circle in (x, t)."""
    rate: Floats
    """Slope of the return function at the start of a step."""
    confined: Floats
    """3/4 of the square of the radial stress."""
    radial_stress: Floats
    radial_strain: Floats
    weight: Floats
    """Area of the fibres, thinned by the stretch of their neighbourhood."""
    depth: Floats
    """Depth of the section over the diameter, (members, stations)."""
    pressure: Floats
    """Line load on the centre line over K d, (members, stations)."""
    whole: Floats
    """1 where a fibre bears, 0 where it has cracked."""


class Trial(NamedTuple):
    """Stress of a trial that becomes the state when the step is accepted."""

    log_strain: Floats
    shear: Floats
    stress: Floats
    shear_stress: Floats
    plastic_increment: Floats
    yield_stress: Floats
    slope: Floats


class Response(NamedTuple):
    """Stress resultants and their derivatives at every station."""

    resultants: Floats
    """Normal force, shear force, moment: (members, stations, 3)."""
    tangent: Floats
    """Derivatives by centre-line strain, shear angle, curvature: (..., 3, 3)."""
    trial: Trial


def fresh_state(bar: Bar) -> FibreState:
    """The unstrained, stress-free bar."""
    count = bar.fibres.height.shape[0]
    zero = np.zeros((count, *bar.curvature.shape))
    first = bar.prestrain**bar.exponent
    if bar.strength is not None:
        first = first * bar.strength
    slope = bar.exponent * first / bar.prestrain
    return FibreState(
        zero, zero, zero, zero, zero, zero + first, zero + first, zero + slope + bar.elastic,
        zero, zero, zero, zero + bar.fibres.weight, np.ones_like(bar.curvature),
        np.zeros_like(bar.curvature), np.ones_like(zero),
    )  # fmt: skip


class _Flow(NamedTuple):
    stress: Floats
    slope: Floats
    radius: Floats
    value: Floats
    rate: Floats


def _flow(bar: Bar, state: FibreState, increment: Floats, strain: Floats) -> _Flow:
    """Yield stress, radius of the yield circle, and the return function with its slope.

    ``strain`` is e0 + p before the step. The trial size q is met where radius (1 + E dp / Y)
    equals it.
    """
    total = strain + increment
    stress = total**bar.exponent
    if bar.strength is not None:
        stress = stress * bar.strength
    inverse = 1 / stress
    slope = bar.exponent * stress / total
    radius = np.sqrt(stress * stress - state.confined)
    along = bar.elastic * inverse
    value = radius * (1 + along * increment)
    grown = stress * slope / (radius * radius)
    rate = grown * value + radius * along * (1 - slope * inverse * increment)
    return _Flow(stress, slope, radius, value, rate)


def respond(bar: Bar, state: FibreState, strain: Floats, shear: Floats, bend: Floats) -> Response:
    """Stress resultants of trial strains (members, stations) from the last accepted state.

    ``strain`` is that of the centre line, ``shear`` the shear angle, ``bend`` the change of
    curvature times diameter. The radial stress is that of the accepted state.
    """
    height = bar.fibres.height * state.depth
    stretch = np.maximum(1 + (strain + height * bend) / bar.shift, _LEAST_STRETCH)
    log_strain = np.log(stretch)
    angle = shear / bar.shift
    stress = state.stress + bar.elastic * (log_strain - state.log_strain)
    tangential = state.shear_stress + bar.elastic / 3 * (angle - state.shear)
    size = np.sqrt(np.square(stress) + 3 * np.square(tangential))
    past = bar.prestrain + state.plastic_strain
    excess = np.maximum(size - state.radius, 0.0)
    plastic = excess > 0
    # the first guess is low, as hardening slows down; Newton's method then comes from below
    increment = excess / state.rate
    for _ in range(_RETURN_STEPS):
        flow = _flow(bar, state, increment, past)
        # a fibre that stays elastic keeps an increment of zero
        increment = np.maximum(increment + (size - flow.value) / flow.rate, 0.0) * plastic
    flow = _flow(bar, state, increment, past)
    inverse = 1 / np.maximum(size, 1e-30)
    scale = np.where(plastic, flow.radius * inverse, 1.0)
    hardening = flow.stress * flow.slope / (flow.radius * flow.rate)
    turn = (hardening - scale) * inverse * inverse * plastic
    resultants, tangent = _sums(bar, state, stress, tangential, scale, turn, stretch)
    trial = Trial(
        log_strain, angle, stress * scale, tangential * scale, increment, flow.stress, flow.slope
    )
    return Response(resultants, tangent, trial)


def _sums(
    bar: Bar,
    state: FibreState,
    stress: Floats,
    tangential: Floats,
    scale: Floats,
    turn: Floats,
    stretch: Floats,
) -> tuple[Floats, Floats]:
    """Integrals over the section of the returned stress and of its consistent tangent."""
    weight, elastic = state.weight, bar.elastic
    by_strain = elastic / (stretch * bar.shift)
    by_shear = elastic / bar.shift
    along = weight * (scale + turn * np.square(stress)) * by_strain
    cross = weight * turn * stress * tangential
    across = weight * (scale + 3 * turn * np.square(tangential)) * by_shear / 3
    hoop = weight * (stress * scale + 0.5 * state.radial_stress)
    count = weight.shape[0]
    # the same heights for all members are one matrix product
    same = bar.strength is None
    height = bar.fibres.height[:, 0, 0] if same else bar.fibres.height
    powers = np.stack([np.ones_like(height), height, height**2])

    def moments(values: Floats) -> Floats:
        if same:
            return (powers @ values.reshape(count, -1)).reshape(3, *state.depth.shape)
        return np.asarray((powers * values).sum(axis=1))

    depth = state.depth
    a0, a1, a2 = moments(along)
    b0, b1, _ = moments(cross * by_shear)
    c0, c1, _ = moments(cross * by_strain)
    n0, n1, _ = moments(hoop)
    a1, b1, c1, n1, a2 = a1 * depth, b1 * depth, c1 * depth, n1 * depth, a2 * depth**2
    shear_stiffness = across.sum(0)
    shear_force = (weight * tangential * scale).sum(0)
    rows = [a0, b0, a1, c0, shear_stiffness, c1, a1, b1, a2]
    tangent = np.stack(rows, axis=-1).reshape(*depth.shape, 3, 3)
    return np.stack([n0, shear_force, n1], axis=-1), tangent


def settled(
    bar: Bar, state: FibreState, trial: Trial, bend: Floats, pressure: Floats
) -> FibreState:
    """The state after a step: history, thinning of the fibres, radial stress and squash.

    ``pressure`` is the line load on the centre line, (members, stations), over K d. Inside the
    bar the radial stress times the chord falls off outward with the share of the area that
    lies farther out (uniform hoop tension in equilibrium with the pressure); it is held to
    the yield stress (Tresca, third normal stress zero). Thinning follows the stretch averaged
    along the bar: lateral contraction cannot jump from one station to the next.
    """
    increment = trial.plastic_increment
    flow = increment * (0.75 * state.radial_stress - 0.5 * trial.stress) / trial.yield_stress
    radial_strain = state.radial_strain + flow
    foreseen = trial.log_strain + _AHEAD * (trial.log_strain - state.log_strain)
    mean_strain = _along(bar.smoothing, foreseen)
    mean_radial = _along(bar.smoothing, radial_strain)
    # the chord cancels: the depth is a plain integral over the height
    share = bar.fibres.weight / np.sqrt(1 - np.square(2 * bar.fibres.height))
    depth = 1 + (mean_radial * share).sum(0) / share.sum(0)
    spread = 1 + bar.fibres.height * (bar.curvature + bend)
    expected = np.maximum(pressure + _AHEAD * (pressure - state.pressure), 0.0)
    radial = expected * bar.fibres.outer_share / np.maximum(spread, 0.2)
    radial = -np.minimum(radial, trial.yield_stress)
    confined = 0.75 * np.square(radial)
    radius = np.sqrt(np.square(trial.yield_stress) - confined)
    rate = trial.yield_stress * trial.slope / radius + radius * bar.elastic / trial.yield_stress
    whole, weight = state.whole, bar.fibres.weight * np.exp(-mean_strain)
    if bar.crack_strain is not None:
        whole = np.where(trial.log_strain > bar.crack_strain, 0.0, whole)
        weight = weight * whole
    return FibreState(
        log_strain=trial.log_strain,
        shear=trial.shear,
        stress=trial.stress,
        shear_stress=trial.shear_stress,
        plastic_strain=state.plastic_strain + increment,
        yield_stress=trial.yield_stress,
        radius=radius,
        rate=rate,
        confined=confined,
        radial_stress=radial,
        radial_strain=radial_strain,
        weight=weight,
        depth=depth,
        pressure=pressure,
        whole=whole,
    )


def _along(smoothing: Floats, values: Floats) -> Floats:
    """Average (fibres, members, stations) along the stations."""
    moved = np.matmul(smoothing, values.transpose(1, 2, 0))
    return np.asarray(moved.transpose(2, 0, 1))


def averaging(length: Floats, spread: float) -> Floats:
    """Rows that average along a bar with a Gaussian of standard deviation ``spread``.

    ``length`` (members, stations) are the lengths of the stations. Both ends are planes of
    symmetry: the bar is continued there by its mirror image.
    """
    place = np.cumsum(length, axis=1) - length / 2
    end = 2 * length.sum(axis=1)[:, None, None]
    here, there = place[:, :, None], place[:, None, :]
    images = (here - there, here + there, here + there - end)
    near = np.stack([np.exp(-0.5 * np.square(gap / spread)) for gap in images]).sum(axis=0)
    rows: Floats = near * length[:, None, :]
    return np.asarray(rows / rows.sum(axis=2, keepdims=True))
