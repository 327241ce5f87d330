"""Where metal went by the books: strands into pieces, pieces into parts, lots and certificates.

Offers `passages_of_books` for tracing, and `holders`: who has what a certificate is for.
Links of a piece count from 0; those of a lot and of a certificate run on from piece to piece. A
piece whose place in a strand is not known leads nowhere.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy.orm import Session

from linkwright.link_data.passages import Passage
from linkwright.quantities import UnknownName
from linkwright.records.certificates import known_name, pieces_of
from linkwright.records.kinds import (
    Certificate,
    CertifiedPiece,
    Delivery,
    Line,
    Lot,
    Order,
    Piece,
    Position,
)
from linkwright.records.writing import all_latest, found


@dataclass(frozen=True)
class Holder:
    """A certificate with its state, its customer, and the deliveries of its pieces."""

    certificate: str
    state: str
    customer: str
    deliveries: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {**asdict(self), "deliveries": list(self.deliveries)}


def passages_of_books(session: Session) -> tuple[Passage, ...]:
    """Every passage that the books know."""
    pieces = {piece.id: piece for piece in all_latest(session, Piece)}
    return (*_pieces(pieces), *_lots(pieces), *_certificates(session, pieces))


def holders(session: Session, certificates: Iterable[str]) -> list[Holder]:
    """Who has what each certificate is for; names that are in no book are left out."""
    said = []
    for name in certificates:
        try:
            row = found(session, Certificate, name)
        except UnknownName:
            continue
        line = found(session, Line, found(session, Lot, row.lot_id).line_id)
        order = found(session, Order, line.order_id)
        sent = {
            found(session, Delivery, position.delivery_id).name
            for piece in pieces_of(session, row.id)
            for position in all_latest(session, Position, piece_id=piece.id)
        }
        customer = known_name(session, order.customer_id)
        said.append(Holder(row.name, row.state, customer, tuple(sorted(sent))))
    return said


def _pieces(pieces: dict[str, Piece]) -> Iterator[Passage]:
    """Strand into pieces, and pieces into the parts that were cut of them."""
    for piece in pieces.values():
        first, last = piece.first_position, piece.last_position
        if piece.strand is None or first is None or last is None:
            continue
        yield Passage("strand", piece.strand, first, last, "piece", piece.name, 0, last - first)
        parent = pieces.get(piece.parent_id or "")
        if parent is not None and parent.first_position is not None:
            begin = first - parent.first_position
            yield Passage("piece", parent.name, begin, begin + last - first,
                          "piece", piece.name, 0, last - first)  # fmt: skip


def _lots(pieces: dict[str, Piece]) -> Iterator[Passage]:
    """Pieces as they were made, one after the other in their lot."""
    length: dict[str, int] = defaultdict(int)
    for piece in pieces.values():
        if piece.parent_id is None and (links := _links(piece)):
            lot = piece.lot_id.partition(":")[2]
            begin = length[lot]
            yield Passage("piece", piece.name, 0, links - 1, "lot", lot, begin, begin + links - 1)
            length[lot] += links


def _certificates(session: Session, pieces: dict[str, Piece]) -> Iterator[Passage]:
    length: dict[str, int] = defaultdict(int)
    for row in all_latest(session, CertifiedPiece):
        piece, name = pieces[row.piece_id], row.certificate_id.partition(":")[2]
        if links := _links(piece):
            begin = length[name]
            yield Passage("piece", piece.name, 0, links - 1,
                          "certificate", name, begin, begin + links - 1)  # fmt: skip
            length[name] += links


def _links(piece: Piece) -> int:
    if piece.first_position is None or piece.last_position is None:
        return 0
    return piece.last_position - piece.first_position + 1
