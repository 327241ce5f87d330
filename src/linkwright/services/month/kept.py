"""The books of the invented month: its people, order, metal, lots and tests, up to the decision.

What the machines wrote lies in the files of the month; here it becomes acts, as the people of such
a works would write them. Nothing is decided: proposing, deciding and certifying are left to whoever
tries them. Offers `keep_month`. All of it is invented.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from linkwright.records.acts import acts, do
from linkwright.records.people import Signed
from linkwright.records.store import Store
from linkwright.services import books as service
from linkwright.services.entering_order import requirement_of
from linkwright.standards.chain_requirements import chain_standard
from linkwright.works import demo_order
from linkwright.works.order import Line, Order

PEOPLE = {
    "anna": ("Anna Stone (invented)", "administer"),
    "ben": ("Ben Marsh (invented)", "record sell"),
    "cleo": ("Cleo Field (invented)", "check"),
    "dora": ("Dora Hill (invented)", "release"),
}
"""The people of the invented works and what they may do."""
_WHY = "the invented month"
_ASKED = ("proof_force_kN", "breaking_force_kN", "total_elongation_percent", "pitch_mm",
          "material_diameter_mm")  # fmt: skip
_RESULTS = {"breaking_force_kN": "breaking force",
            "total_elongation_percent": "total ultimate elongation"}  # fmt: skip
_GAUGES = {
    "Z-2": ("breaking force", "kN", 20.0, 400.0, 0.35),
    "Z-2 long": ("total ultimate elongation", "percent", 1.0, 60.0, 0.3),
    "C01": ("manufacturing proof force", "kN", 10.0, 120.0, 0.15),
    "G01": ("inner length of a link", "mm", 5.0, 60.0, 0.01),
    "G01 wire": ("diameter of the material, except at the weld", "mm", 2.0, 20.0, 0.005),
}
"""Characteristic, unit, range and standard uncertainty of each gauge; invented."""


@dataclass(frozen=True)
class KeptMonth:
    """Where the books are, and what stands in them."""

    books: str
    lots: tuple[str, ...]
    acts: int

    def to_dict(self) -> dict[str, Any]:
        """Plain data."""
        return {"books": self.books, "lots": list(self.lots), "acts": self.acts}


def keep_month(folder: Path, place: str, pass_phrase: str) -> KeptMonth:
    """Write the books of a month into a new place; all people share the pass phrase of the demo.

    Raises `CannotRecord` if the place has books already.
    """
    service.start(place, "anna", PEOPLE["anna"][0], pass_phrase)
    order = demo_order()
    line = next(line for line in order.lines if line.product == "welded")
    with service.opened(place) as store:
        hand = _Hand(store)
        for person, (name, roles) in list(PEOPLE.items())[1:]:
            hand.act("anna", "add_person", person=person, name=name, roles=roles,
                     pass_phrase=pass_phrase)  # fmt: skip
        hand.act("anna", "set_rule", rule="two_people", value=1, source="the works (invented)")
        _begin(hand, order, line)
        _metal(hand, folder)
        lots = tuple(_lots(hand, folder, f"{order.number}/1"))
        return KeptMonth(place, lots, hand.number)


class _Hand:
    """Whoever writes, by name."""

    def __init__(self, store: Store) -> None:
        self._store, self.number = store, 0

    def act(self, person: str, name: str, /, **given: Any) -> None:
        roles = frozenset(PEOPLE[person][1].split())
        signed = Signed(f"person:{person}", roles, PEOPLE[person][0])
        self.number, _, _ = do(self._store, signed, acts()[name], given, why=_WHY)


def _begin(hand: _Hand, order: Order, line: Line) -> None:
    """Order, requirements, gauges in calibration, a set-up with its first article, a type test."""
    ident = f"{order.number}/1"
    hand.act("ben", "add_customer", customer="K-17", name=f"{order.customer} (invented)")
    hand.act("ben", "take_order", order=order.number, customer="K-17", due_on=order.due.isoformat())
    chain: dict[str, Any] = {
        "product": "welded chain", "standard": line.standard, "grade": line.grade,
        "size_mm": float(line.size_mm or 0.0),
    }  # fmt: skip
    hand.act("ben", "add_line", order=order.number, number=1, **chain,
             length_mm=round(1000.0 * float(line.length_m or 0.0)))  # fmt: skip
    held = chain_standard(str(line.standard), str(line.grade))
    wanted = held.requirements(chain["size_mm"])
    for name in _ASKED:
        hand.act("ben", "ask_of_line", **requirement_of(ident, wanted[name]))
    for gauge, (measures, unit, least, greatest, u) in _GAUGES.items():
        hand.act("cleo", "keep_gauge", gauge=gauge, measures=measures, unit=unit)
        hand.act("cleo", "calibrate", gauge=gauge, calibrated_on="2026-10-05", least=least,
                 valid_until="2027-10-05", greatest=greatest, standard_uncertainty=u,
                 good=True)  # fmt: skip
    hand.act("cleo", "add_machine", machine="W07B", work="welding")
    hand.act("ben", "set_up_machine", machine="W07B", line=ident, card_digest="0" * 64,
             settings=["current 10.7 kA"])  # fmt: skip
    hand.act("cleo", "sign_first_article", set_up=f"{ident}/W07B", good=True,
             measured=["inner length 24.01 mm"])  # fmt: skip
    hand.act("cleo", "keep_type_test", type_test="T8", steel=_steel(line), good=True,
             route="weld, harden, temper, calibrate", band=["temper_degC=500..590"],
             tested_on="2026-05-04", **chain)  # fmt: skip


def _steel(line: Line) -> str:
    return str(line.steel)


def _metal(hand: _Hand, folder: Path) -> None:
    """Heats and coils with their own analysis, checked and accepted."""
    steel = _steel(next(line for line in demo_order().lines if line.product == "welded"))
    heats = set()
    for row in _table(folder / "laboratory" / "coils.csv"):
        heat = row["heat_on_tag"]
        analysis = [f"{key.removesuffix('_percent')}={value}" for key, value in row.items()
                    if key.endswith("_percent")]  # fmt: skip
        if heat not in heats:
            heats.add(heat)
            hand.act("ben", "add_heat", heat=heat, steel=steel, analysis=analysis,
                     document="3.1 (invented)")  # fmt: skip
        hand.act("ben", "receive_coil", coil=row["coil"], heat=heat, received_on="2026-11-02",
                 mass_kg=1200.0, diameter_mm=8.5, tag=row["coil"],
                 document_names=row["coil"])  # fmt: skip
        hand.act("cleo", "check_coil", coil=row["coil"], diameter_mm=8.51, allowed_off_mm=0.1,
                 tensile_strength_MPa=612.0, least_MPa=550.0, greatest_MPa=700.0,
                 surface_good=True)  # fmt: skip


def _lots(hand: _Hand, folder: Path, line: str) -> Iterator[str]:
    """Each lot with its sample and piece at their places in the strand, and its tests."""
    runs, readings = _runs(folder), _readings(folder)
    pitch = json.loads((folder / "truth.json").read_text("utf-8"))["pitch_mm"]
    proof = {row["lot"]: row["proof_force_kN"]
             for row in _table(folder / "laboratory" / "lots.csv")}  # fmt: skip
    tests = list(_table(folder / "laboratory" / "tests.csv"))
    for lot in dict.fromkeys(row["lot"] for row in tests):
        own = [row for row in tests if row["lot"] == lot]
        if own[0]["piece"] not in runs:
            continue  # still in the line
        hand.act("ben", "start_lot", lot=lot, line=line, type_test="T8")
        hand.act("ben", "use_coil", lot=lot, coil=own[0]["coil"])
        for name in (own[0]["sample"], own[0]["piece"]):
            strand, first, last = runs[name]
            hand.act("ben", "make_piece", lot=lot, piece=name, strand=strand, first_position=first,
                     last_position=last, length_mm=round((last - first + 1) * pitch))  # fmt: skip
        hand.act("ben", "take_sample", piece=own[0]["sample"])
        hand.act("ben", "present_lot", lot=lot)
        day = own[0]["at"][:10]
        _tests(hand, lot, day, own, proof[lot], readings.get(runs[own[0]["piece"]][0]))
        yield lot


def _tests(
    hand: _Hand, lot: str, day: str, rows: list[dict[str, str]], proof: str,
    reading: dict[str, Any] | None,
) -> None:  # fmt: skip
    def test(what: str, value: float, gauge: str, **more: Any) -> None:
        hand.act("ben", "record_test", lot=lot, characteristic=what, value=value, gauge=gauge,
                 tested_on=day, **more)  # fmt: skip

    for row in rows:
        what = _RESULTS.get(row["result"])
        if what == "breaking force":
            test(what, float(row["value"]), "Z-2", piece=row["sample"], fracture="ductile",
                 judged_by="cleo")  # fmt: skip
        elif what is not None:
            test(what, float(row["value"]), "Z-2 long", piece=row["sample"])
    test("manufacturing proof force", float(proof), "C01")
    if reading is not None:
        test("inner length of a link", float(reading["pitch"]), "G01")
        test("diameter of the material, except at the weld", float(reading["wire"]), "G01 wire")


def _runs(folder: Path) -> dict[str, tuple[str, int, int]]:
    """Where each sample and piece lies in its strand."""
    runs = {}
    for file in sorted((folder / "machines").glob("D01_*.csv")):
        for row in _table(file):
            if row["from_kind"] == "strand" and row["to_kind"] in ("sample", "piece"):
                runs[row["to_name"]] = (
                    row["from_name"], int(row["from_first"]), int(row["from_last"]),
                )  # fmt: skip
    return runs


def _readings(folder: Path) -> dict[str, dict[str, Any]]:
    """The first gauge reading of each strand."""
    first: dict[str, dict[str, Any]] = {}
    for file in sorted((folder / "machines").glob("G01_*.jsonl")):
        for text in file.read_text("utf-8").splitlines():
            one = json.loads(text)
            first.setdefault(one["strand"], one)
    return first


def _table(file: Path) -> Iterator[dict[str, str]]:
    """Rows of a CSV file of the month; lines that begin with # are passed over."""
    with file.open(encoding="utf-8", newline="") as held:
        yield from csv.DictReader(line for line in held if not line.startswith("#"))
