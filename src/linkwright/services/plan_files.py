"""Where the files of a plan come from: a path, standard input, or the demo."""

from __future__ import annotations

import sys
from pathlib import Path

from linkwright.planning.draws import Ensemble
from linkwright.works import (
    Lot,
    Order,
    Works,
    demo_bytes,
    demo_order,
    demo_works,
    file_bytes,
    lot_of_bytes,
    order_of_bytes,
    schema_text,
    works_of_bytes,
)

__all__ = [
    "demo_files",
    "demo_order_text",
    "ensemble_of",
    "lot_from",
    "order_from",
    "schema_text",
    "works_from",
]

_MOST_BYTES = 2_000_000


def order_from(name: str) -> tuple[Order, bytes]:
    """The order in a file, and the file as it is written; ``-`` is standard input."""
    if name == "-":
        raw = sys.stdin.buffer.read(_MOST_BYTES)
        return order_of_bytes(raw, "standard input"), raw
    raw = file_bytes(name)
    return order_of_bytes(raw, Path(name).name, Path(name).parent), raw


def lot_from(name: str) -> tuple[Lot, bytes]:
    """The lot in a file, and the file as it is written."""
    raw = file_bytes(name)
    return lot_of_bytes(raw, Path(name).name), raw


def demo_files() -> tuple[Order, Works, dict[str, bytes]]:
    """The invented demo: order, works, and both files as they are written."""
    written = {name: demo_bytes(name) for name in ("order.toml", "works.toml")}
    return demo_order(), demo_works(), written


def demo_order_text() -> str:
    """The invented order as it is written."""
    return demo_bytes("order.toml").decode()


def ensemble_of(lots: int, seed: int) -> Ensemble:
    """So many lots of links, from a seed."""
    return Ensemble(lots=lots, seed=seed)


def works_from(name: str | None) -> tuple[Works, bytes]:
    """The works in a file, and the file as it is written; the demo's if there is none."""
    if name is None:
        return demo_works(), demo_bytes("works.toml")
    raw = file_bytes(name)
    return works_of_bytes(raw, Path(name).name), raw
