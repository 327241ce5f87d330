"""Whether finished chain tears: on the test bench before its greatest force, or when it is bent.

- `DUCTILITY`: the works' factor on the strain that its steel bears
- `pulled_findings`: damage of the worst place when the force is greatest
- `FRACTURE`: what is said of a link that tears before its greatest force
- `bent_findings`: force, strain and damage at the deflection that a standard asks for
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkwright.catalogue import sourced
from linkwright.materials.ductile_fracture import fracture_limits, reduction_of_area_tempered
from linkwright.processes.link_curve import curve_of
from linkwright.processes.models.link_bending import bend_damage, bend_test
from linkwright.processes.models.link_fracture import damage_at_maximum, ductility_of
from linkwright.processes.models.link_geometry import sized_by_wire
from linkwright.route import Conditions, Factor, Finding, Machine
from linkwright.route.stock import Stock
from linkwright.standards.en818_2 import ChainRequirement

DUCTILITY = Factor(
    "factor/inspection/ductility",
    1.0,
    0.25,
    "works' own factor on the strain to fracture by reduction of area, not yet learned: stated "
    "band 25 %",
    "bend 5 links of one lot until they tear and read the deflection, or measure the reduction of "
    "area of 3 tensile tests",
)
_CRITERION = "growth of voids, Rice & Tracey (1969), limit from the reduction of area"
_TEARS = "damage of 1 tears: definition"
_INSTABILITY = "the force passes its maximum before anything tears (instability)"
FRACTURE = "tears before the greatest force: the breaking force above is too high"
_SIZES = ("wire_diameter_mm", "pitch_mm", "outer_width_mm", "tensile_strength_MPa")
_BEND_SET_UP = ("bend_span_ratio", "bend_mandrel_ratio")
"""Span and mandrel of the bench in diameters of the wire: read them in EN 818-1 itself."""


def pulled_findings(chain: Stock, machine: Machine, factors: Conditions) -> tuple[Finding, ...]:
    """What comes first when a link is broken."""
    curve = _curve(chain, machine)
    found = damage_at_maximum(
        **{name: chain[name] for name in _SIZES},
        **curve,
        void_strain_limit=_bearable(chain, curve, factors),
    )
    worst, note = found.damage_at_maximum, ""
    if np.ndim(worst) == 0:
        note = _INSTABILITY if float(worst) < 1.0 else FRACTURE
    return (
        Finding("damage_at_maximum", worst, None, _one(), _CRITERION, note),
        *(Finding(name, getattr(found, name)) for name in found._fields[1:]),
    )


def bent_findings(
    chain: Stock, machine: Machine, factors: Conditions, need: ChainRequirement | None
) -> tuple[Finding, ...]:
    """The bend test of a single link, where a standard asks for it and the bench is known."""
    if need is None or any(name not in machine.held for name in _BEND_SET_UP):
        return ()
    wire, curve = chain["wire_diameter_mm"], _curve(chain, machine)
    span, mandrel = (
        sized_by_wire(wire_diameter_mm=wire, ratio=machine.held[name]) for name in _BEND_SET_UP
    )
    bent = bend_test(
        wire_diameter_mm=wire,
        deflection_mm=need.least,
        span_mm=span,
        mandrel_diameter_mm=mandrel,
        tensile_strength_MPa=chain["tensile_strength_MPa"],
        **curve,
    )
    damage = bend_damage(
        bend_surface_strain=bent.bend_surface_strain,
        void_strain_limit=_bearable(chain, curve, factors),
    )
    return (
        Finding("bend_deflection_mm", need.least, note=f"asked for by {need.source}"),
        Finding("bend_force_kN", bent.bend_force_kN),
        Finding("bend_surface_strain", bent.bend_surface_strain),
        Finding("bend_damage", damage, None, _one(), _CRITERION),
    )


def _curve(chain: Stock, machine: Machine) -> dict[str, Any]:
    """Exponent and yield offset; the fit has no friction."""
    curve = curve_of(chain, machine)
    return {name: curve[name] for name in ("hardening_exponent", "prestrain")}


def _bearable(chain: Stock, curve: dict[str, Any], factors: Conditions) -> Any:
    """Void strain at which the steel of this chain tears."""
    area = reduction_of_area_tempered(tensile_strength_MPa=chain["tensile_strength_MPa"])
    limits = fracture_limits(reduction_of_area_percent=area, **curve)
    return ductility_of(
        void_strain_limit=limits.void_strain_limit, factor=factors.factor(DUCTILITY.name)
    )


def _one() -> Any:
    return sourced("greatest_damage", 1.0, "table", _TEARS)
