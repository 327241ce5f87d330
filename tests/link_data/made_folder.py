"""A small invented folder of link data whose truth is known: one strand of each of two coils.

Strand S1 ran from welder W07 to hardening H01 the other end first, then to tempering T01 and the
calibrator P01 (20 links a stroke); pieces, lots, certificates and marks are passages.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq

from linkwright.link_data.arrow_schema import arrow_schema
from linkwright.link_data.passages import Passage

BEGIN = datetime(2026, 11, 3, 6, tzinfo=UTC)
LINKS = 400
OFFSET_S, DRIFT = 37.0, 2e-5
"""T01's clock against H01's."""
PASSAGES = (
    Passage("strand", "S1", 0, 199, "piece", "A", 0, 199),
    Passage("strand", "S1", 200, 379, "piece", "B", 179, 0),
    Passage("piece", "A", 0, 199, "lot", "L1", 0, 0),
    Passage("piece", "B", 0, 179, "lot", "L2", 0, 0),
    Passage("lot", "L1", 0, 0, "certificate", "C1", 0, 0),
    Passage("lot", "L2", 0, 0, "certificate", "C2", 0, 0),
    Passage("strand", "S1", 50, 50, "mark", "QL-1", 0, 0),
    Passage("strand", "S1", 150, 150, "mark", "QL-2", 0, 0),
)


def rows() -> dict[str, list[dict[str, Any]]]:
    """The readings of every kind."""
    made: dict[str, list[dict[str, Any]]] = {"weld": [], "harden": [], "temper": [], "pull": []}
    for k in range(LINKS):
        made["weld"].append({
            "machine": "W07", "counter": 1000 + k, "clock": BEGIN + timedelta(seconds=4.0 * k),
            "strand": "S1", "position": k, "coil": "K1" if k < 250 else "K2",
            "current_A": 9000.0 + k % 7, "weld_energy_J": 5000.0 + (k % 5) * 10.0})  # fmt: skip
        at = 3600.0 + 0.5 * k
        made["harden"].append(
            {
                "machine": "H01",
                "counter": 5000 + k,
                "clock": BEGIN + timedelta(seconds=at),
                "strand": "S1",
                "position": LINKS - 1 - k,
                "temperature_degC": 880.0,
            }
        )
        there = at + 60.0 + 5.0 * ((k * 7919) % 100) / 100.0
        there += OFFSET_S + DRIFT * there
        made["temper"].append({
            "machine": "T01", "counter": 70 + k, "clock": BEGIN + timedelta(seconds=there),
            "strand": "S1", "position": LINKS - 1 - k, "temperature_degC": 510.0})  # fmt: skip
    for k in range(LINKS // 20):
        made["pull"].append({
            "machine": "P01", "counter": k + 1, "clock": BEGIN + timedelta(hours=5, seconds=9 * k),
            "strand": "S1", "first_position": 20 * k, "last_position": 20 * k + 19,
            "force_N": 60000.0 + k})  # fmt: skip
    made["passage"] = [{"machine": "office", "counter": at, "clock": BEGIN, **row._asdict()}
                       for at, row in enumerate(PASSAGES)]  # fmt: skip
    return made


def write_folder(folder: Path, made: dict[str, list[dict[str, Any]]] | None = None) -> Path:
    """Write readings as parts by day and machine."""
    for kind, held in (made or rows()).items():
        for machine in {one["machine"] for one in held}:
            of = [{"source": "0" * 16, "row": at, **one}
                  for at, one in enumerate(held) if one["machine"] == machine]  # fmt: skip
            where = folder / kind / f"day={BEGIN.date()}" / f"machine={machine}"
            where.mkdir(parents=True)
            pq.write_table(pa.Table.from_pylist(of, arrow_schema(kind)), where / "made.parquet")
    return folder
