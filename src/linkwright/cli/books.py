"""`linkwright books`, `record` and `look`: the books of the works from the command line."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.calc import key_values
from linkwright.cli.pass_phrase import OF_KEY, ask_pass_phrase
from linkwright.cli.show import Json, NoColor, Screen, columns, number_text
from linkwright.quantities import InputErrors, Problem

if TYPE_CHECKING:
    from linkwright.services.books import Signing
    from linkwright.services.recording_rows import RecordedRows

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

BOOKS is a file, or postgresql://user@host/database for several users. check walks the chain of
acts; with --head it also finds a tail that was cut off since that head was written down.
"""
RECORD_EPILOG = """
Examples:

\b
  linkwright record
  linkwright record receive_coil
  linkwright record receive_coil coil=C-118 heat=48213 received_on=2026-11-02 \\
      mass=1.2t diameter=8.5mm tag=48213/4 document_names=48213/4 \\
      --books quarry.books --as ben --why "delivery note 771"

  linkwright record issue_certificate lot=2026-11-A --books quarry.books --as dora \\
      --why "as ordered" --sign works.p12 --letter letter.toml --paper certificate.pdf

  linkwright record record_test --each tests.csv lot=2026-11-A --books quarry.books --as ben \\
      --why "laboratory, 24 November"

Without an act the acts are listed; without values, what an act takes. The pass phrase comes from
--pass-phrase FILE, from LINKWRIGHT_PASS_PHRASE, or is asked for. Sent twice with the same --key,
an act is done once. seen=N tells you if somebody changed the record after version N.
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


def books(
    task: Annotated[
        Task,
        typer.Argument(
            metavar="TASK", help="start, check, backup, restore, export, import or migrate."
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
        return _wanted(to, "TO", f"where it goes: books {task.value} {place} PLACE")

    def secret() -> str:
        return ask_pass_phrase(pass_phrase, _wanted(person, "--as", "--as PERSON"))

    tasks: dict[Task, Any] = {
        Task.start: lambda: service.start(
            place, _wanted(person, "--as", "--as PERSON"), name or str(person), secret()
        ),
        Task.check: lambda: service.check(place, head),
        Task.backup: lambda: service.backup(place, Path(other())),
        Task.restore: lambda: service.restore(Path(place), other()),
        Task.export: lambda: service.export(place, Path(other())),
        Task.take_in: lambda: service.take_in(
            place, Path(other()), _wanted(person, "--as", "--as PERSON"), secret()
        ),
        Task.migrate: lambda: service.migrate(place, to),
    }  # fmt: skip
    said = {"schema_version": 1, "task": task.value, **tasks[task]()}
    screen = Screen(no_color=no_color)
    screen.data(said) if json else screen.result(_told(said))
    return 1 if said.get("broken") else 0


def record(
    act: Annotated[
        str | None, typer.Argument(metavar="ACT", help="What is done; none lists all acts.")
    ] = None,
    values: Annotated[
        list[str] | None, typer.Argument(metavar="KEY=VALUE", help="Its arguments.")
    ] = None,
    place: Books = None,
    person: Person = None,
    why: Annotated[
        str | None, typer.Option("--why", metavar="TEXT", help="The reason; every act has one.")
    ] = None,
    key: Annotated[
        str | None, typer.Option("--key", metavar="TEXT", help="Sent twice with it, done once.")
    ] = None,
    pass_phrase: PassPhrase = None,
    each: Annotated[
        Path | None,
        typer.Option("--each", metavar="FILE.csv", help="Once for each row; its head names keys."),
    ] = None,
    sign: Annotated[
        Path | None,
        typer.Option("--sign", metavar="KEY.p12", help="Key that signs what the act makes."),
    ] = None,
    letter: Annotated[
        Path | None,
        typer.Option("--letter", metavar="FILE", help="What a certificate says beside the books."),
    ] = None,
    key_phrase: Annotated[
        Path | None,
        typer.Option("--key-phrase", metavar="FILE", help="File whose first line opens the key."),
    ] = None,
    paper: Annotated[
        Path | None,
        typer.Option("--paper", metavar="OUT", help="Write the paper that the act makes here."),
    ] = None,
    run: Annotated[bool, typer.Option("--run", help="Do an act that takes no argument.")] = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Write what happened into the books, signed by who did it."""
    from linkwright.services import recording  # noqa: PLC0415
    from linkwright.services.books import opened  # noqa: PLC0415
    from linkwright.services.recording_rows import record_rows  # noqa: PLC0415
    from linkwright.services.written_file import refuse_existing, write_file  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    if act is None:
        acts = recording.listed()
        screen.data({"schema_version": 1, "acts": acts}) if json else screen.result(_acts(acts))
        return 0
    if not values and not run and each is None:
        held = recording.described(act)
        screen.data({"schema_version": 1, **held}) if json else screen.result(_described(held))
        return 0
    given = key_values(values or [])
    who = _wanted(person, "--as", "--as PERSON")
    reason = _wanted(why, "--why", "--why TEXT")
    where = _wanted(place, "--books", "--books BOOKS, or LINKWRIGHT_BOOKS")
    if paper is not None:
        refuse_existing(paper, force=False)
    with opened(where, _signing(sign, letter, key_phrase)) as store:
        secret = ask_pass_phrase(pass_phrase, who)
        if each is not None:
            return _tell_rows(
                screen, record_rows(store, who, secret, act, each, why=reason, common=given), json
            )
        done = recording.record(store, who, secret, act, given, why=reason, key=key)
        if paper is not None:
            write_file(paper, recording.paper_of(store, done))
            screen.note(f"wrote {paper}")
    if json:
        screen.data(done.to_dict())
        return 0
    for row in done.rows:
        screen.result(f"{row['id']}  {row['state']}, version {row['version']}")
    screen.note(f"act {done.act}" if done.new else f"done before, as act {done.act}")
    return 0


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

    who, reason = _wanted(person, "--as", "--as PERSON"), _wanted(why, "--why", "--why TEXT")
    with opened(_wanted(place, "--books", "--books BOOKS, or LINKWRIGHT_BOOKS")) as store:
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
    with opened(_wanted(place, "--books", "--books BOOKS, or LINKWRIGHT_BOOKS")) as store:
        said = looked(store, what, today)
    screen = Screen(no_color=no_color)
    screen.data(said) if json else screen.result(_looked(said))


def _tell_rows(screen: Screen, told: RecordedRows, json: bool) -> int:
    if json:
        screen.data(told.to_dict())
    else:
        new = sum(one.new for _, one in told.done)
        screen.result(
            f"{new} done, {len(told.done) - new} done before, {len(told.refused)} refused"
        )
    for row, reason in told.refused:
        screen.note(f"row {row}: {reason}")
    return 1 if told.refused else 0


def _signing(sign: Path | None, letter: Path | None, phrase: Path | None) -> Signing | None:
    """What signs papers, where a key is given; the letter says who the works is."""
    if sign is None:
        return None
    from linkwright.services.certificate_of_lot import means_of  # noqa: PLC0415

    opens = ask_pass_phrase(phrase, str(sign), variable=OF_KEY, option="--key-phrase")
    return means_of(
        Path(
            _wanted(
                None if letter is None else str(letter),
                "--letter",
                "--letter FILE, see examples/letter.toml",
            )
        ),
        sign,
        opens,
    )


def _wanted(value: str | None, key: str, accepted: str) -> str:
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


def _acts(acts: list[dict[str, Any]]) -> str:
    parts = []
    for subject in dict.fromkeys(one["subject"] for one in acts):
        rows = [(one["name"], one["does"]) for one in acts if one["subject"] == subject]
        parts.append(f"{subject.replace('_', ' ')}\n{columns(rows)}")
    return "\n".join(parts)


def _described(held: dict[str, Any]) -> str:
    rows = [
        (one["name"], one["takes"] + ("" if one["required"] else ", may be left out"))
        for one in held["arguments"]
    ]
    return "\n".join([
        held["name"], "", held["does"], "", f"For: {', '.join(held['roles'])}", "", "Arguments:",
        columns(rows),
    ])  # fmt: skip


def _looked(said: dict[str, Any]) -> str:
    if "rows" in said:
        return columns([(row["id"], row["state"]) for row in said["rows"]], indent="") or "none"
    parts = [f"{said['id']}  {said['state']}, version {said['version']}"]
    if said.get("name"):
        parts.append(str(said["name"]))
    if "evidence" in said:
        parts += _evidence(said["evidence"])
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
            f"{one['verdict']}, {one['state']} ({one['samples_done']} of {one['samples_wanted']})"
        )
    parts.append("Conditions:")
    parts += [
        f"  {one['condition']}: {'met' if one['met'] else one['against']}"
        for one in held["conditions"]
    ]
    sums = {key.removesuffix("_mm"): value for key, value in held["balance"].items()}
    parts.append("Metres: " + ", ".join(f"{key} {value / 1000:g}" for key, value in sums.items()))
    return parts
