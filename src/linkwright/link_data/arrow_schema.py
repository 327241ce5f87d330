"""The table of columns as Arrow types: what stands in a Parquet file of link data."""

from __future__ import annotations

from functools import lru_cache

import pyarrow as pa

from linkwright.link_data.columns import NEEDED, Column, kind

_TYPES = {
    "text": pa.string(),
    "whole": pa.int64(),
    "number": pa.float64(),
    "clock": pa.timestamp("us", tz="UTC"),
    "numbers": pa.list_(pa.float64()),
}


def arrow_type(column: Column) -> pa.DataType:
    """The Arrow type of a column."""
    return _TYPES[column.form]


@lru_cache(maxsize=16)
def arrow_schema(name: str) -> pa.Schema:
    """The schema of a kind; each field carries what it means and its unit.

    >>> arrow_schema("weld").field("current_A").metadata[b"unit"]
    b'A'
    """
    fields = [
        pa.field(
            one.name,
            arrow_type(one),
            nullable=one.name not in NEEDED,
            metadata={"meaning": one.meaning, "unit": one.unit},
        )
        for one in kind(name).columns
    ]
    return pa.schema(fields, metadata={"kind": name, "format": "1"})
