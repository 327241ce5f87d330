"""Damaged files end in sentences, kills lose and double nothing, both readings are one."""

import os
import random
import signal
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from weld_files import HEAD, csv_text, how, kept, map_text, written

from linkwright.link_data.csv_rows import CsvSource
from linkwright.link_data.judging import judged
from linkwright.link_data.map_file import map_of_bytes
from linkwright.link_data.taking import take_in
from linkwright.quantities import LinkwrightError

CELLS = st.one_of(
    st.sampled_from(["1", "-1", "+2", " 3", "4 ", "007", "1.", ".5", "1e3", "1_0", "0x1f", "nan",
                     "inf", "1e999", "1e-999", "", " ", '"', '"7"', "9" * 18, "9" * 19, "1,5",
                     "2026-03-02", "2026-03-02T06", "2026-03-02 06:01", "\ufffd", "\0", "#",
                     "2026-03-02T06:01:02.123456", "2026-03-02T06:01:02Z", "W01", "0" * 30 + "1",
                     "2026-03-02T06:01:02.1234567", "2026-13-02", "-0", "infinity", "\u0661"]),
    st.text(max_size=6),
)  # fmt: skip
ROWS = st.lists(st.lists(CELLS, min_size=5, max_size=7), min_size=1, max_size=8)
SMALL = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))


def found(path: Path, *, fast: bool) -> tuple:
    """What a file is read into, or the sentence that refuses it."""
    rules = how()
    try:
        with closing(CsvSource(path, rules, fast=fast)) as source:
            made = [judged(source.batch(piece), rules) for piece in source.pieces()]
    except LinkwrightError as error:
        return (str(error),)
    return tuple((one.table.to_pylist(), one.records) for one in made), tuple(
        row for one in made for row in one.rejected
    )


@SMALL
@given(ROWS, st.integers(0, 3))
def test_the_fast_and_the_exact_reading_are_one(tmp_path, rows, good):
    lines = [HEAD, *csv_text(good).splitlines()[1:], *(",".join(row) for row in rows)]
    path = written(tmp_path, "\n".join(lines).encode("utf-8", "surrogatepass"))
    assert found(path, fast=True) == found(path, fast=False)


@SMALL
@given(CELLS, st.sampled_from(range(6)))
def test_one_strange_cell_is_read_alike(tmp_path, cell, column):
    cells = csv_text(1).splitlines()[1].split(",")
    cells[column] = cell
    path = written(tmp_path, f"{csv_text(2, first=5)}{','.join(cells)}\n".encode())
    assert found(path, fast=True) == found(path, fast=False)


def bases() -> dict[str, bytes]:
    """Whole files of every form."""
    rows = [dict(zip(HEAD.split(","), line.split(","), strict=True))
            for line in csv_text(30).splitlines()[1:]]  # fmt: skip
    sink = pa.BufferOutputStream()
    pq.write_table(pa.Table.from_pylist(rows), sink)
    lines = "".join(str(one).replace("'", '"') + "\n" for one in rows)
    return {"a.csv": csv_text(30).encode(), "b.csv": csv_text(30).encode("utf-16"),
            "a.jsonl": lines.encode(), "a.parquet": sink.getvalue().to_pybytes()}  # fmt: skip


def damaged(raw: bytes, rng: random.Random) -> bytes:
    """Some bytes changed, left out, repeated or put in."""
    made = bytearray(raw)
    for _ in range(rng.randint(1, 4)):
        at, size = rng.randrange(len(made) + 1), rng.randint(0, 12)
        put = rng.choice([b"", b'"', b"\n", b"\r", b"\0", b",", b"nan", b"1_0", b"\xff", b"{", b"}",
                          rng.randbytes(4), bytes(made[at : at + size])])  # fmt: skip
        made[at : at + rng.choice([0, size])] = put
    return bytes(made[: rng.choice([len(made), len(made), rng.randrange(len(made) + 1)])])


def damage(folder: Path, count: int, seed: int) -> list[str]:
    """Take damaged files in; what ended otherwise than in a sentence or left a part."""
    rng, wrong, rules, whole = random.Random(seed), [], how(), bases()
    links = folder / "links"
    for at in range(count):
        name = rng.choice(list(whole))
        raw = damaged(whole[name], rng)
        path = written(folder, raw, name)
        try:
            take_in(path, rules, links)
        except LinkwrightError as error:
            if not str(error).strip():
                wrong.append(f"{at}: no sentence")
        except Exception as error:
            wrong.append(f"{at} {name}: {type(error).__name__}: {error}"[:300])
        if links.exists() and any((links / "staging").iterdir()):
            wrong.append(f"{at}: something was left")
        try:
            map_of_bytes(damaged(map_text().encode(), rng))
        except LinkwrightError:
            pass
        except Exception as error:
            wrong.append(f"{at} map: {type(error).__name__}: {error}"[:300])
    kept(links)
    return wrong


def test_damaged_files_end_in_sentences_and_leave_nothing_half(tmp_path):
    assert damage(tmp_path, 150, 7) == []


def kills(folder: Path, count: int, seed: int, rows: int = 20_000) -> list[str]:
    """Kill ingests at random moments; what was lost or doubled after going on."""
    rng, wrong = random.Random(seed), []
    (folder / "map.toml").write_text(map_text())
    files = [written(folder, csv_text(rows, machine=f"W0{at}"), f"{at}.csv") for at in range(3)]
    words = [sys.executable, "-m", "linkwright", "ingest", *map(str, files), "--map",
             str(folder / "map.toml"), "--into"]  # fmt: skip
    begun = time.perf_counter()
    subprocess.run([*words, str(folder / "whole")], check=True, capture_output=True)  # noqa: S603
    usual, expected = time.perf_counter() - begun, kept(folder / "whole")
    for at in range(count):
        links = folder / f"links{at}"
        process = subprocess.Popen(  # noqa: S603
            [*words, str(links)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            env=os.environ,
        )  # fmt: skip
        time.sleep(rng.uniform(0.3 * usual, 1.05 * usual))
        process.send_signal(signal.SIGKILL)
        process.wait()
        if links.exists():
            part = kept(links)
            if len(part) % rows or len(set(part)) != len(part):
                wrong.append(f"{at}: half a file is there, {len(part)} rows")
        subprocess.run([*words, str(links)], check=True, capture_output=True)  # noqa: S603
        if kept(links) != expected:
            wrong.append(f"{at}: not what an undisturbed ingest gives")
    return wrong


def test_a_kill_at_any_moment_loses_and_doubles_nothing(tmp_path):
    assert kills(tmp_path, 2, 3) == []
