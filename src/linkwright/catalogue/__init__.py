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
    "Sourced",
    "SourcedArray",
    "ValidityWarning",
    "Values",
    "active",
    "calculation",
    "not_recording",
    "recording",
    "solved",
    "sourced",
]
