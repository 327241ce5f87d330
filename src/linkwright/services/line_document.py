"""One line of an order as it was planned, and as plain data: its part of plan.json.

- `SettledLine`, `PlannedLine`: a line whose settings agree; the same with its ensemble
- `settled_document`: what is known without an ensemble; `planned_document`: all of it
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linkwright.catalogue import not_recording
from linkwright.costing.prices import Rates, priced, totals
from linkwright.planning.document import line_document, number
from linkwright.planning.plan import LinePlan, outside
from linkwright.products.job import ChainJob, Choice, Rod
from linkwright.route import Settled, Step, place_names
from linkwright.works import Line, MachineRecord, Works


@dataclass(frozen=True)
class Tried:
    """A choice of rod and heat treatment that was tried, its verdict and what failed."""

    choice: Choice
    verdict: str
    failing: str


@dataclass(frozen=True, kw_only=True)
class SettledLine:
    """One line of the order, settled; ``tried`` where the usual choice failed."""

    line: Line
    job: ChainJob
    settled: Settled
    machines: Mapping[str, MachineRecord]
    choice: Choice | None = None
    tried: tuple[Tried, ...] = ()

    @property
    def steps(self) -> Mapping[str, Step]:
        """The nominal steps by place."""
        return self.settled.steps


@dataclass(frozen=True, kw_only=True)
class PlannedLine(SettledLine):
    """One line of the order with its plan."""

    plan: LinePlan


def planned_document(planned: PlannedLine, works: Works) -> dict[str, Any]:
    """A line of plan.json but for the nearest thing that would work."""
    return {**settled_document(planned, works), **line_document(planned.plan)}


def failing(steps: Mapping[str, Step]) -> str:
    """The findings that are outside, in a sentence; empty if none is."""
    names = place_names(steps)
    return "; ".join(
        f"{found.subject} {float(found.value):.4g} at {names[key]}" for key, found in outside(steps)
    )


def _rates(line: SettledLine, works: Works) -> Rates:
    tariff = works.tariff
    steps = {key: key.split("/", 1)[1] for key in line.steps}
    return Rates(
        machine_EUR_per_h={
            key: number(line.machines[operation].price_EUR_per_h)
            for key, operation in steps.items()
        },
        machines={key: line.machines[operation].count for key, operation in steps.items()},
        electricity_EUR_per_kWh=number(tariff.electricity_EUR_per_kWh) if tariff else None,
        water_EUR_per_m3=number(tariff.water_EUR_per_m3) if tariff else None,
        steel_EUR_per_kg={
            key: number(line.job.steels[branch].price_EUR_per_kg)
            for key, branch in ((key, key.split("/", 1)[0]) for key in steps)
            if branch in line.job.steels
        },
        carbon_kg_per_kWh=number(tariff.carbon_kg_per_kWh) if tariff else None,
        ammonia_EUR_per_kg=number(tariff.ammonia_EUR_per_kg) if tariff else None,
        cotters_EUR_per_kg={
            key: number(line.machines[operation].rate.get("cotter_price_EUR_per_kg"))
            for key, operation in steps.items()
        },
    )


def settled_document(planned: SettledLine, works: Works) -> dict[str, Any]:
    """What is known of a line once it is settled: all but steps, chances and derivation."""
    line = planned.line
    rates = _rates(planned, works)
    rows = priced({key: step.use for key, step in planned.steps.items()}, rates)
    return {
        "id": line.id,
        "product": line.product,
        "not_for_lifting": planned.job.not_for_lifting,
        "treatment": planned.job.treatment,
        "standard": line.standard,
        "grade": line.grade,
        "chain_type": line.chain_type,
        "size": line.size,
        "size_mm": number(line.size_mm),
        "length_m": number(planned.job.length_m if line.length_m is None else line.length_m),
        "pitches": number(planned.job.pitches),
        "steel": _steel(planned.job.rod),
        "steels": [{"branch": branch, **_steel(rod)} for branch, rod in planned.job.steels.items()],
        "tried": [
            {
                "steel": one.choice.rod,
                "treatment": one.choice.treatment,
                "verdict": one.verdict,
                "failing": one.failing,
            }
            for one in planned.tried
        ],
        "totals": totals(rows, rates),
        "prices": [
            {
                "step": row.step,
                "what": row.what,
                "amount": row.amount,
                "rate_EUR": row.rate_EUR,
                "price_EUR": row.price_EUR,
            }
            for row in rows
        ],
        "inspection": _inspection(planned),
        "drive": _drive(line, works),
    }


def _drive(line: Line, works: Works) -> dict[str, Any] | None:
    """The choice behind a line that was a duty: its best rows, as `linkwright drive` gives them."""
    if line.drive is None:
        return None
    from linkwright.services.drive_choice import choose_drive  # noqa: PLC0415 - heavy, on use

    with not_recording():
        told = choose_drive(line.drive, wear=works.wear).to_dict()
    return {key: told[key] for key in told if key not in {"derivation", "schema_version"}}


def _steel(rod: Rod) -> dict[str, Any]:
    return {
        "name": rod.name,
        "grade": rod.grade,
        "heat": rod.heat,
        "analysis_kind": rod.analysis_kind,
        "analysis": {key: number(rod.analysis[key]) for key in rod.analysis},
    }


def _inspection(planned: SettledLine) -> dict[str, Any]:
    return {
        "lots": number(planned.job.lots),
        "open": list(planned.job.open),
        "clauses": [
            {"subject": clause.subject, "text": clause.text, "source": clause.source,
             "basis": clause.basis}
            for clause in planned.job.clauses.values()
        ],
        "requirements": [
            {
                "subject": need.subject,
                "least": number(need.least),
                "greatest": number(need.greatest),
                "pieces": number(need.pieces),
                "how": need.how,
                "source": need.source,
            }
            for need in planned.job.requirements
        ],
    }  # fmt: skip
