"""An invented order and an invented works to start from: order.toml and works.toml.

``demo_bytes(name)`` is the content of a demo file, ``demo_order()`` and ``demo_works()`` are
the files after reading; ``demo_line_bytes()`` and ``demo_line_order()`` are the order with its
first line alone.
"""

from __future__ import annotations

from importlib.resources import files

from linkwright.quantities import UnknownName
from linkwright.works.order import Order, order_of_bytes
from linkwright.works.works import Works, works_of_bytes

DEMO_FILES = ("order.toml", "works.toml")


def demo_bytes(name: str) -> bytes:
    """The content of a demo file; raises `UnknownName` for another name."""
    if name not in DEMO_FILES:
        raise UnknownName("name", name, DEMO_FILES)
    return files(__package__).joinpath(name).read_bytes()


def demo_order() -> Order:
    """The invented order.

    >>> demo_order().lines[0].length_m
    300.0
    """
    return order_of_bytes(demo_bytes("order.toml"), "order.toml")


def demo_line_bytes() -> bytes:
    """The demo order with its first line alone: one lifting chain.

    >>> order_of_bytes(demo_line_bytes()).lines[0].id
    '1'
    """
    raw = demo_bytes("order.toml")
    second = raw.index(b"[[line]]", raw.index(b"[[line]]") + 1)
    return raw[: raw.rindex(b"\n\n", 0, second) + 1]


def demo_line_order() -> Order:
    """The invented order with its first line alone.

    >>> len(demo_line_order().lines)
    1
    """
    return order_of_bytes(demo_line_bytes(), "order.toml")


def demo_works() -> Works:
    """The invented works.

    >>> demo_works().machines_for("drawing")[0].held.place("die_half_angle_deg")[:11]
    'works.toml:'
    """
    return works_of_bytes(demo_bytes("works.toml"), "works.toml")
