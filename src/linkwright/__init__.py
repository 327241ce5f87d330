"""From an order for chain to the settings, papers and proof of a chain works.

The Python interface: each name below is loaded when it is first used, so that importing
the package costs nothing. There is no global state; what a function gives is frozen.

- `read_order`, `read_works`: the two files people write; `order_of_bytes`, `works_of_bytes`
- `demo_order`, `demo_works`: an invented order and an invented works
- `plan_order` -> `OrderPlan`: settings, findings, chance of passing; `write_plan` to a folder
- `Ensemble`: how many lots and links, from which seed
- `open_in_document`: any number of a plan down to its sources
- `calculate`, `calculations`: one calculation of published physics by name, or the list
- `check_book`: the program held against the book of external checks
- `LinkwrightError` and its kinds: everything that is raised on purpose

    >>> import linkwright
    >>> round(linkwright.calculate("en818_2_forces", nominal_diameter_mm=8.0)["proof_force_kN"], 1)
    50.3
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from linkwright.planning.draws import Ensemble
    from linkwright.quantities import (
        ArgumentError,
        CannotPlan,
        InputErrors,
        LinkwrightError,
        Problem,
        QuantityError,
        UnknownName,
    )
    from linkwright.services.calculations import calculate, calculations
    from linkwright.services.checks import check_book
    from linkwright.services.opening import Opened, open_in_document
    from linkwright.services.plan_folder import write_plan
    from linkwright.services.planning import OrderPlan, plan_order
    from linkwright.works import (
        Line,
        Order,
        Works,
        demo_order,
        demo_works,
        order_of_bytes,
        read_order,
        read_works,
        works_of_bytes,
    )

    __version__: str

_HOMES = {
    "ArgumentError": "linkwright.quantities",
    "CannotPlan": "linkwright.quantities",
    "Ensemble": "linkwright.planning.draws",
    "InputErrors": "linkwright.quantities",
    "Line": "linkwright.works",
    "LinkwrightError": "linkwright.quantities",
    "Opened": "linkwright.services.opening",
    "Order": "linkwright.works",
    "OrderPlan": "linkwright.services.planning",
    "Problem": "linkwright.quantities",
    "QuantityError": "linkwright.quantities",
    "UnknownName": "linkwright.quantities",
    "Works": "linkwright.works",
    "calculate": "linkwright.services.calculations",
    "calculations": "linkwright.services.calculations",
    "check_book": "linkwright.services.checks",
    "demo_order": "linkwright.works",
    "demo_works": "linkwright.works",
    "open_in_document": "linkwright.services.opening",
    "order_of_bytes": "linkwright.works",
    "plan_order": "linkwright.services.planning",
    "read_order": "linkwright.works",
    "read_works": "linkwright.works",
    "works_of_bytes": "linkwright.works",
    "write_plan": "linkwright.services.plan_folder",
}

__all__ = [
    "ArgumentError",
    "CannotPlan",
    "Ensemble",
    "InputErrors",
    "Line",
    "LinkwrightError",
    "Opened",
    "Order",
    "OrderPlan",
    "Problem",
    "QuantityError",
    "UnknownName",
    "Works",
    "__version__",
    "calculate",
    "calculations",
    "check_book",
    "demo_order",
    "demo_works",
    "open_in_document",
    "order_of_bytes",
    "plan_order",
    "read_order",
    "read_works",
    "works_of_bytes",
    "write_plan",
]


def __getattr__(name: str) -> Any:
    from importlib import import_module, metadata  # noqa: PLC0415

    if name == "__version__":
        return metadata.version("linkwright")
    if name not in _HOMES:
        raise AttributeError(f"module 'linkwright' has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
