"""Steels by name: standard, limits of the analysis, and a usual analysis to plan with.

- `steel`: one steel by name or number, with the nearest names if there is none
- `STEELS`: all of them, by name
- `flow_curve_of`: the published flow curve nearest to a grade, known or not
- `Steel`: what is known of one; `Steel.analysis` gives the elements as arguments of calculations

Limits stand in ``data/steels.toml``, each steel with its source and basis. A works' own
analysis always goes before the middle of a range.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from linkwright.catalogue import sourced
from linkwright.quantities import UnknownName

_UNKNOWN_GRADE = "4135 steel, annealed"


@dataclass(frozen=True)
class Steel:
    """One steel: its standard and the limits of its cast analysis (mass per cent).

    flow_curve: the nearest published row for annealed rod, by name.
    """

    name: str
    flow_curve: str
    number: str
    standard: str
    basis: str
    notes: str
    limits: Mapping[str, tuple[float, float]]

    @property
    def source(self) -> str:
        """Standard, table and steel, as printed behind every number taken from here."""
        return f"{self.standard}, {self.name} ({self.number})"

    def analysis(self) -> dict[str, Any]:
        """A usual analysis, the middle of each range, as ``C_percent`` and so on.

        Phosphorus and sulphur are taken at half their limit, likewise any element that has only
        an upper limit. While a derivation is recorded each value carries its source.

        >>> steel("23MnNiMoCr5-4").analysis()["Mo_percent"]
        0.55
        """
        return {
            f"{element}_percent": sourced(
                f"{element}_percent",
                round((least + greatest) / 2.0, 4),
                "table",
                f"{self.source}, middle of the range",
                self.basis,
            )
            for element, (least, greatest) in self.limits.items()
        }

    def limit(self, element: str) -> tuple[Any, Any]:
        """Least and greatest of one element; while a derivation is recorded with their source."""
        least, greatest = (
            sourced(f"{element}_percent", value, "table", self.source, self.basis)
            for value in self.limits[element]
        )
        return least, greatest

    def outside(self, analysis: Mapping[str, float]) -> dict[str, tuple[float, float]]:
        """The elements of an analysis (``C_percent`` and so on) that break the limits."""
        return {
            element: (least, greatest)
            for element, (least, greatest) in self.limits.items()
            if not least <= analysis.get(f"{element}_percent", least) <= greatest
        }


def steel(name: str) -> Steel:
    """A steel by name or number, ignoring case, spaces and hyphens; raises `UnknownName`.

    >>> steel("23MnNiMoCr54").number
    '1.6758'
    """
    wanted = _plain(name)
    for known in STEELS.values():
        if wanted in (_plain(known.name), _plain(known.number)):
            return known
    raise UnknownName("steel", name, STEELS)


def flow_curve_of(grade: str) -> str:
    """The published flow curve nearest to annealed rod of a grade.

    A grade that is not known here is taken as annealed chromium-molybdenum steel.

    >>> flow_curve_of("21Mn5"), flow_curve_of("lean chain steel")
    ('1020 steel, annealed', '4135 steel, annealed')
    """
    try:
        return steel(grade).flow_curve
    except UnknownName:
        return _UNKNOWN_GRADE


def _plain(name: str) -> str:
    return "".join(letter for letter in name.lower() if letter not in " -_")


def _read() -> Mapping[str, Steel]:
    text = (files("linkwright.materials") / "data" / "steels.toml").read_text("utf-8")
    rows = tomllib.loads(text)["steel"]
    return MappingProxyType({row["name"]: _steel(row) for row in rows})


def _steel(row: dict[str, Any]) -> Steel:
    limits = {element: (float(low), float(high)) for element, (low, high) in row["limits"].items()}
    return Steel(**{**row, "limits": MappingProxyType(limits)})


STEELS: Mapping[str, Steel] = _read()
"""Every steel that is known, by name."""
