"""The files of the invented month through ingest and tracing, held against what was put in."""

from __future__ import annotations

import csv
import json
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from linkwright.quality.drift_alarm import change_point
from linkwright.services.month import signals_of
from linkwright.services.month.readings import temper

NIGHT = 39_000


@pytest.fixture(scope="module")
def links(night: Path) -> Path:
    """The night taken in."""
    ingesting = pytest.importorskip("linkwright.services.ingesting")
    into = night.parent / "links"
    ingesting.ingest(ingesting.IngestRequest((night / "machines",), night / "map.toml", into))
    return into


def test_everything_is_taken_in_once_and_the_slipped_commas_are_set_aside(links, truth) -> None:
    """39 000 welds less 14 rows, which are named by their numbers; the second file adds none."""
    dataset = pytest.importorskip("linkwright.link_data.dataset")
    with dataset.opened(links) as data:
        (welds,) = data.sql("select count(*) from weld").fetchone()
        (alike,) = data.sql("select count(distinct (machine, counter)) from weld").fetchone()
        (waves,) = data.sql("select count(*) from wave").fetchone()
    assert welds == alike == NIGHT - 14
    assert waves == 40
    aside = [json.loads(line) for path in (links / "set_aside").rglob("*.jsonl")
             for line in path.read_text("utf-8").splitlines()]  # fmt: skip
    assert [one["row"] for one in sorted(aside, key=lambda one: one["row"])] == (
        truth["slipped_commas"]["rows"]
    )
    assert {one["file"] for one in aside} == {truth["slipped_commas"]["file"]}


def test_the_chart_bends_where_the_slide_stuck(links, truth) -> None:
    """Change point in what was taken in, in joules, by counter and by the welder's clock."""
    dataset = pytest.importorskip("linkwright.link_data.dataset")
    stuck = truth["stuck_electrode"]
    with dataset.opened(links) as data:
        rows = data.sql(
            "select counter, epoch(clock), weld_energy_J from weld where machine = ? and "
            "counter between ? and ? order by counter",
            [stuck["machine"], stuck["first_counter"] - 600, stuck["first_counter"] + 599],
        ).fetchall()
    counter, clock, energy = (np.array(one) for one in zip(*rows, strict=True))
    at = change_point(readings=energy).last_before
    assert counter[at] == pytest.approx(stuck["first_counter"], abs=10)
    begin = datetime.fromisoformat(stuck["at"]).timestamp()
    assert 0.0 <= clock[at] - begin < 40.0


def test_fahrenheit_and_metres_a_minute_come_back_in_our_units(links) -> None:
    """The Parquet of the temper coil against the arrays, within its rounding."""
    dataset = pytest.importorskip("linkwright.link_data.dataset")
    signals, line = signals_of(NIGHT, 1)
    wanted = np.concatenate([temper(signals, one, line)["temperature_degC"]
                             for one in line.strands])  # fmt: skip
    with dataset.opened(links) as data:
        rows = data.sql("select temperature_degC from temper order by counter").fetchall()
    assert np.array(rows)[:, 0] == pytest.approx(wanted, abs=0.05 / 1.8 + 1e-6)


def test_the_stuck_welds_lead_to_31_4_m_of_one_piece(night, truth) -> None:
    """Through the passages: positions on the piece, and nothing of any other."""
    passages = pytest.importorskip("linkwright.link_data.passages")
    tracing = pytest.importorskip("linkwright.link_data.tracing")
    rows = []
    for path in sorted((night / "machines").glob("D*.csv")):
        for row in csv.DictReader(path.read_text("utf-8").splitlines()):
            ends = ((row[f"{way}_kind"], row[f"{way}_name"], int(row[f"{way}_first"]),
                     int(row[f"{way}_last"])) for way in ("from", "to"))  # fmt: skip
            rows.append(passages.Passage(*(cell for end in ends for cell in end)))
    held = passages.passages_of(passages.columns_of(rows))
    stuck = truth["stuck_electrode"]
    start = held.on_line("weld", stuck["machine"], stuck["first_counter"], stuck["last_counter"])
    traced = tracing.trace(held, "weld", start)
    (piece,) = traced.found("piece")
    assert (piece.name, piece.first, piece.last) == (
        stuck["piece"], stuck["piece_first"], stuck["piece_last"]
    )  # fmt: skip
    assert traced.names("lot") == [stuck["lot"]]
    assert traced.count("strand") == stuck["links"]
    metres = traced.count("piece") * truth["pitch_mm"] / 1e3
    assert metres == pytest.approx(31.4, abs=0.05)


def test_the_alarm_on_what_was_taken_in_names_time_and_links(links, truth) -> None:
    """Within a minute of data after 02:14, the first link within ten; without a machine, told."""
    from linkwright.quantities import InputErrors, UnknownName
    from linkwright.services.link_alarm import AlarmRequest, alarm_of_links

    stuck = truth["stuck_electrode"]
    found = alarm_of_links(AlarmRequest(links, "weld", stuck["machine"], "weld_energy_J"))
    assert found.change is not None
    assert abs(found.change.first_counter - stuck["first_counter"]) <= 10
    assert 0.0 < found.change.minutes_to_alarm < 2.0
    assert found.change.first_clock.startswith("2026-11-05T02:1")
    assert found.change.mean_after < found.change.mean_before
    with pytest.raises(UnknownName):
        alarm_of_links(AlarmRequest(links, "weld", "W99", "weld_energy_J"))
    with pytest.raises(InputErrors, match="first period wants"):
        alarm_of_links(AlarmRequest(links, "weld", "W07A", "weld_energy_J", baseline=5000))


def test_clocks_are_found_at_ingest_and_hold_the_truth(night, links, truth) -> None:
    """Hardening against temper coil: the corners enclose what was put in; again adds none."""
    from linkwright.link_data.machine_clocks import kept_relations
    from linkwright.services.ingesting import IngestRequest, ingest

    (one,) = kept_relations(links)
    assert (one.here, one.there, one.version) == ("H01", "T01", 1)
    (stretch,) = one.stretches
    harden, temper = truth["clocks"]["H01"], truth["clocks"]["T01"]
    begin = datetime.fromisoformat(truth["begin"])
    days = stretch.reference_us / 86400e6 - begin.timestamp() / 86400.0
    real = (temper["offset_s"] - harden["offset_s"]) + days * (
        temper["drift_s_per_day"] - harden["drift_s_per_day"]
    )
    offsets = [offset for offset, _ in stretch.corners]
    assert min(offsets) <= real <= max(offsets)
    assert max(offsets) - min(offsets) < 15.0
    ingest(IngestRequest((night / "machines",), night / "map.toml", links))
    assert [held.version for held in kept_relations(links)] == [1]
