"""The files of the invented month: same bytes for the same seed, readable by their map, whole."""

from __future__ import annotations

import csv
import json
import math
import tomllib
from collections import defaultdict
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from linkwright.quantities import convert, split
from linkwright.services.month import KINDS, MonthRequest, lines_of, make_month, signals_of
from linkwright.services.month.flow import SAMPLE_LINKS
from linkwright.services.month.number_bytes import clock, decimals, joined, literal, whole
from linkwright.services.month.passages import CUT, JOINED
from linkwright.services.month.put_in import BEGIN, CLOCKS, seconds
from linkwright.services.month.readings import harden, pull, weld

NIGHT = 39_000


def _bytes(folder: Path) -> dict[str, bytes]:
    return {str(one.relative_to(folder)): one.read_bytes()
            for one in sorted(folder.rglob("*")) if one.is_file()}  # fmt: skip


def test_same_links_and_seed_give_the_same_bytes_another_seed_others(tmp_path) -> None:
    for name, seed in (("one", 5), ("same", 5), ("other", 6)):
        make_month(MonthRequest(tmp_path / name, 1500, seed))
    one, same, other = (_bytes(tmp_path / name) for name in ("one", "same", "other"))
    assert one == same
    readings = [name for name in one if name.startswith("machines/") and "W07A" in name]
    assert readings
    assert all(one[name] != other[name] for name in readings)


def test_one_kind_alone_has_the_bytes_that_it_has_among_all(tmp_path, night) -> None:
    """No machine's readings hang on another's: what is written beside them does not matter."""
    make_month(MonthRequest(tmp_path / "welds", NIGHT, kinds=("weld",)))
    welds, everything = _bytes(tmp_path / "welds"), _bytes(night)
    machines = [name for name in welds if name.startswith("machines/")]
    assert machines
    assert all("/W" in name for name in machines)
    assert all(welds[name] == everything[name] for name in machines)


def test_every_file_meets_a_pattern_and_its_heads_are_those_of_the_map(night) -> None:
    """As many rows as links; each number comes back in our unit inside the bounds of the map."""
    tables = tomllib.loads((night / "map.toml").read_text("utf-8"))["file"]
    assert {table["kind"] for table in tables} == set(KINDS)
    counted: dict[str, int] = defaultdict(int)
    for path in sorted((night / "machines").iterdir()):
        (table,) = (one for one in tables if path.match(one["pattern"]))
        rows = _rows(path, table)
        counted[table["kind"]] += 0 if "again" in path.name else len(rows)
        for column in table["column"]:
            assert column["from"] in rows[0], (path.name, column)
            if "least" in column and path.suffix != ".parquet":
                _inside(column, table, [row[column["from"]] for row in rows])
    assert counted["weld"] == NIGHT
    assert counted["harden"] == counted["temper"] > 0.999 * NIGHT


def _rows(path: Path, table: dict) -> list[dict]:
    if table["form"] == "parquet":
        import pyarrow.parquet as pq

        return pq.read_table(path).to_pylist()
    if table["form"] == "jsonl":
        return [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    encoding = table.get("encoding", "utf-8-sig")
    delimiter = {"tab": "\t"}.get(table["delimiter"], table["delimiter"])
    rows = list(csv.DictReader(path.read_text(encoding).splitlines(), delimiter=delimiter))
    return rows[1:] if table.get("units_row") else rows


def _inside(column: dict, table: dict, cells: list) -> None:
    texts = [str(one) for one in cells if one not in (None, "")]
    if table.get("decimal") == ",":
        assert not any("." in one for one in texts)
        texts = [one.replace(",", ".") for one in texts]
    ours = convert(np.array(texts, float), column["unit"], split(column["name"])[1])
    assert np.all((ours >= column["least"]) & (ours <= column["greatest"]))


def test_welds_in_the_file_are_the_readings_rounded(night) -> None:
    """Semicolon, decimal comma, cp1252 and kJ in the file; joules in the arrays."""
    signals, line = signals_of(NIGHT, 1)
    mine = sorted((one for one in line.strands if one.head.machine == "W07B"),
                  key=lambda one: one.first_weld)  # fmt: skip
    wanted = np.concatenate([weld(signals, one)["weld_energy_J"] for one in mine])
    found = []
    for day in ("2026-11-04", "2026-11-05"):
        text = (night / "machines" / f"W07B_{day}.csv").read_text("cp1252")
        found += [row.split(";") for row in text.splitlines()[1:]]
    assert "Wärme [kJ]" in text.splitlines()[0]
    energy = np.array([1e3 * float(row[7].replace(",", ".")) for row in found])
    assert energy == pytest.approx(wanted, abs=0.5 + 1e-6)
    counters = np.array([int(row[1]) for row in found])
    assert np.all(np.diff(counters) == 1)


def test_a_waveform_has_the_root_mean_square_of_its_weld(night) -> None:
    """One weld in a thousand; half waves of both signs, nothing before the firing angle."""
    signals, line = signals_of(NIGHT, 1)
    lines = [json.loads(text) for path in sorted((night / "machines").glob("R*.jsonl"))
             for text in path.read_text("utf-8").splitlines()]  # fmt: skip
    assert len(lines) == 40
    current = {}
    for strand in line.strands:
        read = weld(signals, strand)
        pairs = zip(read["counter"].tolist(), read["current_A"].tolist(), strict=True)
        current |= {(strand.head.machine, counter): amperes for counter, amperes in pairs}
    for one in lines:
        values = np.array(one["values"])
        assert values.size * one["step"] == pytest.approx(0.4)
        rms = float(np.sqrt(np.mean(values**2)))
        assert rms == pytest.approx(current[one["head"], one["weld"]], rel=1e-3)
    assert values.min() < 0.0 < values.max()
    assert values[0] == 0.0


def test_the_file_sent_twice_and_the_slipped_commas_are_where_the_truth_says(night, truth) -> None:
    twice, slipped = truth["sent_twice"], truth["slipped_commas"]
    machines = night / "machines"
    assert (machines / twice["file"]).read_bytes() == (machines / twice["again"]).read_bytes()
    lines = (machines / slipped["file"]).read_text("cp1252").splitlines()
    wrong = [at for at, line in enumerate(lines, 1) if "," in line.split(";")[1]]
    assert wrong == slipped["rows"]
    assert len(wrong) == 14
    counters = [int(lines[at - 1].split(";")[1].replace(",", "")) for at in wrong]
    assert counters == slipped["counters"]


def test_clocks_show_what_the_truth_says(night, truth) -> None:
    """Of the coil tens of seconds off and drifting, of the calibrator an hour until a shift."""
    signals, line = signals_of(NIGHT, 1)
    strand = line.strands[2]
    shown, off = harden(signals, strand, line)["clock"][0], truth["clocks"]["H01"]
    at = strand.harden_s
    drift = off["drift_s_per_day"] * at / 86_400
    assert shown - at == pytest.approx(off["offset_s"] + drift, abs=1e-6)
    assert pull(signals, strand, line)["clock"][0] - strand.pull_s == pytest.approx(3604, abs=1)
    until = CLOCKS["pull"].hour_ahead_until
    assert until is not None
    after = np.array([seconds(until) - 1.0, seconds(until) + 1.0])
    assert np.diff(CLOCKS["pull"].shown(after))[0] == pytest.approx(2.0 - 3600.0, abs=0.01)
    row = (night / "machines" / "H01_2026-11-05.csv").read_text("utf-8-sig").splitlines()[2]
    written = datetime.fromisoformat(row.split(",")[2])
    assert written.tzinfo == UTC
    assert written.microsecond % 1000 == 0


def test_every_link_goes_one_way_and_none_is_lost(night) -> None:
    """Welds less rejected ones are positions; positions are heats, strokes, sample and piece."""
    went: dict[tuple[str, str], int] = defaultdict(int)
    for path in sorted((night / "machines").glob("D*.csv")):
        for row in csv.DictReader(path.read_text("utf-8").splitlines()):
            count = int(row["from_last"]) - int(row["from_first"]) + 1
            went[row["from_kind"], row["to_kind"]] += count
            if row["from_kind"] != "coil_mm" and row["to_kind"] != "stroke":
                assert int(row["to_last"]) - int(row["to_first"]) + 1 == count
    _, line = signals_of(NIGHT, 1)
    links = sum(one.links for one in line.strands)
    rejected = sum(len(one.rejected) for one in line.strands)
    assert went["weld", "strand"] == links == NIGHT - rejected
    assert rejected > 0
    for machine in ("harden", "temper", "stroke"):
        assert went["strand", machine] == links
    assert went["strand", "sample"] + went["strand", "piece"] == links
    assert went["piece", "lot"] == went["strand", "piece"]
    joined = [one for one in line.strands if one.mark in (*JOINED, CUT)]
    assert went["piece", "delivery"] == sum(one.links - SAMPLE_LINKS for one in joined)
    assert went["weld", "delivery"] == 1  # the joining link


def test_a_month_and_more_runs_on_further_lines_to_the_last_link() -> None:
    """So many welds as asked for; thirty days a line; counters of no head meet."""
    signals, first = signals_of(6_100_000, 1)
    lines = list(lines_of(6_100_000, 1, signals))
    assert [one.welds for one in lines] == [3_000_000, 3_000_000, 100_000]
    assert lines[0] == first
    last = max(float(one.head.weld_s(one.weld_numbers[-1])) for one in first.strands)
    assert 29.9 < last / 86_400 < 30.1
    names = [head.machine for one in lines for head in one.heads]
    assert len(set(names)) == 9
    marks = [strand.mark for one in lines for strand in one.strands]
    assert len(set(marks)) == len(marks)


def test_the_night_has_39_000_welds() -> None:
    """From six in the evening to six in the morning, on two heads."""
    _, line = signals_of(200_000, 1)
    ends = np.concatenate([one.head.weld_s(one.weld_numbers) for one in line.strands])
    night = np.count_nonzero(ends < 43_200.0)
    assert night == pytest.approx(39_000, abs=80)
    assert BEGIN.hour == 18


@settings(max_examples=60, deadline=None)
@given(some.lists(some.floats(-2e6, 2e6) | some.just(math.nan), min_size=1, max_size=8),
       some.integers(0, 4))  # fmt: skip
def test_numbers_are_written_as_python_formats_them(values: list[float], places: int) -> None:
    """The oracle is Python's own format of the rounded number."""
    array = np.array(values)
    data = joined([decimals(array, places, ",", "null"), literal("\n", array.size)]).decode()
    rounded = np.rint(np.where(np.isnan(array), 0.0, array) * 10.0**places) / 10.0**places
    wanted = [
        "null" if math.isnan(value) else f"{one + 0.0:.{places}f}".replace(".", ",")
        for value, one in zip(values, rounded.tolist(), strict=True)
    ]
    assert data.splitlines() == wanted


def test_whole_numbers_and_times_of_the_day() -> None:
    assert joined([whole(np.array([0, -7, 12_345_678_901])), literal(";", 3)]) == (
        b"0;-7;12345678901;"
    )
    assert joined([clock(np.array([0, 8_040_123, 86_399_999]))]) == (
        b"00:00:00.00002:14:00.12323:59:59.999"
    )
