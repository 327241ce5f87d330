"""The page about a chosen chain drive: the duty step by step, the ranking, two pictures.

- `drive_page`: what stands on the page, for the template ``drive.typ``
- `drive_steps`, `drive_row`, `refused_words`: its parts
- `wear_said`: what the band of wear lives knows of dust, water or heat
- `drive_pictures`: what limits the first drive of a ranking over speed, and how it looks
"""

from __future__ import annotations

import warnings
from importlib.metadata import version
from typing import Any

import numpy as np

from linkwright.catalogue import ValidityWarning, not_recording
from linkwright.documents.chart import Axis, Curve, Mark
from linkwright.documents.display import Display
from linkwright.documents.drive_drawing import DriveShape, drive_drawing
from linkwright.documents.log_chart import log_chart
from linkwright.documents.svg import Drawing
from linkwright.mechanics.chain_pull import chain_speed
from linkwright.mechanics.drive_evaluation import LUBRICATIONS, DriveDuty
from linkwright.mechanics.drive_ranking import Ranked, Ranking
from linkwright.mechanics.drive_sums import drive_galling, drive_rating
from linkwright.standards.roller_chain import iso606_chain
from linkwright.standards.roller_rating import iso10823_rating

CAUTIONS = (
    "A chain drive draws in hands, hair and clothes, and a chain that breaks is thrown: guard it "
    "all round, and lock the power out before the guard comes off. Local codes rule.",
    "Transmission chain is not for lifting people, nor for loads over people.",
)
DRIVE_HEAD = ("chain", "teeth", "pitches", "shafts apart", "speed", "life of the joints",
              "oil", "used most", "measure")  # fmt: skip
_SHOWN, _REFUSED_SHOWN = 12, 6
_PLACES = {"dusty": "dust", "wet": "water", "corrosive": "corrosion", "hot": "heat"}
_POINTS, _DECADE, _TALLEST = 80, 10.0, 30.0
_OILING = {
    "drip": "by hand or drip (type A)",
    "bath": "in an oil bath or by a disc (type B)",
    "stream": "by a stream of oil (type C)",
}
_PLAIN = Display()


def drive_page(duty: DriveDuty, ranking: Ranking, display: Display = _PLAIN) -> dict[str, Any]:
    """All texts and pictures of the page; ``ranking`` holds at least one admissible drive."""
    best = ranking.rows[0]
    pictures = drive_pictures(duty, best, display)
    program = f"linkwright {version('linkwright')}"
    several = "drive" if ranking.admissible == 1 else "drives"
    return {
        "title": f"Chain drive: {drive_name(best)}",
        "program": program,
        "first": f"{ranking.admissible} admissible {several} of {ranking.candidates} tried; first "
        "stands the least measure of cost among those that last.",
        "steps": drive_steps(duty, best, display),
        "head": list(DRIVE_HEAD),
        "rows": [drive_row(row, display) for row in ranking.rows[:_SHOWN]],
        "refused": [refused_words(one.nearest) for one in ranking.refused[:_REFUSED_SHOWN]],
        "pictures": {name: drawing.text() for name, drawing in pictures.items()},
        "cautions": list(CAUTIONS),
        "foot": f"{program} · choice of a roller chain drive after ISO 10823 (remembered)",
    }  # fmt: skip


def wear_said(duty: DriveDuty) -> str:
    """What the band of wear lives knows of the place where the drive stands."""
    place = _PLACES.get(duty.environment or "")
    if place is None:
        return ""
    if duty.wear_factor is not None:
        return (
            f"The wear rate is that of a clean drive times {float(duty.wear_factor):g}, the works' "
            f"own factor for {place}."
        )
    return (
        f"The band is that of a clean drive: it does not know {place}, which shortens the life, "
        "and the works gives no factor for it."
    )


def drive_name(row: Ranked) -> str:
    """Chain and sprockets of one drive, as one calls it."""
    return f"{_chain(row)}, {row.teeth_small} and {row.teeth_large} teeth"


def _chain(row: Ranked) -> str:
    return f"{row.chain_number}-{row.strands}"


def _life(row: Ranked, display: Display) -> str:
    low, high = (
        display.text("life_h", value, 2)
        for value in (row.numbers.least_wear_life_h, row.numbers.greatest_wear_life_h)
    )
    return f"{low} to {high}"


def _oil(row: Ranked) -> str:
    return LUBRICATIONS[int(row.numbers.lubrication_class) - 1]


def drive_row(row: Ranked, display: Display) -> list[str]:
    """One drive of the ranking, a text for each of `DRIVE_HEAD`."""
    numbers = row.numbers
    return [
        _chain(row), f"{row.teeth_small}/{row.teeth_large}", str(row.pitches),
        display.text("centre_distance_mm", numbers.centre_distance_mm),
        display.text("chain_speed_m_per_s", numbers.chain_speed_m_per_s, 3),
        _life(row, display), _oil(row), f"{row.limited_by}, {_percent(row.used)}",
        display.text("cost_measure_kg", numbers.cost_measure_kg, 3),
    ]  # fmt: skip


def refused_words(nearest: Ranked) -> str:
    """Why a chain is refused."""
    share = f"{nearest.used:.3g} times its limit"
    return f"{nearest.chain_number}: {nearest.limited_by}, {share} with {drive_name(nearest)}."


def _percent(share: float) -> str:
    return f"{100 * share:.0f}\u00a0%"


def drive_steps(duty: DriveDuty, row: Ranked, display: Display) -> list[str]:
    """The duty in the order of ISO 10823, one sentence a step."""
    found = row.numbers

    def of(name: str, digits: int = 4) -> str:
        return display.text(name, getattr(found, name), digits)

    power = display.text("power_kW", duty.power_kW)
    counted = (
        f"One strand of {row.chain_number}: link plates stand"
        if row.strands == 1
        else f"{row.strands} strands of {row.chain_number} count {of('strand_factor')} times: link "
        "plates stand"
    )
    return [
        f"Power {power}; small sprocket {of('speed_small_rpm')}, large {of('speed_large_rpm')}, "
        f"ratio {of('speed_ratio')}; {duty.shock} machine, {duty.driver_shock} driver.",
        f"Sprockets of {row.teeth_small} and {row.teeth_large} teeth miss the ratio by "
        f"{of('ratio_deviation_percent', 2)}.",
        f"With the application factor {of('application_factor')} the drive is designed for "
        f"{of('design_power_kW')}.",
        f"{counted} {of('plate_limited_power_kW')}, rollers and bushings "
        f"{of('roller_limited_power_kW')} at this speed, length and life.",
        f"The pins would gall above {of('galling_speed_rpm')} of the small sprocket.",
        f"{of('chain_length_pitches')} pitches are asked for, {row.pitches} are made: "
        f"{of('length_m')} of chain on shafts {of('centre_distance_mm')} apart.",
        f"The chain runs at {of('chain_speed_m_per_s', 3)}, uneven by "
        f"{_percent_of(found.variation_over_mean)}, and lies round {of('wrap_angle_small_deg', 3)} "
        "of the small sprocket.",
        f"It pulls {of('chain_pull_N')} by the power and {of('centrifugal_pull_N', 3)} by its own "
        f"motion; with shocks each shaft bears {of('shaft_load_N')}.",
        f"It breaks at {of('static_safety_factor', 3)} times the even pull and "
        f"{of('dynamic_safety_factor', 3)} times that with shocks.",
        f"Pin and bushing press on each other with {of('bearing_pressure_MPa', 3)}; they wear to "
        f"{of('allowed_elongation_percent', 3)} elongation in {_life(row, display)}: a band, until "
        f"tests of the works' own narrow it. {wear_said(duty)}".rstrip(),
        f"It is to be lubricated {_OILING[_oil(row)]}.",
    ]


def _percent_of(share: float) -> str:
    return f"{100 * share:.2g}\u00a0%"


def drive_pictures(duty: DriveDuty, row: Ranked, display: Display = _PLAIN) -> dict[str, Drawing]:
    """Pictures of one drive by file name; numbers are computed again and leave no derivation."""
    with not_recording(), warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        chain = iso606_chain(chain_number=row.chain_number)
        shape = DriveShape(
            float(chain.pitch_mm), float(chain.greatest_roller_diameter_mm),
            float(chain.greatest_pin_diameter_mm), float(chain.greatest_plate_height_mm),
            row.teeth_small, row.teeth_large, row.pitches, float(row.numbers.centre_distance_mm),
        )  # fmt: skip
        limits = _limits(duty, row, float(chain.pitch_mm), display)
        drawn = drive_drawing(shape, f"Sprockets and chain: {drive_name(row)}", display)
    return {"drive-limits.svg": limits, "drive.svg": drawn}


def _limits(duty: DriveDuty, row: Ranked, pitch_mm: float, display: Display) -> Drawing:
    """Design power that plates, rollers and an oil film stand, over speed."""
    here, teeth = float(row.numbers.speed_small_rpm), float(row.teeth_small)
    speed = np.geomspace(here / _DECADE, here * _DECADE, _POINTS)
    one = iso10823_rating(chain_number=row.chain_number, teeth_small=teeth, speed_rpm=speed)
    rating = drive_rating(
        power_kW=duty.power_kW,
        application_factor=float(row.numbers.application_factor),
        strand_factor=float(row.numbers.strand_factor),
        plate_limited_power_one_strand_kW=one.plate_limited_power_kW,
        roller_limited_power_one_strand_kW=one.roller_limited_power_kW,
        chain_length_pitches=float(row.pitches),
        life_h=duty.life_h,
    )
    plates, rollers = rating.plate_limited_power_kW, rating.roller_limited_power_kW
    asked = float(row.numbers.design_power_kW)
    most = _TALLEST * max(asked, float(np.minimum(plates, rollers).max()))
    # galling is known as a speed for a pull: the pull runs along its line
    pull = np.geomspace(1e-3, 4.0, _POINTS) * float(row.numbers.chain_pull_N) * _DECADE
    galls = drive_galling(
        chain_pull_N=pull, application_factor=1.0, pitch_mm=pitch_mm, teeth_small=teeth,
        strand_factor=float(row.numbers.strand_factor),
    ).galling_speed_rpm  # fmt: skip
    carried = pull * chain_speed(pitch_mm=pitch_mm, teeth_small=teeth, speed_rpm=galls) / 1e3
    inside = (galls > speed[0]) & (galls < speed[-1]) & (carried < most)
    unit = display.unit("power_kW")
    curves = [
        Curve("link plates", speed.tolist(), _shown(np.where(plates < most, plates, 0.0), display)),
        Curve("rollers", speed.tolist(), _shown(np.where(rollers < most, rollers, 0.0), display)),
        Curve("galling", galls[inside].tolist(), _shown(carried[inside], display)),
    ]
    mark = Mark(here, _shown([asked], display)[0], "this drive")
    axes = (Axis("speed of the small sprocket", "rpm"), Axis("power with shocks", unit))
    drawing = log_chart(f"What {_chain(row)} stands on {row.teeth_small} teeth", axes, curves,
                        [mark], display)  # fmt: skip
    assert drawing is not None  # noqa: S101 - link plates always have points
    return drawing


def _shown(values: Any, display: Display) -> list[float]:
    return [display.shown("power_kW", float(value))[0] for value in values]
