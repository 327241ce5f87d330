"""`linkwright drive`: chain, strands and sprockets for a power to be carried."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.show import Json, NoColor, Screen, columns, number_text
from linkwright.cli.solid import Replaced, answer
from linkwright.quantities import ArgumentError, significant

if TYPE_CHECKING:
    from linkwright.services.drive_choice import DriveChoice, Ranked

EPILOG = """
Examples:

\b
  linkwright drive --power 30kW --speed 96rpm --driven-speed 16rpm --shock "heavy shocks"
  linkwright drive --power 5kW --speed 720rpm --ratio 3 --centre-distance 800mm --out drive
  linkwright drive --order order.toml --line 2 --json

Ranks roller chains of ISO 606 with 1 to 6 strands and all sprockets from 11 to 150 teeth after
ISO 10823. Lengths without unit are mm. Guard every chain drive and lock its power out before the
guard comes off; transmission chain is not for lifting people or loads over people.
"""


def _number(name: str, metavar: str, said: str) -> Any:
    return typer.Option(name, metavar=metavar, help=said)


_Optional = str | None


def drive(
    power: Annotated[_Optional, _number("--power", "POWER", "To be carried.")] = None,
    speed: Annotated[_Optional, _number("--speed", "SPEED", "Of the driving shaft.")] = None,
    driven_speed: Annotated[
        _Optional, _number("--driven-speed", "SPEED", "Of the driven shaft, or --ratio.")
    ] = None,
    ratio: Annotated[_Optional, _number("--ratio", "N", "Driver speed over driven speed.")] = None,
    centre_distance: Annotated[
        _Optional, _number("--centre-distance", "LENGTH", "Of the shafts; 40 pitches if left out.")
    ] = None,
    shock: Annotated[
        _Optional,
        _number("--shock", "WORDS", "smooth (if left out), moderate shocks or heavy shocks."),
    ] = None,
    driver_shock: Annotated[
        _Optional,
        _number("--driver-shock", "WORDS", "smooth (if left out), slight or moderate shocks."),
    ] = None,
    hours: Annotated[_Optional, _number("--hours", "N", "Running hours in a day.")] = None,
    life: Annotated[
        _Optional, _number("--life", "TIME", "The chain shall last; 15000 h if left out.")
    ] = None,
    environment: Annotated[
        _Optional, _number("--environment", "WORD", "clean, dusty, wet, corrosive or hot.")
    ] = None,
    lubrication: Annotated[
        _Optional, _number("--lubrication", "WORD", "Best there may be: drip, bath or stream.")
    ] = None,
    teeth_small: Annotated[_Optional, _number("--teeth-small", "N", "Where fixed.")] = None,
    teeth_large: Annotated[_Optional, _number("--teeth-large", "N", "Where fixed.")] = None,
    sprocket_room: Annotated[
        _Optional, _number("--greatest-sprocket", "LENGTH", "Room for the large sprocket.")
    ] = None,
    width_room: Annotated[
        _Optional, _number("--greatest-width", "LENGTH", "Room for the chain across.")
    ] = None,
    order: Annotated[
        Path | None, typer.Option("--order", metavar="FILE", help="Order with [line.drive].")
    ] = None,
    line: Annotated[_Optional, _number("--line", "ID", "Line of the order.")] = None,
    works: Annotated[
        Path | None, typer.Option("--works", metavar="FILE", help="works.toml with [wear].")
    ] = None,
    rows: Annotated[int, typer.Option("--rows", min=1, help="How many to show.")] = 10,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="DIR", help="Folder for page and pictures.")
    ] = None,
    force: Replaced = False,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Choose a roller chain drive for a power: chain, strands and sprockets, ranked."""
    from linkwright.services import drive_choice  # noqa: PLC0415

    values: dict[str, str | float | None] = {
        "power_kW": power, "driver_speed_rpm": speed, "driven_speed_rpm": driven_speed,
        "ratio": ratio, "centre_distance_mm": centre_distance, "shock": shock,
        "driver_shock": driver_shock, "hours_per_day": hours, "life_h": life,
        "environment": environment, "lubrication": lubrication, "teeth_small": teeth_small,
        "teeth_large": teeth_large, "greatest_sprocket_diameter_mm": sprocket_room,
        "greatest_width_mm": width_room,
    }  # fmt: skip
    wear = drive_choice.wear_of_works(works)
    if order is None:
        if line is not None:
            raise ArgumentError("line", line, "", "--order with it", "names a line of no order")
        made = drive_choice.choose_drive(
            drive_choice.duty_of_values(values), wear=wear, out=out, force=force
        )
    else:
        said = [name for name, value in values.items() if value is not None]
        if said:
            raise ArgumentError(said[0], values[said[0]], "", "the order alone", "is said twice")
        made = drive_choice.choose_drive(
            drive_choice.drive_of_order(order, line), wear=wear, out=out, force=force
        )
    caution = " ".join(made.cautions)
    answer(made, lambda choice: told(choice, rows), caution, Screen(no_color=no_color), json=json)


def told(made: DriveChoice, rows: int) -> list[str]:
    """The answer for people."""
    best, small, large = made.rows[0], *made.sprockets
    found = [
        ("drive", f"{best.chain_number}-{best.strands}, {best.teeth_small} and "
         f"{best.teeth_large} teeth"),
        ("chain", f"{best.pitches} pitches, {number_text(float(best.numbers.length_m), 'm')}"),
        ("shafts apart", number_text(float(best.numbers.centre_distance_mm), "mm")),
        ("load of each shaft", number_text(float(best.numbers.shaft_load_N), "N")),
        ("pitch diameters", f"{number_text(float(small.diameters.pitch_diameter_mm))} and "
         f"{number_text(float(large.diameters.pitch_diameter_mm), 'mm')}"),
        ("admissible", f"{made.admissible} of {made.candidates} drives"),
    ]  # fmt: skip
    wear = made.to_dict()["wear_band"]
    if wear:
        found.append(("wear", wear))
    ranked = [_row(index, row) for index, row in enumerate(made.rows[:rows], 1)]
    refused = [
        (one.chain_number, f"{one.nearest.limited_by}, {one.nearest.used:.3g} times the limit")
        for one in made.refused[:rows]
    ]
    texts = [columns(found), "\nRanked, the best of each chain and number of strands"]
    texts.append(columns(ranked))
    if refused:
        texts += ["\nRefused, nearest first", columns(refused)]
    return [*texts, *(f"wrote {path}" for path in made.files)]


def _row(index: int, row: Ranked) -> tuple[str, str]:
    """One drive and why it stands there."""
    numbers = row.numbers
    oil = ("drip", "bath", "stream")[int(numbers.lubrication_class) - 1]
    low, high = (
        significant(value / 1e3, 2)
        for value in (numbers.least_wear_life_h, numbers.greatest_wear_life_h)
    )
    agreed = ", strands by agreement" if row.strands > 3 else ""
    return (
        f"{index}. {row.chain_number}-{row.strands}",
        f"{row.teeth_small}/{row.teeth_large} teeth, {numbers.chain_speed_m_per_s:.3g} m/s, {oil}, "
        f"lasts {low} to {high} thousand h, {row.limited_by} {100 * row.used:.0f} %, "
        f"measure {significant(numbers.cost_measure_kg, 3)} kg{agreed}",
    )
