"""What the books say: a thing with its history, a lot with its evidence, a gauge's doubts, a list.

Offers `look`, plain data for people and programs.
"""

from __future__ import annotations

from itertools import islice
from typing import Any

from sqlalchemy.orm import Session

from linkwright.quantities import UnknownName
from linkwright.records.base import KnownAs, Row
from linkwright.records.certificates import pieces_of, withdrawn
from linkwright.records.deciding import evidence
from linkwright.records.gauges import suspects
from linkwright.records.kinds import KINDS, Certificate, Gauge, Lot, Piece
from linkwright.records.life import may
from linkwright.records.store import Store
from linkwright.records.writing import all_latest, found, history, latest
from linkwright.services.plain import SCHEMA_VERSION

_MOST_LISTED = 10_000
_FEWEST_SAMPLES = 3


def look(store: Store, what: str, on: str) -> dict[str, Any]:
    """A thing by ``kind:name`` with all its versions, or the list of a kind by its word.

    A lot comes with its evidence as it stands on the day ``on``, a gauge with the results that it
    puts in doubt, a certificate with its pieces. Raises `UnknownName`.
    """
    with store.reading() as session:
        if what in KINDS:
            return _list(session, what)
        row = latest(session, what)
        if row is None:
            raise UnknownName("record", what, [*KINDS, *_near(session, what)])
        return {**_thing(session, row), **_more(store, session, row, on)}


def _list(session: Session, kind: str) -> dict[str, Any]:
    rows = [row.to_dict() for row in islice(all_latest(session, KINDS[kind]), _MOST_LISTED)]
    said: dict[str, Any] = {"schema_version": SCHEMA_VERSION, "kind": kind, "rows": rows}
    return {**said, "withdrawn": withdrawn(session)} if kind == "certificate" else said


def _thing(session: Session, row: Row) -> dict[str, Any]:
    versions = [
        {**one.to_dict(), "at": act.at, "by": act.person_id, "action": act.action, "why": act.why}
        for one, act in history(session, row.id)
    ]
    known = session.get(KnownAs, row.id)
    return {
        "schema_version": SCHEMA_VERSION, "id": row.id, "state": row.state, "version": row.version,
        **({"name": known.name} if known else {}),
        "may": may(row.__tablename__, row.state), "versions": versions,
    }  # fmt: skip


def _more(store: Store, session: Session, row: Row, on: str) -> dict[str, Any]:
    if isinstance(row, Lot):
        held = evidence(session, row, store.means.judge, on)
        return {"evidence": held, "strength": _strength(session, row, held)}
    if isinstance(row, Gauge):
        return {"in_doubt": suspects(session, row.id)}
    if isinstance(row, Certificate):
        from linkwright.services.certificate_of_lot import records_of  # noqa: PLC0415

        pieces = [piece.to_dict() for piece in pieces_of(session, row.id)]
        return {"pieces": pieces, "records": records_of(session, row.id)}
    return {}


def _near(session: Session, what: str) -> list[str]:
    kind = what.partition(":")[0]
    if kind not in KINDS:
        return []
    return [row.id for row in islice(all_latest(session, KINDS[kind]), 500)]


def _strength(session: Session, lot: Lot, held: dict[str, Any]) -> dict[str, Any] | None:
    """The breaking force of the lot's whole length from its samples, by two laws.

    A chain is as strong as its weakest link; from three samples on, all of known length.
    """
    from linkwright.quality.breaking_force import breaking_force_of_chain  # noqa: PLC0415

    results = [
        one
        for wanted in held["requirements"]
        if wanted["characteristic"] == "breaking force"
        for one in wanted["results"]
        if one["sample"] and not one["void"] and not one["no_evidence"]
    ]
    lengths = [found(session, Piece, one["sample"]).length_mm for one in results]
    forces = [one["value"] for one in results]
    whole = held["balance"]["made_mm"]
    if len(forces) < _FEWEST_SAMPLES or len(set(forces)) == 1:
        return None
    mean_mm = sum(lengths) / len(lengths)
    said = breaking_force_of_chain(forces=forces, links_in_piece=mean_mm, links=float(whole))
    return {"samples": len(forces), "sample_length_mm": mean_mm, "length_mm": whole,
            **said._asdict()}  # fmt: skip
