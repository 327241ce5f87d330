"""Sums of a roller chain drive between its published calculations.

- `sprocket_teeth`, `drive_speeds`: speeds of both shafts and whole teeth for a ratio
- `drive_rating`: what the strands stand in power, by plates and by rollers, and the power asked
- `whole_chain_length`: pitches of the chain that is made
- `drive_galling`, `tight_strand_pull`, `drive_safety`: what strands carry and stand
- `lubrication_type`: A, B or C by chain speed
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.sprocket import TEETH
from linkwright.standards.roller_rating import galling_speed

_ACA = "Shigley's Mechanical Engineering Design, 9th and 10th ed., eq. 17-39"
_STRANDS = (1.0, 6.0)
_LBF_N, _INCH_MM = 4.4482216152605, 25.4
_ALMOST = 1e-9


class DriveSpeeds(NamedTuple):
    """Results of `drive_speeds`."""

    speed_small_rpm: Values
    speed_large_rpm: Values
    speed_ratio: Values


class DriveRating(NamedTuple):
    """Results of `drive_rating`."""

    design_power_kW: Values
    plate_limited_power_kW: Values
    roller_limited_power_kW: Values


class DriveGalling(NamedTuple):
    """Results of `drive_galling`."""

    strand_pull_N: Values
    galling_speed_rpm: Values


class DriveSafety(NamedTuple):
    """Results of `drive_safety`."""

    static_safety_factor: Values
    dynamic_safety_factor: Values
    fatigue_reserve_factor: Values


@calculation(
    source="Definition of the ratio of a drive",
    needs={"driver_speed_rpm": POSITIVE, "driven_speed_rpm": POSITIVE, "ratio": POSITIVE},
    basis="computed",
)
def drive_speeds(
    *, driver_speed_rpm: Values, driven_speed_rpm: Values = None, ratio: Values = None
) -> DriveSpeeds:
    """Speeds of the small and the large sprocket; the small one sits on the faster shaft.

    ``ratio`` is the driver's speed over the driven one's; it stands where the driven speed is not
    given. The result's speed ratio is at least 1.

    References: definition.

    Example:
        >>> drive_speeds(driver_speed_rpm=96.0, driven_speed_rpm=16.0).speed_ratio
        6.0
    """
    driven = driver_speed_rpm / ratio if driven_speed_rpm is None else driven_speed_rpm
    small, large = np.maximum(driver_speed_rpm, driven), np.minimum(driver_speed_rpm, driven)
    return DriveSpeeds(small, large, small / large)


@calculation(
    source="Definition of the ratio of a drive, to whole teeth",
    gives="teeth_large",
    needs={"teeth_small": TEETH, "speed_ratio": (1.0, None)},
    basis="computed",
)
def sprocket_teeth(*, teeth_small: Values, speed_ratio: Values) -> Values:
    """Teeth of the large sprocket: those of the small one times the ratio, to the nearest tooth.

    References: definition.

    Example:
        >>> sprocket_teeth(teeth_small=19.0, speed_ratio=3.03)
        58.0
    """
    return np.floor(teeth_small * speed_ratio + 0.5)


@calculation(
    source=f"ISO 10823:2004 with several strands; life and length by {_ACA}",
    needs={
        "power_kW": POSITIVE,
        "application_factor": (1.0, None),
        "strand_factor": POSITIVE,
        "plate_limited_power_one_strand_kW": POSITIVE,
        "roller_limited_power_one_strand_kW": POSITIVE,
        "chain_length_pitches": POSITIVE,
        "life_h": POSITIVE,
    },
    basis="computed",
)
def drive_rating(
    *,
    power_kW: Values,
    application_factor: Values,
    strand_factor: Values,
    plate_limited_power_one_strand_kW: Values,
    roller_limited_power_one_strand_kW: Values,
    chain_length_pitches: Values,
    life_h: Values = 15000.0,
) -> DriveRating:
    """Power that a drive is designed for, and the power that all its strands stand.

    Design power P f1. Link plates: m P1. Rollers and bushings: m P2 (X/120)^0.4 (15000/h)^0.4, m
    the strand factor, X the pitches of the chain, h its life; P1 and P2 hold for 120 pitches and
    15000 h. The tooth factor f2 is not in it: P1 and P2 are those of the very teeth, not of 19.

    References: ISO 10823:2004, remembered; Shigley, eq. 17-39 (life and length).

    Example:
        >>> drive_rating(
        ...     power_kW=10.0, application_factor=1.4, strand_factor=1.7,
        ...     plate_limited_power_one_strand_kW=10.0, roller_limited_power_one_strand_kW=20.0,
        ...     chain_length_pitches=120.0,
        ... )
        DriveRating(design_power_kW=14.0, plate_limited_power_kW=17.0, roller_limited_power_kW=34.0)
    """
    lasting = (chain_length_pitches / 120.0) ** 0.4 * (15000.0 / life_h) ** 0.4
    return DriveRating(
        power_kW * application_factor,
        strand_factor * plate_limited_power_one_strand_kW,
        strand_factor * roller_limited_power_one_strand_kW * lasting,
    )


@calculation(
    source="Counting: inner and outer links alternate",
    gives="chain_pitches",
    needs={"chain_length_pitches": POSITIVE},
    basis="computed",
)
def whole_chain_length(*, chain_length_pitches: Values) -> Values:
    """Pitches of the chain that is made: the next even number, so that no cranked link is needed.

    References: counting; a cranked link is weaker than the others (ISO 606:2004).

    Example:
        >>> whole_chain_length(chain_length_pitches=118.9), whole_chain_length(
        ...     chain_length_pitches=120.0)
        (120.0, 120.0)
    """
    return 2.0 * np.ceil(np.asarray(chain_length_pitches) / 2.0 - _ALMOST)


@calculation(
    source="American Chain Association (limit of galling); strands share a load by their factor "
    "(ISO 10823:2004)",
    needs={
        "chain_pull_N": NOT_NEGATIVE,
        "application_factor": (1.0, None),
        "strand_factor": POSITIVE,
        "pitch_mm": POSITIVE,
        "teeth_small": TEETH,
    },
    basis="memory",
)
def drive_galling(
    *,
    pitch_mm: Values,
    teeth_small: Values,
    chain_pull_N: Values,
    application_factor: Values,
    strand_factor: Values,
) -> DriveGalling:
    """Pull of one strand with its shocks, F f1/m, and the speed at which it begins to gall.

    References: as the source; see `galling_speed`.

    Example:
        >>> found = drive_galling(pitch_mm=25.4, teeth_small=17, chain_pull_N=4448.22,
        ...     application_factor=1.0, strand_factor=1.0)
        >>> round(found.strand_pull_N, 1), round(found.galling_speed_rpm)
        (4448.2, 2342)
    """
    pull = chain_pull_N * application_factor / strand_factor
    speed = galling_speed(
        pitch_in=pitch_mm / _INCH_MM, teeth_small=teeth_small, chain_pull_lbf=pull / _LBF_N
    )
    return DriveGalling(pull, speed)


@calculation(
    source="Statics: pulls of the tight strand add up",
    gives="tight_strand_pull_N",
    needs={"chain_pull_N": NOT_NEGATIVE, "centrifugal_pull_N": NOT_NEGATIVE},
    basis="computed",
)
def tight_strand_pull(*, chain_pull_N: Values, centrifugal_pull_N: Values) -> Values:
    """Pull that the joints of the tight strand bear: by power and by centrifugal force.

    References: statics.

    Example:
        >>> tight_strand_pull(chain_pull_N=3000.0, centrifugal_pull_N=20.0)
        3020.0
    """
    return chain_pull_N + centrifugal_pull_N


@calculation(
    source="Definition of safety; dynamic strength of ISO 606:2004 for one strand",
    needs={
        "chain_pull_N": POSITIVE,
        "centrifugal_pull_N": NOT_NEGATIVE,
        "sag_pull_N": NOT_NEGATIVE,
        "application_factor": (1.0, None),
        "breaking_force_kN": POSITIVE,
        "dynamic_strength_N": POSITIVE,
        "strand_factor": POSITIVE,
    },
    basis="computed",
)
def drive_safety(
    *,
    chain_pull_N: Values,
    centrifugal_pull_N: Values,
    sag_pull_N: Values,
    application_factor: Values,
    breaking_force_kN: Values,
    dynamic_strength_N: Values,
    strand_factor: Values,
) -> DriveSafety:
    """Breaking force over the pull without and with shocks, dynamic strength over the pull.

    Static Fu/(F + Fc + Fs), dynamic Fu/(F f1 + Fc + Fs), fatigue reserve m Fd/(F f1 + Fc + Fs); F
    the pull by power, Fc centrifugal, Fs of the slack strand, m the strand factor. The dynamic
    strength Fd of several strands is not printed: the factor takes its place.

    References: definition.

    Example:
        >>> drive_safety(
        ...     chain_pull_N=5000.0, centrifugal_pull_N=0.0, sag_pull_N=0.0,
        ...     application_factor=1.4, breaking_force_kN=70.0, dynamic_strength_N=7000.0,
        ...     strand_factor=1.0,
        ... )[:2]
        (14.0, 10.0)
    """
    beside = centrifugal_pull_N + sag_pull_N
    shaken = chain_pull_N * application_factor + beside
    breaking = 1e3 * breaking_force_kN
    return DriveSafety(
        breaking / (chain_pull_N + beside),
        breaking / shaken,
        strand_factor * dynamic_strength_N / shaken,
    )


@calculation(
    source="American Chain Association, limiting chain speeds of lubrication types",
    gives="lubrication_class",
    needs={
        "chain_speed_m_per_s": POSITIVE,
        "greatest_speed_type_a_m_per_s": POSITIVE,
        "greatest_speed_type_b_m_per_s": POSITIVE,
    },
    basis="memory",
)
def lubrication_type(
    *,
    chain_speed_m_per_s: Values,
    greatest_speed_type_a_m_per_s: Values,
    greatest_speed_type_b_m_per_s: Values,
) -> Values:
    """Type of lubrication that a chain speed needs: 1 (A, by hand or drip), 2 (B), 3 (C).

    B is an oil bath or a slinger disc, C a stream of oil from a pump.

    References: American Chain Association, remembered; limits by `lubrication_speed_limits`.

    Example:
        >>> lubrication_type(chain_speed_m_per_s=2.0, greatest_speed_type_a_m_per_s=0.84,
        ...                  greatest_speed_type_b_m_per_s=7.5)
        2.0
    """
    speed = np.asarray(chain_speed_m_per_s, dtype=float)
    return (
        1.0
        + (speed > np.asarray(greatest_speed_type_a_m_per_s))
        + (speed > np.asarray(greatest_speed_type_b_m_per_s))
    )
