"""Which rod of the stock a welded chain is made of: thick enough, and admitted by the standard."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linkwright.products.job import Rod
from linkwright.quantities import ArgumentError, CannotPlan
from linkwright.standards.chain_requirements import ChainStandard
from linkwright.standards.requirement import MaterialLimit

_LEAST_DRAFT = 1.01


def admissible_rods(
    rods: Sequence[Rod], named: str | None, wire_mm: float, chain: ChainStandard
) -> list[Rod]:
    """The rods that can be drawn to the wire and that the standard admits, thinnest first.

    named: the rod of the order; then that one alone. Of rods as thick as each other the
    cheapest goes first. Raises `CannotPlan` with the unmet limits if every analysis is
    outside the standard's.
    """
    asked = [rod for rod in rods if rod.name == named] if named else list(rods)
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


def analysis_of(rod: Rod) -> dict[str, Any]:
    """Mass per cent by element, each number with its place in the works file."""
    return {key: rod.analysis[key] for key in rod.analysis}


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
