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
from linkwright.quantities import split
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


def _field(pa, name: str, kind_of_number, kind: str, meaning: str):  # type: ignore[no-untyped-def]
    unit = split(name)[1] if kind == "result" else ""
    return pa.field(name, kind_of_number, False, {"kind": kind, "meaning": meaning, "unit": unit})
