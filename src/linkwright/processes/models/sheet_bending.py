"""Bending of sheet and strip: developed length, force, springback, curled bushes.

- `bend_allowance`, `v_bending_force`, `sheet_bend`: length of the bend, blank and force
- `din6935_factor`, `din6935_length`, `curled_bush_strip`: developed length by DIN 6935
- `sheet_springback`: radius and angle after release, and the tool angle
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_GROOVER = "M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), "
_SHARP_BELOW = 2.0
_DIN_FULL_FROM = 5.0


class SheetBend(NamedTuple):
    """Results of `sheet_bend`."""

    bend_allowance_mm: Values
    blank_length_mm: Values
    bending_force_N: Values


class CurledBush(NamedTuple):
    """Results of `curled_bush_strip`."""

    k: Values
    strip_length_mm: Values


class SheetSpringback(NamedTuple):
    """Results of `sheet_springback`."""

    RiY_over_ET: Values
    Ri_over_Rf: Values
    final_radius_mm: Values
    springback_factor: Values
    tool_bend_angle_deg: Values


@calculation(
    source=_GROOVER + "Sec. 19.2 (bend allowance)",
    gives="bend_allowance_mm",
    needs={
        "thickness_mm": POSITIVE,
        "inner_radius_mm": NOT_NEGATIVE,
        "bend_angle_deg": NOT_NEGATIVE,
        "K_ba": (0.0, 1.0),
    },
)
def bend_allowance(
    *, thickness_mm: Values, inner_radius_mm: Values, bend_angle_deg: Values, K_ba: Values = None
) -> Values:
    """Length of the neutral fibre in a bend, 2 pi (angle/360)(R + Kba t).

    Kba is given, or 0.33 for R/t below 2 and 0.50 from there on.

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Sec. 19.2.

    Example:
        >>> print(round(bend_allowance(thickness_mm=3.2, inner_radius_mm=4.75,
        ...                            bend_angle_deg=60.0), 2))
        6.08
    """
    if K_ba is None:
        ratio = np.asarray(inner_radius_mm, float) / thickness_mm
        K_ba = np.where(ratio < _SHARP_BELOW, 0.33, 0.5)[()]
    return np.radians(bend_angle_deg) * (inner_radius_mm + K_ba * thickness_mm)


@calculation(
    source=_GROOVER + "Sec. 19.2 (bending force)",
    gives="bending_force_N",
    needs={
        "tensile_strength_MPa": POSITIVE,
        "width_mm": POSITIVE,
        "thickness_mm": POSITIVE,
        "die_opening_mm": POSITIVE,
        "K_bf": POSITIVE,
    },
)
def v_bending_force(
    *,
    tensile_strength_MPa: Values,
    width_mm: Values,
    thickness_mm: Values,
    die_opening_mm: Values,
    K_bf: Values = 1.33,
) -> Values:
    """Greatest bending force F = Kbf UTS w t^2/D; Kbf = 1.33 in a V-die, 0.33 at an edge.

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Sec. 19.2.

    Example:
        >>> print(round(v_bending_force(tensile_strength_MPa=450.0, width_mm=44.5,
        ...                             thickness_mm=3.2, die_opening_mm=25.0)))
        10909
    """
    return K_bf * tensile_strength_MPa * width_mm * thickness_mm**2 / die_opening_mm


@calculation(
    source=_GROOVER + "Sec. 19.2, Example 19.2",
    needs={"leg_lengths_mm": NOT_NEGATIVE},
)
def sheet_bend(
    *,
    thickness_mm: Values,
    inner_radius_mm: Values,
    bend_angle_deg: Values,
    leg_lengths_mm: Values,
    width_mm: Values,
    tensile_strength_MPa: Values,
    die_opening_mm: Values,
    K_ba: Values = None,
    K_bf: Values = 1.33,
) -> SheetBend:
    """Bend allowance, blank length and bending force of one V-bend.

    The blank is the allowance and the straight legs; the last axis of the leg lengths is
    the legs. See `bend_allowance` and `v_bending_force`.

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Example 19.2.

    Example:
        >>> bend = sheet_bend(thickness_mm=3.2, inner_radius_mm=4.75, bend_angle_deg=60.0,
        ...     leg_lengths_mm=[38.0, 25.0], width_mm=44.5, tensile_strength_MPa=450.0,
        ...     die_opening_mm=25.0)
        >>> print(round(bend.blank_length_mm, 2))
        69.08
    """
    allowance = bend_allowance(
        thickness_mm=thickness_mm,
        inner_radius_mm=inner_radius_mm,
        bend_angle_deg=bend_angle_deg,
        K_ba=K_ba,
    )
    force = v_bending_force(
        tensile_strength_MPa=tensile_strength_MPa,
        width_mm=width_mm,
        thickness_mm=thickness_mm,
        die_opening_mm=die_opening_mm,
        K_bf=K_bf,
    )
    straight = np.sum(np.atleast_1d(leg_lengths_mm), axis=-1)
    return SheetBend(allowance, allowance + straight, force)


@calculation(
    source="DIN 6935",
    gives="k",
    basis="memory",
    needs={"inner_radius_over_thickness": POSITIVE},
)
def din6935_factor(*, inner_radius_over_thickness: Values) -> Values:
    """Correction factor k for the developed length, 0.65 + 0.5 log10(r/s) up to r/s = 5, then 1.

    Not below 0, which it would be from r/s = 0.05 down.

    References: DIN 6935, cold bending of flat rolled steel.

    Example:
        >>> print(round(din6935_factor(inner_radius_over_thickness=2.0), 4))
        0.8005
    """
    ratio = np.asarray(inner_radius_over_thickness, float)
    factor = np.maximum(0.65 + 0.5 * np.log10(ratio), 0.0)
    return np.where(ratio > _DIN_FULL_FROM, 1.0, factor)[()]


@calculation(
    source="DIN 6935",
    gives="bend_length_mm",
    basis="memory",
    needs={
        "inner_radius_mm": POSITIVE,
        "thickness_mm": POSITIVE,
        "bend_angle_deg": NOT_NEGATIVE,
    },
)
def din6935_length(
    *, inner_radius_mm: Values, thickness_mm: Values, bend_angle_deg: Values
) -> Values:
    """Developed length of a bend, angle (r + k s/2), the angle in radians, k of DIN 6935.

    References: DIN 6935, cold bending of flat rolled steel.

    Example:
        >>> print(round(din6935_length(inner_radius_mm=2.5, thickness_mm=1.5,
        ...                            bend_angle_deg=360.0), 3))
        19.294
    """
    k = din6935_factor(inner_radius_over_thickness=inner_radius_mm / thickness_mm)
    return np.radians(bend_angle_deg) * (inner_radius_mm + k * thickness_mm / 2.0)


@calculation(
    source="DIN 6935 factor applied to a full turn",
    basis="computed",
    needs={"inner_radius_mm": POSITIVE, "thickness_mm": POSITIVE},
)
def curled_bush_strip(*, inner_radius_mm: Values, thickness_mm: Values) -> CurledBush:
    """Strip length of a curled bush, L = 2 pi (r + k s/2), the joint closed without a gap.

    A convention for the neutral fibre, not a measured bush: try the first strip.

    References: DIN 6935, cold bending of flat rolled steel.

    Example:
        >>> bush = curled_bush_strip(inner_radius_mm=2.5, thickness_mm=1.5)
        >>> print(round(bush.k, 4), round(bush.strip_length_mm, 3))
        0.7609 19.294
    """
    k = din6935_factor(inner_radius_over_thickness=inner_radius_mm / thickness_mm)
    return CurledBush(k, 2.0 * np.pi * (inner_radius_mm + k * thickness_mm / 2.0))


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), Sec. 16.5 (Gardiner's cubic)",
    basis="memory",
    needs={
        "thickness_mm": POSITIVE,
        "inner_radius_mm": POSITIVE,
        "yield_MPa": NOT_NEGATIVE,
        "E_MPa": POSITIVE,
        "final_angle_deg": NOT_NEGATIVE,
    },
)
def sheet_springback(
    *,
    thickness_mm: Values,
    inner_radius_mm: Values,
    yield_MPa: Values,
    E_MPa: Values,
    final_angle_deg: Values = 90.0,
) -> SheetSpringback:
    """Radius after release, springback factor and tool angle of a sheet bend.

    Ri/Rf = 4 x^3 - 3 x + 1, x = Ri Y/(E T); Ks = (2 Ri/T + 1)/(2 Rf/T + 1); the tool bends
    by the final angle over Ks.

    Raises `ArgumentError` from x = 0.5 on: the sheet stays elastic and springs straight.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th
    ed. (2010), Sec. 16.5; F. J. Gardiner, Trans. ASME 79 (1957) 1.

    Example:
        >>> bend = sheet_springback(thickness_mm=0.9119, inner_radius_mm=12.7,
        ...                         yield_MPa=275.79, E_MPa=199948.0)
        >>> print(round(bend.Ri_over_Rf, 3), round(bend.tool_bend_angle_deg, 1))
        0.942 95.3
    """
    x = inner_radius_mm * yield_MPa / (E_MPa * thickness_mm)
    if np.any(np.asarray(x) >= 0.5):
        accepted = "below half of E T/Y, else the sheet springs straight"
        raise ArgumentError("inner_radius_mm", inner_radius_mm, "mm", accepted)
    ratio = 4.0 * x**3 - 3.0 * x + 1.0
    final = inner_radius_mm / ratio
    factor = (2.0 * inner_radius_mm / thickness_mm + 1.0) / (2.0 * final / thickness_mm + 1.0)
    return SheetSpringback(x, ratio, final, factor, final_angle_deg / factor)
