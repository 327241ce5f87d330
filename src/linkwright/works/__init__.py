"""The files people write: order, works and lot, read, checked, each number placed."""

from linkwright.works.canonical import canonical_bytes, content_hash
from linkwright.works.demo import (
    demo_bytes,
    demo_line_bytes,
    demo_line_order,
    demo_order,
    demo_works,
)
from linkwright.works.drive_duty import Drive
from linkwright.works.filed import FiledNumbers, FiledRanges, NumberMissing, Record
from linkwright.works.lot import Lot, lot_of_bytes, read_lot
from linkwright.works.order import Line, Order, order_of_bytes, read_order
from linkwright.works.schema import schema_text
from linkwright.works.toml_file import file_bytes
from linkwright.works.works import (
    FactorRecord,
    MachineRecord,
    ShiftRecord,
    SteelRecord,
    TariffRecord,
    WearRecord,
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
    "Lot",
    "MachineRecord",
    "NumberMissing",
    "Order",
    "Record",
    "ShiftRecord",
    "SteelRecord",
    "TariffRecord",
    "WearRecord",
    "Works",
    "canonical_bytes",
    "content_hash",
    "demo_bytes",
    "demo_line_bytes",
    "demo_line_order",
    "demo_order",
    "demo_works",
    "file_bytes",
    "lot_of_bytes",
    "order_of_bytes",
    "read_lot",
    "read_order",
    "read_works",
    "schema_text",
    "works_of_bytes",
]
