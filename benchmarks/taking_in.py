"""Three million link records: ingest and all charts, beside bare DuckDB and pandas.

    python benchmarks/taking_in.py [ROWS]

One CSV of welding records is invented. Ours: `take_in` (digest, grammar, units, repeats, set
aside, parts by day and machine, synced to disk), then the statistics of all charts from the
folder. Bare DuckDB: read_csv, COPY to zstd Parquet, the same statistics in SQL, with the same
threads. pandas: read_csv, to_parquet with zstd, the same statistics. Three turns, best of each.
"""

# ruff: noqa: S608 - names of columns are ours
from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import duckdb
import pandas as pd

from linkwright.link_data.columns import kind
from linkwright.link_data.dataset import opened
from linkwright.link_data.map_file import map_of_bytes
from linkwright.link_data.statistics import figures, hourly, joint
from linkwright.link_data.taking import take_in

THREADS, SUBGROUP, TURNS = 2, 5, 3
COLUMNS = kind("weld").numbers
_LIMITS = ("weld_energy_J", 25100.0, 26900.0)
_NOISE = "sqrt(-2 * ln(1 - random())) * cos(6.283185307 * random())"


def invent(path: Path, rows: int, machines: int = 6) -> None:
    """Write invented records of welds, the machines turn by turn."""
    values = ", ".join(
        f"round({mean} + {spread} * {_NOISE}, {digits}) AS {name}"
        for name, mean, spread, digits in zip(
            COLUMNS, (9000, 6, 1500, 26000, 0.48, 1.9), (100, 0.1, 20, 300, 0.01, 0.05),
            (1, 3, 1, 0, 4, 3), strict=True,
        )
    )  # fmt: skip
    at = f"i // {machines}"
    when = f"TIMESTAMP '2026-03-02' + to_microseconds(({at}) * 1600000 + (random() * 1e3)::BIGINT)"
    with duckdb.connect() as database:
        database.execute(
            f"COPY (SELECT 'W0' || (i % {machines} + 1) AS machine, {at} AS counter, "
            f"strftime({when}, '%Y-%m-%dT%H:%M:%S.%f') AS clock, 'S' || ({at}) // 8000 AS strand, "
            f"({at}) % 8000 AS position, 'C' || ({at}) // 3000 AS coil, {values} "
            f"FROM range({rows}) AS t(i)) TO '{path}' (HEADER)"
        )


def map_text() -> bytes:
    """The map of these records."""
    names = ("machine", "counter", "clock", "strand", "position", "coil", *COLUMNS)
    columns = "".join(f'[[file.column]]\nname = "{one}"\nfrom = "{one}"\n' for one in names)
    return f'[[file]]\npattern = "*.csv"\nkind = "weld"\n{columns}'.encode()


def ours(csv: Path, folder: Path) -> float:
    """Ingest and all statistics by linkwright; the rows as a check."""
    links = folder / "links"
    taken = take_in(csv, map_of_bytes(map_text()).files[0], links)
    with opened(links, threads=THREADS) as data:
        figures(data, "weld", COLUMNS, SUBGROUP)
        hourly(data, "weld", *_LIMITS)
        joint(data, "weld", COLUMNS)
    return taken.entry.rows


def bare(csv: Path, folder: Path) -> float:
    """The same by DuckDB alone: one file, no checks."""
    file = folder / "bare.parquet"
    column, low, high = _LIMITS
    with duckdb.connect() as database:
        run = database.execute
        run(f"SET threads = {THREADS}")
        run(f"COPY (SELECT * FROM read_csv('{csv}')) TO '{file}' (FORMAT parquet, CODEC zstd)")
        moves = ", ".join(f"abs({x} - lag({x}) OVER w) AS moved_{x}" for x in COLUMNS)
        run(f"CREATE TEMP TABLE ordered AS SELECT machine, row_number() OVER w - 1 AS place, "
            f"{', '.join(COLUMNS)}, {moves} FROM '{file}' "
            "WINDOW w AS (PARTITION BY machine ORDER BY clock, counter)")  # fmt: skip
        asked = ", ".join(f"avg({x}), max({x}) - min({x}), stddev_samp({x})" for x in COLUMNS)
        run(f"SELECT machine, place // {SUBGROUP} AS point, {asked} FROM ordered "
            "GROUP BY ALL ORDER BY ALL").fetchnumpy()  # fmt: skip
        asked = ", ".join(f"avg({x}), avg(moved_{x})" for x in COLUMNS)
        run(f"SELECT machine, {asked} FROM ordered GROUP BY ALL").fetchnumpy()
        run(f"SELECT machine, date_trunc('hour', clock) AS hour, count(*), avg({column}), "
            f"count(*) FILTER ({column} < {low} OR {column} > {high}) FROM '{file}' "
            "GROUP BY ALL").fetchnumpy()  # fmt: skip
        pairs = [f"covar_samp({a}, {b})" for a in COLUMNS for b in COLUMNS if a <= b]
        run(f"SELECT machine, {', '.join(pairs)} FROM '{file}' GROUP BY ALL").fetchnumpy()
        return run(f"SELECT count(*) FROM '{file}'").fetchone()[0]


def by_pandas(csv: Path, folder: Path) -> float:
    """The same by pandas."""
    table = pd.read_csv(csv, parse_dates=["clock"])
    table.to_parquet(folder / "pandas.parquet", compression="zstd")
    table = table.sort_values(["machine", "clock", "counter"])
    machines = table.groupby("machine")
    point = machines.cumcount() // SUBGROUP
    for one in COLUMNS:
        groups = table.groupby([table["machine"], point])[one]
        groups.agg(["count", "mean", "min", "max", "std"])
        moved = machines[one].diff().abs()
        moved.groupby(table["machine"]).mean()
    column, low, high = _LIMITS
    beyond = (table[column] < low) | (table[column] > high)
    hour = table["clock"].dt.floor("h")
    beyond.groupby([table["machine"], hour]).agg(["count", "sum"])
    table[column].groupby([table["machine"], hour]).mean()
    machines[list(COLUMNS)].cov()
    return len(table)


def best_of(
    ways: dict[str, Callable[[Path, Path], float]], csv: Path, rows: int
) -> dict[str, float]:
    """The best time of each way; the ways take turns, so that all meet the same machine."""
    best = dict.fromkeys(ways, float("inf"))
    for turn in range(TURNS):
        for name, way in ways.items():
            if name == "pandas" and turn:
                continue  # its time is far off, one turn tells
            with tempfile.TemporaryDirectory(dir=csv.parent) as folder:
                begun = time.perf_counter()
                assert way(csv, Path(folder)) == rows
                best[name] = min(best[name], time.perf_counter() - begun)
    return best


def measured(rows: int) -> dict[str, float]:
    """Seconds of each way, over the same file."""
    folder = Path(tempfile.mkdtemp())
    try:
        csv = folder / "weld.csv"
        invent(csv, rows)
        return best_of({"linkwright": ours, "bare DuckDB": bare, "pandas": by_pandas}, csv, rows)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    asked = int(sys.argv[1]) if len(sys.argv) > 1 else 3_000_000
    seconds = measured(asked)
    for label, taken in seconds.items():
        print(f"{label:12} {taken:7.2f} s")
    print(f"linkwright / bare DuckDB {seconds['linkwright'] / seconds['bare DuckDB']:.2f}")
    print(f"pandas / linkwright      {seconds['pandas'] / seconds['linkwright']:.1f}")
