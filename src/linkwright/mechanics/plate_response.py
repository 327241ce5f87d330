"""What the solid plate says under load, for thousands of plates at once.

    PlateResponse    force factor and elastic peak; arrays of any shape
    AXES             the ratios that a link plate comes down to, with their range
    plate_terms      the polynomials of the fit, also for the script that makes it

The logarithms of F/(t (h - d) Rm) and of the elastic peak over the mean stress of that section are
polynomials of degree two in the ratios, from runs of `solid_plate` with a neat pin
(scripts/build_plate_response.py; errors in docs/models/plate.md). A plate beyond the range is
taken at its edge.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from linkwright.catalogue import Values
from linkwright.mechanics.link_response import Axis
from linkwright.mechanics.section import Floats

AXES = (
    Axis("hole over height", 0.3, 0.6),
    Axis("waist over height", 0.6, 0.92),
    Axis("spacing over height", 1.1, 1.6),
    Axis("hardening_exponent", 0.03, 0.2),
)


@dataclass(frozen=True)
class PlateResponse:
    """The fit."""

    force: Floats
    peak: Floats

    @classmethod
    def of_table(cls, table: Mapping[str, Any]) -> PlateResponse:
        """The fit that a table of the script holds."""
        return cls(np.array(table["force_factor"]), np.array(table["net_stress_factor"]))

    def factors(
        self, hole: Values, waist: Values, spacing: Values, exponent: Values
    ) -> tuple[Floats, Floats]:
        """Force factor and elastic peak of plates given by their ratios; arguments broadcast."""
        ratios = np.broadcast_arrays(hole, waist, spacing, exponent)
        terms = plate_terms(np.stack([np.ravel(ratio) for ratio in ratios]))
        force, peak = (np.exp(row @ terms) for row in (self.force, self.peak))
        return force.reshape(ratios[0].shape), peak.reshape(ratios[0].shape)


def plate_terms(values: Floats) -> Floats:
    """The polynomials at plates, (axes, plates) to (terms, plates)."""
    places = [np.clip(axis.place(row), -1.0, 1.0) for axis, row in zip(AXES, values, strict=True)]
    terms = [np.ones_like(places[0]), *places]
    terms += [places[i] * places[j] for i in range(len(places)) for j in range(i + 1)]
    return np.stack(terms)
