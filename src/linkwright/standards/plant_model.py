"""Words of the plant: levels, activities and objects of IEC 62264, status codes of OPC UA.

- IEC 62264: `equipment_hierarchy`, `functional_level`, `operations_activities`,
  `operations_categories`, `resource_models`, `material_objects`
- OPC UA: `opc_ua_status_code`, `opc_ua_severity`
"""

from __future__ import annotations

from typing import Any, NamedTuple

from linkwright.catalogue import calculation
from linkwright.quantities import UnknownName
from linkwright.standards.reader import published_table

_SEVERITY = {"00": "good", "01": "uncertain", "10": "bad"}


class Hierarchy(NamedTuple):
    """Results of `equipment_hierarchy`."""

    levels: list[str]
    work_centers: list[str]
    work_units: list[str]


class Resources(NamedTuple):
    """Results of `resource_models`."""

    resources: list[str]
    objects: list[str]


@calculation(source="IEC 62264-1:2013 (ISA-95.00.01), equipment hierarchy", basis="memory")
def equipment_hierarchy(*, model: str = "equipment hierarchy") -> Hierarchy:
    """Levels of the role-based equipment hierarchy.

    Args:
        model: ``equipment hierarchy``.

    References:
        IEC 62264-1:2013 (remembered).
    """
    cells = _model(model, "work_centers")
    return Hierarchy(*(list(cells[name]) for name in Hierarchy._fields))


@calculation(
    source="IEC 62264-1:2013 (ISA-95.00.01), functional levels", basis="memory", gives="meaning"
)
def functional_level(*, level: int) -> str:
    """What a functional level of an enterprise does.

    Args:
        level: 0 to 4.

    References:
        IEC 62264-1:2013 (remembered; wording ours).
    """
    return str(published_table("isa95_levels").row(float(level), "level").cells["meaning"])


@calculation(
    source="IEC 62264-3:2016 (ISA-95.00.03), activity model", basis="memory", gives="activities"
)
def operations_activities(*, model: str = "activity model") -> list[str]:
    """Activities of operations management.

    Args:
        model: ``activity model``.

    References:
        IEC 62264-3:2016 (remembered).
    """
    return list(_model(model, "activities")["activities"])


@calculation(
    source="IEC 62264-1:2013 (ISA-95.00.01), operations categories",
    basis="memory",
    gives="categories",
)
def operations_categories(*, model: str = "operations categories") -> list[str]:
    """Categories of operations.

    Args:
        model: ``operations categories``.

    References:
        IEC 62264-1:2013 (remembered).
    """
    return list(_model(model, "categories")["categories"])


@calculation(
    source="IEC 62264-2:2013 (ISA-95.00.02), object models, as named in B2MML", basis="memory"
)
def resource_models(*, model: str = "object models") -> Resources:
    """Resource models and information objects.

    Args:
        model: ``object models``.

    References:
        IEC 62264-2:2013 (remembered).
    """
    cells = _model(model, "resources")
    return Resources(list(cells["resources"]), list(cells["objects"]))


@calculation(
    source="IEC 62264-2:2013 (ISA-95.00.02), material model, as named in B2MML",
    basis="memory",
    gives="objects",
)
def material_objects(*, model: str = "material") -> list[str]:
    """Objects of the material model.

    Args:
        model: ``material``.

    References:
        IEC 62264-2:2013 (remembered).
    """
    cells = _model(model, "objects")
    if "resources" in cells:
        raise UnknownName("model", model, ["material"])
    return list(cells["objects"])


@calculation(
    source="OPC UA Part 6 (IEC 62541-6), Annex A (status codes)",
    basis="memory",
    gives="code_hex",
)
def opc_ua_status_code(*, name: str) -> str:
    """Number of a status code by its name.

    Args:
        name: Such as ``BadNotConnected``.

    References:
        OPC UA Part 6, Annex A.
    """
    return str(published_table("opc_ua_status").row(name, "name").cells["code_hex"])


@calculation(
    source="OPC UA Part 4 (IEC 62541-4), StatusCode (severity)", basis="memory", gives="severity"
)
def opc_ua_severity(*, top_bits: str) -> str:
    """Severity of a status by its two top bits; a bad status is not a number.

    Args:
        top_bits: ``00``, ``01`` or ``10``; 11 is reserved.

    References:
        OPC UA Part 4 (remembered).
    """
    if top_bits not in _SEVERITY:
        raise UnknownName("top_bits", top_bits, _SEVERITY)
    return _SEVERITY[top_bits]


def _model(model: str, holds: str) -> Any:
    table = published_table("isa95")
    fitting = [row for row in table if holds in row.cells]
    for row in fitting:
        if row.cells["model"] == model.strip():
            return row.cells
    raise UnknownName("model", model, [str(row.cells["model"]) for row in fitting])
