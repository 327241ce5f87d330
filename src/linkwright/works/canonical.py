"""Canonical JSON and its hash: the same content gives the same bytes, everywhere.

Keys are sorted, nothing stands between the signs, texts are UTF-8, floats are written by
``repr`` (shortest form that reads back the same), minus zero is zero, and what is not
finite is refused. ``canonical_bytes(content)`` and ``content_hash(content)``.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import math
from collections.abc import Mapping
from typing import Any


def canonical_bytes(content: Any) -> bytes:
    """The canonical JSON of mappings, sequences, texts, numbers and dates.

    Anything with a ``to_dict()`` is taken as that. Raises `TypeError` for other types and
    `ValueError` for nan and inf.

    >>> canonical_bytes({"b": 1.0, "a": [True, None, "8 mm", -0.0]})
    b'{"a":[true,null,"8 mm",0.0],"b":1.0}'
    """
    text = json.dumps(
        _plain(content), sort_keys=True, separators=(",", ":"), allow_nan=False, ensure_ascii=False
    )
    return text.encode("utf-8")


def content_hash(content: Any) -> str:
    """SHA-256 of the canonical JSON, as 64 hexadecimal digits.

    >>> content_hash({})[:16]
    '44136fa355b3678a'
    """
    return hashlib.sha256(canonical_bytes(content)).hexdigest()


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, (bool, int, str)):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"{value} has no place in canonical JSON")
        return float(value) + 0.0  # + 0.0 turns minus zero into zero, and drops subclasses
    if isinstance(value, (datetime.date, datetime.time)):
        return value.isoformat()
    if hasattr(value, "to_dict"):
        return _plain(value.to_dict())
    if isinstance(value, Mapping):
        if not all(isinstance(key, str) for key in value):
            raise TypeError("canonical JSON has only texts as keys")
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(inner) for inner in value]
    raise TypeError(f"{type(value).__name__} has no canonical JSON")
