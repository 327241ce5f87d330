"""Levels of signatures in PDF papers.

Offers `signature_level`, `signature_levels` and `signature_pdf_key`.
"""

from __future__ import annotations

from typing import NamedTuple

from linkwright.catalogue import calculation
from linkwright.quantities import UnknownName
from linkwright.standards.reader import published_table

_ETSI = "ETSI EN 319 142-1, PAdES digital signatures - building blocks and baseline signatures"
_FORMAT = "PAdES baseline"


class Levels(NamedTuple):
    """Results of `signature_levels`."""

    levels: list[str]
    needs_time_stamp: list[bool]
    needs_revocation_data: list[bool]


@calculation(source=_ETSI, basis="memory", gives="meaning")
def signature_level(*, level: str) -> str:
    """What a baseline level of a signature in a PDF holds.

    Args:
        level: ``B-B``, ``B-T``, ``B-LT`` or ``B-LTA``.

    References:
        ETSI EN 319 142-1 (remembered; wording ours).
    """
    return str(published_table("pades").row(level, "level").cells["meaning"])


@calculation(source=f"{_ETSI} (order of levels)", basis="memory")
def signature_levels(*, format: str = _FORMAT) -> Levels:
    """All baseline levels, each holding the one before, and what each needs.

    Args:
        format: ``PAdES baseline``.

    References:
        ETSI EN 319 142-1 (remembered).
    """
    if format.strip() != _FORMAT:
        raise UnknownName("format", format, [_FORMAT])
    rows = [row.cells for row in published_table("pades")]
    return Levels(
        [str(row["level"]) for row in rows],
        [bool(row["needs_time_stamp"]) for row in rows],
        [bool(row["needs_revocation_data"]) for row in rows],
    )


@calculation(
    source="ETSI EN 319 142-1; ISO 32000-2:2020, 12.8 (keys of a signed PDF)",
    basis="memory",
    gives="key",
)
def signature_pdf_key(*, part: str) -> str:
    """Key or name in a PDF that a part of its signature uses.

    Args:
        part: ``signature sub-filter``, ``time-stamp sub-filter`` or ``validation data``.

    References:
        ISO 32000-2:2020, 12.8 (remembered).
    """
    return str(published_table("pades_keys").row(part, "part").cells["key"])
