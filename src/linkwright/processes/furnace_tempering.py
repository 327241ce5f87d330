"""Furnace tempering: quenched chain is held in a furnace until it is as soft as it must be."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.processes.choosing import chosen
from linkwright.processes.furnace_charge import (
    FURNACE_CAUTIONS,
    belt_settings,
    charge_findings,
    charge_setting,
    charge_use,
    heating_arguments,
)
from linkwright.processes.heat_operation import HeatOperation
from linkwright.processes.models.furnace_heat import furnace_temper, heating_course
from linkwright.processes.models.quench_sums import softest_of
from linkwright.processes.temper_judged import embrittlement_findings, equivalent_findings
from linkwright.processes.temper_setting import (
    change_per_kelvin,
    lower_critical,
    temper_for_strength,
)
from linkwright.processes.tempered_strength import (
    STRENGTH,
    hardness_findings,
    strength_of,
    tempered_zones,
    zones_at_link,
)
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_KINETICS = Factor(
    "factor/furnace_tempering/hardness",
    1.0,
    0.05,
    "works' own factor on hardness after a furnace temper, not yet learned: stated band 5 %; three "
    "published regressions lie up to 18 % off their mean",
    "temper 6 lengths at three temperatures and measure ten hardnesses each",
)


class FurnaceTempering(HeatOperation):
    """Furnace temperature solved for the hardness that the breaking force needs."""

    name = "furnace_tempering"
    heats = True
    card = (
        "temperature_degC", "time_in_furnace_min", "charge_kg", "charge_layout", "thermocouples",
        "cooling_after_temper",
    )  # fmt: skip
    scatter = (
        Scatter(
            "lot/chain/furnace_tempering/temperature_degC",
            3.0,
            "evenness and control of the furnace: common practice, no source",
        ),
        Scatter(
            "link/chain/furnace_tempering/temperature_K",
            4.0,
            "link to link, place in the charge: common practice, no source",
        ),
    )
    factors = (_KINETICS, STRENGTH)

    def __init__(self, least_temper: Mapping[str, Any] | None = None, source: str = "") -> None:
        """``least_temper``: temperature and time of the standard's least temper, if it is held."""
        self.least_temper = least_temper or {}
        self.source = source

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Time in the furnace as held; temperature for the strength wanted."""
        chain = stocks[MAIN]
        time = chosen(
            "time_in_furnace_min", machine, given, check="clock, each charge", tolerance=2.0
        )
        charge = {"time_in_furnace_min": time.value, **heating_arguments(chain, machine)}
        temperature = temper_for_strength(
            lambda trial: self._strength(chain, charge, trial, factors),
            wanted["tensile_strength_MPa"],
            chain,
            machine,
            given,
            {**charge, **wanted},
            "thermocouple of each zone, recorded; hardness of two links of each charge",
        )
        slope = change_per_kelvin(
            lambda trial: self._softest(chain, charge, trial, factors), temperature.value
        )
        settings = (
            temperature,
            time,
            charge_setting(machine, given),
            *belt_settings(time, machine, given),
        )
        return SetUp(settings, {"machine": machine.name, "hardness_per_K": slope})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Temper of the zones, hardness and strength, the least temper of the standard."""
        chain = stocks[MAIN]
        charge = {
            "furnace_temperature_degC": factors.actual(
                "lot/chain/furnace_tempering/temperature_degC", settings["temperature_degC"]
            ),
            "time_in_furnace_min": settings["time_in_furnace_min"],
            **heating_arguments(chain, machine),
        }
        soak = furnace_temper(**charge)
        zones = tempered_zones(chain, soak.parameter_K, factors.factor(_KINETICS.name))
        off = factors.actual("link/chain/furnace_tempering/temperature_K", 0.0)
        zones = zones_at_link(zones, off, settings.prepared["hardness_per_K"], factors)
        softest = softest_of(first_HV=zones[0], second_HV=zones[1])
        strength = strength_of(softest, factors)
        return Step(
            (
                *self._temper_findings(chain, soak, machine),
                *charge_findings(soak, settings["temperature_degC"], settings, machine),
                *hardness_findings(zones, softest, strength, machine),
            ),
            chain.changed(
                condition={
                    "tensile_strength_MPa": strength,
                    "hardness_HV": softest,
                    "tempering_temperature_degC": settings["temperature_degC"],
                }
            ),
            use=charge_use(chain, settings["temperature_degC"], settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _curves(charge),
        )

    def _strength(
        self, chain: Stock, charge: Mapping[str, Any], temperatures: np.ndarray, factors: Conditions
    ) -> np.ndarray:
        """Strength over trial temperatures."""
        soft = self._softest(chain, charge, temperatures, factors)
        return np.asarray(strength_of(soft, factors))

    def _softest(
        self, chain: Stock, charge: Mapping[str, Any], temperatures: np.ndarray, factors: Conditions
    ) -> np.ndarray:
        soak = furnace_temper(furnace_temperature_degC=temperatures, **charge)
        kinetics = factors.factor(_KINETICS.name)
        zones = tempered_zones(chain, soak.parameter_K, kinetics)
        return np.asarray(softest_of(first_HV=zones[0], second_HV=zones[1]))

    def _temper_findings(self, chain: Stock, soak: Any, machine: Machine) -> tuple[Finding, ...]:
        return (
            Finding(
                "temper_temperature_degC",
                soak.straight_temperature_degC,
                None,
                lower_critical(chain),
                "Ac1 of the analysis, Andrews 1965: above it the chain hardens again",
            ),
            *equivalent_findings(soak, self.least_temper, self.source),
            *embrittlement_findings(
                chain,
                soak.straight_temperature_degC,
                soak.soak_time_min,
                machine.held["exposed_share"],
                machine,
            ),
        )


def _curves(charge: Mapping[str, Any]) -> dict[str, Any]:
    with not_recording():
        names = {name: float(value) for name, value in charge.items() if name != "soak_band_K"}
        return dict(heating_course(**names))


_CAUTIONS = (
    *FURNACE_CAUTIONS,
    Caution("Chain at 500 °C looks cold", "charge marked hot; never judge by colour"),
)
