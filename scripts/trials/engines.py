"""Trial: the questions to link data on DuckDB and on a distributed engine, in local mode.

The engine is Spark where pyspark (below 4.1) and Java are there; where they are not, the figures
say "not measured". PostgreSQL is asked the same questions by the tests.
"""

from __future__ import annotations

import importlib.util
import math
import sys
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from measured import Figure

from linkwright.link_data import questions as q
from linkwright.link_data.columns import KINDS
from linkwright.link_data.dataset import opened
from trials import ROOT
from trials.outcome import Counts, Outcome


def run(counts: Counts, folder: Path) -> Outcome:
    """Every question once on each engine; rows must be the same, numbers to 1e-9."""
    sys.path.insert(0, str(ROOT / "tests"))
    made = importlib.import_module("link_data.made_folder")
    asked = importlib.import_module("link_data.test_engines").QUESTIONS
    links = made.write_folder(folder / "links")
    if importlib.util.find_spec("pyspark") is None:
        wanted = None if counts.short else len(asked)
        return Outcome(
            (Figure("questions with the same rows on Spark", None, least=wanted),),
            remarks=("pyspark is not installed; it is no dependency of the program.",),
        )
    begun = time.perf_counter()
    answer, stop = _spark(links)
    ready = time.perf_counter() - begun
    same, slowest = 0, 0.0
    other: list[str] = []
    with opened(links) as data:
        for name, question in asked.items():
            mine = data.sql(q.sql(question)).fetchall()
            begun = time.perf_counter()
            theirs = answer(question)
            slowest = max(slowest, time.perf_counter() - begun)
            alike = _alike(mine, theirs)
            same += alike
            if not alike:
                other.append(name)
    stop()
    figures = (
        Figure("questions with the same rows on Spark", same, least=len(asked)),
        Figure("start of the engine", ready, "s"),
        Figure("slowest question", slowest, "s"),
    )
    return Outcome(figures, remarks=tuple(f"{name}: other rows" for name in other))


def _spark(links: Path) -> tuple[Callable[[Any], list[tuple[Any, ...]]], Callable[[], None]]:
    """How Spark answers a question over the folder's Parquet, and how it is stopped."""
    import ibis  # noqa: PLC0415
    from pyspark.sql import SparkSession  # noqa: PLC0415

    session = (
        SparkSession.builder.master("local[2]").config("spark.ui.enabled", "false")
        .config("spark.sql.session.timeZone", "UTC").getOrCreate()
    )  # fmt: skip
    session.sparkContext.setLogLevel("ERROR")
    engine = ibis.pyspark.connect(session)
    for kind in KINDS.values():
        place = links / kind.name
        if place.is_dir():
            session.read.parquet(str(place)).createOrReplaceTempView(kind.name)

    def answer(question: Any) -> list[tuple[Any, ...]]:
        return [tuple(row) for row in session.sql(engine.compile(question)).collect()]

    return answer, session.stop


def _alike(mine: list[tuple[Any, ...]], theirs: list[tuple[Any, ...]]) -> bool:
    if len(mine) != len(theirs) or not mine:
        return False
    pairs = zip(
        sorted(map(_plain, mine), key=str), sorted(map(_plain, theirs), key=str), strict=True
    )
    return all(_same(a, b) for one, other in pairs for a, b in zip(one, other, strict=True))


def _plain(row: tuple[Any, ...]) -> tuple[Any, ...]:
    """Times as they stand in UTC; Spark gives them without a zone."""
    return tuple(
        one.replace(tzinfo=None).isoformat() if isinstance(one, datetime)
        else round(one, 9) if isinstance(one, float) else one
        for one in row
    )  # fmt: skip


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, float) or isinstance(b, float):
        return b is not None and a is not None and math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-8)
    return bool(a == b)
