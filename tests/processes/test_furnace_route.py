"""Furnace routes from welded chain to inspection, planned with the works' other machines."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from processes.furnace_stock import ENSEMBLE, bare_entries, closed_link, conditions, furnace

from linkwright.catalogue import sourced
from linkwright.planning.plan import Job, LinePlan, plan_line
from linkwright.processes.calibrating import Calibrating
from linkwright.processes.furnace_hardening import FurnaceHardening
from linkwright.processes.furnace_tempering import FurnaceTempering
from linkwright.processes.marking import Marking
from linkwright.processes.normalising import Normalising
from linkwright.route import MAIN, Operation, Place, Requirement, Route
from linkwright.standards.chain_requirements import chain_standard
from linkwright.works import demo_works

STRENGTHS = {"EN 818-2": 1200.0, "EN 818-3": 480.0}


def planned(standard: str, grade: str, steel: str, heat: list[Operation]) -> LinePlan:
    """Plan welded 8 mm chain through the heat treatment, calibrating and marking."""
    chain = chain_standard(standard, grade)
    works = demo_works()

    def prepare() -> Job:
        needs = chain.requirements(8.0)
        mark = needs["mark_spacing_mm"]
        finish: list[Operation] = [
            Calibrating(needs["proof_force_kN"]), Marking(mark.greatest, mark.source),
        ]  # fmt: skip
        places: list[Place] = []
        for operation in (*heat, *finish):
            machine: Any = (
                furnace(operation.name)
                if operation in heat
                else works.machines_for(operation.name)[0]
            )
            feeds: Mapping[str, str] = {MAIN: places[-1].key} if places else {}
            places.append(Place(operation, "chain", machine, feeds))
        link = closed_link(steel)
        route = Route(tuple(places), {places[0].key: link})
        strength = Requirement("tensile_strength_MPa", STRENGTHS[standard] * 0.9, None, 1.0, "test")
        asked = sourced("tensile_strength_MPa", STRENGTHS[standard], "file", "order made by hand")
        wanted = {
            "pitch_mm": needs["pitch_mm"].nominal,
            "wire_diameter_mm": link["wire_diameter_mm"],
            "outer_width_mm": link["outer_width_mm"],
            "tensile_strength_MPa": asked,
        }
        return Job(route, wanted, [strength], conditions(*heat, *finish), {})

    return plan_line(prepare, ENSEMBLE)


@pytest.mark.parametrize(
    ("standard", "grade", "steel", "heat"),
    [
        ("EN 818-2", "8", "23MnNiCrMo5-2", [FurnaceHardening(), FurnaceTempering()]),
        ("EN 818-3", "4", "21Mn5", [Normalising()]),
    ],
)
def test_the_route_settles_and_its_members_run(
    standard: str, grade: str, steel: str, heat: list[Operation]
) -> None:
    """Settings agree, every lot runs to the end, and the heat treatment decides the strength."""
    plan = planned(standard, grade, steel, heat)
    last = plan.steps["chain/marking"].stock
    assert last["tensile_strength_MPa"] >= STRENGTHS[standard] * (1.0 - 1e-4)
    assert 0.0 <= plan.chance.chance <= 1.0
    assert bare_entries(plan.derivation) == []
