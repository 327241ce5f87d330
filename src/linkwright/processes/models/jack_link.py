"""Sizes of a single jack chain link: aims, wire in it, what the bent link measures.

- `jack_link_sizes`: mean diameter of the eyes, neck
- `jack_eye_wire`, `jack_cut_length`, `jack_eye_wires`: wire in an eye, in the link, as fed
- `formed_eye`, `eye_inner_diameter`, `jack_eye_gap`, `gap_over_wire`,
  `jack_pitch`, `jack_length_over`: bent link
- `c_bend_angle`, `c_bend_opening`, `arm_angle`, `closing_angle`: the two bends of an eye
- `wider_eye`, `band_about`: which eye opens first; limits about a value
- `feed_share`: part of a cycle in which the wire is fed

An eye is an arc of constant radius that starts where the neck meets it; the neck lies on the
line through the centres of both eyes. The gap is the free way between the wire's end and the
neck, whose own half thickness is taken off.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_EYE = "plane geometry of an eye: an arc that ends before the neck"
_EYE_NEEDS = {"wire_diameter_mm": POSITIVE, "eye_mean_diameter_mm": POSITIVE}


class JackSizes(NamedTuple):
    """Results of `jack_link_sizes`."""

    eye_mean_diameter_mm: Values
    neck_length_mm: Values


class EyeWires(NamedTuple):
    """Results of `jack_eye_wires`: wire from the neck to the end, in either eye."""

    first_eye_wire_mm: Values
    second_eye_wire_mm: Values


class WiderEye(NamedTuple):
    """Results of `wider_eye`."""

    eye_mean_diameter_mm: Values
    gap_mm: Values


class Band(NamedTuple):
    """Results of `band_about`, in the unit of the value."""

    least: Values
    greatest: Values


class FormedEye(NamedTuple):
    """Results of `formed_eye`."""

    eye_mean_radius_mm: Values
    eye_mean_diameter_mm: Values
    eye_inner_diameter_mm: Values


@calculation(
    source="Geometry: two full eyes, neck on the line of centres (inverse of "
    "`jack_chain_blank_radial`)",
    basis="computed",
    needs={
        "wire_diameter_mm": POSITIVE,
        "eye_inner_diameter_mm": POSITIVE,
        "pitch_mm": POSITIVE,
    },
)
def jack_link_sizes(
    *, wire_diameter_mm: Values, eye_inner_diameter_mm: Values, pitch_mm: Values
) -> JackSizes:
    """Mean eye diameter D = Di + d and neck s = p - 2 D + d of a single jack chain link.

    p is the inner length eye to eye.

    Raises `ArgumentError` for a pitch that leaves no neck between the eyes.

    References: plane geometry.

    Example:
        >>> print(jack_link_sizes(wire_diameter_mm=2.5, eye_inner_diameter_mm=6.5, pitch_mm=21.5))
        JackSizes(eye_mean_diameter_mm=9.0, neck_length_mm=6.0)
    """
    mean = eye_inner_diameter_mm + wire_diameter_mm
    neck = pitch_mm - 2.0 * mean + wire_diameter_mm
    neck = np.where(np.abs(neck) < 1e-12 * pitch_mm, 0.0, neck)[()]
    if np.any(np.asarray(neck) < 0.0):
        least = f"at least {float(np.max(2.0 * mean - wire_diameter_mm)):g} mm, two whole eyes"
        raise ArgumentError("pitch_mm", float(np.min(pitch_mm)), "mm", least)
    return JackSizes(mean, neck)


@calculation(
    source=_EYE,
    gives="eye_wire_mm",
    basis="computed",
    needs={**_EYE_NEEDS, "gap_mm": NOT_NEGATIVE},
)
def jack_eye_wire(
    *, wire_diameter_mm: Values, eye_mean_diameter_mm: Values, gap_mm: Values
) -> Values:
    """Wire in an eye with a gap, R (2 pi - 2 asin((g + d/2)/(2 R))), measured at its centre.

    R is the radius of the centre line. The end stays g away from the surface of the neck,
    whose centre lies d/2 behind it.

    Raises `ArgumentError` for a gap that is wider than the eye.

    References: plane geometry.

    Example:
        >>> print(round(jack_eye_wire(wire_diameter_mm=2.68, eye_mean_diameter_mm=9.0,
        ...                           gap_mm=0.5), 2))
        26.42
    """
    share = (gap_mm + wire_diameter_mm / 2.0) / eye_mean_diameter_mm
    if np.any(np.asarray(share) >= 1.0):
        raise ArgumentError("gap_mm", float(np.max(gap_mm)), "mm", "less than the eye is wide")
    return eye_mean_diameter_mm * (np.pi - np.arcsin(share))


@calculation(
    source="wire of both eyes and the neck",
    gives="cut_length_mm",
    basis="computed",
    needs={"eye_wire_mm": POSITIVE, "neck_length_mm": NOT_NEGATIVE},
)
def jack_cut_length(*, eye_wire_mm: Values, neck_length_mm: Values) -> Values:
    """Length to cut for one link: the wire of two eyes and the neck.

    References: bending at constant length of the centre line.
    """
    return 2.0 * eye_wire_mm + neck_length_mm


@calculation(
    source="wire of both eyes and the neck; what the feed is off goes from one eye to the other",
    basis="computed",
    needs={"cut_length_mm": POSITIVE, "neck_length_mm": NOT_NEGATIVE},
)
def jack_eye_wires(
    *, cut_length_mm: Values, neck_length_mm: Values, feed_shift_mm: Values = 0.0
) -> EyeWires:
    """Wire left for either eye: half of what the neck leaves, the feed's shift apart.

    References: as `jack_cut_length`.

    Example:
        >>> print(jack_eye_wires(cut_length_mm=59.0, neck_length_mm=6.0, feed_shift_mm=0.1)[0])
        26.6
    """
    half = (cut_length_mm - neck_length_mm) / 2.0
    return EyeWires(half + feed_shift_mm, half - feed_shift_mm)


@calculation(
    source="plane geometry; the works' own factor on the radius after release",
    basis="computed",
    needs={"loaded_radius_mm": POSITIVE, "mean_radius_mm": POSITIVE, "wire_diameter_mm": POSITIVE},
)
def formed_eye(
    *,
    loaded_radius_mm: Values,
    mean_radius_mm: Values,
    wire_diameter_mm: Values,
    springback_factor: Values = 1.0,
) -> FormedEye:
    """Mean radius, mean and inner diameter of an eye after release, from R0 + f (R - R0).

    R0 radius of the centre line on the finger, R after release by theory; f scales what
    springs back and is learned from the works' own links.

    References: plane geometry.
    """
    released = loaded_radius_mm + springback_factor * (mean_radius_mm - loaded_radius_mm)
    return FormedEye(released, 2.0 * released, 2.0 * released - wire_diameter_mm)


@calculation(
    source="plane geometry", gives="eye_inner_diameter_mm", basis="computed", needs=_EYE_NEEDS
)
def eye_inner_diameter(*, wire_diameter_mm: Values, eye_mean_diameter_mm: Values) -> Values:
    """Inner diameter of an eye, D - d.

    References: plane geometry.
    """
    return eye_mean_diameter_mm - wire_diameter_mm


@calculation(
    source=_EYE, gives="gap_mm", basis="computed", needs={**_EYE_NEEDS, "eye_wire_mm": POSITIVE}
)
def jack_eye_gap(
    *, wire_diameter_mm: Values, eye_mean_diameter_mm: Values, eye_wire_mm: Values
) -> Values:
    """Gap of an eye, 2 R sin(pi - a/(2 R)) - d/2, a the wire from the neck to the end.

    Below 0 there is more wire than room: the end meets the neck before the eye is round.

    References: plane geometry; inverse of `jack_eye_wire`.

    Example:
        >>> print(round(jack_eye_gap(wire_diameter_mm=2.68, eye_mean_diameter_mm=9.0,
        ...                          eye_wire_mm=26.42), 2))
        0.5
    """
    missing = np.pi - eye_wire_mm / eye_mean_diameter_mm
    return eye_mean_diameter_mm * np.sin(missing) - wire_diameter_mm / 2.0


@calculation(
    source="definition", gives="gap_ratio", basis="computed", needs={"wire_diameter_mm": POSITIVE}
)
def gap_over_wire(*, gap_mm: Values, wire_diameter_mm: Values) -> Values:
    """Gap over wire diameter; from 1 on the neighbour slips out by itself.

    References: none needed.
    """
    return gap_mm / wire_diameter_mm


@calculation(source="the greater of two sizes", basis="computed")
def wider_eye(
    *,
    first_eye_mean_diameter_mm: Values,
    second_eye_mean_diameter_mm: Values,
    first_gap_mm: Values,
    second_gap_mm: Values,
) -> WiderEye:
    """Greater mean diameter and greater gap of a link's two eyes: the eye that opens first.

    Where these are not of the same eye both count together, which is on the safe side.

    References: none needed.
    """
    return WiderEye(
        np.maximum(first_eye_mean_diameter_mm, second_eye_mean_diameter_mm),
        np.maximum(first_gap_mm, second_gap_mm),
    )


@calculation(source="tolerance about a value", basis="computed")
def band_about(*, value: Values, tolerance_percent: Values) -> Band:
    """Least and greatest of a size with a tolerance in per cent on either side.

    References: none needed.
    """
    part = value * tolerance_percent / 100.0
    return Band(value - part, value + part)


@calculation(
    source="Geometry: neck on the line of centres, as in `jack_chain_blank_radial`",
    gives="pitch_mm",
    basis="computed",
    needs={"neck_length_mm": NOT_NEGATIVE, "wire_diameter_mm": POSITIVE},
)
def jack_pitch(
    *,
    neck_length_mm: Values,
    first_eye_mean_diameter_mm: Values,
    second_eye_mean_diameter_mm: Values,
    wire_diameter_mm: Values,
) -> Values:
    """Inner length eye to eye, s + D1 + D2 - d, where the eyes are not quite alike.

    References: plane geometry.

    Example:
        >>> print(jack_pitch(neck_length_mm=6.0, first_eye_mean_diameter_mm=9.0,
        ...                  second_eye_mean_diameter_mm=9.0, wire_diameter_mm=2.5))
        21.5
    """
    eyes = first_eye_mean_diameter_mm + second_eye_mean_diameter_mm
    return neck_length_mm + eyes - wire_diameter_mm


@calculation(
    source="plane geometry",
    gives="length_over_mm",
    basis="computed",
    needs={"pitch_mm": POSITIVE, "wire_diameter_mm": POSITIVE},
)
def jack_length_over(*, pitch_mm: Values, wire_diameter_mm: Values) -> Values:
    """Length over a link: inner length and two wires.

    References: plane geometry.
    """
    return pitch_mm + 2.0 * wire_diameter_mm


@calculation(
    source=_EYE,
    gives="bend_angle_deg",
    basis="computed",
    needs={**_EYE_NEEDS, "opening_mm": NOT_NEGATIVE},
)
def c_bend_angle(
    *, wire_diameter_mm: Values, eye_mean_diameter_mm: Values, opening_mm: Values
) -> Values:
    """Angle of the open C whose mouth is free by ``opening``: 360 - 2 asin((o + d)/(2 R)).

    Raises `ArgumentError` for a mouth that is wider than the eye.

    References: plane geometry; inverse of `c_bend_opening`.
    """
    share = (opening_mm + wire_diameter_mm) / eye_mean_diameter_mm
    if np.any(np.asarray(share) > 1.0):
        most = f"at most {float(np.min(eye_mean_diameter_mm - wire_diameter_mm)):g} mm"
        raise ArgumentError("opening_mm", float(np.max(opening_mm)), "mm", most)
    return 360.0 - 2.0 * np.degrees(np.arcsin(share))


@calculation(
    source=_EYE,
    gives="opening_mm",
    basis="computed",
    needs={**_EYE_NEEDS, "bend_angle_deg": (180.0, 360.0)},
)
def c_bend_opening(
    *, wire_diameter_mm: Values, eye_mean_diameter_mm: Values, bend_angle_deg: Values
) -> Values:
    """Free mouth of an eye bent to an open C of 180 deg or more: 2 R sin((360 - a)/2) - d.

    The neighbour's wire has to pass it.

    References: plane geometry.

    Example:
        >>> print(round(c_bend_opening(wire_diameter_mm=2.5, eye_mean_diameter_mm=9.0,
        ...                            bend_angle_deg=240.0), 3))
        5.294
    """
    half = np.radians(360.0 - bend_angle_deg) / 2.0
    return eye_mean_diameter_mm * np.sin(half) - wire_diameter_mm


@calculation(
    source="the length of the bent arc stays when it springs back",
    gives="bend_angle_deg",
    basis="computed",
    needs={"from_mean_radius_mm": POSITIVE, "to_mean_radius_mm": POSITIVE},
)
def arm_angle(
    *, bend_angle_deg: Values, from_mean_radius_mm: Values, to_mean_radius_mm: Values
) -> Values:
    """The angle of the same arc at another radius, a R/R': on the finger or after release.

    References: bending at constant length of the centre line.
    """
    return bend_angle_deg * from_mean_radius_mm / to_mean_radius_mm


@calculation(
    source="the closing arm lays the rest of the wire on the finger",
    gives="bend_angle_deg",
    basis="computed",
    needs={"eye_wire_mm": POSITIVE, "loaded_radius_mm": POSITIVE},
)
def closing_angle(
    *, eye_wire_mm: Values, loaded_radius_mm: Values, c_bend_angle_deg: Values
) -> Values:
    """Angle that the closing arm goes round: a/R0 in degrees less the angle of the C.

    References: plane geometry.
    """
    return np.degrees(eye_wire_mm / loaded_radius_mm) - c_bend_angle_deg


@calculation(
    source="definition of rate and speed",
    gives="feed_share",
    basis="computed",
    needs={
        "cut_length_mm": POSITIVE,
        "feed_speed_m_per_s": POSITIVE,
        "links_per_min": POSITIVE,
    },
)
def feed_share(
    *, cut_length_mm: Values, feed_speed_m_per_s: Values, links_per_min: Values
) -> Values:
    """Part of a machine's cycle in which the wire runs in: L/v over 60/rate.

    References: definition of rate and speed.

    Example:
        >>> print(round(feed_share(cut_length_mm=60.0, feed_speed_m_per_s=0.25,
        ...                        links_per_min=55.0), 6))
        0.22
    """
    return cut_length_mm / 1000.0 / feed_speed_m_per_s * links_per_min / 60.0
