"""The register of certificates: issued from a released lot, corrected and withdrawn, never changed.

A certificate is made inside the act that registers it, by a maker that the caller gives (the paper
and its signature are not the books' business): either both are there or neither.
"""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy.orm import Session

from linkwright.quantities import UnknownName
from linkwright.records.acts import RELEASE, act
from linkwright.records.base import KnownAs, Row
from linkwright.records.chain import head
from linkwright.records.deciding import agreed_release
from linkwright.records.errors import CannotRecord
from linkwright.records.kinds import (
    Certificate,
    CertifiedPiece,
    Customer,
    Heat,
    Line,
    Lot,
    Order,
    Piece,
    WithdrawalList,
)
from linkwright.records.pieces import STOCK, in_places
from linkwright.records.type_tests import coils_of
from linkwright.records.writing import Writing, all_latest, found, history, latest, rule

TYPES = ("2.1", "2.2", "3.1", "3.2")
"""Types of inspection document of EN 10204."""


@act(RELEASE)
def issue_certificate(
    writing: Writing, *, lot: str, type: str = "3.1", replaces: str | None = None,
) -> list[Row]:  # fmt: skip
    """Certify the pieces of a released lot that are in stock, or correct a certificate."""
    session = writing.session
    row = found(session, Lot, lot)
    if type not in TYPES:
        raise UnknownName("type", type, TYPES)
    decided = agreed_release(session, row)
    if decided is None:
        raise CannotRecord(
            f"{row.id} is {row.state}; a certificate is made from a released lot only"
        )
    old = found(session, Certificate, replaces) if replaces else None
    if old is not None and old.lot_id != row.id:
        raise CannotRecord(f"{old.id} is of {old.lot_id}")
    pieces = pieces_of(session, old.id) if old else in_places(session, row.id, [STOCK])
    if not pieces:
        raise CannotRecord(f"{row.id} has no piece in stock to certify")
    name = f"{writing.at[:4]}-{writing.next_number(Certificate):05d}"
    facts = {
        "number": name, "type": type, "issued_at": writing.at,
        "replaces": None if old is None else _replaced(old, writing.act.why),
        "books": head(session).to_dict(), **facts_of(session, row, pieces),
        "issued_by": writing.person,
    }  # fmt: skip
    made = writing.means.maker(facts)
    rows: list[Row] = [writing.next(old, state="superseded")] if old else []
    certificate = writing.new(
        Certificate, name, state="issued", lot_id=row.id, proposal_id=decided.id, type=type,
        fingerprint=made.fingerprint, data=made.data.decode(), paper=writing.keep(made.paper),
        replaces_id=old.id if old else None, reason=writing.act.why if old else None,
    )  # fmt: skip
    rows.append(certificate)
    for number, piece in enumerate(pieces, start=1):
        rows.append(
            writing.new(
                CertifiedPiece, f"{name}/{number}", certificate_id=certificate.id,
                piece_id=piece.id,
            )
        )  # fmt: skip
        if not old:
            rows.append(writing.next(piece, state="certified"))
    return rows


@act(RELEASE)
def withdraw_certificate(
    writing: Writing, *, certificate: str, seen: int | None = None
) -> list[Row]:
    """Withdraw a certificate; its pieces are held, and the next list of withdrawals names it."""
    row = found(writing.session, Certificate, certificate)
    rows: list[Row] = [writing.next(row, state="withdrawn", seen=seen, reason=writing.act.why)]
    for piece in pieces_of(writing.session, row.id):
        if piece.state == "certified":
            rows.append(writing.next(piece, state="held"))
    return rows


@act(RELEASE)
def publish_withdrawals(writing: Writing) -> list[Row]:
    """Publish the next numbered list of all withdrawn and superseded certificates."""
    number = writing.next_number(WithdrawalList)
    made = writing.means.lister(number, withdrawn(writing.session))
    return [writing.new(WithdrawalList, f"{number}", number=number, paper=writing.keep(made))]


def pieces_of(session: Session, certificate: str) -> list[Piece]:
    """The pieces that a certificate is for, as they stand now."""
    held = all_latest(session, CertifiedPiece, certificate_id=certificate)
    return [found(session, Piece, row.piece_id) for row in held]


def withdrawn(session: Session) -> list[dict[str, Any]]:
    """Every certificate that stands no more: since when, why, and what replaced it."""
    said = []
    for row in all_latest(session, Certificate):
        if row.state == "issued":
            continue
        act_ = history(session, row.id)[-1][1]
        newer = [o.name for o in all_latest(session, Certificate, replaces_id=row.id)]
        said.append({
            "certificate": row.name, "fingerprint": row.fingerprint, "state": row.state,
            "since": act_.at, "reason": act_.why, "replaced_by": newer[0] if newer else None,
        })  # fmt: skip
    return said


def facts_of(session: Session, lot: Lot, pieces: list[Piece]) -> dict[str, Any]:
    """What the books know for the certificate of a lot, as plain data."""
    line = found(session, Line, lot.line_id)
    order = found(session, Order, line.order_id)
    customer = found(session, Customer, order.customer_id)
    decided = agreed_release(session, lot)
    coils = coils_of(session, lot)
    heats = {coil.heat_id: found(session, Heat, coil.heat_id) for coil in coils}
    return {
        "customer": known_name(session, customer.id), "order": order.name, "line": line.to_dict(),
        "lot": lot.name, "lot_state": lot.state,
        "pieces": [
            {
                "name": piece.name, "length_mm": piece.length_mm, "strand": piece.strand,
                "first_position": piece.first_position, "last_position": piece.last_position,
                "serials": piece.serials,
            }
            for piece in pieces
        ],
        "heats": [
            {"heat": heat.name, "steel": heat.steel, "analysis": json.loads(heat.analysis),
             "document": heat.document}
            for heat in heats.values()
        ],
        "coils": [coil.name for coil in coils],
        "two_people": rule(session, "two_people", 1) != 0,
        "release": None if decided is None else _release(session, decided),
        "evidence": None if decided is None else json.loads(decided.evidence),
    }  # fmt: skip


def _replaced(old: Certificate, why: str) -> dict[str, str]:
    return {"number": old.name, "fingerprint": old.fingerprint, "reason": why}


def known_name(session: Session, ident: str) -> str:
    """What a person or customer is called; their id after the name was erased."""
    held = session.get(KnownAs, ident)
    return (held.name if held else None) or ident.partition(":")[2]


def _release(session: Session, decided: Row) -> dict[str, Any]:
    said = {}
    for row, act_ in history(session, decided.id):
        word = "proposed" if row.state == "proposed" else "decided"
        said[word] = {
            "by": act_.person_id, "name": known_name(session, act_.person_id), "at": act_.at,
            "why": act_.why, "act": act_.number,
        }  # fmt: skip
    held = latest(session, decided.id)
    assert held is not None  # noqa: S101 - it was read a moment ago
    data = held.to_dict()
    return {
        "decision": held.name, "disposition": data["disposition"],
        "evidence_digest": data["evidence_digest"], **said,
    }  # fmt: skip
