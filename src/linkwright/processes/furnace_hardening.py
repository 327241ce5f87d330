"""Furnace hardening: chain soaks above Ac3 in a furnace and falls into a tank of water."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.mechanics.quench_severity import heat_transfer_of_severity
from linkwright.processes.austenitised import (
    furnace_soaked,
    martensite_start,
    quench_findings,
    quenched_condition,
    soak_findings,
    structure_after,
)
from linkwright.processes.choosing import chosen
from linkwright.processes.furnace_charge import (
    FURNACE_CAUTIONS,
    charge_findings,
    charge_use,
    heating_arguments,
    throughput,
    time_settings,
)
from linkwright.processes.heat_operation import HeatOperation
from linkwright.processes.models.furnace_heat import furnace_heating, tank_cooling
from linkwright.processes.models.furnace_sums import tank_temperature_rise, throughput_heat
from linkwright.processes.models.quenching import quench_water_flow
from linkwright.processes.quenching import section_curves
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

_BATH = Factor(
    "factor/furnace_hardening/heat_transfer",
    1.0,
    0.30,
    "works' own factor on the bath's severity by Grossmann, not yet learned: stated band 30 %",
    "quench 6 instrumented bars in the tank, with and without a charge around them",
)


class FurnaceHardening(HeatOperation):
    """Temperature and soak are held; the time in the furnace is solved for the soak."""

    name = "furnace_hardening"
    heats = True
    card = (
        "temperature_degC", "soak_time_min", "time_in_furnace_min", "charge_kg", "charge_layout",
        "thermocouples", "water_temperature_degC", "transfer_time_s", "time_in_bath_s",
        "bath_agitation",
    )  # fmt: skip
    scatter = (
        Scatter(
            "lot/chain/furnace_hardening/temperature_degC",
            5.0,
            "evenness and control of the furnace: common practice, no source",
        ),
        Scatter(
            "lot/chain/furnace_hardening/water_temperature_degC",
            3.0,
            "tank over a shift: common practice, no source",
        ),
    )
    factors = (_BATH,)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Temperature, soak and water as held; time in the furnace for the soak."""
        aim = chosen(
            "temperature_degC",
            machine,
            given,
            check="thermocouple of each zone, recorded",
            tolerance=10.0,
        )
        charge = heating_arguments(stocks[MAIN], machine)
        times = time_settings(furnace_heating, aim.value, charge, machine, given)
        water = chosen(
            "water_temperature_degC", machine, given, check="thermometer, each hour", tolerance=5.0
        )
        transfer = chosen(
            "transfer_time_s",
            machine,
            given,
            check="stop watch, furnace door to water",
            tolerance=2.0,
        )
        bath = chosen("time_in_bath_s", machine, given, check="clock", tolerance=10.0)
        start = martensite_start(stocks[MAIN])
        prepared = {"machine": machine.name, "martensite_start_degC": start}
        return SetUp((aim, *times, water, transfer, bath), prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Austenite at the coldest place, cooling rates in the tank, structure and hardness."""
        link = stocks[MAIN]
        temperature = factors.actual(
            "lot/chain/furnace_hardening/temperature_degC", settings["temperature_degC"]
        )
        heated = furnace_heating(
            furnace_temperature_degC=temperature,
            time_in_furnace_min=settings["time_in_furnace_min"],
            **heating_arguments(link, machine),
        )
        cooled = self._cooled(link, heated, settings, machine, factors)
        soaked = furnace_soaked(heated)
        made = structure_after(link, soaked, cooled.cooling_rate_K_per_s)
        condition = quenched_condition(made)
        condition["austenitising_parameter_degC"] = soaked
        return Step(
            (
                *soak_findings(
                    link,
                    heated,
                    heated.straight_temperature_degC,
                    heated.austenitising_time_s,
                    machine,
                ),
                *charge_findings(heated, settings["temperature_degC"], settings, machine),
                *quench_findings(link, cooled.bath_entry_temperature_degC, cooled, made, machine),
                *_tank_findings(link, cooled, settings, machine),
            ),
            link.changed("chain", condition=condition),
            use=charge_use(link, settings["temperature_degC"], settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else section_curves(made, cooled),
        )

    def _cooled(
        self, link: Stock, heated: Any, settings: SetUp, machine: Machine, factors: Conditions
    ) -> Any:
        return tank_cooling(
            section_temperature_degC=heated.section_temperature_degC,
            wire_diameter_mm=link["lot_wire_diameter_mm"],
            transfer_time_s=settings["transfer_time_s"],
            time_in_bath_s=settings["time_in_bath_s"],
            heat_transfer_W_per_m2K=heat_transfer_of_severity(
                H_per_in=machine.held["severity_per_in"]
            ),
            water_temperature_degC=factors.actual(
                "lot/chain/furnace_hardening/water_temperature_degC",
                settings["water_temperature_degC"],
                least=5.0,
            ),
            coefficient_factor=factors.factor(_BATH.name),
            crown_share=machine.held["crown_share"],
            contact_share=machine.held["bath_contact_share"],
            martensite_start_temperature_degC=settings.prepared["martensite_start_degC"],
        )


def _tank_findings(
    link: Stock, cooled: Any, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    rise = tank_temperature_rise(
        charge_kg=machine.held["quench_load_kg"],
        heat_kJ_per_kg=cooled.heat_to_water_kJ_per_kg,
        tank_volume_m3=machine.held["tank_volume_m3"],
    )
    load = throughput_heat(
        heat_kJ_per_kg=cooled.heat_to_water_kJ_per_kg,
        throughput_kg_per_h=throughput(settings, machine),
    )
    flow = quench_water_flow(
        heat_load_kW=load, water_temperature_rise_K=machine.held["water_temperature_rise_K"]
    )
    return (
        Finding(
            "bath_exit_temperature_degC",
            cooled.bath_exit_temperature_degC,
            None,
            martensite_start(link),
            "martensite start of the analysis, Andrews 1965",
        ),
        Finding(
            "tank_temperature_rise_K",
            rise,
            None,
            machine.held["greatest_tank_temperature_rise_K"],
            "held by the works: one load into the tank without cooling",
        ),
        Finding("water_flow_for_bath_l_per_min", flow, note="to hold the tank's temperature"),
    )


_CAUTIONS = (
    *FURNACE_CAUTIONS,
    Caution(
        "Steam and scalding drops where a hot charge meets water",
        "hood closed, extraction running, level and temperature of the tank read before the drop",
    ),
)
