"""Which chains an order may name: products, their standards and the grades of each.

Only names are checked here, so that a typing error is found while the file is read;
sizes, loads and tolerances come from the tables of the standards.
"""

from __future__ import annotations

from typing import NamedTuple


class Named(NamedTuple):
    """One standard of one product, its grades, and its types where it has some."""

    product: str
    standard: str
    grades: tuple[str, ...] = ()
    types: tuple[str, ...] = ()


PRODUCTS = ("welded", "jack", "roller")

FINISHES = ("bright", "oiled", "tumbled", "blasted", "zinc electroplated", "hot-dip zinc")
"""How welded chain may leave the works; what each means stands in the products."""

CHAINS = (
    Named("welded", "EN 818-2", ("8",)),
    Named("welded", "EN 818-3", ("4",)),
    Named("welded", "EN 818-7", ("T",), ("T", "DAT", "DT")),
    Named("welded", "DIN 766", ("3",)),
    Named("welded", "DIN 22252", ("C",)),
    Named("welded", "ASTM A391", ("80",)),
    Named("welded", "ASTM A973", ("100",)),
    Named("welded", "ASTM A413", ("30", "43", "70")),
    Named("welded", "ISO 1704", ("1", "2", "3")),
    Named("welded", "DNV-OS-E302", ("R3", "R3S", "R4", "R4S", "R5")),
    Named("roller", "ISO 606"),
    Named("roller", "ASME B29.1"),
)
"""Jack chain has no standard here: it is numbered by the steel wire gauge of its wire
(common practice, no source)."""

NUMBERED = ("jack", "roller")
"""Products whose size is a number of the trade (12, 16B-2, 80), not a length."""


def standards_of(product: str) -> tuple[str, ...]:
    """The standards by which a product can be ordered."""
    return tuple(chain.standard for chain in CHAINS if chain.product == product)


def named(standard: str) -> Named | None:
    """What is known of a standard."""
    return next((chain for chain in CHAINS if chain.standard == standard), None)
