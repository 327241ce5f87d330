"""What comes first when a link is broken: the greatest force, or a tear; for many links.

- `damage_at_maximum`: how near the worst place is to tearing when the force is greatest
- `ductility_of`: what the steel bears, times the works' own factor
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.link_fracture import LinkFracture

_WELD = "weld"


@lru_cache(maxsize=1)
def link_fracture() -> LinkFracture:
    """The fit that ships (scripts/build_link_fracture.py)."""
    text = files("linkwright.processes.models").joinpath("data", "link_fracture.json")
    return LinkFracture.of_table(json.loads(text.read_text("utf-8")))


class Damage(NamedTuple):
    """Results of `damage_at_maximum`; 1 tears before the greatest force."""

    damage_at_maximum: Values
    """Of the worst place."""
    weld_damage: Values
    leg_damage: Values
    crown_inside_damage: Values
    """At the edge of the contact, as a rule."""
    crown_outside_damage: Values


@calculation(
    source="works' own factor: measured over calculated, learned from the works' own tests",
    gives="void_strain_limit",
    basis="computed",
    needs={"factor": POSITIVE},
)
def ductility_of(*, void_strain_limit: Values, factor: Values) -> Values:
    """Strain to fracture of this works' steel: from the reduction of area, times factor.

    References: none; a works' own factor.
    """
    return void_strain_limit * factor


@calculation(
    source="octant of a link by finite elements with J2 plasticity (docs/models/solid_link.md); "
    "J. R. Rice & D. M. Tracey, J. Mech. Phys. Solids 17 (1969) 201; ductility of the weld: "
    "stated assumption",
    needs={
        "wire_diameter_mm": POSITIVE, "pitch_mm": POSITIVE, "outer_width_mm": POSITIVE,
        "tensile_strength_MPa": POSITIVE, "void_strain_limit": POSITIVE,
        "weld_ductility_percent": (1.0, 100.0), "hardening_exponent": POSITIVE,
        "prestrain": NOT_NEGATIVE,
    },
    valid={"hardening_exponent": (0.03, 0.25), "prestrain": (0.001, 0.03)},
    basis="computed",
)  # fmt: skip
def damage_at_maximum(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    tensile_strength_MPa: Values,
    void_strain_limit: Values,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
    weld_ductility_percent: Values = 50.0,
) -> Damage:
    """How near a link is to tearing when its force is greatest, by its worst place.

    Sum of exp(1.5 (T - 1/3)) dp over its limit, T the triaxiality; below 1 the force falls before
    anything tears (instability), above 1 the link tears first and the breaking force by the
    maximum is too high. A fit of runs by finite elements for pitch 2.6 to 5 d, outer width 3.1 to
    3.8 d, strength 350 to 1600 MPa; a link beyond is taken at the edge. The limit is that of
    `fracture_limits`; the weld bears a share of it, an assumption. Arguments broadcast.

    References: as the source.

    Example:
        >>> found = damage_at_maximum(wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8,
        ...                           tensile_strength_MPa=1180.0, void_strain_limit=0.93)
        >>> bool(0.15 < found.damage_at_maximum < 0.35)
        True
    """
    strains = link_fracture().void_strains(
        wire_diameter_mm=wire_diameter_mm, pitch_mm=pitch_mm, outer_width_mm=outer_width_mm,
        tensile_strength_MPa=tensile_strength_MPa, hardening_exponent=hardening_exponent,
        prestrain=prestrain,
    )  # fmt: skip
    weld_share = np.asarray(weld_ductility_percent, float) / 100.0
    damage = [
        np.asarray(strains[place] / (void_strain_limit * (weld_share if place == _WELD else 1.0)))
        for place in (_WELD, "leg", "crown inside", "crown outside")
    ]
    return Damage(np.maximum.reduce(damage)[()], *(part[()] for part in damage))
