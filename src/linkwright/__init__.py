"""From an order for chain to the settings, papers and proof of a chain works.

The Python interface: each name below is loaded when it is first used, so that importing
the package costs nothing.

- `calculate`, `calculations`: one calculation of published physics by name, or the list
- `check_book`: the program held against the book of external checks
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from linkwright.services.calculations import calculate, calculations
    from linkwright.services.checks import check_book

    __version__: str

__all__ = ["__version__", "calculate", "calculations", "check_book"]

_HOMES = {
    "calculate": "linkwright.services.calculations",
    "calculations": "linkwright.services.calculations",
    "check_book": "linkwright.services.checks",
}


def __getattr__(name: str) -> Any:
    from importlib import import_module, metadata  # noqa: PLC0415

    if name == "__version__":
        return metadata.version("linkwright")
    if name not in _HOMES:
        raise AttributeError(f"module 'linkwright' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
