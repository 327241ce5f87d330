"""Books for tests, on SQLite and on PostgreSQL, with invented people, metal and a line."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher

from linkwright.records import people
from linkwright.records.acts import ROLES, acts, do
from linkwright.records.means import Made, Means
from linkwright.records.migrating import migrate
from linkwright.records.people import Signed
from linkwright.records.store import Store, open_store
from linkwright.services.books import judged
from linkwright.works.canonical import canonical_bytes, content_hash

PHRASE = "seven slow coils of wire"
QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)


def plain_maker(facts: dict[str, Any]) -> Made:
    """A certificate without paper craft: the facts themselves."""
    return Made(canonical_bytes(facts), content_hash(facts), b"paper " + canonical_bytes(facts))


def plain_lister(number: int, entries: list[dict[str, Any]]) -> bytes:
    """A list without a signature."""
    return canonical_bytes({"number": number, "entries": entries})


MEANS = Means(judged, plain_maker, plain_lister)


class Books:
    """Open books and the people who write in them."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self._numbers = itertools.count()

    def act(
        self, name: str, person: str = "ben", /, why: str = "as ordered", **given: Any
    ) -> list[dict[str, Any]]:
        """Do an act as a person."""
        return self.done(name, person, why=why, **given)[1]

    def done(
        self,
        name: str,
        person: str = "ben",
        /,
        why: str = "as ordered",
        key: str | None = None,
        **given: Any,
    ) -> tuple[int, list[dict[str, Any]], bool]:
        """Do an act; with its number and whether it was new."""
        return do(self.store, self.signed(person), acts()[name], given, why=why, key=key)

    def signed(self, person: str) -> Signed:
        """Somebody who has proved to be themselves (see the tests of people for how)."""
        roles = {
            "anna": {"administer"},
            "ben": {"record", "sell"},
            "cleo": {"check"},
            "dora": {"release"},
            "emil": set(ROLES),
        }[person]
        return Signed(f"person:{person}", frozenset(roles), person.title())

    def state(self, ident: str) -> str:
        """The newest state of a thing."""
        from linkwright.records.writing import latest

        with self.store.reading() as session:
            row = latest(session, ident)
            assert row is not None, ident
            return row.state

    def presented(self, lot: str = "L1", metres: int = 100) -> None:
        """A lot of welded chain with accepted metal, signed set-up and type test, presented."""
        self.line()
        self.act("start_lot", lot=lot, line="O1/1", type_test="T8")
        self.act("use_coil", lot=lot, coil="C1")
        self.act("make_piece", lot=lot, piece=f"{lot}-P1", length_mm=metres * 1000)
        self.act("cut_piece", piece=f"{lot}-P1", lengths_mm=[1000, metres * 1000 - 1000])
        self.act("take_sample", piece=f"{lot}-P1.1")
        self.act("present_lot", lot=lot)

    def line(self) -> None:
        """An order with a line, its requirement, a coil, a gauge, a set-up, a type test."""
        self.act("add_customer", customer="K1", name="Northmoor quarry (invented)")
        self.act("take_order", order="O1", customer="K1", due_on="2027-01-15")
        self.act(
            "add_line",
            order="O1",
            number=1,
            product="welded chain",
            standard="EN 818-2",
            grade="8",
            size_mm=8.0,
            length_mm=300_000,
        )
        self.act(
            "ask_of_line",
            line="O1/1",
            characteristic="breaking force",
            unit="kN",
            least=80.4,
            source="EN 818-2, table 3",
        )
        self.act("add_heat", heat="H1", steel="invented 8", analysis=["C=0.21", "Mn=1.3"])
        self.act(
            "receive_coil",
            coil="C1",
            heat="H1",
            received_on="2026-11-02",
            mass_kg=1200.0,
            diameter_mm=8.5,
            tag="H1/4",
            document_names="H1/4",
        )
        self.act(
            "check_coil",
            "cleo",
            coil="C1",
            diameter_mm=8.52,
            tensile_strength_MPa=620.0,
            allowed_off_mm=0.1,
            least_MPa=550.0,
            greatest_MPa=700.0,
            surface_good=True,
        )
        self.act("keep_gauge", "cleo", gauge="P400", measures="breaking force", unit="kN")
        self.calibrated("2026-10-01")
        self.act("add_machine", "cleo", machine="W07", work="welding")
        self.act(
            "set_up_machine",
            machine="W07",
            line="O1/1",
            card_digest="ab" * 32,
            settings=["current 10.7 kA"],
        )
        self.act(
            "sign_first_article", "cleo", set_up="O1/1/W07", measured=["pitch 24.02 mm"], good=True
        )
        self.act(
            "keep_type_test",
            "cleo",
            type_test="T8",
            product="welded chain",
            standard="EN 818-2",
            grade="8",
            size_mm=8.0,
            steel="invented 8",
            route="weld, harden, temper",
            band=["temper_degC=420..560"],
            tested_on="2026-05-01",
            good=True,
        )

    def lifting(self, lot: str = "L1") -> None:
        """A lot of lifting chain with all that its certificate states, presented and tested."""
        self.presented(lot)
        for number, (what, unit, least, value) in enumerate(
            (
                ("manufacturing proof force", "kN", 50.3, 51.0),
                ("total ultimate elongation", "percent", 20.0, 26.0),
            )
        ):
            gauge = f"G{number}"
            source = "EN 818-2 (from memory)"
            self.act(
                "ask_of_line", line="O1/1", characteristic=what, unit=unit, least=least,
                source=source,
            )  # fmt: skip
            self.act("keep_gauge", "cleo", gauge=gauge, measures=what, unit=unit)
            self.act(
                "calibrate", "cleo", gauge=gauge, calibrated_on="2026-10-01",
                valid_until="2027-10-01", least=1.0, greatest=400.0, standard_uncertainty=0.2,
                good=True,
            )  # fmt: skip
            self.act(
                "record_test", lot=lot, characteristic=what, value=value, gauge=gauge,
                tested_on="2026-11-20",
            )  # fmt: skip
        self.tested(lot=lot, piece=f"{lot}-P1.1", fracture="ductile", judged_by="cleo")

    def calibrated(self, on: str, *, good: bool = True, until: str = "2027-10-01") -> None:
        """A calibration of the test machine."""
        self.act(
            "calibrate",
            "cleo",
            gauge="P400",
            calibrated_on=on,
            valid_until=until,
            least=20.0,
            greatest=400.0,
            standard_uncertainty=0.3,
            good=good,
        )

    def tested(
        self, value: float = 86.1, lot: str = "L1", person: str = "ben", **more: Any
    ) -> dict[str, Any]:
        """A result of the breaking force."""
        return self.act(
            "record_test",
            person,
            lot=lot,
            characteristic="breaking force",
            value=value,
            gauge="P400",
            tested_on="2026-11-20",
            **more,
        )[0]

    def released(self, lot: str = "L1") -> None:
        """A lot that was tested, proposed and released by two people."""
        self.presented(lot)
        self.tested(lot=lot)
        self.act("propose", "cleo", lot=lot, disposition="release")
        self.act("decide", "dora", proposal=f"{lot}/1", agree=True)


def begun(place: str) -> Books:
    """New books with their people."""
    migrate(place)
    store = open_store(place, MEANS)
    people.begin(store, "anna", "Anna (invented)", PHRASE)
    books = Books(store)
    for person, roles in (
        ("ben", "record sell"),
        ("cleo", "check"),
        ("dora", "release"),
        ("emil", " ".join(ROLES)),
    ):
        books.act(
            "add_person",
            "anna",
            person=person,
            name=f"{person.title()} (invented)",
            roles=roles,
            pass_phrase=f"{PHRASE} of {person}",
        )
    return books


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(people, "HASHER", QUICK)


@pytest.fixture
def books(tmp_path: Path) -> Iterator[Books]:
    """Books in an SQLite file."""
    held = begun(str(tmp_path / "quarry.books"))
    yield held
    held.store.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty place, once on each database."""
    if request.param == "sqlite":
        return str(tmp_path / "both.books")
    address: str = request.getfixturevalue("database")
    return address


@pytest.fixture
def both(place: str) -> Iterator[Books]:
    """Books, once on each database."""
    held = begun(place)
    yield held
    held.store.close()


@pytest.fixture
def refused() -> Callable[..., Any]:
    """The context of an act that the books refuse with words in its sentence."""
    from linkwright.records.errors import CannotRecord

    return lambda words: pytest.raises(CannotRecord, match=words)
