"""Furnace hardening: chain soaks above Ac3 in a furnace and falls into a tank of water."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.materials.transformation import andrews_martensite_start
from linkwright.mechanics.quench_severity import heat_transfer_of_severity
from linkwright.processes.austenitised import Structure, soak_findings, structure_after
from linkwright.processes.choosing import chosen
from linkwright.processes.furnace_charge import (
    FURNACE_CAUTIONS,
    charge_findings,
    charge_use,
    heating_arguments,
    throughput,
    time_settings,
)
from linkwright.processes.models.furnace_heat import furnace_heating, tank_cooling
from linkwright.processes.models.furnace_sums import tank_temperature_rise, throughput_heat
from linkwright.processes.models.line_heat import POSITIONS, section_mean
from linkwright.processes.models.quench_sums import least_of
from linkwright.processes.models.quenching import quench_water_flow
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

_SIZES = ("wire_diameter_mm", "pitch_mm", "outer_width_mm")
_BATH = Factor(
    "factor/furnace_hardening/heat_transfer",
    1.0,
    0.30,
    "works' own factor on the bath's severity by Grossmann, not yet learned: stated band 30 %",
    "quench 6 instrumented bars in the tank, with and without a charge around them",
)


class FurnaceHardening(Operation):
    """Temperature and soak are held; the time in the furnace is solved for the soak."""

    name = "furnace_hardening"
    heats = True
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

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A closed link of the same sizes: there is no pull on hot chain in a furnace."""
        return {MAIN: {name: wanted[name] for name in _SIZES}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The link as it came."""
        return stocks[MAIN].changed("chain")

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
        return SetUp((aim, *times, water, transfer, bath), {"machine": machine.name})

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
        made = structure_after(link, heated, cooled.cooling_rate_K_per_s)
        condition = {**made.shares._asdict(), **made.hardness._asdict()}
        condition["austenitising_parameter_degC"] = made.parameter_degC
        return Step(
            (
                *soak_findings(link, heated, machine),
                *charge_findings(heated, settings["temperature_degC"], settings, machine),
                *_quench_findings(link, cooled, made, machine),
                *_tank_findings(cooled, settings, machine),
            ),
            link.changed("chain", condition=condition),
            use=charge_use(link, settings["temperature_degC"], settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _curves(made.mixed_HV, cooled),
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
        )


def _quench_findings(
    link: Stock, cooled: Any, made: Structure, machine: Machine
) -> tuple[Finding, ...]:
    return (
        Finding(
            "bath_entry_temperature_degC",
            cooled.bath_entry_temperature_degC,
            machine.held["least_entry_temperature_degC"],
            None,
            "held by the works: coldest place where the water begins",
        ),
        Finding("slowest_cooling_rate_K_per_s", cooled.slowest_cooling_rate_K_per_s),
        Finding(
            "straight_centre_cooling_rate_K_per_s", cooled.straight_centre_cooling_rate_K_per_s
        ),
        Finding(
            "least_martensite_fraction",
            least_of(values=made.shares.martensite_fraction),
            machine.held["least_martensite_fraction"],
            None,
            "held by the works: least share at the slowest place of a link",
        ),
        Finding("quenched_hardness_HV", section_mean(values=made.mixed_HV, zone="straight")),
        Finding("quenched_contact_hardness_HV", section_mean(values=made.mixed_HV, zone="contact")),
        Finding(
            "bath_exit_temperature_degC",
            cooled.bath_exit_temperature_degC,
            None,
            andrews_martensite_start(**link.elements("C", "Mn", "Ni", "Cr", "Mo")),
            "martensite start of the analysis, Andrews 1965",
        ),
    )


def _tank_findings(cooled: Any, settings: SetUp, machine: Machine) -> tuple[Finding, ...]:
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
            "tank_temperature_rise_K",
            rise,
            None,
            machine.held["greatest_tank_temperature_rise_K"],
            "held by the works: one load into the tank without cooling",
        ),
        Finding("water_flow_for_bath_l_per_min", flow, note="to hold the tank's temperature"),
    )


def _curves(mixed: Any, cooled: Any) -> dict[str, Any]:
    return {
        "radius_ratio": list(POSITIONS),
        "straight_HV": mixed[0],
        "crown_HV": mixed[1],
        "contact_HV": mixed[2],
        "straight_rate_K_per_s": cooled.cooling_rate_K_per_s[0],
        "contact_rate_K_per_s": cooled.cooling_rate_K_per_s[2],
    }


_CAUTIONS = (
    *FURNACE_CAUTIONS,
    Caution(
        "Steam and scalding drops where a hot charge meets water",
        "hood closed, extraction running, level and temperature of the tank read before the drop",
    ),
)
