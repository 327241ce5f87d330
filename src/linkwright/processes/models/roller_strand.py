"""The assembled strand of a roller chain: pitch, length under the measuring force, parts.

- `strand_pitch`: mean pitch of inner and outer links with the play of their joints
- `hole_spacing_wanted`: backwards from the length wanted
- `strand_length_error`: mean and scatter of a measured length against the nominal one
- `plate_stretch_percent`: elastic, under the measuring force or the preload
- `parts_of_strand`: plates, bushings, pins, rollers of a number of pitches and strands
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


@calculation(
    source="geometry: a tight joint moves its link outward by half the play of pin in bushing",
    gives="pitch_mm",
    basis="computed",
    needs={
        "inner_hole_spacing_mm": POSITIVE,
        "outer_hole_spacing_mm": POSITIVE,
    },
)
def strand_pitch(
    *, inner_hole_spacing_mm: Values, outer_hole_spacing_mm: Values, joint_clearance_mm: Values
) -> Values:
    """Mean pitch of a tight chain: (s_i + s_o)/2 + c/2.

    s hole spacings of inner and outer plates, c diametral play of the pin in the bushing: under
    tension every pin lies against the far side of its bore, c/2 off its middle. A stiff joint
    (c < 0) holds its pin in the middle: no play, not a shorter pitch.

    References: geometry.

    Example:
        >>> print(round(strand_pitch(inner_hole_spacing_mm=25.39, outer_hole_spacing_mm=25.38,
        ...     joint_clearance_mm=0.06), 3))
        25.415
    """
    mean = (np.asarray(inner_hole_spacing_mm, float) + outer_hole_spacing_mm) / 2.0
    return (mean + np.maximum(joint_clearance_mm, 0.0) / 2.0)[()]


@calculation(
    source="geometry, `strand_pitch` solved for the plates",
    gives="hole_spacing_mm",
    basis="computed",
    needs={"pitch_mm": POSITIVE, "joint_clearance_mm": NOT_NEGATIVE},
)
def hole_spacing_wanted(
    *,
    pitch_mm: Values,
    length_error_percent: Values,
    joint_clearance_mm: Values,
    stretch_percent: Values = 0.0,
) -> Values:
    """Spacing of the holes of both plates for a wanted length: p (1 + (e - m)/100) - c/2.

    e wanted error of the length, m elastic stretch and bedding under the measuring force, both
    per cent; c diametral play of the joint.

    References: geometry.

    Example:
        >>> print(round(hole_spacing_wanted(pitch_mm=25.4, length_error_percent=0.075,
        ...     joint_clearance_mm=0.06, stretch_percent=0.01), 4))
        25.3865
    """
    wanted = 1.0 + (length_error_percent - np.asarray(stretch_percent, float)) / 100.0
    return (pitch_mm * wanted - joint_clearance_mm / 2.0)[()]


class LengthError(NamedTuple):
    """Results of `strand_length_error`."""

    length_error_percent: Values
    length_error_deviation_percent: Values
    """Standard deviation from one measured length to the next."""


@calculation(
    source="mean of independent pitches: the scatter falls with the root of their number",
    basis="computed",
    needs={
        "strand_pitch_mm": POSITIVE,
        "pitch_mm": POSITIVE,
        "pitches": POSITIVE,
        "spacing_deviation_mm": NOT_NEGATIVE,
        "play_deviation_mm": NOT_NEGATIVE,
    },
)
def strand_length_error(
    *,
    strand_pitch_mm: Values,
    pitch_mm: Values,
    pitches: Values,
    spacing_deviation_mm: Values,
    play_deviation_mm: Values = 0.0,
    stretch_percent: Values = 0.0,
) -> LengthError:
    """Error of a measured length against pitches times the nominal pitch, per cent.

        mean = 100 (P/p - 1) + m,  s = 100 sqrt(s_s^2 + (s_c/2)^2)/(p sqrt(n))

    P mean pitch, p nominal, m elastic stretch, s_s and s_c deviations of the hole spacing and
    of the play of one joint, n pitches measured.

    References: as the source; tolerance 0 to +0.15 per cent and the measuring force stand in
    ISO 606.

    Example:
        >>> got = strand_length_error(strand_pitch_mm=25.415, pitch_mm=25.4, pitches=49.0,
        ...     spacing_deviation_mm=0.01)
        >>> print(round(got.length_error_percent, 3), round(got.length_error_deviation_percent, 4))
        0.059 0.0056
    """
    mean = 100.0 * (np.asarray(strand_pitch_mm, float) / pitch_mm - 1.0) + stretch_percent
    one = np.hypot(spacing_deviation_mm, np.asarray(play_deviation_mm, float) / 2.0)
    return LengthError(mean[()], (100.0 * one / (pitch_mm * np.sqrt(pitches)))[()])


@calculation(
    source="bar in tension, F p/(E A), two plates a strand",
    gives="stretch_percent",
    basis="computed",
    needs={
        "force_N": NOT_NEGATIVE,
        "plate_thickness_mm": POSITIVE,
        "plate_width_mm": POSITIVE,
        "strands": (1.0, 12.0),
        "elastic_modulus_MPa": POSITIVE,
    },
)
def plate_stretch_percent(
    *,
    force_N: Values,
    plate_thickness_mm: Values,
    plate_width_mm: Values,
    strands: Values = 1.0,
    elastic_modulus_MPa: Values = 206000.0,
) -> Values:
    """Elastic stretch of the plates under a force: 100 F/(2 n E t w).

    w width that carries: the waist of the plate. Bending and flattening of pins add to it and are
    not in it, so the chain is softer.

    References: as the source.

    Example:
        >>> print(round(plate_stretch_percent(force_N=500.0, plate_thickness_mm=3.2,
        ...     plate_width_mm=16.0), 5))
        0.00237
    """
    area = 2.0 * strands * np.asarray(plate_thickness_mm, float) * plate_width_mm
    return (100.0 * force_N / (elastic_modulus_MPa * area))[()]


class StrandParts(NamedTuple):
    """Results of `parts_of_strand`."""

    inner_plates: Values
    outer_plates: Values
    middle_plates: Values
    """Plates of outer links between strands, loose on the pins."""
    bushings: Values
    rollers: Values
    pins: Values
    inner_links: Values
    outer_links: Values


@calculation(
    source="counting: inner and outer links in turn, two joints a link",
    basis="computed",
    needs={"pitches": POSITIVE, "strands": (1.0, 12.0)},
)
def parts_of_strand(
    *, pitches: Values, strands: Values = 1.0, bushings_carry_rollers: Values = 1.0
) -> StrandParts:
    """Parts of a chain of so many pitches: half of them inner links, half outer ones.

    An odd number of pitches has one inner link more (a cranked link would close it). Inner link of
    each strand: two plates, two bushings, two rollers (none on bush chain: 0). Outer link:
    two outer plates, n - 1 pairs of middle plates counted as 2 (n - 1), two pins.

    References: counting; two adjacent strands stand on one pin with a plate of each on either
    side of their gap.

    Example:
        >>> got = parts_of_strand(pitches=100.0, strands=2.0)
        >>> print(got.inner_plates, got.outer_plates, got.middle_plates, got.bushings, got.pins)
        200.0 100.0 100.0 200.0 100.0
    """
    whole = np.asarray(pitches, float)
    inner = np.ceil(whole / 2.0)
    outer = np.floor(whole / 2.0)
    bushings = 2.0 * inner * strands
    return StrandParts(
        (2.0 * inner * strands)[()],
        (2.0 * outer)[()],
        (2.0 * outer * (strands - 1.0))[()],
        bushings[()],
        (bushings * bushings_carry_rollers)[()],
        (2.0 * outer)[()],
        inner[()],
        outer[()],
    )


@calculation(
    source="the works' own bedding of a joint, as share of the pitch",
    gives="pitch_mm",
    basis="computed",
    needs={"pitch_mm": POSITIVE, "bedding_percent": NOT_NEGATIVE, "factor": POSITIVE},
)
def bedded_pitch(*, pitch_mm: Values, bedding_percent: Values, factor: Values = 1.0) -> Values:
    """Pitch after the preload: p (1 + f b/100).

    b what pins, bores and holes give where they bear on high spots, f the works' factor on it.

    References: none; the works' own measurement.
    """
    return (np.asarray(pitch_mm, float) * (1.0 + factor * bedding_percent / 100.0))[()]


@calculation(
    source="`bedded_pitch` backwards", gives="length_error_percent", basis="computed",
    needs={"bedding_percent": NOT_NEGATIVE, "factor": POSITIVE},
)  # fmt: skip
def bedded_length_error(
    *, length_error_percent: Values, bedding_percent: Values, factor: Values = 1.0
) -> Values:
    """Error of length wanted before the preload, so that bedding leaves the one wanted.

        e0 = 100 ((1 + e/100)/(1 + f b/100) - 1)

    References: as `bedded_pitch`.
    """
    wanted = 1.0 + np.asarray(length_error_percent, float) / 100.0
    return (100.0 * (wanted / (1.0 + factor * bedding_percent / 100.0) - 1.0))[()]


@calculation(
    source="`strand_length_error` backwards: the stretch taken off", gives="length_error_percent",
    basis="computed",
)  # fmt: skip
def unstretched_error(*, length_error_percent: Values, stretch_percent: Values) -> Values:
    """Error of length without load, of a strand that has the one wanted under the measuring force.

    References: difference.
    """
    return np.asarray(length_error_percent, float)[()] - stretch_percent


@calculation(
    source="number of strands times the time of one", gives="machine_time_h", basis="computed",
    needs={"length_m": POSITIVE, "strand_length_m": POSITIVE, "strand_time_min": NOT_NEGATIVE},
)  # fmt: skip
def strands_time(*, length_m: Values, strand_length_m: Values, strand_time_min: Values) -> Values:
    """Hours of a bench that takes a length of chain strand by strand.

    References: none needed.
    """
    return (np.ceil(np.asarray(length_m, float) / strand_length_m) * strand_time_min / 60.0)[()]


@calculation(
    source="margin of a value over its least", gives="margin_percent", basis="computed",
    needs={"least": POSITIVE},
)  # fmt: skip
def margin_over(*, value: Values, least: Values) -> Values:
    """What a value lies above the least asked for, per cent: 100 (v/l - 1), both of one unit.

    References: definition.
    """
    return (100.0 * (np.asarray(value, float) / least - 1.0))[()]


@calculation(
    source="pitches times pitch", gives="length_m", basis="computed",
    needs={"pitches": POSITIVE, "pitch_mm": POSITIVE},
)  # fmt: skip
def strand_length(*, pitches: Values, pitch_mm: Values) -> Values:
    """Nominal length of a strand.

    References: definition.
    """
    return np.asarray(pitches, float)[()] * pitch_mm / 1000.0
