"""`linkwright calc`: list the calculations, show one, or carry it out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from linkwright.cli.show import InUnits, Json, NoColor, Screen, columns, values_text
from linkwright.quantities import InputErrors, Problem, bounds_text, split, unit_text

if TYPE_CHECKING:
    from linkwright.services.calculations import Answer, ArgumentNote, Description

EPILOG = """
Examples:

\b
  linkwright calc --find drawing
  linkwright calc flow_stress_hollomon
  linkwright calc flow_stress_hollomon K_MPa=500 n=0.25 true_strain=0.2
  linkwright calc flow_stress_hollomon K=72.5kpsi n=0.25 true_strain=0.1,0.2,0.3 --json
  linkwright calc individuals_limits readings=@weld.csv:energy_kJ

A key is an argument as it stands (pitch_mm=12.7), its stem with another unit (pitch_in=0.5)
or its bare stem with the unit at the value (pitch=0.5in, pitch="1/2 in"). Lists stand in
brackets or are parted by commas: [0.1,0.2] or 0.1,0.2,0.3. Texts are taken as they are.
A column of a CSV file is @FILE:COLUMN, several are @FILE:COLUMN,COLUMN; file=FILE gives each
column to the argument it is called after.
"""


Name = Annotated[
    str | None, typer.Argument(metavar="NAME", help="A calculation; none lists them all.")
]
KeyValues = Annotated[
    list[str] | None,
    typer.Argument(metavar="KEY=VALUE", help="Its arguments; none shows what it takes."),
]
Find = Annotated[
    str | None, typer.Option("--find", metavar="WORD", help="List those that hold the words.")
]
Show = Annotated[
    list[str] | None,
    typer.Option("--show", metavar="RESULT", help="Only this result, in this unit. Repeatable."),
]
Run = Annotated[bool, typer.Option("--run", help="Carry it out even if no argument is given.")]


def calc(
    name: Name = None,
    values: KeyValues = None,
    find: Find = None,
    show: Show = None,
    run: Run = False,
    units: InUnits = None,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Carry out one calculation of published physics, with its source."""
    from linkwright.services import calculations as service  # noqa: PLC0415
    from linkwright.services.columns import opened  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    if name is None or find is not None:
        _list(screen, " ".join(filter(None, (name, find))), json=json)
    elif not values and not show and not run:
        description = service.describe(name)
        screen.data(description.to_dict()) if json else screen.result(_described(description))
    else:
        answer = service.calculate(name, **opened(key_values(values or [])))
        if show:
            answer = answer.shown(tuple(show))
        screen.data(answer.to_dict()) if json else screen.result(_answered(answer, units))
        for warning in answer.warnings:
            screen.note(f"warning: {warning}")


def key_values(values: list[str]) -> dict[str, str]:
    """KEY=VALUE as typed, every word that is none told at once."""
    pairs: dict[str, str] = {}
    problems: list[Problem] = []
    for word in values:
        key, equals, value = word.partition("=")
        shown = word if len(word) <= 60 else word[:57] + "..."
        accepted = 'KEY=VALUE, with quotation marks if there is a space: pitch="1/2 in"'
        if not equals or not key.strip():
            problems.append(Problem("form", f"{shown!r} is not KEY=VALUE", accepted=accepted))
        elif key.strip() in pairs:
            problems.append(Problem("given-twice", "is given twice", key=key.strip()[:60]))
        else:
            pairs[key.strip()] = value
    if problems:
        raise InputErrors(problems)
    return pairs


def _list(screen: Screen, find: str, *, json: bool) -> None:
    from linkwright.services.calculations import calculations  # noqa: PLC0415
    from linkwright.services.plain import SCHEMA_VERSION  # noqa: PLC0415

    found = calculations(find)
    if json:
        listed = [entry.to_dict() for entry in found]
        screen.data({"schema_version": SCHEMA_VERSION, "calculations": listed})
        return
    for room in dict.fromkeys(entry.room for entry in found):
        screen.result(room)
        rows = [(entry.name, entry.summary) for entry in found if entry.room == room]
        screen.result(columns(rows))
    words = f" with {find!r}" if find else ""
    screen.note(f"{len(found)} calculation{'' if len(found) == 1 else 's'}{words}")


def _described(description: Description) -> str:
    arguments = [(note.name, _argument(note)) for note in description.arguments]
    results = [(name, unit_text(split(name)[1])) for name in description.results]
    return "\n".join(
        [
            description.name,
            "",
            description.description,
            "",
            "Arguments:",
            columns(arguments),
            "",
            "Results:",
            columns(results),
            "",
            f"Source: {description.source}",
            f"Basis: {description.basis}",
        ]
    )


def _argument(note: ArgumentNote) -> str:
    kind = "text" if set(note.takes) <= {"text", "texts"} else unit_text(note.unit) or "number"
    parts = [kind]
    if not note.required:
        default = "" if note.default is None else f", {values_text(note.default)} if left out"
        parts.append(f"optional{default}")
    if note.needs:
        parts.append(f"must be {bounds_text(note.needs)}")
    if note.valid:
        parts.append(f"source holds {bounds_text(note.valid)}")
    return "; ".join(parts)


def _answered(answer: Answer, units: object) -> str:
    from linkwright.quantities.unit_systems import shown_in  # noqa: PLC0415

    rows = []
    for name, value in answer.results.items():
        shown, unit = shown_in(getattr(units, "value", None), name, value)
        rows.append((split(name)[0], values_text(shown, unit)))
    return "\n".join(
        [answer.name, columns(rows), f"Source: {answer.source}", f"Basis: {answer.basis}"]
    )
