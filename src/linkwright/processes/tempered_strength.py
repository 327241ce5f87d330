"""From the temper of a link's zones to its hardness and strength.

- `tempered_zones`: hardness of straight, crown and contact after a temper
- `tempered_structure`: hardness of the tempered mixture, of any shape
- `zones_at_link`: the same at links whose temper was off their lot's
- `strength_of`: tensile strength by hardness, as this works knows it
- `hardness_findings`: hardness of the zones, band of the works, strength
- `STRENGTH`: the works' factor on that strength; the same for every kind of temper
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkwright.materials.hardness_scales import tensile_strength_from_hardness
from linkwright.materials.tempering import tempered_hardness
from linkwright.processes.austenitised import austenite
from linkwright.processes.models.line_heat import ZONES, section_mean
from linkwright.processes.models.quench_sums import (
    hardness_at_link,
    over_section,
    tempered_mixture,
)
from linkwright.processes.models.works_factor import corrected_hardness, corrected_strength
from linkwright.route import Conditions, Factor, Finding, Machine
from linkwright.route.stock import Stock

_SECTION = (
    "martensite_fraction",
    "bainite_fraction",
    "ferrite_pearlite_fraction",
    "martensite_HV",
    "bainite_HV",
    "ferrite_pearlite_HV",
)
_SECTION_AXES = len(("zone", "position"))

STRENGTH = Factor(
    "factor/tempering/strength_of_hardness",
    1.0,
    0.02,
    "works' own factor on tensile strength by hardness (ISO 18265), not yet learned: band 2 %",
    "pull 5 straight bars of known hardness",
)


def tempered_zones(chain: Stock, parameter_K: Any, hardness_factor: Any) -> tuple[Any, ...]:
    """Mean hardness over the section of the three zones.

    ``parameter_K`` has axis (zone) and then those of the members; a chain that is the same for
    all of them may lack the latter.
    """
    chain = _with_member_axes(chain, np.ndim(parameter_K) - 1)
    mixture = tempered_structure(chain, over_section(values=parameter_K))
    return tuple(
        corrected_hardness(
            hardness_HV=section_mean(values=mixture, zone=zone), factor=hardness_factor
        )
        for zone in ZONES
    )


def tempered_structure(stock: Stock, parameter_K: Any) -> Any:
    """Hardness of the tempered mixture, in the shape of the shares and of the parameter."""
    hard = tempered_hardness(
        parameter_K=parameter_K,
        quenched_martensite_HV=stock["martensite_HV"],
        quenched_bainite_HV=stock["bainite_HV"],
        **austenite(stock, "C", "Si", "Mn", "Ni", "Cr", "Mo"),
    )
    return tempered_mixture(
        martensite_fraction=stock["martensite_fraction"],
        bainite_fraction=stock["bainite_fraction"],
        ferrite_pearlite_fraction=stock["ferrite_pearlite_fraction"],
        tempered_martensite_HV=hard.martensite_HV,
        tempered_bainite_HV=hard.bainite_HV,
        ferrite_pearlite_HV=stock["ferrite_pearlite_HV"],
    )


def _with_member_axes(chain: Stock, axes: int) -> Stock:
    """The chain with room for the members' axes behind those of the section."""
    if not axes:
        return chain
    fields = {name: np.asarray(chain[name]) for name in _SECTION}
    short = {
        name: value.reshape(*value.shape, *(1,) * axes)
        for name, value in fields.items()
        if value.ndim == _SECTION_AXES
    }
    return chain.changed(condition=short)


def zones_at_link(
    zones: tuple[Any, ...], off_K: Any, hardness_per_K: Any, factors: Conditions
) -> tuple[Any, ...]:
    """Hardness of the zones of links that were hotter than their lot; the nominal link is not."""
    if not factors.draws:
        return zones
    return tuple(
        hardness_at_link(
            hardness_HV=zone, hardness_per_K=hardness_per_K, temperature_difference_K=off_K
        )
        for zone in zones
    )


def strength_of(hardness_HV: Any, factors: Conditions) -> Any:
    """Tensile strength of a hardness by ISO 18265 and the works' factor."""
    return corrected_strength(
        tensile_strength_MPa=tensile_strength_from_hardness(hardness_HV=hardness_HV),
        factor=factors.factor(STRENGTH.name),
    )


def hardness_findings(
    zones: tuple[Any, ...], softest: Any, strength: Any, machine: Machine, **asked: Any
) -> tuple[Finding, ...]:
    """Hardness of the zones, the softer against the works' band, strength against ``asked``."""
    return (
        Finding("straight_hardness_HV", zones[0]),
        Finding("crown_hardness_HV", zones[1]),
        Finding("contact_hardness_HV", zones[2]),
        Finding(
            "hardness_HV",
            softest,
            machine.held["least_hardness_HV"],
            machine.held["greatest_hardness_HV"],
            "band held by the works",
        ),
        Finding("tensile_strength_MPa", strength, **{"note": "ISO 18265 by hardness", **asked}),
    )
