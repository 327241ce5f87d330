"""A certificate held against the records: every number and every text, by its place.

Offers `differences` and `Difference`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from linkwright.documents.certificates.content import Certificate, plain


class Difference(NamedTuple):
    """What certificate and records say at one place; None where nothing stands."""

    place: str
    certificate: Any
    records: Any


def differences(certificate: Certificate, records: Mapping[str, Any]) -> tuple[Difference, ...]:
    """Where certificate and records differ; ``records``: plain data in the certificate's shape.

    Numbers must be the same number, texts the same text; what the records do not speak of (a key
    that is not there) is a difference too.
    """
    return tuple(_apart(plain(certificate), records, ""))


def count_of_values(data: Any) -> int:
    """How many single values there are in plain data."""
    if isinstance(data, Mapping):
        return sum(count_of_values(inner) for inner in data.values())
    if isinstance(data, (list, tuple)):
        return sum(count_of_values(inner) for inner in data)
    return 1


def _apart(said: Any, held: Any, place: str) -> Iterator[Difference]:
    if isinstance(said, Mapping) and isinstance(held, Mapping):
        for key in [*said, *(key for key in held if key not in said)]:
            inner = f"{place}.{key}".lstrip(".")
            if key in said and key in held:
                yield from _apart(said[key], held[key], inner)
            else:
                yield Difference(inner, said.get(key), held.get(key))
    elif isinstance(said, (list, tuple)) and isinstance(held, (list, tuple)):
        for index in range(max(len(said), len(held))):
            inner = f"{place}[{index}]"
            if index < min(len(said), len(held)):
                yield from _apart(said[index], held[index], inner)
            else:
                yield Difference(inner, *(
                    part[index] if index < len(part) else None for part in (said, held)
                ))  # fmt: skip
    elif not _same(said, held):
        yield Difference(place, said, held)


def _same(said: Any, held: Any) -> bool:
    if isinstance(said, bool) or isinstance(held, bool):
        return said is held
    if isinstance(said, (int, float)) and isinstance(held, (int, float)):
        return float(said) == float(held)
    return type(said) is type(held) and said == held
