"""`linkwright record`: one act on the books, or one for each row of a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.books import Books, PassPhrase, Person, new_phrase, wanted
from linkwright.cli.calc import key_values
from linkwright.cli.pass_phrase import OF_KEY, ask_pass_phrase
from linkwright.cli.show import SCHEMA_VERSION, Json, NoColor, Screen, columns

if TYPE_CHECKING:
    from linkwright.services.books import Signing
    from linkwright.services.recording_rows import RecordedRows

EPILOG = """
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
        screen.data({"schema_version": SCHEMA_VERSION, "acts": acts}) if json else screen.result(
            _acts(acts)
        )
        return 0
    if not values and not run and each is None:
        held = recording.described(act)
        screen.data({"schema_version": SCHEMA_VERSION, **held}) if json else screen.result(
            _described(held)
        )
        return 0
    given = key_values(values or [])
    who = wanted(person, "--as", "--as PERSON")
    reason = wanted(why, "--why", "--why TEXT")
    where = wanted(place, "--books", "--books BOOKS, or LINKWRIGHT_BOOKS")
    if paper is not None:
        refuse_existing(paper, force=False)
    with opened(where, _signing(sign, letter, key_phrase)) as store:
        secret = ask_pass_phrase(pass_phrase, who)
        if "pass_phrase" in recording.asked_by(act) and "pass_phrase" not in given:
            given["pass_phrase"] = new_phrase(given.get("person", "the person"))
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
            wanted(
                None if letter is None else str(letter),
                "--letter",
                "--letter FILE, see examples/letter.toml",
            )
        ),
        sign,
        opens,
    )


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
