"""What chain is made of and what it becomes: heats, coils, lots, pieces."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from linkwright.records.base import Row, maybe, of


class Heat(Row):
    """One melt of steel, with the analysis on its document (mass per cent, canonical JSON)."""

    __tablename__ = "heat"
    steel: Mapped[str]
    analysis: Mapped[str]
    document: Mapped[str | None]


class Coil(Row):
    """One coil of rod or wire; blocked until it is accepted."""

    __tablename__ = "coil"
    heat_id: Mapped[str] = of("heat")
    received_on: Mapped[str]
    mass_kg: Mapped[float]
    diameter_mm: Mapped[float]
    tag: Mapped[str]
    document_names: Mapped[str]
    own_diameter_mm: Mapped[float | None]
    own_tensile_strength_MPa: Mapped[float | None]
    own_check: Mapped[str | None]


class Lot(Row):
    """Chain of one line that is presented together; `cycle` grows by one with rework."""

    __tablename__ = "lot"
    line_id: Mapped[str] = of("line")
    cycle: Mapped[int]
    set_up_id: Mapped[str | None] = maybe("set_up")
    plan_digest: Mapped[str | None]
    type_test_id: Mapped[str | None] = maybe("type_test")


class LotCoil(Row):
    """A coil that went into a lot."""

    __tablename__ = "lot_coil"
    lot_id: Mapped[str] = of("lot")
    coil_id: Mapped[str] = of("coil")


class Piece(Row):
    """A length of chain. `made_mm`: metal that came into being with it, not by cutting another.

    first_position, last_position: its links in the strand, where that is known.
    """

    __tablename__ = "piece"
    lot_id: Mapped[str] = of("lot")
    length_mm: Mapped[int]
    made_mm: Mapped[int]
    parent_id: Mapped[str | None] = maybe("piece")
    other_parent_id: Mapped[str | None] = maybe("piece")
    strand: Mapped[str | None]
    first_position: Mapped[int | None]
    last_position: Mapped[int | None]
    serials: Mapped[str | None]


class Repair(Row):
    """A link that was cut out of a piece and replaced; the piece is proofed again as a whole."""

    __tablename__ = "repair"
    piece_id: Mapped[str] = of("piece")
    link: Mapped[int]
    links_hardened_again: Mapped[int]
    proofed_on: Mapped[str | None]
    proof_force_N: Mapped[float | None]
