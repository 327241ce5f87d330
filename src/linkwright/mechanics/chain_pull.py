"""Forces in a chain drive: speed and pull, safety, sag, shaft load, bearing pressure.

`chain_speed`, `chain_pull`, both in `chain_speed_and_pull`; `chain_safety`, `chain_sag_pull`,
`chain_shaft_load` and `joint_bearing_pressure`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.chain_path import tangent_angle
from linkwright.mechanics.sprocket import TEETH

_STANDARD_GRAVITY = 9.80665


class SpeedAndPull(NamedTuple):
    """Results of `chain_speed_and_pull`."""

    chain_speed_m_per_s: Values
    chain_pull_N: Values
    centrifugal_pull_N: Values


class ChainSafety(NamedTuple):
    """Results of `chain_safety`."""

    chain_pull_kN: Values
    safety_factor: Values


@calculation(
    source="ISO 10823:2004, chain speed",
    gives="chain_speed_m_per_s",
    needs={"pitch_mm": POSITIVE, "teeth_small": TEETH, "speed_rpm": POSITIVE},
)
def chain_speed(*, pitch_mm: Values, teeth_small: Values, speed_rpm: Values) -> Values:
    """Mean speed of a chain, v = p n z/60000 m/s with p in mm and n in rev/min.

    References: ISO 10823:2004.

    Example:
        >>> round(chain_speed(pitch_mm=25.4, teeth_small=17, speed_rpm=300.0), 3)
        2.159
    """
    return pitch_mm * speed_rpm * teeth_small / 60e3


@calculation(
    source="ISO 10823:2004, tensile force",
    gives="chain_pull_N",
    needs={"power_kW": NOT_NEGATIVE, "chain_speed_m_per_s": POSITIVE},
)
def chain_pull(*, power_kW: Values, chain_speed_m_per_s: Values) -> Values:
    """Pull of the tight strand by the power transmitted, F = 1000 P/v N.

    References: ISO 10823:2004.

    Example:
        >>> chain_pull(power_kW=7.5, chain_speed_m_per_s=2.5)
        3000.0
    """
    return 1e3 * power_kW / chain_speed_m_per_s


@calculation(
    source="ISO 10823:2004, chain speed and tensile force; centrifugal pull q v^2",
    needs={
        "pitch_mm": POSITIVE,
        "teeth_small": TEETH,
        "speed_rpm": POSITIVE,
        "power_kW": NOT_NEGATIVE,
        "mass_per_length_kg_per_m": NOT_NEGATIVE,
    },
)
def chain_speed_and_pull(
    *,
    pitch_mm: Values,
    teeth_small: Values,
    speed_rpm: Values,
    power_kW: Values,
    mass_per_length_kg_per_m: Values = 0.0,
) -> SpeedAndPull:
    """Mean chain speed, pull by the power transmitted and pull by centrifugal force.

    v = p n z/60000 m/s, F = 1000 P/v N, Fc = q v^2 N; p in mm, n in rev/min, P in kW, q in kg/m.
    The tight strand carries F + Fc and the sag pull, times the shocks of the application.

    References: ISO 10823:2004.

    Example:
        >>> found = chain_speed_and_pull(
        ...     pitch_mm=25.4, teeth_small=17, speed_rpm=300.0, power_kW=7.5
        ... )
        >>> round(found.chain_speed_m_per_s, 3), round(found.chain_pull_N, 1)
        (2.159, 3473.8)
    """
    speed = chain_speed(pitch_mm=pitch_mm, teeth_small=teeth_small, speed_rpm=speed_rpm)
    pull = chain_pull(power_kW=power_kW, chain_speed_m_per_s=speed)
    return SpeedAndPull(speed, pull, mass_per_length_kg_per_m * speed**2)


@calculation(
    source="R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, 2005, Example 21.1",
    needs={"power_kW": POSITIVE, "chain_speed_m_per_s": POSITIVE, "breaking_force_kN": POSITIVE},
)
def chain_safety(
    *, power_kW: Values, chain_speed_m_per_s: Values, breaking_force_kN: Values
) -> ChainSafety:
    """Chain pull by power and speed, and the safety against breaking: F = P/v, S = Fb/F.

    References: Khurmi and Gupta, 2005, Example 21.1.

    Example:
        >>> found = chain_safety(power_kW=15.0, chain_speed_m_per_s=7.5, breaking_force_kN=57.8)
        >>> found.chain_pull_kN, round(found.safety_factor, 1)
        (2.0, 28.9)
    """
    pull = power_kW / chain_speed_m_per_s
    return ChainSafety(pull, breaking_force_kN / pull)


@calculation(
    source="Statics of a shallow hanging chain (parabola)",
    gives="sag_pull_N",
    needs={
        "mass_per_length_kg_per_m": POSITIVE,
        "centre_distance_mm": POSITIVE,
        "sag_over_span": (1e-4, 0.2),
        "inclination_deg": (0.0, 90.0),
    },
    basis="computed",
)
def chain_sag_pull(
    *,
    mass_per_length_kg_per_m: Values,
    centre_distance_mm: Values,
    sag_over_span: Values = 0.02,
    inclination_deg: Values = 0.0,
) -> Values:
    """Pull of the slack strand by its own weight.

    F = q g a [cos(i)/(8 f/a) + sin(i)]: parabola with sag f across the span a, and the weight that
    the upper end of an inclined strand carries besides. Level with 2 % sag this is 6.25 q g a;
    upright it is q g a. The span is taken as the centre distance.

    References: statics; textbooks give 6 q g a for level and q g a for upright drives.

    Example:
        >>> found = chain_sag_pull(mass_per_length_kg_per_m=2.7, centre_distance_mm=1000.0)
        >>> round(found, 1)
        165.5
    """
    weight = mass_per_length_kg_per_m * _STANDARD_GRAVITY * centre_distance_mm / 1e3
    angle = np.radians(inclination_deg)
    return weight * (np.cos(angle) / (8.0 * np.asarray(sag_over_span, dtype=float)) + np.sin(angle))


@calculation(
    source="Statics: sum of the pulls of both strands",
    gives="shaft_load_N",
    needs={
        "chain_pull_N": NOT_NEGATIVE,
        "sag_pull_N": NOT_NEGATIVE,
        "application_factor": (1.0, None),
        "teeth_small": TEETH,
        "teeth_large": TEETH,
        "centre_distance_pitches": POSITIVE,
    },
    basis="computed",
)
def chain_shaft_load(
    *,
    chain_pull_N: Values,
    teeth_small: Values,
    teeth_large: Values,
    centre_distance_pitches: Values,
    sag_pull_N: Values = 0.0,
    application_factor: Values = 1.0,
) -> Values:
    """Load of the chain on either shaft, from the pulls of the tight and the slack strand.

    T1 = F f1 + Fs, T2 = Fs; R = sqrt(T1^2 + T2^2 + 2 T1 T2 cos 2b), b the angle between a strand
    and the line of centres. Centrifugal pull stays in the chain and loads no shaft.

    Raises:
        ArgumentError: centres closer than the difference of the pitch radii.

    References: statics.

    Example:
        >>> found = chain_shaft_load(
        ...     chain_pull_N=3000.0, sag_pull_N=150.0, teeth_small=19, teeth_large=19,
        ...     centre_distance_pitches=40.0,
        ... )
        >>> round(found, 1)
        3300.0
    """
    tight = chain_pull_N * application_factor + sag_pull_N
    between = 2.0 * tangent_angle(teeth_small, teeth_large, centre_distance_pitches)
    return np.sqrt(tight**2 + sag_pull_N**2 + 2.0 * tight * sag_pull_N * np.cos(between))


@calculation(
    source="ISO 10823:2004; DIN 8195: bearing pressure p = F/f",
    gives="bearing_pressure_MPa",
    needs={"chain_pull_N": NOT_NEGATIVE, "bearing_area_mm2": POSITIVE},
    basis="memory",
)
def joint_bearing_pressure(*, chain_pull_N: Values, bearing_area_mm2: Values) -> Values:
    """Pressure between pin and bushing, p = F/f in N/mm2.

    F the pull of the tight strand with centrifugal pull, f the bearing area of all strands. An
    allowed pressure is not held: it hangs on speed, lubrication and wear (see `joint_wear_life`).

    References: DIN 8195, remembered.

    Example:
        >>> round(joint_bearing_pressure(chain_pull_N=3474.0, bearing_area_mm2=210.0), 2)
        16.54
    """
    return chain_pull_N / bearing_area_mm2
