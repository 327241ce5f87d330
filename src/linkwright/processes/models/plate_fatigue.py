"""Fatigue of link plates: dynamic strength by local stress, and what a staircase of tests says.

- `chain_dynamic_strength`: pulsating force that plates bear for good, for ISO 606's requirement
- `staircase_strength`: mean and scatter of a fatigue strength from stepped tests
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_FKM = (
    "FKM guideline, Analytical strength assessment of components: f_W 0.45, a_R 0.22, "
    "R_m,N,min 400 MPa, a_M 0.35, b_M -0.1 for steel, remembered; stress factor of an eye"
)


class DynamicStrength(NamedTuple):
    """Results of `chain_dynamic_strength`."""

    dynamic_strength_N: Values
    """Of the whole chain, pulsating from zero."""
    bearable_amplitude_MPa: Values
    """At the edge of the hole, as much mean stress as amplitude."""
    roughness_factor: Values
    mean_stress_sensitivity: Values


@calculation(
    source=_FKM,
    basis="memory",
    needs={
        "tensile_strength_MPa": POSITIVE,
        "net_stress_factor": POSITIVE,
        "plate_height_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
        "edge_roughness_um": (1.0, 200.0),
        "strands": (1.0, 12.0),
    },
    valid={"tensile_strength_MPa": (400.0, 1400.0)},
)
def chain_dynamic_strength(
    *,
    tensile_strength_MPa: Values,
    net_stress_factor: Values,
    plate_height_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
    edge_roughness_um: Values = 20.0,
    strands: Values = 1.0,
) -> DynamicStrength:
    """Force, pulsating from zero, that the plates of a chain bear for any number of cycles.

        sigma_W = 0.45 Rm,  K_R = 1 - 0.22 lg(Rz) lg(2 Rm/400),  M = 0.35e-3 Rm - 0.1
        sigma_A = K_R sigma_W/(1 + M),  F = 2 n t (h - D) 2 sigma_A/K

    Rm strength of the plate, Rz roughness of the pierced edge in um, K peak over the mean stress
    of the section beside the hole, t, h, D thickness, height, hole, n strands. Pulsating from zero
    amplitude and mean stress are alike.

    What is left out: a pressed pin or bushing, whose peak pulsates less, and shot peening raise
    the strength; a round end closer to the hole than K knows lowers it. So it is a first figure
    until the works' own tests have given a factor.

    References: as the source; ISO 606 asks for a dynamic strength, ISO 15654 tests it at 3e6
    cycles.

    Raises `ArgumentError` for a hole as large as the plate.

    Example:
        >>> got = chain_dynamic_strength(tensile_strength_MPa=1050.0, net_stress_factor=2.9,
        ...     plate_height_mm=20.87, hole_diameter_mm=8.25, plate_thickness_mm=3.05)
        >>> print(round(got.dynamic_strength_N, -2), round(got.bearable_amplitude_MPa))
        15700.0 296
    """
    if np.any(np.asarray(hole_diameter_mm) >= plate_height_mm):
        raise ArgumentError("hole_diameter_mm", hole_diameter_mm, "mm", "below the plate height")
    strength = np.asarray(tensile_strength_MPa, float)
    rough = 1.0 - 0.22 * np.log10(edge_roughness_um) * np.log10(2.0 * strength / 400.0)
    sensitivity = 0.35e-3 * strength - 0.1
    amplitude = rough * 0.45 * strength / (1.0 + sensitivity)
    section = 2.0 * strands * plate_thickness_mm * (plate_height_mm - hole_diameter_mm)
    force = section * 2.0 * amplitude / net_stress_factor
    return DynamicStrength(force[()], amplitude[()], rough[()], sensitivity[()])


class StaircaseStrength(NamedTuple):
    """Results of `staircase_strength`."""

    mean_strength: float
    deviation: float
    counted_tests: float
    """Tests of the rarer outcome, on which the result rests."""
    spread_ratio: float
    """(N B - A^2)/N^2: below 0.3 the deviation is not to be trusted."""


@calculation(
    source="W. J. Dixon and A. M. Mood, A method for obtaining and analyzing sensitivity data, "
    "J. Amer. Statist. Assoc. 43 (1948) 109; ISO 12107 and ISO 15654 use it",
    basis="memory",
)
def staircase_strength(
    *, tested_levels: list[float], broke: list[float], step: float
) -> StaircaseStrength:
    """Mean and standard deviation of a fatigue strength from a staircase of tests.

    Each test is one step lower than the last if that broke, one higher if it ran through. With
    the rarer outcome counted, i steps above its lowest level S0, f_i tests there:

        N = sum f, A = sum i f, B = sum i^2 f
        mean = S0 + d (A/N + 1/2 if they ran through, - 1/2 if they broke)
        s = 1.62 d ((N B - A^2)/N^2 + 0.029)

    tested_levels in one unit, ``broke`` 1 for a broken and 0 for a run-through piece, d the step.

    Validity: step 0.5 to 2 standard deviations; ratio (N B - A^2)/N^2 at least 0.3.

    Raises:
        ArgumentError: lists of different length, no test of one of the outcomes, a step that is
        not positive, levels that are not whole steps apart.

    References: as the source.

    Example:
        >>> got = staircase_strength(tested_levels=[10, 11, 10, 11, 12, 11], step=1.0,
        ...     broke=[0, 1, 0, 0, 1, 1])
        >>> print(round(got.mean_strength, 2), round(got.deviation, 2))
        10.83 0.41
    """
    levels, broken = np.asarray(tested_levels, float), np.asarray(broke, float) > 0.5
    if levels.size != broken.size or not levels.size:
        raise ArgumentError(
            "broke", broken.size, "", f"{levels.size} outcomes, one a test, and a test at least"
        )
    if not step > 0.0:
        raise ArgumentError("step", step, "", "above 0")
    steps = (levels - levels.min()) / step
    if not np.allclose(steps, np.round(steps), atol=1e-6):
        raise ArgumentError("tested_levels", "levels", "", f"whole steps of {step:g} apart")
    if broken.all() or not broken.any():
        raise ArgumentError("broke", "one outcome", "", "pieces that broke and that ran through")
    rarer = bool(broken.sum() <= (~broken).sum())
    counted = levels[broken == rarer]
    above = np.round((counted - counted.min()) / step)
    number, first, second = counted.size, above.sum(), (above**2).sum()
    mean = counted.min() + step * (first / number + (-0.5 if rarer else 0.5))
    ratio = (number * second - first**2) / number**2
    return StaircaseStrength(
        float(mean), float(1.62 * step * (ratio + 0.029)), float(number), float(ratio)
    )
