"""The routes of welded chain: wire, link, weld, one of the heat treatments, proof, tests.

`treatments_at_hand` names the heat treatments that the standard admits and the works has the
machines for; `welded_places` gives the places of a route.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linkwright.processes.calibrating import Calibrating, CasedCalibrating
from linkwright.processes.case_tempering import CaseTempering
from linkwright.processes.cutting import Cutting
from linkwright.processes.drawing import Drawing
from linkwright.processes.forming import Forming
from linkwright.processes.furnace_hardening import FurnaceHardening
from linkwright.processes.furnace_tempering import FurnaceTempering
from linkwright.processes.hardening import Hardening
from linkwright.processes.inspection import Inspection
from linkwright.processes.link_case_hardening import LinkCaseHardening
from linkwright.processes.marking import Marking
from linkwright.processes.measured_case import MeasuredCase
from linkwright.processes.normalising import Normalising
from linkwright.processes.packing import Packing
from linkwright.processes.quenching import Quenching
from linkwright.processes.receiving import ElementLimit, Receiving
from linkwright.processes.straightening import Straightening
from linkwright.processes.tempering import Tempering
from linkwright.processes.welding import Welding
from linkwright.products.finishes import with_finish
from linkwright.products.job import Rod, machine_of
from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Machine, Operation, Place
from linkwright.standards.chain_requirements import (
    CARBURISE,
    FURNACE,
    INDUCTION,
    NORMALISE,
    ChainStandard,
)
from linkwright.standards.requirement import ChainRequirement

TREATMENTS: Mapping[str, tuple[str, ...]] = {
    INDUCTION: ("hardening", "quenching", "tempering"),
    FURNACE: ("furnace_hardening", "furnace_tempering"),
    NORMALISE: ("normalising",),
    CARBURISE: ("link_case_hardening", "case_tempering"),
}
"""Operations of each heat treatment that is modelled."""


@dataclass(frozen=True)
class _Temper:
    """To what a standard compares the temper; nothing where its figure is not held."""

    least: Mapping[str, Any] | None
    source: str


def treatments_at_hand(
    chain: ChainStandard, machines: Mapping[str, Machine], what: str
) -> list[str]:
    """The heat treatments that the standard admits and the works has the machines for.

    Raises `CannotPlan` naming the machines that are missing, if there is none.
    """
    lacks, found = [], []
    for route in chain.routes:
        missing = [one for one in TREATMENTS[route] if one not in machines]
        if missing:
            lacks.append(f"{route}: {', '.join(missing).replace('_', ' ')}")
        else:
            found.append(route)
    if found:
        return found
    raise CannotPlan(f"the works has no machines to heat-treat {what}: {'; '.join(lacks)}")


def welded_places(
    chain: ChainStandard,
    needs: Mapping[str, ChainRequirement],
    treatment: str,
    machines: Mapping[str, Machine],
    what: str,
    finish: str,
    label: tuple[str, ...],
    rod: Rod,
) -> list[Place]:
    """The places of a route, in the order of work, with those of the finish.

    Chain is packed if the works packs it. label: words that every package carries. A case is made
    before the calibrator, as any heat is: what the proof force strains is the finished link, and a
    soft stretch before would spare it nothing, for the force is the standard's.
    """
    proof = needs["proof_force_kN"]
    if treatment == CARBURISE:
        heat = _case(needs, MeasuredCase.of(rod, what), machine_of(machines, "calibrating", what))
    else:
        heat = _heat(treatment, chain)
    calibrating = CasedCalibrating if treatment == CARBURISE else Calibrating
    operations: list[tuple[str, Operation]] = [
        ("wire", Receiving(_element_limits(chain))),
        ("wire", Drawing()),
        ("wire", Straightening()),
        ("wire", Cutting()),
        ("wire", Forming()),
        ("chain", Welding(needs)),
        *(("chain", one) for one in heat),
        ("chain", calibrating(proof, needs.get("pitch_mm"))),
        ("chain", _marking(chain, needs)),
        ("chain", Inspection(needs)),
        *([("chain", Packing(label=label))] if "packing" in machines else []),
    ]
    places: list[Place] = []
    for branch, operation in with_finish(operations, finish):
        feeds = {MAIN: places[-1].key} if places else {}
        machine = machine_of(machines, operation.name, what)
        places.append(Place(operation, branch, machine, feeds))
    return places


def _marking(chain: ChainStandard, needs: Mapping[str, ChainRequirement]) -> Marking:
    """Marks at the standard's spacing; at the works' own where the standard's is not held."""
    spacing = needs.get("mark_spacing_mm")
    if spacing is None:
        return Marking(None, chain.edition, chain.mark)
    return Marking(spacing.greatest, spacing.source, chain.mark)


def _heat(treatment: str, chain: ChainStandard) -> list[Operation]:
    if treatment == NORMALISE:
        return [Normalising()]
    temper = _temper(chain)
    if treatment == FURNACE:
        return [FurnaceHardening(), FurnaceTempering(temper.least, temper.source)]
    return [Hardening(), Quenching(), Tempering(temper.least, temper.source)]


def _case(
    needs: Mapping[str, ChainRequirement], table: MeasuredCase, proving: Machine
) -> list[Operation]:
    return [
        LinkCaseHardening(needs["case_depth_mm"]),
        CaseTempering(needs["surface_hardness_HV"], needs["proof_force_kN"], table, proving),
    ]


def _temper(chain: ChainStandard) -> _Temper:
    asked = chain.heat_treatment()
    if not asked:
        return _Temper(None, "")
    least = {
        "temperature_degC": asked["tempering_temperature_degC"].least,
        "time_h": asked["tempering_time_h"].least,
    }
    return _Temper(least, asked["tempering_temperature_degC"].source)


def _element_limits(chain: ChainStandard) -> list[ElementLimit]:
    """Limits of single elements in the cast analysis, which is the document that is judged."""
    return [
        ElementLimit(row.element, row.least, row.greatest, f"{row.source} ({row.analysis})")
        for row in chain.material_limits()
        if row.analysis == "cast" and not row.group
    ]
