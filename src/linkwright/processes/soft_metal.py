"""Flow curve of soft strip or wire that is formed cold, from its strength and the works' ratios."""

from __future__ import annotations

from typing import Any

from linkwright.materials.flow_fits import SwiftConstants, swift_from_yield_and_tensile
from linkwright.processes.models.plate_sums import yield_of_strength
from linkwright.route import Machine
from linkwright.route.stock import Stock


def soft_curve(stock: Stock, machine: Machine) -> dict[str, Any]:
    """K, n and prestrain of Swift's curve, as arguments of a calculation.

    The yield stress is the works' ``yield_ratio`` of the strength; n is that of the heat, else the
    works' ``hardening_exponent``.
    """
    held, strength = machine.held, stock["tensile_strength_MPa"]
    fit: SwiftConstants = swift_from_yield_and_tensile(
        yield_MPa=yield_of_strength(tensile_strength_MPa=strength, yield_ratio=held["yield_ratio"]),
        tensile_strength_MPa=strength,
        n=stock["n"] if "n" in stock else held["hardening_exponent"],
    )
    return fit._asdict()
