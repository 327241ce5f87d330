"""Everything that is known of a roller chain drive, by the published calculations.

- `DriveDuty`: what a drive has to do
- `evaluated`: the numbers of one drive, or of many at once, in the order of ISO 10823
- `LIMITS`: what may refuse a drive, and how far it is used

One function serves single drives and arrays alike, so the ranking and the derivation of what was
chosen cannot differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.mechanics import drive_sums as sums
from linkwright.mechanics.chain_path import (
    chain_length,
    chordal_speed_variation,
    iso10823_centre_distance,
    wrap_angles,
)
from linkwright.mechanics.chain_pull import (
    chain_sag_pull,
    chain_shaft_load,
    chain_speed_and_pull,
    joint_bearing_pressure,
)
from linkwright.mechanics.drive_chain import DriveChain
from linkwright.mechanics.drive_size import (
    drive_chain_amount,
    drive_cost,
    drive_size,
    ratio_deviation,
)
from linkwright.mechanics.joint_wear import joint_wear_life, wear_rate_in_place
from linkwright.mechanics.sprocket import iso606_tooth_width
from linkwright.standards.reader import published_table
from linkwright.standards.roller_length import allowed_chain_elongation
from linkwright.standards.roller_rating import iso10823_rating, strand_factor
from linkwright.standards.roller_selection import (
    iso10823_application_factor,
)

LIMITS = (
    "link plates", "rollers and bushings", "galling", "static safety", "dynamic safety", "wear",
    "wrap", "shaft distance", "sprocket diameter", "width", "lubrication", "speed ratio",
)  # fmt: skip
"""What may refuse a drive, in the order in which it is told."""
LOADS = LIMITS[:6]
"""Those of them by which a drive that is admissible is measured."""
LUBRICATIONS = ("drip", "bath", "stream")
"""What a drive may have, in the order of types A, B and C."""
MOST_TEETH = 150.0


@dataclass(frozen=True)
class DriveDuty:
    """What a drive has to do; None leaves it to the choice.

    shock, driver_shock: in the words of ISO 10823. lubrication: the best that there may be, one of
    `LUBRICATIONS`. ``ratio`` is the driver's speed over the driven one's. wear_factor: the works'
    own factor on the wear rate in this environment; None where nobody knows it.
    """

    power_kW: float
    driver_speed_rpm: float
    driven_speed_rpm: float | None = None
    ratio: float | None = None
    centre_distance_mm: float | None = None
    hours_per_day: float | None = None
    life_h: float = 15000.0
    shock: str = "smooth"
    driver_shock: str = "smooth"
    environment: str | None = None
    wear_factor: float | None = None
    teeth_small: float | None = None
    teeth_large: float | None = None
    lubrication: str | None = None
    greatest_sprocket_diameter_mm: float | None = None
    greatest_width_mm: float | None = None


@dataclass(frozen=True)
class Evaluated:
    """All numbers of a drive; ``used`` is how far each of `LIMITS` is used, 1 being the limit."""

    strands: Any
    teeth_small: Any
    teeth_large: Any
    speed_small_rpm: Any
    speed_large_rpm: Any
    speed_ratio: Any
    ratio_deviation_percent: Any
    application_factor: Any
    strand_factor: Any
    design_power_kW: Any
    plate_limited_power_kW: Any
    roller_limited_power_kW: Any
    strand_pull_N: Any
    galling_speed_rpm: Any
    chain_length_pitches: Any
    pitches: Any
    length_m: Any
    centre_distance_pitches: Any
    centre_distance_mm: Any
    wrap_angle_small_deg: Any
    variation_over_mean: Any
    chain_speed_m_per_s: Any
    chain_pull_N: Any
    centrifugal_pull_N: Any
    tight_strand_pull_N: Any
    sag_pull_N: Any
    shaft_load_N: Any
    bearing_pressure_MPa: Any
    static_safety_factor: Any
    dynamic_safety_factor: Any
    fatigue_reserve_factor: Any
    allowed_elongation_percent: Any
    least_wear_life_h: Any
    greatest_wear_life_h: Any
    lubrication_class: Any
    tip_diameter_small_mm: Any
    tip_diameter_large_mm: Any
    least_centre_distance_mm: Any
    width_mm: Any
    chain_mass_kg: Any
    sprocket_mass_kg: Any
    cost_measure_kg: Any
    used: dict[str, Any]


def evaluated(
    duty: DriveDuty, chain: DriveChain, strands: Any, teeth: tuple[Any, Any], ratings: Any
) -> Evaluated:
    """All numbers of drives: scalars, or arrays of the axes chain, strands, teeth.

    ``ratings`` are the powers of one strand that plates and rollers stand for these teeth
    (`strand_ratings`). The order is that of ISO 10823.
    """
    small, large = teeth
    speeds = drive_speeds_of(duty)
    found: dict[str, Any] = {"strands": strands, "teeth_small": small, "teeth_large": large}
    found |= speeds._asdict()
    found["ratio_deviation_percent"] = ratio_deviation(
        teeth_small=small, teeth_large=large, speed_ratio=speeds.speed_ratio
    )
    found["application_factor"] = iso10823_application_factor(
        driven_machine=duty.shock, driver=duty.driver_shock
    )
    found["strand_factor"] = strand_factor(strands=strands)
    _size(found, chain)
    _path(found, duty, chain)
    found |= sums.drive_rating(
        power_kW=duty.power_kW,
        application_factor=found["application_factor"],
        strand_factor=found["strand_factor"],
        plate_limited_power_one_strand_kW=ratings[0],
        roller_limited_power_one_strand_kW=ratings[1],
        chain_length_pitches=found["pitches"],
        life_h=duty.life_h,
    )._asdict()
    _forces(found, duty, chain)
    _wear(found, duty, chain)
    _cost(found, duty)
    with not_recording():
        return Evaluated(**found, used=_used(found, duty))


def drive_speeds_of(duty: DriveDuty) -> sums.DriveSpeeds:
    """Speeds of both sprockets and their ratio."""
    if duty.driven_speed_rpm is not None:
        return sums.drive_speeds(
            driver_speed_rpm=duty.driver_speed_rpm, driven_speed_rpm=duty.driven_speed_rpm
        )
    return sums.drive_speeds(driver_speed_rpm=duty.driver_speed_rpm, ratio=duty.ratio)


def strand_ratings(chains: Sequence[str], teeth_small: Any, speed_rpm: float) -> tuple[Any, Any]:
    """Power of one strand by plates and by rollers, as arrays of the axes chain, 1, teeth."""
    found = [
        iso10823_rating(chain_number=chain, teeth_small=teeth_small, speed_rpm=speed_rpm)
        for chain in chains
    ]
    plates = np.asarray([one.plate_limited_power_kW for one in found])[:, None, :]
    return plates, np.asarray([one.roller_limited_power_kW for one in found])[:, None, :]


def practice(quantity: str, called: str | None = None) -> float:
    """A number that the trade asks for, with its row as source."""
    row = published_table("drive_practice").row(quantity)
    return row.number("value", called=called or quantity)


def usual_teeth(shock: str) -> float:
    """Teeth that a small sprocket usually has at least, by the shocks of the machine."""
    return practice(f"usual_teeth_{shock.replace(' ', '_')}", called="usual_teeth")


def _size(found: dict[str, Any], chain: DriveChain) -> None:
    widths = iso606_tooth_width(inner_width_mm=chain.inner_width_mm, pitch_mm=chain.pitch_mm)
    single, several = widths
    strands = found["strands"]
    if np.ndim(strands):
        width: Any = np.where(np.asarray(strands) > 1, several, single)
    else:
        width = several if strands > 1 else single
    found |= drive_size(
        pitch_mm=chain.pitch_mm,
        roller_diameter_mm=chain.roller_diameter_mm,
        teeth_small=found["teeth_small"],
        teeth_large=found["teeth_large"],
        tooth_width_mm=width,
        strands=strands,
    )._asdict()
    found["width_mm"] = chain.width_mm


def _path(found: dict[str, Any], duty: DriveDuty, chain: DriveChain) -> None:
    teeth = {name: found[name] for name in ("teeth_small", "teeth_large")}
    wanted = duty.centre_distance_mm
    if wanted is None:
        usual = practice("usual_centre_distance_pitches", called="centre_distance_pitches")
        asked: dict[str, Any] = {"centre_distance_pitches": usual}
    else:
        if np.ndim(found["least_centre_distance_mm"]):
            # shafts too near for these sprockets are refused below; until then they are set apart
            wanted = np.maximum(wanted, found["least_centre_distance_mm"])
        asked = {"centre_distance_mm": wanted, "pitch_mm": chain.pitch_mm}
    found["chain_length_pitches"] = chain_length(**teeth, **asked)
    pitches = sums.whole_chain_length(chain_length_pitches=found["chain_length_pitches"])
    found["pitches"] = pitches
    found |= iso10823_centre_distance(
        **teeth, chain_length_pitches=pitches, pitch_mm=chain.pitch_mm
    )._asdict()
    found["wrap_angle_small_deg"] = wrap_angles(
        **teeth, centre_distance_pitches=found["centre_distance_pitches"]
    ).wrap_angle_small_deg
    found["variation_over_mean"] = chordal_speed_variation(
        teeth=teeth["teeth_small"]
    ).variation_over_mean
    found |= drive_chain_amount(
        pitches=pitches,
        pitch_mm=chain.pitch_mm,
        mass_per_length_kg_per_m=chain.mass_per_length_kg_per_m,
    )._asdict()


def _forces(found: dict[str, Any], duty: DriveDuty, chain: DriveChain) -> None:
    found |= chain_speed_and_pull(
        pitch_mm=chain.pitch_mm,
        teeth_small=found["teeth_small"],
        speed_rpm=found["speed_small_rpm"],
        power_kW=duty.power_kW,
        mass_per_length_kg_per_m=chain.mass_per_length_kg_per_m,
    )._asdict()
    found["tight_strand_pull_N"] = sums.tight_strand_pull(
        chain_pull_N=found["chain_pull_N"], centrifugal_pull_N=found["centrifugal_pull_N"]
    )
    found["sag_pull_N"] = chain_sag_pull(
        mass_per_length_kg_per_m=chain.mass_per_length_kg_per_m,
        centre_distance_mm=found["centre_distance_mm"],
    )
    shaken = {name: found[name] for name in ("chain_pull_N", "application_factor")}
    found["shaft_load_N"] = chain_shaft_load(
        **shaken,
        teeth_small=found["teeth_small"],
        teeth_large=found["teeth_large"],
        centre_distance_pitches=found["centre_distance_pitches"],
        sag_pull_N=found["sag_pull_N"],
    )
    found["bearing_pressure_MPa"] = joint_bearing_pressure(
        chain_pull_N=found["tight_strand_pull_N"], bearing_area_mm2=chain.bearing_area_mm2
    )
    found |= sums.drive_safety(
        **shaken,
        centrifugal_pull_N=found["centrifugal_pull_N"],
        sag_pull_N=found["sag_pull_N"],
        breaking_force_kN=chain.breaking_force_kN,
        dynamic_strength_N=chain.dynamic_strength_N,
        strand_factor=found["strand_factor"],
    )._asdict()
    found |= sums.drive_galling(
        **shaken,
        pitch_mm=chain.pitch_mm,
        teeth_small=found["teeth_small"],
        strand_factor=found["strand_factor"],
    )._asdict()
    found["lubrication_class"] = sums.lubrication_type(
        chain_speed_m_per_s=found["chain_speed_m_per_s"],
        greatest_speed_type_a_m_per_s=chain.greatest_speed_type_a_m_per_s,
        greatest_speed_type_b_m_per_s=chain.greatest_speed_type_b_m_per_s,
    )


def _wear(found: dict[str, Any], duty: DriveDuty, chain: DriveChain) -> None:
    """Hours to the allowed elongation with both ends of the band of wear rates."""
    allowed = allowed_chain_elongation(teeth_large=found["teeth_large"])
    found["allowed_elongation_percent"] = allowed
    rates = published_table("roller_wear_rate")
    for name, end in (("least_wear_life_h", "greatest"), ("greatest_wear_life_h", "least")):
        rate = rates.row(end).number("wear_rate_mm3_per_Nm")
        if duty.wear_factor is not None:
            rate = wear_rate_in_place(clean_wear_rate_mm3_per_Nm=rate, wear_factor=duty.wear_factor)
        found[name] = joint_wear_life(
            chain_pull_N=found["tight_strand_pull_N"],
            bearing_area_mm2=chain.bearing_area_mm2,
            pin_diameter_mm=chain.pin_diameter_mm,
            pitch_mm=chain.pitch_mm,
            teeth_small=found["teeth_small"],
            teeth_large=found["teeth_large"],
            chain_length_pitches=found["pitches"],
            speed_rpm=found["speed_small_rpm"],
            wear_rate_mm3_per_Nm=rate,
            allowed_elongation_percent=allowed,
        ).life_h


def _cost(found: dict[str, Any], duty: DriveDuty) -> None:
    same = ("chain_mass_kg", "sprocket_mass_kg", "strands", "teeth_small")
    found["cost_measure_kg"] = drive_cost(
        **{name: found[name] for name in same},
        usual_teeth=usual_teeth(duty.shock),
        centre_distance_pitches=found["centre_distance_pitches"],
        greatest_centre_distance_pitches=practice("greatest_centre_distance_pitches"),
    )


def _used(found: dict[str, Any], duty: DriveDuty) -> dict[str, Any]:
    """How far each limit is used; a limit that the duty does not set is not used at all."""
    design, largest = found["design_power_kW"], found["tip_diameter_large_mm"]
    near, deviation = found["least_centre_distance_mm"], np.abs(found["ratio_deviation_percent"])
    asked, least = duty.centre_distance_mm, found["wrap_angle_small_deg"]
    if asked is None:
        asked = found["centre_distance_mm"]
    # whoever names both sprockets has chosen the ratio
    named = duty.teeth_small is not None and duty.teeth_large is not None
    oils = 3.0 if duty.lubrication is None else 1.0 + LUBRICATIONS.index(duty.lubrication)
    return {
        "link plates": design / found["plate_limited_power_kW"],
        "rollers and bushings": design / found["roller_limited_power_kW"],
        "galling": found["speed_small_rpm"] / found["galling_speed_rpm"],
        "static safety": practice("least_static_safety_factor") / found["static_safety_factor"],
        "dynamic safety": practice("least_dynamic_safety_factor") / found["dynamic_safety_factor"],
        "wear": duty.life_h / found["greatest_wear_life_h"],
        "wrap": practice("least_wrap_angle_deg") / least,
        "shaft distance": near / asked,
        "sprocket diameter": largest / (duty.greatest_sprocket_diameter_mm or np.inf),
        "width": found["width_mm"] / (duty.greatest_width_mm or np.inf),
        # a type fits or does not: what fits is not used by a share
        "lubrication": np.where(found["lubrication_class"] > oils,
                                found["lubrication_class"] / oils, 0.0),
        "speed ratio": 0.0 * deviation if named
        else deviation / practice("greatest_ratio_deviation_percent"),
    }  # fmt: skip
