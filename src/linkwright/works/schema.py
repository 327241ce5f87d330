"""The JSON Schemas of order.toml, works.toml, lot.toml, a works' own chain table and drawings.

``schema_text("order")``, ``schema_text("works")`` and ``schema_text("lot")`` are the texts
that are published; ``write_schemas(folder)`` writes all. A quantity appears twice, as the
number ``size_mm`` and as the text ``size`` with its unit; one of the two may be given.
That a free name ends in a unit of the closed table is checked by the program, not by the
schema, so that a new unit does not change the published files.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from linkwright.quantities import UnknownName, split
from linkwright.works.chain_table import ChainTableFile
from linkwright.works.lot import LotFile
from linkwright.works.order import OrderFile
from linkwright.works.part_drawings import PartDrawingsFile
from linkwright.works.shape import shape_of
from linkwright.works.table import Free, Table
from linkwright.works.works_file import WorksFile

_FILES: dict[str, type[Table]] = {"order": OrderFile, "works": WorksFile, "lot": LotFile,
                                  "chain": ChainTableFile, "parts": PartDrawingsFile}  # fmt: skip
_QUANTITY = r"^[+-]?([0-9]+(\.[0-9]+)?([eE][+-]?[0-9]{1,3})?|([0-9]+ )?[0-9]+/[0-9]+) *[^0-9,.].*$"
_NAME = r"^[A-Za-z][A-Za-z0-9]*(_[A-Za-z0-9]+)*$"


def schema(name: str) -> dict[str, Any]:
    """The JSON Schema of one of the files by name (draft 2020-12); raises `UnknownName`."""
    if name not in _FILES:
        raise UnknownName("name", name, _FILES)
    return schema_of(name, _FILES[name])


def schema_of(name: str, model: type[Table]) -> dict[str, Any]:
    """The JSON Schema of a file of that model, called ``name``.toml."""
    made: dict[str, Any] = _without_null(model.model_json_schema())
    _described(made, model)
    for inner in _tables(model):
        _described(made["$defs"][inner.__name__], inner)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": f"{name}.toml"}
    return {**head, **{key: value for key, value in made.items() if key != "title"}}


def schema_text(name: str) -> str:
    """The schema as it is published."""
    return text_of(schema(name))


def schema_text_of(name: str, model: type[Table]) -> str:
    """The same for a file whose model another room holds."""
    return text_of(schema_of(name, model))


def text_of(made: dict[str, Any]) -> str:
    """A schema as it is published."""
    return json.dumps(made, indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def write_schemas(folder: Path) -> list[Path]:
    """Write all schemas into ``folder`` and name the files."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name in _FILES:
        written.append(folder / f"{name}.schema.json")
        written[-1].write_text(schema_text(name), encoding="utf-8")
    return written


def _tables(model: type[Table]) -> list[type[Table]]:
    found: list[type[Table]] = []
    for inner in shape_of(model).tables.values():
        found += [inner, *_tables(inner)]
    return list(dict.fromkeys(found))


def _described(made: dict[str, Any], model: type[Table]) -> None:
    """Add what pydantic cannot know: texts with units and free names."""
    shape, properties = shape_of(model), made["properties"]
    required: list[str] = made.pop("required", [])
    rules: list[dict[str, Any]] = []
    for stem, name in shape.stems.items():
        if stem not in properties:
            properties[stem] = {
                "type": "string",
                "pattern": _QUANTITY,
                "description": f"{properties[name].get('description', name)}, with its unit",
                "examples": [
                    f"{properties[name]['examples'][0]:g} {split(name)[1].replace('_per_', '/')}"
                ],
            }
        rules.append({"not": {"required": [stem, name]}})
        if name in required:
            required.remove(name)
            rules.append({"anyOf": [{"required": [stem]}, {"required": [name]}]})
    for name, free in shape.free.items():
        properties[name] = {**properties[name], **_free(properties[name], free)}
    if required:
        made["required"] = sorted(required)
    if rules:
        made["allOf"] = rules


def _free(made: dict[str, Any], free: Free) -> dict[str, Any]:
    """A table of free names: numbers under names with a unit, or texts with one."""
    value = made["additionalProperties"]
    text: dict[str, Any] = {"type": "string", "pattern": _QUANTITY}
    if free.item == "pair":
        text = {"type": "array", "items": text, "minItems": 2, "maxItems": 2}
    if free.keys:
        stems = {split(key)[0]: text for key in free.keys}
        return {
            "properties": {**dict.fromkeys(free.keys, value), **stems},
            "additionalProperties": False,
        }
    table = {
        "propertyNames": {"pattern": _NAME},
        "additionalProperties": {"anyOf": [value, text]},
    }
    return {"additionalProperties": {"type": "object", **table}} if free.nested else table


def _without_null(made: Any) -> Any:
    """TOML has no null: a key that may be missing is simply not required."""
    if isinstance(made, list):
        return [_without_null(one) for one in made]
    if not isinstance(made, dict):
        return made
    kept = {key: one for key, one in made.items() if (key, one) != ("default", None)}
    clean = {key: _without_null(one) for key, one in kept.items()}
    choices = clean.get("anyOf")
    if isinstance(choices, list) and {"type": "null"} in choices:
        rest = [one for one in choices if one != {"type": "null"}]
        del clean["anyOf"]
        clean = {**clean, **rest[0]} if len(rest) == 1 else {**clean, "anyOf": rest}
    return clean
