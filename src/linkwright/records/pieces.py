"""Pieces of chain and where their metres count: nothing appears, nothing is lost.

    made = stock + test + held + certified + scrap        for each lot, in whole millimetres

A piece lies in one place as a whole; one that was cut or joined counts in what became of it. A
repair makes one link more and scraps one: both sides grow by its length.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from linkwright.records.acts import CHECK, RECORD, RELEASE, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.given import day
from linkwright.records.kinds import Claim, Lot, Piece, Position, Repair
from linkwright.records.writing import Writing, all_latest, found

STOCK, TEST, HELD, CERTIFIED, SCRAP = "stock", "test", "held", "certified", "scrap"
PLACES = (STOCK, TEST, HELD, CERTIFIED, SCRAP)
"""Where metres can count."""
GONE = "worked on"
"""State of a piece that was cut or joined: its metres count in other pieces."""
_MOST_MM = 2_000_000_000


@dataclass(frozen=True)
class Balance:
    """The millimetres of a lot by place, and what was made."""

    lot: str
    made_mm: int
    places_mm: dict[str, int]

    @property
    def difference_mm(self) -> int:
        """What was made less what is somewhere; zero where the books are right."""
        return self.made_mm - sum(self.places_mm.values())

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "made_mm": self.made_mm,
            **{f"{place}_mm": length for place, length in self.places_mm.items()},
            "difference_mm": self.difference_mm,
        }


def balance(session: Session, lot: str) -> Balance:
    """The sums of a lot."""
    places = dict.fromkeys(PLACES, 0)
    made = 0
    for piece in all_latest(session, Piece, lot_id=lot):
        made += piece.made_mm
        if piece.state != GONE:
            places[piece.state] += piece.length_mm
    return Balance(lot, made, places)


@act(RECORD)
def make_piece(
    writing: Writing, *, lot: str, piece: str, length_mm: int, strand: str | None = None,
    first_position: int | None = None, last_position: int | None = None,
    serials: str | None = None,
) -> list[Row]:  # fmt: skip
    """Enter a piece as it left the line, with its place in the strand where that is known."""
    of = found(writing.session, Lot, lot)
    if of.state != "in work":
        raise CannotRecord(f"{of.id} is {of.state}; nothing more is made of it")
    known = (strand is not None, first_position is not None, last_position is not None)
    if any(known) and not all(known):
        raise CannotRecord("a place is strand, first_position and last_position together")
    if first_position is not None and not 0 <= first_position <= (last_position or 0):
        raise CannotRecord("positions count from 0, the last not before the first")
    _refuse_overlap(writing.session, strand, first_position, last_position)
    return [
        _new(
            writing, of.id, piece, length_mm, made_mm=length_mm, state=STOCK, strand=strand,
            first_position=first_position, last_position=last_position, serials=serials,
        )
    ]  # fmt: skip


@act(RECORD)
def cut_piece(
    writing: Writing, *, piece: str, lengths_mm: list[int], seen: int | None = None
) -> list[Row]:
    """Cut a piece into pieces of these lengths, from its beginning; they add up to it.

    What falls between, such as a link that is cut through, is a piece of its own, to be scrapped.
    Where the place in the strand is known and every length is whole links, the parts get theirs.
    """
    row = found(writing.session, Piece, piece)
    _refuse_delivered(writing.session, row)
    if len(lengths_mm) < 2 or min(lengths_mm) < 1 or sum(lengths_mm) != row.length_mm:
        raise CannotRecord(
            f"{row.id} is {row.length_mm} mm long; the pieces must be two or more and add up "
            f"to that, these give {sum(lengths_mm)} mm"
        )
    place, rows = row.state, [writing.next(row, state=GONE, seen=seen)]
    for number, (length, where) in enumerate(
        zip(lengths_mm, _places(row, lengths_mm), strict=True), 1
    ):
        rows.append(
            _new(
                writing, row.lot_id, f"{row.name}.{number}", length, made_mm=0, state=place,
                parent_id=row.id, **where,
            )
        )  # fmt: skip
    return list(rows)


@act(RECORD)
def join_pieces(
    writing: Writing, *, piece: str, other: str, joined: str, link_mm: int
) -> list[Row]:
    """Join two pieces in stock by a new link; the joined piece is proofed as a whole before use."""
    one, two = (found(writing.session, Piece, name) for name in (piece, other))
    if one.id == two.id or one.lot_id != two.lot_id:
        raise CannotRecord("two different pieces of the same lot are joined")
    if link_mm < 1:
        raise CannotRecord("the joining link has a length")
    rows: list[Row] = [writing.next(row, state=GONE) for row in (one, two)]
    made = _new(
        writing, one.lot_id, joined, one.length_mm + two.length_mm + link_mm, made_mm=link_mm,
        state=STOCK, parent_id=one.id, other_parent_id=two.id,
    )  # fmt: skip
    return [*rows, made]


@act(RECORD)
def take_sample(writing: Writing, *, piece: str, seen: int | None = None) -> list[Row]:
    """Take a piece for the tests; it never becomes stock again."""
    row = found(writing.session, Piece, piece)
    return [writing.next(row, state=TEST, seen=seen)]


@act(RECORD, CHECK, RELEASE)
def hold_piece(writing: Writing, *, piece: str, seen: int | None = None) -> list[Row]:
    """Hold one piece; the rest of the lot goes on."""
    row = found(writing.session, Piece, piece)
    return [writing.next(row, state=HELD, seen=seen)]


@act(RELEASE)
def free_piece(writing: Writing, *, piece: str, seen: int | None = None) -> list[Row]:
    """Put a held piece back into stock; none with a repair that is not proofed."""
    row = found(writing.session, Piece, piece)
    open_ = [r.id for r in all_latest(writing.session, Repair, piece_id=row.id, state="open")]
    if open_:
        raise CannotRecord(f"{row.id} has unproofed repairs: {', '.join(open_)}")
    return [writing.next(row, state=STOCK, seen=seen)]


@act(RELEASE)
def scrap_piece(writing: Writing, *, piece: str, seen: int | None = None) -> list[Row]:
    """Scrap a piece."""
    row = found(writing.session, Piece, piece)
    return [writing.next(row, state=SCRAP, seen=seen)]


@act(RECORD)
def start_repair(
    writing: Writing, *, piece: str, link: int, link_mm: int, links_hardened_again: int = 2
) -> list[Row]:
    """Cut a link out and weld a new one, hardened again with its neighbours; the piece is held."""
    row = found(writing.session, Piece, piece)
    _refuse_delivered(writing.session, row)
    if not (1 <= link_mm < row.length_mm and link >= 0 and links_hardened_again >= 0):
        raise CannotRecord("a link is counted from 0, has a length, and is shorter than its piece")
    number = writing.next_of(Repair, piece_id=row.id)
    held = row if row.state == HELD else writing.next(row, state=HELD)
    made = writing.new(
        Repair, f"{row.name}/{number}", state="open", piece_id=held.id, link=link,
        links_hardened_again=links_hardened_again,
    )  # fmt: skip
    out = _new(
        writing, row.lot_id, f"{row.name}/out {number}", link_mm, made_mm=link_mm, state=SCRAP,
        parent_id=row.id,
    )  # fmt: skip
    return [made, out]


@act(RECORD)
def finish_repair(
    writing: Writing, *, repair: str, proofed_on: str, proof_force_N: float,
    seen: int | None = None,
) -> list[Row]:  # fmt: skip
    """Write down that the whole piece was proofed again after a repair."""
    row = found(writing.session, Repair, repair)
    if not proof_force_N > 0:
        raise CannotRecord("the proof force is more than nothing")
    return [
        writing.next(
            row, state="proofed", seen=seen, proofed_on=day(proofed_on, "proofed_on"),
            proof_force_N=proof_force_N,
        )
    ]  # fmt: skip


def move(writing: Writing, piece: Piece, place: str) -> Piece:
    """Count a piece elsewhere by the act that is being written."""
    return writing.next(piece, state=place)


def in_places(session: Session, lot: str, places: Iterable[str]) -> list[Piece]:
    """The pieces of a lot that lie in some places."""
    wanted = tuple(places)
    return [piece for piece in all_latest(session, Piece, lot_id=lot) if piece.state in wanted]


def delivered(session: Session, ident: str) -> str | None:
    """The delivery that a piece is in, unless a claim has brought it back."""
    for position in all_latest(session, Position, piece_id=ident):
        if next(all_latest(session, Claim, position_id=position.id), None) is None:
            return position.delivery_id
    return None


def _new(writing: Writing, lot: str, name: str, length_mm: int, **values: Any) -> Piece:
    if not 1 <= length_mm <= _MOST_MM:
        raise CannotRecord("a piece is at least 1 mm and at most 2,000 km long")
    return writing.new(Piece, name, lot_id=lot, length_mm=length_mm, **values)


def _places(row: Piece, lengths_mm: list[int]) -> list[dict[str, Any]]:
    """Where the parts of a piece lie in its strand; empty where that cannot be told."""
    nowhere: list[dict[str, Any]] = [{} for _ in lengths_mm]
    if row.first_position is None or row.last_position is None:
        return nowhere
    links = row.last_position - row.first_position + 1
    counts = [length * links / row.length_mm for length in lengths_mm]
    whole = [round(count) for count in counts]
    off = max(abs(count - number) for count, number in zip(counts, whole, strict=True))
    if off > 0.25 or sum(whole) != links or min(whole) < 1:
        return nowhere
    first, said = row.first_position, []
    for number in whole:
        said.append({
            "strand": row.strand, "first_position": first, "last_position": first + number - 1,
        })  # fmt: skip
        first += number
    return said


def _refuse_delivered(session: Session, piece: Piece) -> None:
    held = delivered(session, piece.id)
    if held is not None:
        raise CannotRecord(f"{piece.id} is in {held}; what is delivered is claimed back first")


def _refuse_overlap(
    session: Session, strand: str | None, first: int | None, last: int | None
) -> None:
    """No link of a strand is in two pieces."""
    if strand is None or first is None or last is None:
        return
    for other in all_latest(session, Piece, strand=strand):
        begins, ends = other.first_position, other.last_position
        if begins is None or ends is None or other.state == GONE:
            continue
        if first <= ends and begins <= last:
            raise CannotRecord(f"links {begins} to {ends} of {strand} are in {other.id} already")
