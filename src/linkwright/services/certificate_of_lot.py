"""A certificate from the books: facts of a released lot, and a letter that says the rest.

The letter is a TOML file of the works: who makes and signs, how goods are described, the statement,
declaration and technical file. What the books know (pieces, heats, results, the decision) never
comes from a letter. Offers `means_of`, `maker_of`, `lister_of`, `records_of` and `records_in`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from linkwright.documents.certificates.content import Certificate, plain
from linkwright.documents.certificates.reading import certificate_of
from linkwright.documents.certificates.withdrawals import Withdrawal, WithdrawalList, published
from linkwright.quantities import InputErrors, Problem, UnknownName
from linkwright.records.kinds import Certificate as Registered
from linkwright.records.kinds import Test
from linkwright.records.means import Lister, Made, Maker
from linkwright.records.writing import found
from linkwright.services.books import Signing, opened
from linkwright.services.certifying import RecordsOf, certify
from linkwright.services.key_files import key_from
from linkwright.works.canonical import canonical_bytes
from linkwright.works.toml_file import TomlFile, read_toml

_OURS = {"number", "type", "issued_at", "release", "requirements", "replaces", "records_head"}
_OURS_OF_GOODS = {"pieces", "heats", "length_m", "standard", "grade"}
_NEXT_LIST_DAYS = 30


def means_of(letter: Path, key: Path, pass_phrase: str) -> Signing:
    """What signs certificates and lists, for books that are opened with it."""
    return Signing(maker_of(letter, key, pass_phrase), lister_of(letter, key, pass_phrase))


def maker_of(letter: Path, key: Path, pass_phrase: str) -> Maker:
    """What draws up and signs a certificate of facts from the books.

    Raises `InputErrors` for a letter that cannot be used, `NoKey`; the maker raises what
    `certify` raises.
    """
    said, signs = read_toml(letter), key_from(key, pass_phrase)
    _refuse_ours(said)

    def make(facts: dict[str, Any]) -> Made:
        certificate = _told(facts, said)
        at = datetime.fromisoformat(facts["issued_at"])
        made = certify(certificate, signs, at)
        return Made(canonical_bytes(plain(certificate)), made.fingerprint, made.raw)

    return make


def lister_of(letter: Path, key: Path, pass_phrase: str) -> Lister:
    """What signs the list of withdrawn certificates of the works that a letter names."""
    said, signs = read_toml(letter), key_from(key, pass_phrase)
    works = said.value(("maker", "name"))
    if not isinstance(works, str):
        raise InputErrors([Problem("missing-key", "is needed", said.name, 1, "maker.name")])

    def make(number: int, entries: list[dict[str, Any]]) -> bytes:
        return published(_list(works, number, entries, datetime.now(UTC)), signs)

    return make


def records_of(session: Session, number: str) -> dict[str, Any]:
    """What the books hold of a certificate, in the certificate's own shape.

    The data as it was chained, with each result as its test stands now: a result that was taken
    out since, or a value that is not that of the test, shows as a difference. Raises `UnknownName`.
    """
    held = found(session, Registered, number)
    data: dict[str, Any] = json.loads(held.data)
    for line in data.get("requirements", []):
        for result, record in zip(line["results"], line["records"], strict=False):
            test = found(session, Test, record)
            result["value"] = None if test.state == "void" else test.value
    return data


def records_in(place: str) -> RecordsOf:
    """What the books at a place hold of a certificate, by its number; empty if they know none."""

    def held(number: str) -> Mapping[str, Any]:
        with opened(place) as store, store.reading() as session:
            try:
                return records_of(session, number)
            except UnknownName:
                return {}

    return held


def _told(facts: Mapping[str, Any], letter: TomlFile) -> Certificate:
    said, works_order = letter.data, facts["line"]["id"].partition(":")[2]
    goods = {**_goods(facts), **said.get("goods", {}), **_fixed_goods(facts)}
    data = {
        "language": "en", "units": "metric",
        **{key: value for key, value in said.items() if key not in ("methods", "codes")},
        "number": facts["number"], "type": facts["type"], "issued_at": _time(facts["issued_at"]),
        "purchaser": {
            "name": facts["customer"], "order": "", "works_order": works_order,
            **said.get("purchaser", {}),
        },
        "goods": goods, "release": _release(facts), "records_head": facts["books"]["digest"],
        "requirements": [_line(one, facts, said) for one in facts["evidence"]["requirements"]],
        **({} if facts["replaces"] is None else {"replaces": facts["replaces"]}),
    }  # fmt: skip
    if "decision_rule" not in said:
        data["decision_rule"] = (
            "Each result with its guard band: risk of a wrong acceptance at most 5 % "
            "(JCGM 106:2012, 8.3). The results hold for the samples tested."
        )
    return certificate_of(_plain(data), letter.name)


def _goods(facts: Mapping[str, Any]) -> dict[str, Any]:
    """What a letter may say otherwise."""
    line = facts["line"]
    size = f"{line['size_mm']:g} mm" if "size_mm" in line else line.get("number", "")
    steels = dict.fromkeys(heat["steel"] for heat in facts["heats"])
    return {"product": line["product"], "nominal_size": size, "steel": ", ".join(steels),
            "marking": ""}  # fmt: skip


def _fixed_goods(facts: Mapping[str, Any]) -> dict[str, Any]:
    """What only the books say."""
    line = facts["line"]
    pieces = [
        {"number": piece["name"], "length_m": piece["length_mm"] / 1000.0,
         "marks": piece["serials"] or ""}
        for piece in facts["pieces"]
    ]  # fmt: skip
    heats = [
        {"number": heat["heat"], "document": heat["document"] or "",
         "analysis": [{"symbol": symbol, "percent": percent}
                      for symbol, percent in heat["analysis"].items()]}
        for heat in facts["heats"]
    ]  # fmt: skip
    total = sum(piece["length_mm"] for piece in facts["pieces"]) / 1000.0
    return {"standard": line["standard"], "grade": line.get("grade", ""), "pieces": pieces,
            "heats": heats, "length_m": total}  # fmt: skip


def _release(facts: Mapping[str, Any]) -> dict[str, Any]:
    held = facts["release"]
    return {
        "lot": facts["lot"], "state": facts["lot_state"], "decision": held["decision"],
        "proposed_by": held["proposed"]["name"], "proposed_at": _time(held["proposed"]["at"]),
        "released_by": held["decided"]["name"], "released_at": _time(held["decided"]["at"]),
        "evidence": held["evidence_digest"],
        "two_people": facts["two_people"],
    }  # fmt: skip


def _line(
    one: Mapping[str, Any], facts: Mapping[str, Any], letter: Mapping[str, Any]
) -> dict[str, Any]:
    counted = [
        result
        for result in one["results"]
        if result["round"] == one["round"] and not result["void"] and not result["no_evidence"]
    ]
    conceded = facts["release"]["disposition"] == "concession" and one["verdict"] != "met"
    name = one["characteristic"]
    return {
        "characteristic": name, "unit": one["unit"], "least": one["least"],
        "greatest": one["greatest"], "source": one["source"],
        "results": [
            {"sample": (result["sample"] or result["test"]).partition(":")[2],
             "value": result["value"]}
            for result in counted
        ],
        "standard_uncertainty": one["standard_uncertainty"], "verdict": one["verdict"],
        "basis": "memory" if "from memory" in one["source"] else "standard",
        "specific": facts["type"] != "2.2",
        "method": letter.get("methods", {}).get(name, ""),
        "code": letter.get("codes", {}).get(name, ""),
        "records": [result["test"].partition(":")[2] for result in counted],
        "concession": facts["release"]["decided"]["why"] if conceded else "",
    }  # fmt: skip


def _list(works: str, number: int, entries: list[dict[str, Any]], at: datetime) -> WithdrawalList:
    held = tuple(
        Withdrawal(one["certificate"], one["fingerprint"], one["state"], one["reason"],
                   _time(one["since"]), one["replaced_by"] or "")
        for one in entries
    )  # fmt: skip
    now, then = at.isoformat(), (at + timedelta(days=_NEXT_LIST_DAYS)).isoformat()
    return WithdrawalList(works, number, _time(now), _time(then), held)


def _refuse_ours(letter: TomlFile) -> None:
    """What the books say is not said by a letter."""
    both: list[tuple[str, ...]] = [(key,) for key in letter.data if key in _OURS]
    both += [("goods", key) for key in letter.data.get("goods", {}) if key in _OURS_OF_GOODS]
    if both:
        raise InputErrors([
            Problem("ours", "comes from the books, not from the letter", letter.name,
                    letter.line(path), ".".join(path))
            for path in both
        ])  # fmt: skip


def _time(text: str) -> str:
    """A time of the books as certificates write it: whole seconds, UTC, Z."""
    return datetime.fromisoformat(text).astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _plain(data: Any) -> Any:
    """TOML's dates as texts."""
    if isinstance(data, Mapping):
        return {key: _plain(value) for key, value in data.items()}
    if isinstance(data, (list, tuple)):
        return [_plain(value) for value in data]
    return data.isoformat() if hasattr(data, "isoformat") else data
