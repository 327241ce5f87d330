"""The same questions put to DuckDB over Parquet and to PostgreSQL must be answered alike."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import psycopg
import pytest
from link_data.made_folder import rows, write_folder

from linkwright.link_data import questions as q
from linkwright.link_data.columns import KINDS
from linkwright.link_data.dataset import opened

_TYPES = {"text": "text", "whole": "bigint", "number": "double precision",
          "clock": "timestamptz", "numbers": "double precision[]"}  # fmt: skip
US = 1_762_153_200_000_000 + 365 * 86_400_000_000
"""2026-11-03, 07:00 UTC."""
QUESTIONS = {
    "between": q.readings_between("harden", "H01", US, US + 10_000_000),
    "counted": q.readings_counted("pull", "P01", [(2, 3), (7, 7)]),
    "strand runs": q.strand_runs("harden"),
    "placed": q.placed_readings("weld", ["W07"], ["S1"]),
    "coils": q.coil_runs(),
    "strokes": q.strokes(),
    "passages": q.passage_rows(),
    "both": q.passed_both(("harden", "H01"), ("temper", "T01")),
    "aggregates": q.aggregates("weld", "current_A", 5),
    "links with": q.links_with("S1", [(3, 9), (40, 44)]),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_folder(tmp_path_factory.mktemp("links"))


@pytest.fixture(scope="module")
def held(server: Any) -> Iterator[psycopg.Connection]:
    with server.database() as url, psycopg.connect(url) as connection:
        connection.execute("SET TIME ZONE 'UTC'")
        for kind in KINDS.values():
            columns = ", ".join(f'"{one.name}" {_TYPES[one.form]}' for one in kind.columns)
            connection.execute(f"CREATE TABLE {kind.name} ({columns})")
        for name, readings in rows().items():
            names = KINDS[name].names
            quoted = ", ".join(f'"{one}"' for one in names)
            with connection.cursor().copy(f"COPY {name} ({quoted}) FROM STDIN") as copy:
                for at, one in enumerate(readings):
                    full = {"source": "0" * 16, "row": at, **one}
                    copy.write_row([full.get(key) for key in names])
        yield connection


@pytest.mark.parametrize("name", QUESTIONS)
def test_engines_agree(folder: Path, held: psycopg.Connection, name: str) -> None:
    """Row for row; numbers to 1e-12."""
    question = QUESTIONS[name]
    with opened(folder) as data:
        one = data.sql(q.sql(question)).fetchall()
    other = held.execute(q.sql(question, q.POSTGRESQL)).fetchall()  # type: ignore[call-overload]
    assert len(one) == len(other) > 0
    for mine, theirs in zip(sorted(one, key=str), sorted(other, key=str), strict=True):
        for a, b in zip(mine, theirs, strict=True):
            if isinstance(a, float):
                assert a == pytest.approx(float(b), rel=1e-12)
            else:
                assert a == b
                assert not isinstance(a, datetime) or a.tzinfo is not None
