"""Calibrating: chain is pulled to the proof force, which proves it and sets its pitch."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import as_it_comes, chosen, solved_for
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.link_strength import (
    calibrated_pitch,
    force_ratio,
    link_set,
    link_strength,
    pitch_before_set,
    set_percent,
)
from linkwright.processes.models.use import energy_of_time, working_time
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Operation,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock
from linkwright.standards.en818_2 import ChainRequirement

_SAME_STRENGTH = 1e-4

SET = Factor(
    "factor/calibrating/set",
    1.0,
    0.15,
    "works' own factor on the set after the proof force, not yet learned: stated band 15 %",
    "measure ten links before and after the calibrator",
)


class Calibrating(Operation):
    """The force is the standard's and a margin; the pitch that must come in is solved."""

    name = "calibrating"
    scatter = (
        Scatter(
            "lot/chain/calibrating/force_kN",
            0.4,
            "force measuring of the calibrator: common practice, no source",
        ),
    )
    factors = (SET,)

    def __init__(self, proof: ChainRequirement) -> None:
        self.proof = proof

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A link whose pitch is shorter by the set, of the strength that is wanted."""
        before = pitch_before_set(
            pitch_mm=wanted["pitch_mm"],
            proof_force_kN=self._force(machine),
            set_factor=factors.factor(SET.name),
            **_link(_coming(wanted, near), machine),
        )
        return {MAIN: {**wanted, "pitch_mm": before}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Force, dwell and links a stroke."""
        force = solved_for(
            "force_kN",
            "the standard's manufacturing proof force and the works' margin",
            lambda: self._force(machine),
            machine,
            given,
            inputs={
                "proof_force_kN": self.proof.least,
                "margin_percent": machine.held["proof_margin_percent"],
            },
            check="load cell in calibration; record of every stroke",
            tolerance=0.5,
        )
        links = chosen("links_per_stroke_count", machine, given, check="counter")
        dwell = chosen("dwell_s", machine, given, check="record of every stroke", tolerance=0.5)
        return SetUp((force, links, dwell), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Set and pitch after the stroke; proof force against what the link can bear."""
        chain = stocks[MAIN]
        force = factors.actual("lot/chain/calibrating/force_kN", settings["force_kN"])
        link = {**_link(chain, machine), "pitch_mm": chain["pitch_mm"]}
        strength = link_strength(**link)
        lengthened = link_set(proof_force_kN=force, set_factor=factors.factor(SET.name), **link)
        pitch = calibrated_pitch(pitch_mm=chain["pitch_mm"], permanent_set_mm=lengthened)
        hours = working_time(
            pieces=chain["links"],
            pieces_per_minute=machine.held["links_per_min"],
            machines=machine.many,
        )
        return Step(
            (
                Finding("proof_force_kN", force, self.proof.least, None, self.proof.source),
                Finding("permanent_set_mm", lengthened),
                Finding("set_percent", set_percent(permanent_set_mm=lengthened,
                                                   pitch_mm=chain["pitch_mm"])),
                Finding("pitch_before_mm", chain["pitch_mm"]),
                Finding("force_over_breaking_ratio",
                        force_ratio(force_kN=force, breaking_force_kN=strength.breaking_force_kN),
                        None, machine.held["greatest_force_ratio"], "held by the works"),
            ),
            chain.changed(shape={"pitch_mm": pitch}),
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(
                    machine_time_h=hours, power_kW=machine.rate["connected_power_kW"]
                ),
            },
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _force(self, machine: Machine) -> Any:
        if "force_kN" in machine.held:
            return machine.held["force_kN"]
        return with_margin(
            limit=self.proof.least, margin_percent=machine.held["proof_margin_percent"]
        )


def _coming(wanted: Wanted, near: Stock | None) -> dict[str, Any]:
    """Size and strength of the link that comes in, as asked for where a setting is solved."""
    sizes = ("wire_diameter_mm", "outer_width_mm")
    coming = {name: as_it_comes(name, wanted, near) for name in sizes}
    return {**coming, "tensile_strength_MPa": _strength(wanted, near)}


def _strength(wanted: Wanted, near: Stock | None) -> Any:
    """The strength that comes in, where a given temper misses the one asked for."""
    asked = wanted["tensile_strength_MPa"]
    if near is None or "hardness_HV" not in near:
        return asked
    real = near["tensile_strength_MPa"]
    return asked if abs(float(real) / float(asked) - 1.0) < _SAME_STRENGTH else real


def _link(source: Any, machine: Machine) -> dict[str, Any]:
    """Size and flow curve of the link, from what is wanted or from the chain that came."""
    return {
        "wire_diameter_mm": source["wire_diameter_mm"],
        "outer_width_mm": source["outer_width_mm"],
        "tensile_strength_MPa": source["tensile_strength_MPa"],
        "hardening_exponent": machine.held["hardening_exponent"],
        "prestrain": machine.held["yield_offset_strain"],
        "friction_coefficient": machine.held["friction_coefficient"],
    }


_CAUTIONS = (
    Caution(
        "A chain that breaks under the proof force flies like shot",
        "calibrator closed over its whole length and its switch tried before start; nobody in line",
    ),
    Caution(
        "Chain that has been to the proof force must not be heated again",
        "no weld, repair or heat after this card without a new heat treatment and proof",
    ),
)
