"""Calculations of published physics, sourced values and the derivation of every number."""

from linkwright.catalogue.calculation import (
    CATALOGUE,
    NOT_NEGATIVE,
    POSITIVE,
    Calculation,
    ValidityWarning,
    Values,
    calculation,
)
from linkwright.catalogue.keeping import Held, Results, keeping
from linkwright.catalogue.sourced import (
    Derivation,
    Entry,
    Sourced,
    SourcedArray,
    active,
    not_recording,
    recording,
    solved,
    sourced,
)

__all__ = [
    "CATALOGUE",
    "NOT_NEGATIVE",
    "POSITIVE",
    "Calculation",
    "Derivation",
    "Entry",
    "Held",
    "Results",
    "Sourced",
    "SourcedArray",
    "ValidityWarning",
    "Values",
    "active",
    "calculation",
    "keeping",
    "not_recording",
    "recording",
    "solved",
    "sourced",
]
