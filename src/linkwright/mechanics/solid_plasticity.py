"""J2 plasticity with isotropic hardening at large strain, all points at once.

    Steel, steel_of     elastic constants and Swift curve, one value or one a point
    Metal, fresh_metal  what a point remembers: plastic metric and plastic strain
    respond             stresses, consistent moduli, new memory and stored energies

Multiplicative theory with logarithmic (Hencky) elastic strain. With the plastic metric
G = Cp^-1 of the last step the trial elastic left stretch is b = F G F^T = sum l_A^2 n_A n_A and
e_A = ln l_A. Kirchhoff stress in the same axes

    tau_A = k (e_1 + e_2 + e_3) + 2 mu e'_A,      q = sqrt(3/2) |tau'| <= K (e0 + p)^n

The return is radial in logarithmic strain, q_trial - 3 mu dp = K (e0 + p + dp)^n, so plastic
flow keeps the volume exactly. The moduli are the exact derivative of this step and symmetric:
with a_AB = dtau_A/de_B in the axes n_A

    c_AABB = a_AB - 2 tau_A d_AB,    c_ABAB = (tau_A l_B^2 - tau_B l_A^2)/(l_A^2 - l_B^2)

The yield condition is written in Kirchhoff stress, which differs from Cauchy stress by the
elastic change of volume, for steel below one per cent outside the contact.

References: J. C. Simo, Comput. Methods Appl. Mech. Engng 99, 1992, 61-112; E. A. de Souza Neto,
D. Peric and D. R. J. Owen, Computational Methods for Plasticity, 2008, chapters 13 and 14;
H. W. Swift, J. Mech. Phys. Solids 1, 1952.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.solid_element import Floats, as_six

_RETURN_STEPS = 25
_RETURN_CLOSE = 1e-12
_PAIRS = ((0, 1), (1, 2), (0, 2))
_ROWS, _COLUMNS = np.array([0, 1, 2, 0, 1, 0]), np.array([0, 1, 2, 1, 2, 2])


class Steel(NamedTuple):
    """Elastic constants and Swift curve in MPa; numbers, or arrays (elements, 8)."""

    bulk_MPa: Floats
    shear_MPa: Floats
    coefficient_MPa: Floats
    exponent: Floats
    prestrain: Floats


def steel_of(
    elastic_MPa: Floats | float,
    poisson: float,
    coefficient_MPa: Floats | float,
    exponent: Floats | float,
    prestrain: Floats | float,
) -> Steel:
    """A steel from Young's modulus and Poisson's ratio."""
    young = np.asarray(elastic_MPa, dtype=float)
    return Steel(
        young / (3 * (1 - 2 * poisson)),
        young / (2 * (1 + poisson)),
        *(np.asarray(v, dtype=float) for v in (coefficient_MPa, exponent, prestrain)),
    )


class Metal(NamedTuple):
    """Memory of the points."""

    metric: Floats
    """Inverse plastic metric (..., 3, 3)."""
    plastic_strain: Floats
    """Equivalent plastic strain (...)."""


def fresh_metal(shape: tuple[int, ...]) -> Metal:
    """Points that have not flowed."""
    return Metal(np.broadcast_to(np.eye(3), (*shape, 3, 3)).copy(), np.zeros(shape))


class Response(NamedTuple):
    """Answer of the points to a deformation gradient."""

    stress: Floats
    """Kirchhoff stress (..., 6) in MPa."""
    moduli: Callable[[], Floats]
    """Spatial moduli (..., 6, 6) in MPa; made when asked for, as most answers need none."""
    metal: Metal
    elastic: Floats
    """Elastic energy per volume in MPa."""
    plastic: Floats
    """Plastic work per volume in MPa since the beginning."""


def respond(steel: Steel, metal: Metal, gradient: Floats, inverse: Floats) -> Response:
    """Stresses and moduli at deformation gradients (..., 3, 3) with their inverses."""
    trial = gradient @ metal.metric @ np.swapaxes(gradient, -1, -2)
    stretch, axes = np.linalg.eigh(trial)
    strain = np.log(stretch) / 2
    volume = strain.sum(axis=-1)
    deviator = strain - volume[..., None] / 3
    size = np.sqrt(np.square(deviator).sum(axis=-1))
    trial_q = np.sqrt(6.0) * steel.shear_MPa * size
    flowed, slope = _returned(steel, metal.plastic_strain, trial_q)
    safe = np.maximum(trial_q, 1e-300)
    kept = 1 - 3 * steel.shear_MPa * flowed / safe
    pressure = steel.bulk_MPa * volume
    principal = pressure[..., None] + 2 * (steel.shear_MPa * kept)[..., None] * deviator
    back = np.swapaxes(axes, -1, -2)
    stress = as_six(np.matmul(axes * principal[..., None, :], back))

    def moduli() -> Floats:
        direction = deviator / np.maximum(size, 1e-300)[..., None]
        steep = np.where(flowed > 0, 1 / (3 * steel.shear_MPa + slope) - flowed / safe, 0.0)
        dyads = _dyads(axes)
        made = _moduli(steel, stretch, principal, kept, direction, steep)
        spatial: Floats = np.matmul(np.swapaxes(dyads, -1, -2), np.matmul(made, dyads))
        return spatial

    left = kept[..., None] * deviator + volume[..., None] / 3
    elastic_b = np.matmul(axes * np.exp(2 * left)[..., None, :], back)
    metric = inverse @ elastic_b @ np.swapaxes(inverse, -1, -2)
    total = metal.plastic_strain + flowed
    grown = metal if not flowed.any() else Metal(metric, total)
    elastic = steel.bulk_MPa * volume**2 / 2 + steel.shear_MPa * np.square(kept * size)
    return Response(stress, moduli, grown, elastic, work_of(steel, total))


def flow_stress(steel: Steel, strain: Floats) -> Floats:
    """K (e0 + p)^n in MPa."""
    return steel.coefficient_MPa * (steel.prestrain + strain) ** steel.exponent


def work_of(steel: Steel, strain: Floats) -> Floats:
    """Plastic work per volume up to a plastic strain, the integral of the flow stress."""
    power = steel.exponent + 1
    total = (steel.prestrain + strain) ** power - steel.prestrain**power
    return steel.coefficient_MPa * total / power


def _returned(steel: Steel, strain: Floats, trial_q: Floats) -> tuple[Floats, Floats]:
    """Plastic strain of the step and slope of the flow curve after it.

    The residual is convex and falling, so Newton's method from zero rises to the root.
    """
    flowed = np.zeros_like(trial_q)
    active = trial_q > flow_stress(steel, strain)
    for _ in range(_RETURN_STEPS):
        total = steel.prestrain + strain + flowed
        yielding = steel.coefficient_MPa * total**steel.exponent
        slope = steel.exponent * yielding / total
        residual = np.where(active, trial_q - 3 * steel.shear_MPa * flowed - yielding, 0.0)
        flowed = flowed + residual / (3 * steel.shear_MPa + slope)
        if np.all(residual <= _RETURN_CLOSE * yielding):
            break
    return np.maximum(flowed, 0.0), slope


def _dyads(axes: Floats) -> Floats:
    """Six components (columns) of n_A n_A and of the symmetric parts of n_A n_B (rows)."""
    first, second = axes[..., :, _ROWS], axes[..., :, _COLUMNS]
    rows = np.swapaxes(first, -1, -2)[..., :, None] * np.swapaxes(second, -1, -2)[..., None, :]
    six: Floats = as_six(rows + np.swapaxes(rows, -1, -2)) / 2
    return six


def _moduli(
    steel: Steel,
    stretch: Floats,
    principal: Floats,
    kept: Floats,
    direction: Floats,
    steep: Floats,
) -> Floats:
    """Moduli in the principal axes, (..., 6, 6), shear rows for the dyads of `_dyads`."""
    made = np.zeros((*kept.shape, 6, 6))
    soft = 2 * steel.shear_MPa * kept
    plastic = 6 * np.square(steel.shear_MPa) * steep
    for a in range(3):
        for b in range(3):
            made[..., a, b] = steel.bulk_MPa - soft / 3
            made[..., a, b] -= plastic * direction[..., a] * direction[..., b]
        made[..., a, a] += soft - 2 * principal[..., a]
    for row, (a, b) in enumerate(_PAIRS, start=3):
        gap = (stretch[..., a] - stretch[..., b]) / stretch[..., b]
        near = np.abs(gap) < 1e-8
        safe = np.where(near, 1.0, gap)
        ratio = np.where(near, 1 - gap / 2, np.log1p(safe) / safe)
        made[..., row, row] = 4 * (soft / 2 * ratio - principal[..., b])
    return made
