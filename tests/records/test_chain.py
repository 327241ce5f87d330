"""The chain of acts: what is changed, moved, added or missing is found, and where."""

import random
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from kept_books import Books
from sqlalchemy import text

from linkwright.records.chain import Head, head, walk
from linkwright.records.errors import CannotRecord


@contextmanager
def forced(books: Books) -> Iterator[sqlite3.Connection]:
    """The database without its guards, as somebody with the file in hand has it."""
    connection = sqlite3.connect(books.store.place)
    for (name,) in connection.execute(
        "select name from sqlite_master where type='trigger'"
    ).fetchall():
        connection.execute(f'drop trigger "{name}"')
    yield connection
    connection.commit()
    connection.close()


def forbidden(books: Books, statement: str) -> None:
    with books.store.aside() as session:
        session.execute(text(statement))


def broken(books: Books, expected: Head | None = None) -> tuple[str, ...]:
    with books.store.reading() as session:
        return walk(session, expected).broken


def test_a_whole_chain_is_whole_on_both_databases(both: Books) -> None:
    """After a life of acts nothing is broken, and the counts are those of the books."""
    both.released()
    both.act("issue_certificate", "dora", lot="L1")
    with both.store.reading() as session:
        walked = walk(session)
        assert walked.broken == ()
        assert walked.head == head(session)
        assert walked.acts == session.scalar(text("select count(*) from act"))
    assert walked.clock_went_back == ()


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        (
            "update piece set length_mm = length_mm + 1 where version = 1",
            "is not as it was written",
        ),
        ("update test set value = 99.0", "is not as it was written"),
        ("update act set why = 'other' where number = 7", "act 7 "),
        ("update act set at = '2020' where number = 3", "act 3 "),
        ("delete from test", "missing"),
        ("delete from act where number = 9", "act 9 is missing"),
        ("update coil set version = 7 where version = 2", "do not run"),
        ("a row of no act", None),
        ("update content set data = x'00'", "not as it was kept"),
    ],
)
def test_a_change_behind_the_guards_is_found(
    books: Books, statement: str, said: str | None
) -> None:
    """One changed cell, a deleted row or act, changed bytes of a paper."""
    books.released()
    books.act("issue_certificate", "dora", lot="L1")
    with forced(books) as connection:
        if said is None:
            columns = "sequence, version, state, id, act, value, source"
            connection.execute(
                f"insert into rule ({columns}) values (9999, 1, 'set', 'rule:x', 1, 1, 'x')"
            )
        else:
            connection.execute(statement)
    found = broken(books)
    assert found
    assert said is None or any(said in one for one in found)


def test_two_swapped_rows_are_found(books: Books) -> None:
    """The order of rows and acts is part of what is chained."""
    books.presented()
    with forced(books) as connection:
        connection.execute("update act set number = 1000 where number = 8")
        connection.execute("update act set number = 8 where number = 9")
        connection.execute("update act set number = 9 where number = 1000")
    assert any("act 8" in one for one in broken(books))


def test_a_tail_that_was_cut_off_shows_against_a_head(books: Books) -> None:
    """Without a head that was written down it cannot show; with one it does."""
    books.presented()
    with books.store.reading() as session:
        newest = head(session)
    with forced(books) as connection:
        for table in ("piece", "lot"):
            connection.execute(f"delete from {table} where act = ?", (newest.act,))
        connection.execute("delete from act where number = ?", (newest.act,))
    assert broken(books) == ()
    assert "the acts after" in broken(books, newest)[0]


def test_one_flipped_bit_of_any_cell_is_found(books: Books) -> None:
    """Bits of texts and numbers of random cells of every table of the chain."""
    books.released()
    chance = random.Random(8)
    with forced(books) as connection:
        tables = [
            "act",
            "piece",
            "test",
            "lot",
            "coil",
            "requirement",
            "proposal",
            "calibration",
            "line",
        ]
        cells = [
            (table, column, rowid)
            for table in tables
            for column in [row[1] for row in connection.execute(f'pragma table_info("{table}")')]
            for (rowid,) in connection.execute(
                f'select rowid from "{table}" where "{column}" is not null'
            )
        ]
    for table, column, rowid in chance.sample(cells, 60):
        connection = sqlite3.connect(books.store.place)
        (old,) = connection.execute(
            f'select "{column}" from "{table}" where rowid = ?', (rowid,)
        ).fetchone()
        connection.execute("pragma foreign_keys = off")
        try:
            connection.execute(
                f'update "{table}" set "{column}" = ? where rowid = ?',
                (_flipped(old, chance), rowid),
            )
        except sqlite3.IntegrityError:
            connection.close()
            continue
        connection.commit()
        assert _found(books), (table, column, old)
        connection.execute(
            f'update "{table}" set "{column}" = ? where "{column}" is ? and rowid = ?',
            (old, _now(connection, table, column, rowid), rowid),
        )
        connection.commit()
        connection.close()


def test_the_guards_refuse_update_delete_and_replace(both: Books) -> None:
    """No program of anybody changes or deletes a record through the database."""
    both.presented()
    statements = [
        "update lot set state = 'released'",
        "delete from piece",
        "delete from act",
        "update act set why = ''",
        "delete from content where 1 = 1",
        "update record set act = 1",
    ]
    if both.store.dialect == "sqlite":
        statements.append("insert or replace into rule select * from rule")
        both.act("set_rule", "anna", rule="two_people", value=1, source="the works")
    else:
        statements.append("truncate lot cascade")
    both.act(
        "add_paper", of="coil:C1", title="delivery note", media_type="text/plain", paper=b"note"
    )
    for statement in statements:
        with pytest.raises(CannotRecord, match="never changed or deleted"):
            forbidden(both, statement)
    assert broken(both) == ()


def test_a_clock_that_goes_back_is_told_and_breaks_nothing(
    books: Books, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The sequence decides, not the clock."""
    import datetime

    from linkwright.records import writing

    class Earlier(datetime.datetime):
        @classmethod
        def now(cls, tz: datetime.tzinfo | None = None) -> datetime.datetime:
            return datetime.datetime(2026, 1, 1, tzinfo=tz)

    books.act("set_rule", "anna", rule="retests", value=1, source="x")
    monkeypatch.setattr(writing.datetime, "datetime", Earlier)
    books.act("set_rule", "anna", rule="retests", value=2, source="x")
    with books.store.reading() as session:
        walked = walk(session)
    assert walked.broken == ()
    assert len(walked.clock_went_back) == 1


def _flipped(value: object, chance: random.Random) -> object:
    if isinstance(value, int):
        return value ^ (1 << chance.randrange(20))
    if isinstance(value, float):
        import struct

        raw = bytearray(struct.pack("<d", value))
        raw[chance.randrange(8)] ^= 1 << chance.randrange(8)
        return struct.unpack("<d", raw)[0]
    raw = bytearray(str(value).encode())
    raw[chance.randrange(len(raw))] ^= 1 << chance.randrange(7)
    return raw.decode(errors="replace")


def _now(connection: sqlite3.Connection, table: str, column: str, rowid: int) -> object:
    return connection.execute(
        f'select "{column}" from "{table}" where rowid = ?', (rowid,)
    ).fetchone()[0]


def _found(books: Books) -> bool:
    """Found by the walk, or the row cannot even be read."""
    try:
        return bool(broken(books))
    except Exception:  # any refusal is a finding
        return True


def test_the_head_is_the_same_after_a_walk(books: Books, tmp_path: Path) -> None:
    """Walking writes nothing."""
    books.presented()
    with books.store.reading() as session:
        assert walk(session).head == head(session)
