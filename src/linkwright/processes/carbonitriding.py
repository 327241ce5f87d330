"""Carbonitriding of pins, bushings and rollers: carbon and nitrogen from gas, oil, a low temper.

The gas has ammonia in it from the start of boost to the quench. Cooler and shorter than
carburising, for thin cases on lean steel: nitrogen hardens deeper and leaves more austenite.
Times and second potential are solved for the case that carbon and nitrogen give together.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, ClassVar

from linkwright.processes.case_findings import BATH, ammonia_use, nitrogen_findings
from linkwright.processes.case_hardening import CaseHardening
from linkwright.processes.choosing import chosen, held_of
from linkwright.processes.models.carbonitriding import nitrogen_of_ammonia
from linkwright.processes.models.case_hardening import HardenedCase
from linkwright.processes.tempered_strength import STRENGTH
from linkwright.route import (
    FOLLOWS,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Scatter,
    Setting,
    SetUp,
    Wanted,
)
from linkwright.route.stock import Stock

_BATH = replace(BATH, name="factor/carbonitriding/heat_transfer")
_NITROGEN = Factor(
    "factor/carbonitriding/nitrogen",
    1.0,
    0.25,
    "works' own factor on the carbon that an atom of nitrogen counts for, not yet learned: "
    "stated band 25 %",
    "retained austenite by X-rays and carbon and nitrogen of turned steps on five coupons of "
    "three ammonia shares",
)
_FACTOR = "nitrogen_factor"


class Carbonitriding(CaseHardening):
    """Gas with ammonia, oil and low temper for one kind of part."""

    name = "carbonitriding"
    card: ClassVar[tuple[str, ...]] = (
        "temperature_degC", "boost_potential_percent", "ammonia_percent",
        "nitrogen_potential_percent", "boost_time_h", "diffuse_potential_percent",
        "diffuse_time_h", "hold_temperature_degC", "hold_time_min", "bath_temperature_degC",
        "time_in_bath_s", "temper_temperature_degC", "temper_time_min", "load_mass_kg",
        "end_protection", "water_in_oil_test", "purging", "ammonia_shut_off",
    )  # fmt: skip
    scatter = (
        Scatter("lot/pin/carbonitriding/temperature_degC", 4.0,
                "evenness and control of the furnace: common practice, no source"),
        Scatter("lot/pin/carbonitriding/boost_potential_percent", 0.02,
                "control of the gas: common practice, no source"),
        Scatter("lot/pin/carbonitriding/nitrogen_potential_percent", 0.03,
                "flow of the ammonia and how much of it cracks: common practice, no source"),
        Scatter("link/pin/carbonitriding/case_depth_mm", 0.03,
                "place in the load, 3 %: common practice, no source", relative=True),
    )  # fmt: skip
    factors: ClassVar[tuple[Factor, ...]] = (_BATH, _NITROGEN, STRENGTH)
    bath: ClassVar[Factor] = _BATH
    moved: ClassVar[Mapping[str, float]] = MappingProxyType(
        {
            "temperature_degC": 4.0,
            "boost_potential_percent": 0.02,
            "nitrogen_potential_percent": 0.02,
            _FACTOR: 0.1,
        }
    )
    cautions: ClassVar[tuple[Caution, ...]] = (
        Caution(
            "Ammonia is poisonous, burns eyes and lungs, and explodes with air",
            "gas alarm and eye shower tried each shift, breathing set outside the door, bottles "
            "or tank outdoors; copper and brass nowhere in its pipes; local codes come first",
        ),
        Caution(
            "Ammonia or carburising gas let into a furnace below 750 °C explodes",
            "interlock shuts both off below 750 °C, tried each start; ammonia off and purged out "
            "before a door opens and before maintenance",
        ),
        *CaseHardening.cautions,
    )

    def _held_settings(
        self, part: Stock, wanted: Wanted, machine: Machine, given: Mapping[str, Any]
    ) -> tuple[Setting, ...]:
        """Those of case hardening, and the ammonia with the nitrogen that follows from it."""
        first, second, *rest = super()._held_settings(part, wanted, machine, given)
        ammonia = chosen(
            "ammonia_percent", machine, given, check="flow meters of ammonia and of all gas, each "
            "load", tolerance=0.3,
        )  # fmt: skip
        potential = nitrogen_of_ammonia(
            ammonia_percent=ammonia.value,
            **{name: machine.held[name] for name in
               ("foil_ammonia_percent", "foil_nitrogen_percent")},
        )  # fmt: skip
        follows = Setting(
            "nitrogen_potential_percent", potential, FOLLOWS, "the works' foil at its own share",
            tolerance=0.05, check="nitrogen of a foil, each week and after each change of gas",
        )  # fmt: skip
        return (first, second, ammonia, follows, *rest)

    def _made(self, settings: Mapping[str, Any], factors: Conditions) -> dict[str, Any]:
        """The settings, and what an atom of nitrogen counts for."""
        return {**settings, _FACTOR: factors.factor(_NITROGEN.name)}

    def _beside_carbon(self, made: Mapping[str, Any], machine: Machine) -> dict[str, Any]:
        """Nitrogen, as arguments of programme and case."""
        return {
            "nitrogen_potential_percent": made["nitrogen_potential_percent"],
            **held_of(machine, "nitrogen_transfer_m_per_s"),
            _FACTOR: made[_FACTOR],
        }

    def _own_findings(
        self, case: HardenedCase, settings: SetUp, machine: Machine
    ) -> tuple[Finding, ...]:
        return nitrogen_findings(case, machine)

    def _own_use(self, part: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
        return {"ammonia_kg": ammonia_use(part, settings, machine)}
