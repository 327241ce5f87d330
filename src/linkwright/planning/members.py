"""members.parquet: one row a member, so that learning and ranking need no planner.

Columns: ``lot``, ``link``; one a source of scatter and one a factor (standard normal
deviates, named as the source is); one a result, with its unit in the name. Metadata of the
file: schema version, seed; of a column: unit, meaning, kind (scatter, factor, result).
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from linkwright.planning.draws import Ensemble
from linkwright.quantities import InputErrors, Problem, split
from linkwright.route import Conditions

SCHEMA_VERSION = 1


def write_members(
    path: Path, ensemble: Ensemble, conditions: Conditions, results: Mapping[str, np.ndarray]
) -> None:
    """Write the member table; results broadcast over (lots, links)."""
    import pyarrow as pa  # noqa: PLC0415 - loaded on use: a tenth of a second
    import pyarrow.parquet as pq  # noqa: PLC0415

    shape = (ensemble.lots, ensemble.links)
    lot, link = np.indices(shape)
    arrays = [pa.array(lot.ravel(), pa.int32()), pa.array(link.ravel(), pa.int16())]
    fields = [
        _field(pa, "lot", pa.int32(), "place", "number of the lot"),
        _field(pa, "link", pa.int16(), "place", "number of the link; the second half mirrors"),
    ]
    for name, draw in conditions.draws.items():
        kind = "factor" if name in conditions.factors else "scatter"
        arrays.append(pa.array(np.broadcast_to(draw, shape).ravel()))
        fields.append(_field(pa, name, pa.float64(), kind, "standard normal deviate"))
    for name, values in results.items():
        arrays.append(pa.array(np.broadcast_to(values, shape).ravel()))
        fields.append(_field(pa, name, pa.float64(), "result", "finding of the plan"))
    head = {"schema_version": str(SCHEMA_VERSION), "seed": str(ensemble.seed)}
    table = pa.Table.from_arrays(arrays, schema=pa.schema(fields, metadata=head))
    pq.write_table(table, path, compression="zstd", compression_level=1, use_dictionary=["lot"])


def read_members(path: Path) -> tuple[dict[str, np.ndarray], dict[str, str]]:
    """The columns of a member table as (lots, links), and the kind of each.

    Raises `InputErrors` for a file that is no member table of this version.
    """
    import pyarrow as pa  # noqa: PLC0415
    import pyarrow.parquet as pq  # noqa: PLC0415

    try:
        table = pq.read_table(path)
    except (pa.ArrowException, OSError):
        table = None
    head = (table.schema.metadata or {}) if table is not None else {}
    if table is None or head.get(b"schema_version") != str(SCHEMA_VERSION).encode():
        accepted = f"members.parquet of a plan, schema_version {SCHEMA_VERSION}"
        raise InputErrors([Problem("form", "is no table of members", str(path), accepted=accepted)])
    lots = int(table["lot"].to_numpy().max()) + 1
    shape = (lots, table.num_rows // lots)
    kinds = {one.name: (one.metadata or {}).get(b"kind", b"").decode() for one in table.schema}
    columns = {
        name: table[name].to_numpy().reshape(shape)
        for name, kind in kinds.items()
        if kind in ("scatter", "factor", "result")
    }
    return columns, kinds


def _field(pa, name: str, kind_of_number, kind: str, meaning: str):  # type: ignore[no-untyped-def]
    unit = split(name)[1] if kind == "result" else ""
    return pa.field(name, kind_of_number, False, {"kind": kind, "meaning": meaning, "unit": unit})
