"""`linkwright certify`, `countersign`, `verify`, `withdraw`, `key`: papers that can be checked."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.pass_phrase import OF_KEY, ask_pass_phrase
from linkwright.cli.show import Json, NoColor, Screen, columns

if TYPE_CHECKING:
    from linkwright.services.certifying import Certified, RecordsOf, VerifyAnswer

_ASKED = f"""The pass phrase of a key comes from the environment ({OF_KEY}), from the first
line of a file (--key-phrase), or is asked for at the terminal."""
CERTIFY_EPILOG = f"""
Examples:

\b
  linkwright key works.p12 --name "Quarry Lane works"
  linkwright certify certificate.json --key works.p12 --out certificate.pdf

The data is JSON (linkwright schema certificate). A lot that is not released is refused. What was
certified is never overwritten: a correction is a new certificate that names the one it replaces.
{_ASKED}
"""
COUNTERSIGN_EPILOG = f"""
Example:

\b
  linkwright countersign certificate.pdf --key inspector.p12 --out countersigned.pdf

The second signature of an inspection certificate 3.2, by the purchaser's representative or the
official inspector, over the first one. {_ASKED}
"""
VERIFY_EPILOG = """
Examples:

\b
  linkwright verify certificate.pdf --trust works.pem
  linkwright verify certificate.pdf --trust works.pem --withdrawals list.json --json
  linkwright verify certificate.pdf --trust works.pem --books quarry.books

Says three things, without a network: whether the signature is whole and who vouches for its key;
whether the data is as signed; and the status known up to the newest list of withdrawals. Exit
code 0 only if all that could be judged is good and somebody vouches for the key; 1 otherwise; 2 if
the file is no certificate.
"""
WITHDRAW_EPILOG = f"""
Examples:

\b
  linkwright withdraw list-1.json --key works.p12 --works "Quarry Lane works"
  linkwright withdraw list-2.json --key works.p12 --after list-1.json \\
    --certificate certificate.pdf --reason "a link broke in service"

Writes the next signed list of withdrawals, which the works gives to everybody: all entries of the
list before (--after) and, with --certificate, one more. {_ASKED}
"""
KEY_EPILOG = f"""
Examples:

\b
  linkwright key works.p12 --name "Quarry Lane works"
  linkwright key authority.p12 --name "Quarry Lane works, keys" --authority
  linkwright key inspector.p12 --name "inspection" --issuer authority.p12

Writes the key (PKCS #12, mode 600) and beside it the certificate (.pem) that others are given for
--trust. Keep the key off the network and out of every folder that is copied about. {_ASKED}
The pass phrase of the issuer is asked for, or comes from {OF_KEY}_OF_ISSUER.
"""
PhraseFile = Annotated[
    Path | None,
    typer.Option("--key-phrase", metavar="FILE", help="Its first line opens the key."),
]
Force = Annotated[bool, typer.Option("--force", help="Replace files that exist.")]


class KeyKind(StrEnum):
    """The kinds of key."""

    ecdsa = "ecdsa"
    rsa = "rsa"


def _option(name: str, metavar: str, said: str) -> Any:
    return typer.Option(name, metavar=metavar, help=said)


def certify(
    data: Annotated[Path, typer.Argument(metavar="DATA", help="JSON file of the certificate.")],
    key: Annotated[Path, _option("--key", "FILE", "Key of the first validator.")],
    out: Annotated[Path, _option("--out", "FILE", "Write the certificate here (PDF).")],
    key_phrase: PhraseFile = None,
    force: Force = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Make a certificate of a released lot as signed PDF/A with its data inside."""
    from linkwright.services.certifying import certify_file  # noqa: PLC0415

    made = certify_file(data, key, _phrase(key_phrase, key), out, force=force)
    return _tell(made, json, no_color)


def countersign(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Certificate, signed once.")],
    key: Annotated[Path, _option("--key", "FILE", "Key of the second validator.")],
    out: Annotated[Path, _option("--out", "FILE", "Write the certificate here (PDF).")],
    key_phrase: PhraseFile = None,
    force: Force = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Add the second signature to an inspection certificate 3.2."""
    from linkwright.services.certifying import countersign_file  # noqa: PLC0415

    made = countersign_file(file, key, _phrase(key_phrase, key), out, force=force)
    return _tell(made, json, no_color)


def verify(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Certificate (PDF).")],
    withdrawals: Annotated[
        list[Path] | None, _option("--withdrawals", "LIST", "Signed list. Repeatable.")
    ] = None,
    trust: Annotated[
        list[Path] | None, _option("--trust", "CERT.pem", "Whose key is trusted. Repeatable.")
    ] = None,
    records: Annotated[
        Path | None, _option("--records", "FILE", "Compare every value with these records (JSON).")
    ] = None,
    books: Annotated[
        str | None, _option("--books", "BOOKS", "Compare every value with the books of the works.")
    ] = None,
    remember: Annotated[
        Path | None,
        _option("--remember", "FILE", "Keep the newest lists given here, and tell of older ones."),
    ] = None,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Check a certificate offline: signature whole, data as signed, status known up to a date."""
    from linkwright.services.certifying import VerifyRequest, verify_file  # noqa: PLC0415

    held: Path | RecordsOf | None = records
    if books is not None:
        from linkwright.services.certificate_of_lot import records_in  # noqa: PLC0415

        held = records_in(books)
    request = VerifyRequest(file, tuple(withdrawals or ()), tuple(trust or ()), held, remember)
    found = verify_file(request)
    screen = Screen(no_color=no_color)
    screen.data(found.to_dict()) if json else screen.result(_statements(found))
    for note in found.notes:
        screen.note(f"note: {note}")
    return 0 if found.good else 1


def withdraw(
    out: Annotated[Path, typer.Argument(metavar="LIST", help="Write the next list here.")],
    key: Annotated[Path, _option("--key", "FILE", "Key that signs the list.")],
    works: Annotated[
        str, _option("--works", "NAME", "Name of the works, for its first list.")
    ] = "",
    after: Annotated[Path | None, _option("--after", "LIST", "The list before.")] = None,
    certificate: Annotated[
        Path | None, _option("--certificate", "FILE", "What is withdrawn now.")
    ] = None,
    reason: Annotated[str, _option("--reason", "TEXT", "Why it is withdrawn.")] = "",
    superseded_by: Annotated[
        str, _option("--superseded-by", "NUMBER", "The certificate that replaces it.")
    ] = "",
    days: Annotated[int, _option("--days", "N", "The next list comes within so many days.")] = 30,
    key_phrase: PhraseFile = None,
    force: Force = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Sign the next list of withdrawn certificates."""
    from linkwright.services.certifying import ListRequest, publish_list  # noqa: PLC0415

    phrase = _phrase(key_phrase, key)
    made = publish_list(
        ListRequest(out, key, phrase, works, after, certificate, reason, superseded_by, days, force)
    )
    screen = Screen(no_color=no_color)
    content = made.content
    told = (
        f"list {content.number} of {content.works}, {len(content.entries)} withdrawn; "
        f"next by {content.next_at[:10]}\nwrote {made.path}"
    )
    screen.data(made.to_dict()) if json else screen.result(told)
    return 0


def key(
    out: Annotated[Path, typer.Argument(metavar="FILE.p12", help="Write the key here.")],
    name: Annotated[str, _option("--name", "TEXT", "Whose key it is.")],
    organisation: Annotated[str, _option("--organisation", "TEXT", "Of whom.")] = "",
    kind: Annotated[KeyKind, typer.Option("--kind", help="Kind of key.")] = KeyKind.ecdsa,
    years: Annotated[int, _option("--years", "N", "How long it may sign.")] = 5,
    authority: Annotated[
        bool, typer.Option("--authority", help="It vouches for other keys and signs nothing else.")
    ] = False,
    issuer: Annotated[Path | None, _option("--issuer", "FILE", "Authority that vouches.")] = None,
    key_phrase: PhraseFile = None,
    force: Force = False,
    json: Json = False,
    no_color: NoColor = False,
) -> int:
    """Make a key for signing, kept by a pass phrase, with its certificate beside it."""
    from linkwright.services.key_files import KeyRequest, make_key_file  # noqa: PLC0415

    phrase = _phrase(key_phrase, out, twice=True)
    above = "" if issuer is None else _phrase(None, issuer, variable=f"{OF_KEY}_OF_ISSUER")
    made = make_key_file(
        KeyRequest(out, name, phrase, organisation, kind.value, years, issuer, above, authority,
                   force)
    )  # fmt: skip
    screen = Screen(no_color=no_color)
    told = f"wrote {made.key} (keep it secret)\nwrote {made.certificate} (give it to others)"
    screen.data(made.to_dict()) if json else screen.result(told)
    return 0


def _phrase(file: Path | None, of: Path, *, twice: bool = False, variable: str = OF_KEY) -> str:
    """The pass phrase of a key."""
    return ask_pass_phrase(file, str(of), variable=variable, twice=twice, option="--key-phrase")


def _tell(made: Certified, json: bool, no_color: bool) -> int:
    screen = Screen(no_color=no_color)
    one = made.certificate
    rows = [("certificate", f"{one.number}, type {one.type}"), ("fingerprint", made.fingerprint)]
    if made.missing:
        rows.append(("still to sign", ", ".join(made.missing)))
    told = f"{columns(rows)}\nwrote {made.path}"
    screen.data(made.to_dict()) if json else screen.result(told)
    return 0


def _statements(answer: VerifyAnswer) -> str:
    found = answer.found
    one = found.certificate
    head = "certificate" if one is None else f"certificate {one.number}, type {one.type}"
    rows = [("signature", found.signature), ("data", found.data), ("status", found.status)]
    if found.records is not None:
        rows.append(("records", found.records))
    lines = [(f"{name}: {said.state}", said.said) for name, said in rows]
    texts = [head, columns(lines)]
    texts += [
        f"  {one.place}: certificate {one.certificate!r}, records {one.records!r}"
        for one in found.differences[:20]
    ]
    return "\n".join(texts)
