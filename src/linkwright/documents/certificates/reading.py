"""Reading a certificate's data strictly: every error at once, with the place in the data.

Offers `certificate_of_json`, `certificate_of` and `json_schema`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from pydantic import TypeAdapter, ValidationError

from linkwright.documents.certificates.content import SCHEMA_VERSION, Certificate
from linkwright.quantities import InputErrors, Problem
from linkwright.works.canonical import canonical_bytes

LONGEST_JSON = 4_000_000
"""Bytes that the data of one certificate may have."""
_MOST_TOLD = 20
_READER = TypeAdapter(Certificate)


def certificate_of_json(raw: bytes, name: str) -> Certificate:
    """The certificate of a JSON text; ``name`` stands in errors. Raises `InputErrors`."""
    if len(raw) > LONGEST_JSON:
        raise InputErrors([Problem("too-large", "is too large for a certificate", name)])
    try:
        return _READER.validate_json(raw)
    except ValidationError as error:
        raise InputErrors([_problem(one, name) for one in error.errors()[:_MOST_TOLD]]) from None


def certificate_of(data: Mapping[str, Any], name: str = "certificate") -> Certificate:
    """The certificate of plain data, as `plain` gives it. Raises `InputErrors`."""
    try:
        raw = canonical_bytes(data)
    except (TypeError, ValueError, RecursionError) as error:
        raise InputErrors([Problem("form", str(error), name)]) from None
    return certificate_of_json(raw, name)


def json_schema() -> str:
    """The JSON Schema of the data, as it is published."""
    made = _READER.json_schema()
    title = f"data of a certificate, version {SCHEMA_VERSION}"
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", **made, "title": title}
    return json.dumps(head, indent=2, sort_keys=True, ensure_ascii=False) + "\n"


def _problem(error: Any, name: str) -> Problem:
    place = ""
    for step in error["loc"]:
        place += f"[{step}]" if isinstance(step, int) else f".{step}" if place else str(step)
    said = str(error["msg"])
    return Problem("form", said[:1].lower() + said[1:], name, None, place or None)
