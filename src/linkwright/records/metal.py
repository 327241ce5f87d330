"""Heats and coils: blocked until document and tag agree and our own checks are made."""

from __future__ import annotations

from sqlalchemy.orm import Session

from linkwright.records.acts import CHECK, RECORD, RELEASE, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.given import bare_number, day
from linkwright.records.kinds import Coil, Heat, Lot, LotCoil
from linkwright.records.writing import Writing, all_latest, found
from linkwright.works.canonical import canonical_bytes


@act(RECORD)
def add_heat(
    writing: Writing, *, heat: str, steel: str, analysis: list[str], document: str | None = None
) -> list[Row]:
    """Enter a heat with the analysis of its document, such as analysis=[C=0.21, Mn=1.32]."""
    return [
        writing.new(
            Heat, heat, steel=steel, analysis=canonical_bytes(_analysis(analysis)).decode(),
            document=document,
        )
    ]  # fmt: skip


@act(RECORD)
def receive_coil(
    writing: Writing, *, coil: str, heat: str, received_on: str, mass_kg: float,
    diameter_mm: float, tag: str, document_names: str,
) -> list[Row]:  # fmt: skip
    """Take in a coil: what its tag says and which coil its document names. It is blocked."""
    of = found(writing.session, Heat, heat)
    if not (mass_kg > 0 and diameter_mm > 0):
        raise CannotRecord("mass and diameter are more than nothing")
    return [
        writing.new(
            Coil, coil, state="blocked", heat_id=of.id, mass_kg=mass_kg, diameter_mm=diameter_mm,
            received_on=day(received_on, "received_on"), tag=tag, document_names=document_names,
        )
    ]  # fmt: skip


@act(CHECK)
def check_coil(
    writing: Writing, *, coil: str, diameter_mm: float, tensile_strength_MPa: float,
    allowed_off_mm: float, least_MPa: float, greatest_MPa: float,
    surface_good: bool, seen: int | None = None,
) -> list[Row]:  # fmt: skip
    """Accept or refuse a blocked coil by document against tag and our own measurements."""
    row = found(writing.session, Coil, coil)
    against = []
    if row.tag != row.document_names:
        against.append(f"the tag says {row.tag}, the document {row.document_names}")
    if not abs(diameter_mm - row.diameter_mm) <= allowed_off_mm:
        against.append(f"diameter {diameter_mm:g} mm against {row.diameter_mm:g} mm")
    if not least_MPa <= tensile_strength_MPa <= greatest_MPa:
        against.append(f"{tensile_strength_MPa:g} MPa outside {least_MPa:g} to {greatest_MPa:g}")
    if not surface_good:
        against.append("the surface is not good")
    return [
        writing.next(
            row, state="refused" if against else "accepted", seen=seen,
            own_diameter_mm=diameter_mm, own_tensile_strength_MPa=tensile_strength_MPa,
            own_check="; ".join(against) or "document, diameter, strength and surface agree",
        )
    ]  # fmt: skip


@act(RELEASE)
def concede_coil(writing: Writing, *, coil: str, seen: int | None = None) -> list[Row]:
    """Accept a refused coil by concession; why says the reason."""
    row = found(writing.session, Coil, coil)
    return [writing.next(row, state="accepted", seen=seen)]


@act(CHECK)
def block_coil(writing: Writing, *, coil: str, seen: int | None = None) -> list[Row]:
    """Block an accepted coil again."""
    row = found(writing.session, Coil, coil)
    return [writing.next(row, state="blocked", seen=seen)]


@act(RECORD)
def use_coil(writing: Writing, *, lot: str, coil: str) -> list[Row]:
    """Write down that a coil goes into a lot; only an accepted one does."""
    into, metal = found(writing.session, Lot, lot), found(writing.session, Coil, coil)
    if metal.state != "accepted":
        raise CannotRecord(f"{metal.id} is {metal.state}; only accepted coils are worked")
    if into.state != "in work":
        raise CannotRecord(f"{into.id} is {into.state}; metal goes into lots in work")
    return [
        writing.new(LotCoil, f"{into.name}/{metal.name}", lot_id=into.id, coil_id=metal.id)
    ]  # fmt: skip


def lots_of_coil(session: Session, coil: str) -> list[str]:
    """The lots that a coil went into."""
    metal = found(session, Coil, coil)
    return [row.lot_id for row in all_latest(session, LotCoil, coil_id=metal.id)]


def _analysis(pairs: list[str]) -> dict[str, float]:
    held: dict[str, float] = {}
    for pair in pairs:
        element, _, text = pair.partition("=")
        share = bare_number(text)
        if not (element.strip().isalpha() and 0 <= share <= 100):
            raise CannotRecord(f"{pair!r} is no element with per cent; accepted: C=0.21")
        held[element.strip()] = share
    return held
