"""The two files people write: order.toml and works.toml, read, checked, each number placed."""

from linkwright.works.canonical import canonical_bytes, content_hash
from linkwright.works.demo import demo_bytes, demo_order, demo_works
from linkwright.works.filed import FiledNumbers, FiledRanges, NumberMissing, Record
from linkwright.works.order import Drive, Line, Order, order_of_bytes, read_order
from linkwright.works.schema import schema_text
from linkwright.works.works import (
    FactorRecord,
    MachineRecord,
    ShiftRecord,
    SteelRecord,
    TariffRecord,
    Works,
    read_works,
    works_of_bytes,
)

__all__ = [
    "Drive",
    "FactorRecord",
    "FiledNumbers",
    "FiledRanges",
    "Line",
    "MachineRecord",
    "NumberMissing",
    "Order",
    "Record",
    "ShiftRecord",
    "SteelRecord",
    "TariffRecord",
    "Works",
    "canonical_bytes",
    "content_hash",
    "demo_bytes",
    "demo_order",
    "demo_works",
    "order_of_bytes",
    "read_order",
    "read_works",
    "schema_text",
    "works_of_bytes",
]
