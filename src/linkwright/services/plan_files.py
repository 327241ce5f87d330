"""Where the files of a plan come from: a path, standard input, or the demo."""

from __future__ import annotations

import sys
from pathlib import Path

from linkwright.works import Order, Works, demo_works, order_of_bytes, read_order, read_works

_MOST_BYTES = 2_000_000


def order_from(name: str) -> Order:
    """The order in a file; ``-`` is standard input."""
    if name == "-":
        return order_of_bytes(sys.stdin.buffer.read(_MOST_BYTES), "standard input")
    return read_order(Path(name))


def works_from(name: str | None) -> Works:
    """The works in a file; the invented demo works if there is none."""
    return demo_works() if name is None else read_works(Path(name))
