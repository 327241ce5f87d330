"""How near links are to tearing at their maximum force, thousands at once.

    LinkFracture    void strain at the maximum force, by place
    AXES            the five ratios that a link comes down to, with their range
    terms_of        the polynomials of the fit, also for the script that makes it

The logarithm of the void strain (`solid_damage`) at the greatest force is a polynomial of degree
two in the ratios, from runs of the solid link on the coarse mesh, plus one of degree one for what
the medium mesh changes. Frictionless, both legs alike. A link beyond the range is taken at its
edge. Errors in docs/models/solid_link.md.
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
    Axis("pitch over wire diameter", 2.6, 5.0),
    Axis("outer width over wire diameter", 3.1, 3.8),
    Axis("tensile strength over Young's modulus", 350 / 205e3, 1600 / 205e3, True),
    Axis("hardening_exponent", 0.03, 0.25),
    Axis("prestrain", 0.001, 0.03, True),
)
_MODULUS_MPA = 205e3


@dataclass(frozen=True)
class LinkFracture:
    """The fit; made by scripts/build_link_fracture.py."""

    coefficients: Mapping[str, Floats]
    """By place: those of the terms of degree two."""

    @classmethod
    def of_table(cls, table: Mapping[str, Any]) -> LinkFracture:
        """The fit that a table of the script holds."""
        return cls({place: np.array(row) for place, row in table["log_void_strain"].items()})

    def void_strains(
        self,
        *,
        wire_diameter_mm: Values,
        pitch_mm: Values,
        outer_width_mm: Values,
        tensile_strength_MPa: Values,
        hardening_exponent: Values,
        prestrain: Values,
    ) -> dict[str, Floats]:
        """Void strain at the maximum force of every link, by place; arguments broadcast."""
        wire = np.asarray(wire_diameter_mm, float)
        ratios = np.broadcast_arrays(
            np.asarray(pitch_mm) / wire,
            np.asarray(outer_width_mm) / wire,
            np.asarray(tensile_strength_MPa) / _MODULUS_MPA,
            hardening_exponent,
            prestrain,
        )
        terms = terms_of(np.stack([np.ravel(ratio) for ratio in ratios]), 2)
        return {
            place: np.exp(row @ terms).reshape(ratios[0].shape)
            for place, row in self.coefficients.items()
        }


def terms_of(values: Floats, degree: int) -> Floats:
    """The polynomials at links, (axes, links) to (terms, links); degree 1 or 2.

    The terms of degree 1 are the first of those of degree 2.
    """
    places = [np.clip(axis.place(row), -1.0, 1.0) for axis, row in zip(AXES, values, strict=True)]
    terms = [np.ones_like(places[0]), *places]
    if degree > 1:
        terms += [places[i] * places[j] for i in range(len(places)) for j in range(i + 1)]
    return np.stack(terms)
