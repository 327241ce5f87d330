"""Case hardening of whole links: welded chain carburised in gas and quenched in oil.

As the case of pins, with the case depth of the chain's standard; the temper is a step of its own
(`case_tempering`), because it is chosen for what the case must bear.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording, sourced
from linkwright.processes.case_findings import Limits
from linkwright.processes.case_hardening import CaseHardening
from linkwright.processes.models.case_hardening import HardenedCase, case_course
from linkwright.processes.models.cased_link import middle_depth
from linkwright.route import MAIN, Conditions, Finding, Machine, Scatter, SetUp, Stocks, Wanted
from linkwright.route.stock import Stock
from linkwright.standards.requirement import ChainRequirement

_COURSE = "carbon, quench and hardness over the depth, as for the findings of this step"


class LinkCaseHardening(CaseHardening):
    """Gas and oil for chain; the programme is solved for the middle of the standard's depth."""

    name = "link_case_hardening"
    part = "chain"
    tempers = False
    card = (
        "temperature_degC", "boost_potential_percent", "boost_time_h",
        "diffuse_potential_percent", "diffuse_time_h", "hold_temperature_degC", "hold_time_min",
        "bath_temperature_degC", "time_in_bath_s", "load_mass_kg", "load_layout", "coupon",
        "water_in_oil_test", "purging",
    )  # fmt: skip
    scatter = (
        Scatter("lot/chain/link_case_hardening/temperature_degC", 4.0,
                "evenness and control of the furnace: common practice, no source"),
        Scatter("lot/chain/link_case_hardening/boost_potential_percent", 0.02,
                "control of the gas: common practice, no source"),
        Scatter("link/chain/link_case_hardening/case_depth_mm", 0.04,
                "place in the load and shade of its neighbours, 4 %: common practice, no source",
                relative=True),
    )  # fmt: skip

    def __init__(self, depth: ChainRequirement) -> None:
        """``depth`` are the standard's limits of the case depth."""
        super().__init__()
        self.depth = depth

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The chain, grown."""
        return self._grown(stocks[MAIN], machine).changed("chain")

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """As for other parts, for the middle of the standard's limits."""
        aim = middle_depth(
            least_case_depth_mm=self.depth.least, greatest_case_depth_mm=self.depth.greatest
        )
        return super().set_up(stocks, {**wanted, "case_depth_mm": aim}, machine, factors, given)

    def _depth_limits(self, settings: SetUp, machine: Machine) -> Limits:
        return Limits(self.depth.least, self.depth.greatest, self.depth.source)

    def _own_findings(
        self, case: HardenedCase, settings: SetUp, machine: Machine
    ) -> tuple[Finding, ...]:
        """What the heat does to the size of the chain."""
        return (
            Finding("growth_percent", machine.held["growth_percent"],
                    note="of pitch and wire, as the works found it; links that hang crooked in the "
                    "heat are drawn straight by the proof force"),
        )  # fmt: skip

    def _profile(self, arguments: Mapping[str, Any]) -> Mapping[str, Any]:
        """Depth and hardness over the section, which the temper turns into strength."""
        with not_recording():
            course = case_course(dict(arguments))
        names = {"profile_depth_mm": "case_depth_below_mm", "profile_HV": "case_hardness_HV"}
        return {
            name: sourced(name, np.asarray(course[field], float), "table", _COURSE)
            for name, field in names.items()
        }
