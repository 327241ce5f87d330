"""Path of a chain round two sprockets: length, centre distance, wrap, chordal action.

`chain_length`, `centre_distance` and `centre_distance_pitches` (the parabola that handbooks
use), `iso10823_centre_distance_factor` and `iso10823_centre_distance` (exact for tangents on
circles of circumference z p), `wrap_angles`, `chordal_speed_variation`,
`chain_speed_extremes`, `sprocket_pair`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.sprocket import TEETH, pitch_circle
from linkwright.quantities import ArgumentError

_PAIR = {"teeth_small": TEETH, "teeth_large": TEETH}
_SHIGLEY = "Shigley's Mechanical Engineering Design, 9th and 10th ed., roller chain"
_NEWTON_STEPS = 60
_CONVERGED = 1e-15


class CentreDistance(NamedTuple):
    """Results of `centre_distance` and `iso10823_centre_distance`."""

    centre_distance_pitches: Values
    centre_distance_mm: Values


class WrapAngles(NamedTuple):
    """Results of `wrap_angles`."""

    wrap_angle_small_deg: Values
    wrap_angle_large_deg: Values


class ChordalAction(NamedTuple):
    """Results of `chordal_speed_variation`."""

    variation_over_mean: Values
    least_over_greatest_speed: Values


class SpeedExtremes(NamedTuple):
    """Results of `chain_speed_extremes`."""

    greatest_chain_speed_m_per_s: Values
    least_chain_speed_m_per_s: Values
    mean_chain_speed_m_per_s: Values


class SprocketPair(NamedTuple):
    """Results of `sprocket_pair`."""

    pitch_diameter_small_mm: Values
    pitch_diameter_large_mm: Values
    pitch_line_speed_m_per_s: Values
    speed_ratio: Values
    speed_large_rpm: Values


@calculation(
    source=f"{_SHIGLEY}, chain length (eq. 17-34 of the 10th ed.); ISO 10823:2004",
    gives="chain_length_pitches",
    needs={
        **_PAIR,
        "centre_distance_pitches": POSITIVE,
        "centre_distance_mm": POSITIVE,
        "pitch_mm": POSITIVE,
    },
)
def chain_length(
    *,
    teeth_small: Values,
    teeth_large: Values,
    centre_distance_pitches: Values = None,
    centre_distance_mm: Values = None,
    pitch_mm: Values = None,
) -> Values:
    """Length of an endless chain in pitches, not rounded.

    L/p = 2 C/p + (N1 + N2)/2 + ((N2 - N1)/(2 pi))^2 p/C. The chain made has the next whole number
    of pitches, even if no cranked link is wanted. C in pitches, or as a length with the pitch.

    Raises:
        ArgumentError: neither a centre distance in pitches nor one as a length with the pitch.

    References: Shigley, 10th ed., eq. 17-34; ISO 10823:2004 (X0 with f3).

    Example:
        >>> round(chain_length(teeth_small=19, teeth_large=57, centre_distance_pitches=40.0), 3)
        118.914
    """
    centres = centre_distance_pitches
    if centres is None:
        if centre_distance_mm is None or pitch_mm is None:
            reason = "is needed, or centre_distance_mm and pitch_mm"
            raise ArgumentError("centre_distance_pitches", "none", "", "a distance", reason)
        centres = centre_distance_mm / pitch_mm
    across = (teeth_large - teeth_small) / (2.0 * np.pi)
    return 2.0 * centres + (teeth_small + teeth_large) / 2.0 + across**2 / centres


@calculation(
    source=f"{_SHIGLEY}, centre distance (eq. 17-35 of the 10th ed.)",
    gives="centre_distance_pitches",
    needs={**_PAIR, "chain_length_pitches": POSITIVE},
)
def centre_distance_pitches(
    *, teeth_small: Values, teeth_large: Values, chain_length_pitches: Values
) -> Values:
    """Centre distance in pitches for a chain of given length: the inverse of `chain_length`.

    C/p = (1/4) [-A + sqrt(A^2 - 8 ((N2 - N1)/(2 pi))^2)], A = (N1 + N2)/2 - L/p.

    Raises:
        ArgumentError: a chain too short to go round both sprockets.

    References: Shigley, 10th ed., eq. 17-35; Machinery's Handbook, Center Distance for a Given
    Chain Length.

    Example:
        >>> found = centre_distance_pitches(
        ...     teeth_small=19, teeth_large=57, chain_length_pitches=120
        ... )
        >>> round(found, 3)
        40.549
    """
    return _centres(teeth_small, teeth_large, chain_length_pitches)


@calculation(
    source=f"{_SHIGLEY}, centre distance (eq. 17-35 of the 10th ed.)",
    needs={**_PAIR, "chain_length_pitches": POSITIVE, "pitch_mm": POSITIVE},
)
def centre_distance(
    *, teeth_small: Values, teeth_large: Values, chain_length_pitches: Values, pitch_mm: Values
) -> CentreDistance:
    """Centre distance in pitches and as a length, see `centre_distance_pitches`.

    Raises:
        ArgumentError: a chain too short to go round both sprockets.

    References: Shigley, 10th ed., eq. 17-35.

    Example:
        >>> found = centre_distance(
        ...     teeth_small=19, teeth_large=57, chain_length_pitches=120, pitch_mm=12.7
        ... )
        >>> round(found.centre_distance_mm, 1)
        515.0
    """
    pitches = _centres(teeth_small, teeth_large, chain_length_pitches)
    return CentreDistance(pitches, pitches * pitch_mm)


def _centres(teeth_small: Values, teeth_large: Values, length: Values) -> Values:
    half = (teeth_small + teeth_large) / 2.0 - length
    rest = half**2 - 8.0 * ((teeth_large - teeth_small) / (2.0 * np.pi)) ** 2
    if np.any(np.asarray(half) >= 0.0) or np.any(np.asarray(rest) < 0.0):
        least = (teeth_small + teeth_large) / 2.0
        least = least + np.sqrt(8.0) * np.abs(teeth_large - teeth_small) / (2.0 * np.pi)
        accepted = f"above {float(np.max(least)):.4g} pitches for these sprockets"
        shown = float(np.min(length))
        raise ArgumentError("chain_length_pitches", f"{shown:g}", "", accepted, "is too short")
    return (np.sqrt(rest) - half) / 4.0


@calculation(
    source="ISO 10823:2004, table of the centre distance factor f4; DIN 8195",
    gives="centre_distance_factor",
    needs={"length_ratio": (1.0 + 1e-9, None)},
    basis="computed",
)
def iso10823_centre_distance_factor(*, length_ratio: Values) -> Values:
    """Centre distance factor f4 for (X - z1)/(z2 - z1): a = f4 p (2 X - z1 - z2).

    Tangents to two circles of circumference z p: cot t + t = pi (r - 1/2) for the angle t between
    tangent and line of centres, then f4 = 1/(4 (cos t + t sin t)); r the length ratio. This gives
    the table of the standard, at times one off in its fifth digit. Newton from below.

    References: ISO 10823:2004; derived from the open belt.

    Example:
        >>> round(iso10823_centre_distance_factor(length_ratio=3.0), 5)
        0.24795
    """
    return _factor(np.asarray(length_ratio, dtype=float))


@calculation(
    source="ISO 10823:2004, centre distance with the factor f4",
    needs={**_PAIR, "chain_length_pitches": POSITIVE, "pitch_mm": POSITIVE},
    basis="computed",
)
def iso10823_centre_distance(
    *, teeth_small: Values, teeth_large: Values, chain_length_pitches: Values, pitch_mm: Values
) -> CentreDistance:
    """Greatest centre distance of a drive, a = f4 p (2 X - z1 - z2).

    Exact for tangents on circles of circumference z p; sprockets of one size: a = p (X - z)/2.
    Set by this less a little, so that the slack side sags.

    Raises:
        ArgumentError: a chain not longer than the large sprocket's circumference.

    References: ISO 10823:2004, f4 as in `iso10823_centre_distance_factor`.

    Example:
        >>> found = iso10823_centre_distance(
        ...     teeth_small=19, teeth_large=57, chain_length_pitches=120, pitch_mm=12.7
        ... )
        >>> round(found.centre_distance_pitches, 3)
        40.548
    """
    difference = np.abs(np.asarray(teeth_large - teeth_small, dtype=float))
    small = np.minimum(teeth_small, teeth_large)
    free = np.asarray(chain_length_pitches - small, dtype=float)
    if np.any(free <= difference * (1.0 + 1e-9)) or np.any(free <= 0.0):
        accepted = "more pitches than the large sprocket has teeth"
        shown = float(np.min(chain_length_pitches))
        raise ArgumentError("chain_length_pitches", f"{shown:g}", "", accepted, "is too short")
    ratio = np.divide(free, difference, out=np.full(np.shape(free + difference), 1e9),
                      where=difference > 0.0)  # fmt: skip
    pitches = _factor(ratio) * (2.0 * chain_length_pitches - teeth_small - teeth_large)
    return CentreDistance(pitches, pitches * pitch_mm)


def _factor(ratio: np.ndarray) -> Values:
    """f4 by Newton's method; cot t + t falls and is convex, so from a low t it goes one way."""
    aim = np.pi * (ratio - 0.5)
    t = np.minimum(1.0 / aim, np.pi / 2)
    for _ in range(_NEWTON_STEPS):
        step = (1.0 / np.tan(t) + t - aim) * np.tan(t) ** 2
        t = np.minimum(t + step, np.pi / 2)
        if np.all(np.abs(step) <= _CONVERGED):
            break
    return 0.25 / (np.cos(t) + t * np.sin(t))


@calculation(
    source="Geometry of the open belt on the pitch circles",
    needs={**_PAIR, "centre_distance_pitches": POSITIVE},
    basis="computed",
)
def wrap_angles(
    *, teeth_small: Values, teeth_large: Values, centre_distance_pitches: Values
) -> WrapAngles:
    """Angle of wrap on both sprockets, 180 deg -/+ 2 asin((D2 - D1)/(2 C)).

    Pitch diameters and C in pitches. Common practice (no source) wants 120 degrees at least on the
    small sprocket.

    Raises:
        ArgumentError: centres closer than the difference of the pitch radii.

    References: geometry.

    Example:
        >>> found = wrap_angles(teeth_small=19, teeth_large=57, centre_distance_pitches=40.0)
        >>> round(found.wrap_angle_small_deg, 1)
        162.6
    """
    half = tangent_angle(teeth_small, teeth_large, centre_distance_pitches)
    return WrapAngles(180.0 - 2.0 * np.degrees(half), 180.0 + 2.0 * np.degrees(half))


def tangent_angle(teeth_small: Values, teeth_large: Values, centre_pitches: Values) -> Values:
    """Angle between a tangent strand and the line of centres, in radians.

    Raises `ArgumentError` for centres closer than the difference of the pitch radii.
    """
    difference = pitch_circle(1.0, teeth_large) - pitch_circle(1.0, teeth_small)
    sine = difference / (2.0 * np.asarray(centre_pitches, dtype=float))
    if np.any(np.abs(sine) >= 1.0):
        accepted = f"above {float(np.max(np.abs(difference))) / 2.0:.4g} pitches"
        shown = f"{float(np.min(centre_pitches)):g}"
        raise ArgumentError("centre_distance_pitches", shown, "", accepted, "is too small")
    return np.arcsin(sine)


@calculation(source=f"{_SHIGLEY}, chordal speed variation (section 17-5)", needs={"teeth": TEETH})
def chordal_speed_variation(*, teeth: Values) -> ChordalAction:
    """Speed variation of a chain by chordal action of a sprocket turning evenly.

    (vmax - vmin)/v = (pi/N) [1/sin(180/N) - 1/tan(180/N)]; vmin/vmax = cos(180/N), v the mean.

    References: Shigley, section 17-5.

    Example:
        >>> round(chordal_speed_variation(teeth=11).variation_over_mean, 5)
        0.04106
    """
    angle = np.pi / np.asarray(teeth, dtype=float)
    return ChordalAction(angle * np.tan(angle / 2.0), np.cos(angle))


@calculation(
    source=f"{_SHIGLEY}, exit speed of the chain (section 17-5)",
    needs={"pitch_mm": POSITIVE, "teeth": TEETH, "speed_rpm": POSITIVE},
)
def chain_speed_extremes(*, pitch_mm: Values, teeth: Values, speed_rpm: Values) -> SpeedExtremes:
    """Greatest, least and mean speed of a chain leaving a sprocket.

    vmax = pi D n, vmin = pi D n cos(180/N) with D = p/sin(180/N); mean v = N p n.

    References: Shigley, section 17-5.

    Example:
        >>> found = chain_speed_extremes(pitch_mm=25.4, teeth=17, speed_rpm=300.0)
        >>> round(found.mean_chain_speed_m_per_s, 3), round(found.greatest_chain_speed_m_per_s, 3)
        (2.159, 2.171)
    """
    greatest = np.pi * pitch_circle(pitch_mm, teeth) * speed_rpm / 60e3
    least = greatest * np.cos(np.pi / np.asarray(teeth, dtype=float))
    return SpeedExtremes(greatest, least, pitch_mm * teeth * speed_rpm / 60e3)


@calculation(
    source="R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, 2005, chapter 21",
    needs={**_PAIR, "pitch_mm": POSITIVE, "speed_rpm": POSITIVE},
    basis="published",
)
def sprocket_pair(
    *, pitch_mm: Values, teeth_small: Values, teeth_large: Values, speed_rpm: Values
) -> SprocketPair:
    """Pitch diameters of both sprockets, pitch line speed and speed of the large sprocket.

    d = p/sin(180/z); v = pi d1 n1/60; ratio z2/z1; n2 = n1 z1/z2. ``speed_rpm`` is that of the
    small sprocket.

    References: Khurmi and Gupta, 2005, Example 21.1.

    Example:
        >>> pair = sprocket_pair(pitch_mm=19.05, teeth_small=25, teeth_large=72, speed_rpm=1000.0)
        >>> round(pair.pitch_diameter_small_mm, 1), round(pair.pitch_line_speed_m_per_s, 2)
        (152.0, 7.96)
    """
    small = pitch_circle(pitch_mm, teeth_small)
    ratio = teeth_large / np.asarray(teeth_small, dtype=float)
    return SprocketPair(
        small,
        pitch_circle(pitch_mm, teeth_large),
        np.pi * small * speed_rpm / 60e3,
        ratio,
        speed_rpm / ratio,
    )
