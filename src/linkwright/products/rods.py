"""Which rod of the stock a welded chain is made of: thick enough, and admitted by the standard."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from linkwright.products.job import Rod
from linkwright.quantities import ArgumentError, CannotPlan
from linkwright.standards.chain_requirements import CARBURISE, ChainStandard
from linkwright.standards.requirement import MaterialLimit

_LEAST_DRAFT = 1.01


def admissible_rods(
    rods: Sequence[Rod], named: str | None, wire_mm: float, chain: ChainStandard
) -> list[Rod]:
    """The rods that can be drawn to the wire and that the standard admits, thinnest first.

    named: the rod of the order; then that one alone. A steel whose case the works has measured is
    kept for case-hardened chain, and that chain made of no other. Of rods as thick as each other
    the cheapest goes first. Raises `CannotPlan` with the unmet limits if every analysis is
    outside the standard's.
    """
    asked = [rod for rod in rods if rod.name == named] if named else _kept_for(rods, chain)
    fit = [rod for rod in asked if float(rod.diameter_mm) >= _LEAST_DRAFT * wire_mm]
    if not fit:
        have = ", ".join(f"{rod.name} ({float(rod.diameter_mm):g} mm)" for rod in asked)
        raise CannotPlan(f"no rod in stock is thick enough for {wire_mm:.2f} mm wire: {have}")
    admitted: list[Rod] = []
    refused: list[str] = []
    for rod in sorted(fit, key=_thinnest_then_cheapest):
        reasons = _against(rod, chain)
        if reasons:
            refused.append(f"{rod.name} (heat {rod.heat}): {reasons}")
        else:
            admitted.append(rod)
    if not admitted:
        raise CannotPlan("the steel is refused by the standard: " + " | ".join(refused))
    return admitted


def _kept_for(rods: Sequence[Rod], chain: ChainStandard) -> list[Rod]:
    """The rods kept for chain of this kind: those with a case that was measured, or the others."""
    cased = chain.route == CARBURISE
    kept = [rod for rod in rods if bool(getattr(rod, "case_temper", ())) == cased]
    if cased and not kept:
        raise CannotPlan(
            "no rod in stock has a tempering table of its case: accepted: [[steel.case_temper]] "
            "and [[steel.case_crack]] in the works file, of a steel for case-hardened chain"
        )
    return kept


def analysis_of(rod: Rod) -> dict[str, Any]:
    """Mass per cent by element, each number with its place in the works file."""
    return {key: rod.analysis[key] for key in rod.analysis}


class Bought(NamedTuple):
    """Fields of the stock that a rod brings, each number with its place in the works file."""

    shape: dict[str, Any]
    condition: dict[str, Any]
    amount: dict[str, Any]


def bought(rod: Rod) -> Bought:
    """Size, analysis, strength, what was measured on the rod, and how much the store holds."""

    def measured(**fields: str) -> dict[str, Any]:
        found = {field: getattr(rod, name, None) for field, name in fields.items()}
        return {field: value for field, value in found.items() if value is not None}

    return Bought(
        {
            "wire_diameter_mm": rod.diameter_mm,
            **measured(rod_ovality_mm="ovality_mm", rod_surface_depth_mm="surface_defect_depth_mm"),
        },
        {
            **analysis_of(rod),
            "tensile_strength_MPa": rod.tensile_strength_MPa,
            **measured(
                decarburised_depth_mm="decarburised_depth_mm",
                reduction_of_area_percent="reduction_of_area_percent",
                rod_grain_size_number="grain_size_number",
            ),
        },
        measured(coil_mass_kg="coil_mass_kg", stock_t="stock_t"),
    )


def _thinnest_then_cheapest(rod: Rod) -> tuple[float, float]:
    price = rod.price_EUR_per_kg
    return float(rod.diameter_mm), float("inf") if price is None else float(price)


def _against(rod: Rod, chain: ChainStandard) -> str:
    """Why the standard refuses the rod; empty if it does not."""
    plain = {key: float(value) for key, value in analysis_of(rod).items()}
    try:
        unmet = chain.unmet_material_limits(plain, rod.analysis_kind)
    except ArgumentError as error:
        return str(error)
    return "; ".join(_limit_text(plain, limit) for limit in unmet)


def _limit_text(analysis: dict[str, float], limit: MaterialLimit) -> str:
    has = analysis.get(f"{limit.element}_percent", 0.0)
    bound = (
        f"at least {float(limit.least):g}" if limit.least is not None
        else f"at most {float(limit.greatest or 0.0):g}"
    )  # fmt: skip
    return f"{limit.element} {has:g} %, {bound} % asked ({limit.source})"
