"""`linkwright books`, `record` and `look`: the books of the works from the command line."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.pass_phrase import NEW, ask_pass_phrase
from linkwright.cli.show import SCHEMA_VERSION, Json, NoColor, Screen, columns, number_text
from linkwright.quantities import InputErrors, Problem

if TYPE_CHECKING:
    pass

BOOKS_EPILOG = """
Examples:

\b
  linkwright books start quarry.books --as anna --name "Anna, quality"
  linkwright books check quarry.books --head monday.json
  linkwright books backup quarry.books monday.books
  linkwright books restore monday.books again.books
  linkwright books export quarry.books quarry-export
  linkwright books import again.books quarry-export --as anna
  linkwright books migrate quarry.books
  linkwright books renew quarry.books --as ben

BOOKS is a file, or postgresql://user@host/database for several users. check walks the chain of
acts; with --head it also finds a tail that was cut off since that head was written down. renew
gives oneself another pass phrase.
"""
ENTER_EPILOG = """
Example:

\b
  linkwright enter order.toml --books quarry.books --as ben --why "order of 2 November"

The same file entered twice does nothing twice. Lines whose chain is not chosen yet are left out.
"""
LOOK_EPILOG = """
Examples:

\b
  linkwright look lot --books quarry.books
  linkwright look lot:2026-11-A --books quarry.books
  linkwright look gauge:P400 --books quarry.books --json
"""
Books = Annotated[
    str | None,
    typer.Option("--books", metavar="BOOKS", help="File or address.", envvar="LINKWRIGHT_BOOKS"),
]
Person = Annotated[str | None, typer.Option("--as", metavar="PERSON", help="Who does it.")]
PassPhrase = Annotated[
    Path | None, typer.Option("--pass-phrase", metavar="FILE", help="File whose first line is it.")
]


class Task(StrEnum):
    """What can be done with books as a whole."""

    start = "start"
    check = "check"
    backup = "backup"
    restore = "restore"
    export = "export"
    take_in = "import"
    migrate = "migrate"
    renew = "renew"


def books(
    task: Annotated[
        Task,
        typer.Argument(
            metavar="TASK", help="start, check, backup, restore, export, import, migrate or renew."
        ),
    ],
    place: Annotated[str, typer.Argument(metavar="BOOKS|BACKUP", help="What is worked on.")],
    to: Annotated[
        str | None, typer.Argument(metavar="TO", help="Where it goes, or comes from for import.")
    ] = None,
    person: Person = None,
    name: Annotated[
        str | None, typer.Option("--name", metavar="TEXT", help="What the first person is called.")
    ] = None,
    pass_phrase: PassPhrase = None,
    head: Annotated[
        Path | None, typer.Option("--head", metavar="FILE", help="A head that was written down.")
    ] = None,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Begin, check, back up, move or bring up the books of the works."""
    from linkwright.services import books as service  # noqa: PLC0415

    def other() -> str:
        return wanted(to, "TO", f"where it goes: books {task.value} {place} PLACE")

    def secret() -> str:
        return ask_pass_phrase(pass_phrase, wanted(person, "--as", "--as PERSON"))

    tasks: dict[Task, Any] = {
        Task.start: lambda: service.start(
            place, wanted(person, "--as", "--as PERSON"), name or str(person), secret()
        ),
        Task.check: lambda: service.check(place, head),
        Task.backup: lambda: service.backup(place, Path(other())),
        Task.restore: lambda: service.restore(Path(place), other()),
        Task.export: lambda: service.export(place, Path(other())),
        Task.take_in: lambda: service.take_in(
            place, Path(other()), wanted(person, "--as", "--as PERSON"), secret()
        ),
        Task.migrate: lambda: service.migrate(place, to),
        Task.renew: lambda: service.renew(place, str(person), secret(), new_phrase(str(person))),
    }  # fmt: skip
    said = {"schema_version": SCHEMA_VERSION, "task": task.value, **tasks[task]()}
    screen = Screen(no_color=no_color)
    screen.data(said) if json else screen.result(_told(said))
    return 1 if said.get("broken") else 0


def enter(
    order: Annotated[Path, typer.Argument(metavar="ORDER", help="Order file.")],
    place: Books = None,
    person: Person = None,
    why: Annotated[str | None, typer.Option("--why", metavar="TEXT", help="The reason.")] = None,
    pass_phrase: PassPhrase = None,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Enter an order file in the books, with what the standard of each line asks of its lots."""
    from linkwright.services.books import opened  # noqa: PLC0415
    from linkwright.services.entering_order import enter_order  # noqa: PLC0415

    who, reason = wanted(person, "--as", "--as PERSON"), wanted(why, "--why", "--why TEXT")
    with opened(wanted(place, "--books", "--books BOOKS, or LINKWRIGHT_BOOKS")) as store:
        secret = ask_pass_phrase(pass_phrase, who)
        made = enter_order(store, who, secret, order, why=reason)
    screen = Screen(no_color=no_color)
    told = [("order", made.order), ("lines", ", ".join(made.lines)), ("acts", str(made.acts))]
    screen.data(made.to_dict()) if json else screen.result(columns(told, indent=""))
    for note in made.notes:
        screen.note(f"note: {note}")


def look(
    what: Annotated[str, typer.Argument(metavar="WHAT", help="kind:name, or a kind for its list.")],
    place: Books = None,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Look at a record with its history, or at the list of a kind."""
    import datetime  # noqa: PLC0415

    from linkwright.services.books import opened  # noqa: PLC0415
    from linkwright.services.looking import look as looked  # noqa: PLC0415

    today = datetime.datetime.now(datetime.UTC).date().isoformat()
    with opened(wanted(place, "--books", "--books BOOKS, or LINKWRIGHT_BOOKS")) as store:
        said = looked(store, what, today)
    screen = Screen(no_color=no_color)
    screen.data(said) if json else screen.result(_looked(said))


def wanted(value: str | None, key: str, accepted: str) -> str:
    """A value that must be given. Raises `InputErrors`."""
    if value is None:
        raise InputErrors([Problem("missing-key", "is needed", key=key, accepted=accepted)])
    return value


def _told(said: dict[str, Any]) -> str:
    rows = [
        (key.replace("_", " "), _short(value))
        for key, value in said.items()
        if key not in ("schema_version", "files", "format")
    ]
    return columns(rows, indent="")


def _short(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{key} {_short(one)}" for key, one in value.items())
    if isinstance(value, list):
        return "; ".join(map(str, value)) or "none"
    return number_text(value)


def _looked(said: dict[str, Any]) -> str:
    if "rows" in said:
        return columns([(row["id"], row["state"]) for row in said["rows"]], indent="") or "none"
    parts = [f"{said['id']}  {said['state']}, version {said['version']}"]
    if said.get("name"):
        parts.append(str(said["name"]))
    if "evidence" in said:
        parts += _evidence(said["evidence"])
    if said.get("strength"):
        held = said["strength"]
        parts.append(
            f"Strength of {held['length_mm'] / 1000:g} m from {held['samples']} samples: 99 % "
            f"of such lengths reach {held['value_normal']:.4g} kN (normal law), "
            f"{held['value_weibull']:.4g} kN (Weibull); the tests do not tell between them"
        )
    for one in said.get("in_doubt", []):
        papers = ", ".join(one["certificates"]) or "no certificate"
        parts.append(f"in doubt: {one['test']} of {one['lot']} ({papers}): {one['reason']}")
    parts += ["", "History:"]
    for one in said["versions"]:
        parts.append(
            f"  {one['version']}  {one['at'][:19]}Z  {one['by']}  {one['action']}: {one['why']}"
        )
    if said["may"]:
        parts += ["", f"What can be done: {', '.join(said['may'])}"]
    return "\n".join(parts)


def _evidence(held: dict[str, Any]) -> list[str]:
    parts = ["", "Requirements:"]
    for one in held["requirements"]:
        limits = [f"at least {one['least']:g}"] if one["least"] is not None else []
        limits += [f"at most {one['greatest']:g}"] if one["greatest"] is not None else []
        value = "no value" if one["value"] is None else f"{one['value']:g} {one['unit']}"
        parts.append(
            f"  {one['characteristic']}: {value} ({' and '.join(limits)}; {one['source']}): "
            f"{one['verdict']}, {one['state']} ({one['samples_done']} of {one['sampleswanted']})"
        )
    parts.append("Conditions:")
    parts += [
        f"  {one['condition']}: {'met' if one['met'] else one['against']}"
        for one in held["conditions"]
    ]
    sums = {key.removesuffix("_mm"): value for key, value in held["balance"].items()}
    parts.append("Metres: " + ", ".join(f"{key} {value / 1000:g}" for key, value in sums.items()))
    return parts


def new_phrase(whose: str) -> str:
    """A pass phrase that is being given, asked for twice; it stands in no history of commands."""
    return ask_pass_phrase(None, f"new: {whose}", variable=NEW, twice=True, option="no option,")
