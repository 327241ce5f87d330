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
    order_of_bytes,
    read_lot,
    read_order,
    read_works,
    schema_text,
)

__all__ = ["demo_files", "ensemble_of", "lot_from", "order_from", "schema_text", "works_from"]

_MOST_BYTES = 2_000_000


def order_from(name: str) -> Order:
    """The order in a file; ``-`` is standard input."""
    if name == "-":
        return order_of_bytes(sys.stdin.buffer.read(_MOST_BYTES), "standard input")
    return read_order(Path(name))


def lot_from(name: str) -> Lot:
    """The lot in a file."""
    return read_lot(Path(name))


def demo_files() -> tuple[Order, Works, dict[str, bytes]]:
    """The invented demo: order, works, and both files as they are written."""
    written = {name: demo_bytes(name) for name in ("order.toml", "works.toml")}
    return demo_order(), demo_works(), written


def ensemble_of(lots: int, seed: int) -> Ensemble:
    """So many lots of links, from a seed."""
    return Ensemble(lots=lots, seed=seed)


def works_from(name: str | None) -> Works:
    """The works in a file; the invented demo works if there is none."""
    return demo_works() if name is None else read_works(Path(name))
