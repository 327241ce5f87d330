"""Use priced by the rates of the works: machine hours, energy, water, steel; and carbon.

`priced` gives the rows of a plan, `totals` their sums. Prices that the works file does not
give are left out and named.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class PriceRow:
    """One priced use of one step.

    what: name of the use with unit (``electricity_kWh``); amount in that unit; rate in EUR
    per that unit, None where the works file gives none.
    """

    step: str
    what: str
    amount: float
    rate_EUR: float | None

    @property
    def price_EUR(self) -> float | None:
        """Amount times rate."""
        return None if self.rate_EUR is None else self.amount * self.rate_EUR


@dataclass(frozen=True, slots=True)
class Rates:
    """Rates of a works; of machines, of steel and of cotters by step."""

    machine_EUR_per_h: Mapping[str, float | None]
    machines: Mapping[str, int]
    electricity_EUR_per_kWh: float | None
    water_EUR_per_m3: float | None
    steel_EUR_per_kg: Mapping[str, float | None]
    carbon_kg_per_kWh: float | None
    ammonia_EUR_per_kg: float | None = None
    cotters_EUR_per_kg: Mapping[str, float | None] = field(default_factory=dict)


def priced(use: Mapping[str, Mapping[str, Any]], rates: Rates) -> list[PriceRow]:
    """Every use of every step with its rate; a group of machines costs each machine's hour."""
    rows = []
    for step, amounts in use.items():
        for what, amount in amounts.items():
            value = float(amount)
            if what == "machine_time_h":
                value *= rates.machines.get(step, 1)
            rows.append(PriceRow(step, what, value, _rate(what, step, rates)))
    return rows


def totals(rows: Sequence[PriceRow], rates: Rates) -> dict[str, float | None]:
    """Sums over the steps: hours, energy, water, steel, price, carbon of the energy."""

    def total(what: str) -> float:
        return _sum(row.amount for row in rows if row.what == what)

    energy = total("electricity_kWh")
    carbon = rates.carbon_kg_per_kWh
    return {
        "machine_time_h": total("machine_time_h"),
        "electricity_kWh": energy,
        "water_m3": total("water_m3"),
        "steel_kg": total("steel_kg"),
        "price_EUR": _sum(row.price_EUR for row in rows if row.price_EUR is not None),
        "carbon_kg": None if carbon is None else energy * carbon,
    }


def _rate(what: str, step: str, rates: Rates) -> float | None:
    return {
        "machine_time_h": rates.machine_EUR_per_h.get(step),
        "electricity_kWh": rates.electricity_EUR_per_kWh,
        "water_m3": rates.water_EUR_per_m3,
        "ammonia_kg": rates.ammonia_EUR_per_kg,
        "steel_kg": rates.steel_EUR_per_kg.get(step),
        "cotters_kg": rates.cotters_EUR_per_kg.get(step),
    }.get(what)


def _sum(values: Iterable[float]) -> float:
    """Sum in the order given, so that the last bit is the same at every run."""
    total = 0.0
    for value in values:
        total += value
    return total
