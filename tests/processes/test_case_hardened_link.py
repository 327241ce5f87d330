"""Why hoist chain of the types DAT and DT has no route: an 8 mm link out of the gas line.

The line is that of the demo, the link taken as a round bar of its wire. The figures stand in
docs/models/heat.md.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from linkwright.catalogue import not_recording, sourced
from linkwright.processes.case_hardening import CaseHardening
from linkwright.processes.models.link_strength import link_set, link_strength
from linkwright.route import MAIN, Conditions, Stock
from linkwright.standards.chain_requirements import chain_standard
from linkwright.works import demo_works

WIRE, PITCH, OUTER_WIDTH = 8.0, 24.0, 26.4
LINE = demo_works().machines_for("case_hardening")[0]
STEELS = {
    "16MnCr5": {"C_percent": 0.16, "Si_percent": 0.25, "Mn_percent": 1.15, "Cr_percent": 0.95,
                "Ni_percent": 0.10, "Mo_percent": 0.02},
    "20NiCrMo2-2": {"C_percent": 0.20, "Si_percent": 0.25, "Mn_percent": 0.80, "Cr_percent": 0.50,
                    "Ni_percent": 0.55, "Mo_percent": 0.20},
}  # fmt: skip
"""Invented heats of two case-hardening steels."""


def _needs(chain_type: str) -> Any:
    return chain_standard("EN 818-7", "T", chain_type).requirements(WIRE)


def _middle(chain_type: str) -> float:
    depth = _needs(chain_type)["case_depth_mm"]
    return float((depth.least + depth.greatest) / 2.0)


@cache
def _hardened(steel: str, chain_type: str) -> dict[str, float]:
    """Depth, surface and core strength with the case in the middle of what the type allows."""
    work = CaseHardening("pin")
    bar = Stock("pin", steel, {"diameter_mm": WIRE, "pin_length_mm": 4 * WIRE},
                dict(STEELS[steel]), {"pieces": 1000.0, "steel_kg": 20.0})  # fmt: skip
    wanted = {"case_depth_mm": sourced("case_depth_mm", _middle(chain_type), "file", "test")}
    conditions = Conditions({one.name: one for one in work.scatter},
                            {one.name: one for one in work.factors}, {})  # fmt: skip
    with not_recording():
        settings = work.set_up({MAIN: bar}, wanted, LINE, conditions, {})
        step = work.run({MAIN: bar}, settings, LINE, conditions)
    names = ("case_depth_mm", "surface_hardness_HV", "core_tensile_strength_MPa")
    return {name: float(step.finding(name).value) for name in names}


def _force_of_core(steel: str, chain_type: str) -> float:
    """Breaking force in kN of the core alone: the link without its case."""
    found = _hardened(steel, chain_type)
    off = 2.0 * found["case_depth_mm"]
    return float(
        link_strength(
            wire_diameter_mm=WIRE - off,
            pitch_mm=PITCH + off,
            outer_width_mm=OUTER_WIDTH - off,
            tensile_strength_MPa=found["core_tensile_strength_MPa"],
        ).breaking_force_kN
    )


@pytest.mark.parametrize("chain_type", ["DAT", "DT"])
@pytest.mark.parametrize("steel", STEELS)
def test_depth_and_hardness_are_within_reach(steel: str, chain_type: str) -> None:
    """Not for these two is the chain refused."""
    needs, found = _needs(chain_type), _hardened(steel, chain_type)
    depth = needs["case_depth_mm"]
    assert depth.least < found["case_depth_mm"] < depth.greatest
    assert found["surface_hardness_HV"] > needs["surface_hardness_HV"].least + 150.0


@pytest.mark.parametrize(
    ("steel", "chain_type", "force"),
    [
        ("16MnCr5", "DAT", 76.4),
        ("16MnCr5", "DT", 72.7),
        ("20NiCrMo2-2", "DAT", 82.0),
        ("20NiCrMo2-2", "DT", 78.1),
    ],
)
def test_the_core_alone_hardly_bears_the_breaking_force(
    steel: str, chain_type: str, force: float
) -> None:
    """Three of four miss it; the fourth is nearer to it than the doubt of the model, 3 %."""
    found, least = _force_of_core(steel, chain_type), _needs(chain_type)["breaking_force_kN"].least
    assert found == pytest.approx(force, abs=0.15)
    assert found < 1.03 * least
    assert (found < least) == ((steel, chain_type) != ("20NiCrMo2-2", "DAT"))


@pytest.mark.parametrize("steel", STEELS)
def test_the_proof_force_stretches_the_link_and_its_case_with_it(steel: str) -> None:
    """Taken as of the core's strength throughout, the link keeps a set of about one per cent."""
    found = link_set(
        wire_diameter_mm=WIRE,
        pitch_mm=PITCH,
        outer_width_mm=OUTER_WIDTH,
        tensile_strength_MPa=_hardened(steel, "DAT")["core_tensile_strength_MPa"],
        proof_force_kN=_needs("DAT")["proof_force_kN"].least,
    )
    assert 0.7 < 100.0 * float(found) / PITCH < 1.2
