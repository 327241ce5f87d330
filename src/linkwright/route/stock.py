"""Stock: the metal that lies on the bench between two operations."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from linkwright.catalogue import Values
from linkwright.quantities import nearest

_ELEMENT = re.compile(r"[A-Z][a-z]?_percent")
_NOTHING: Mapping[str, Any] = MappingProxyType({})


@dataclass(frozen=True)
class Stock:
    """What an operation takes in and hands on.

    form: "rod", "wire", "piece", "open link", "closed link", "chain". shape: sizes by name
    with unit. condition: strength, flow curve, phases, hardness, residual stress, and what
    the steel is made of (``C_percent`` ...). amount: how much of it. measured: names of
    fields that a gauge gave rather than a model. Values are floats in the nominal pass and
    arrays over (lots, links) in the ensemble.
    """

    form: str
    steel: str
    shape: Mapping[str, Values] = field(default_factory=dict)
    condition: Mapping[str, Values] = field(default_factory=dict)
    amount: Mapping[str, Values] = field(default_factory=dict)
    measured: frozenset[str] = field(default_factory=frozenset)

    def __getitem__(self, name: str) -> Any:
        """A field of the stock, wherever it stands."""
        for group in (self.shape, self.condition, self.amount):
            if name in group:
                return group[name]
        known = [*self.shape, *self.condition, *self.amount]
        raise KeyError(f"{self.form} has no {name}; nearest: {nearest(name, known) or known}")

    def __contains__(self, name: str) -> bool:
        return name in self.shape or name in self.condition or name in self.amount

    def analysis(self) -> dict[str, Values]:
        """The chemical analysis as arguments of a calculation (``C_percent`` ...)."""
        return {key: value for key, value in self.condition.items() if _ELEMENT.fullmatch(key)}

    def elements(self, *symbols: str) -> dict[str, Values]:
        """The elements that a formula knows, as arguments; those not analysed are left out."""
        names = [f"{symbol}_percent" for symbol in symbols]
        return {name: self.condition[name] for name in names if name in self.condition}

    def changed(
        self,
        form: str | None = None,
        *,
        shape: Mapping[str, Values] = _NOTHING,
        condition: Mapping[str, Values] = _NOTHING,
        amount: Mapping[str, Values] = _NOTHING,
    ) -> Stock:
        """A copy with some fields new; a field that is written is no longer measured."""
        written = {*shape, *condition, *amount}
        return replace(
            self,
            form=form or self.form,
            shape={**self.shape, **shape},
            condition={**self.condition, **condition},
            amount={**self.amount, **amount},
            measured=self.measured - written,
        )
