"""Wear of the joints of a roller chain: life to an elongation, and the wear rate from a test.

`joint_wear_life` goes from a wear rate to hours, `joint_wear_rate` from the elongation of a
chain that ran back to the rate, so that the works' own tests narrow it; `wear_rate_in_place` is the
rate where dust, water or heat wear faster than a clean drive does.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.sprocket import TEETH

_SOURCE = "Archard's law of wear (J. Appl. Phys. 24, 1953) on the sliding way of the joint"
_DRIVE = {
    "chain_pull_N": POSITIVE,
    "bearing_area_mm2": POSITIVE,
    "pin_diameter_mm": POSITIVE,
    "pitch_mm": POSITIVE,
    "teeth_small": TEETH,
    "teeth_large": TEETH,
    "chain_length_pitches": POSITIVE,
    "speed_rpm": POSITIVE,
}


class WearLife(NamedTuple):
    """Results of `joint_wear_life`."""

    life_h: Values
    elongation_rate_percent_per_1000_h: Values
    sliding_per_turn_mm: Values


@calculation(
    source=_SOURCE,
    needs={
        **_DRIVE,
        "wear_rate_mm3_per_Nm": POSITIVE,
        "allowed_elongation_percent": POSITIVE,
    },
    basis="computed",
)
def joint_wear_life(
    *,
    chain_pull_N: Values,
    bearing_area_mm2: Values,
    pin_diameter_mm: Values,
    pitch_mm: Values,
    teeth_small: Values,
    teeth_large: Values,
    chain_length_pitches: Values,
    speed_rpm: Values,
    wear_rate_mm3_per_Nm: Values,
    allowed_elongation_percent: Values = 3.0,
) -> WearLife:
    """Hours until the joints of a chain have worn to an allowed elongation.

    Each turn of the chain, a joint bends under the pull of the tight strand once at each sprocket,
    by 360/z degrees: sliding way s = pi d2 (1/z1 + 1/z2). Archard: pin and bushing together lose
    the depth h = k (F/f) s a turn, and the pitch grows by h. The chain turns n z1/X times a minute.

        life = (e/100) p X / (60 k (F/f) s n z1) hours

    k in mm3/(N m) is the sum of pin and bushing. It spans orders of magnitude with lubrication,
    dirt and hardness; nothing here knows it, so it is an argument: take it from a chain that ran
    (`joint_wear_rate`). Sliding under the slack strand, run-in and the loss of the hard case are
    left out.

    References: J. F. Archard, Contact and Rubbing of Flat Surfaces, J. Appl. Phys. 24, 1953, 981;
    geometry of articulation.

    Example:
        >>> found = joint_wear_life(
        ...     chain_pull_N=3474.0, bearing_area_mm2=210.0, pin_diameter_mm=8.28, pitch_mm=25.4,
        ...     teeth_small=17, teeth_large=51, chain_length_pitches=100, speed_rpm=300.0,
        ...     wear_rate_mm3_per_Nm=5e-7,
        ... )
        >>> round(found.life_h)
        14756
    """
    sliding = _sliding(pin_diameter_mm, teeth_small, teeth_large)
    pressure = chain_pull_N / bearing_area_mm2
    turns_per_h = 60.0 * speed_rpm * teeth_small / chain_length_pitches
    per_hour_mm = wear_rate_mm3_per_Nm * pressure * sliding / 1e3 * turns_per_h
    life = allowed_elongation_percent / 100.0 * pitch_mm / per_hour_mm
    return WearLife(life, 1e5 * per_hour_mm / pitch_mm, sliding)


@calculation(
    source=_SOURCE,
    gives="wear_rate_mm3_per_Nm",
    needs={**_DRIVE, "elongation_percent": POSITIVE, "running_time_h": POSITIVE},
    basis="computed",
)
def joint_wear_rate(
    *,
    chain_pull_N: Values,
    bearing_area_mm2: Values,
    pin_diameter_mm: Values,
    pitch_mm: Values,
    teeth_small: Values,
    teeth_large: Values,
    chain_length_pitches: Values,
    speed_rpm: Values,
    elongation_percent: Values,
    running_time_h: Values,
) -> Values:
    """Wear rate of pin and bushing together, from the elongation of a chain that ran.

    The inverse of `joint_wear_life`: k = (e/100) p X / (60 t (F/f) s n z1), in mm3/(N m).

    References: see `joint_wear_life`.

    Example:
        >>> found = joint_wear_rate(
        ...     chain_pull_N=3474.0, bearing_area_mm2=210.0, pin_diameter_mm=8.28, pitch_mm=25.4,
        ...     teeth_small=17, teeth_large=51, chain_length_pitches=100, speed_rpm=300.0,
        ...     elongation_percent=3.0, running_time_h=15000.0,
        ... )
        >>> f"{found:.2e}"
        '4.92e-07'
    """
    sliding_m = _sliding(pin_diameter_mm, teeth_small, teeth_large) / 1e3
    turns = 60.0 * speed_rpm * teeth_small / chain_length_pitches * running_time_h
    depth_mm = elongation_percent / 100.0 * pitch_mm
    return depth_mm * bearing_area_mm2 / (chain_pull_N * sliding_m * turns)


@calculation(
    source="definition of the factor; its value is the works' own, no law is held for it",
    gives="wear_rate_mm3_per_Nm",
    needs={"clean_wear_rate_mm3_per_Nm": POSITIVE, "wear_factor": POSITIVE},
    basis="computed",
)
def wear_rate_in_place(*, clean_wear_rate_mm3_per_Nm: Values, wear_factor: Values) -> Values:
    """Wear rate where a drive stands: that of a clean drive times the works' factor of the place.

    The factor is the ratio of two rates by `joint_wear_rate`, one of a chain that ran in the dust
    (water, heat), one of a chain that ran clean.

    References: definition.

    Example:
        >>> f"{wear_rate_in_place(clean_wear_rate_mm3_per_Nm=1.4e-7, wear_factor=4.0):.1e}"
        '5.6e-07'
    """
    return clean_wear_rate_mm3_per_Nm * wear_factor


def _sliding(pin_diameter_mm: Values, teeth_small: Values, teeth_large: Values) -> Values:
    """Way that pin and bushing slide on each other in one turn of the chain, under load."""
    bends = 1.0 / np.asarray(teeth_small, dtype=float) + 1.0 / np.asarray(teeth_large, dtype=float)
    return np.pi * pin_diameter_mm * bends
