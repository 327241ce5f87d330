"""Quenching: hot chain runs into a ring of water and becomes martensite."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.austenitised import (
    Structure,
    martensite_start,
    quench_findings,
    quenched_condition,
    structure_after,
)
from linkwright.processes.choosing import chosen
from linkwright.processes.heat_operation import HeatOperation
from linkwright.processes.line_setting import reading_setting, scrap_reading
from linkwright.processes.models.line_heat import POSITIONS, coil_power, dwell_time, ring_cooling
from linkwright.processes.models.line_stop import stopped_length
from linkwright.processes.models.quenching import quench_water_flow, ring_impingement_density
from linkwright.processes.models.use import energy_of_time, running_time, water_of_time
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
from linkwright.standards.link_blank import obround_link_blank

_DELAY_BAND = 0.1
_TRANSFER = Factor(
    "factor/quenching/heat_transfer",
    1.0,
    0.30,
    "works' own factor on the spray law, not yet learned: stated band 30 %; no transferable law",
    "quench 10 instrumented bars in the ring at two flows",
)


class Quenching(HeatOperation):
    """Water flow and temperature are held; what they give is judged at the slowest place."""

    name = "quenching"
    card = (
        "water_flow_l_per_min", "water_temperature_degC", "gap_length_mm", "quench_delay_s",
        "ring", "ring_filter", "stop_scrap_links",
    )  # fmt: skip
    scatter = (
        Scatter(
            "lot/chain/quenching/water_flow_l_per_min",
            0.05,
            "filter and pump: common practice, no source",
            relative=True,
        ),
        Scatter(
            "lot/chain/quenching/water_temperature_degC",
            2.0,
            "bath over a shift: common practice, no source",
        ),
    )
    factors = (_TRANSFER,)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Flow, water temperature and the gap after the coil, as the works holds them."""
        flow = chosen(
            "water_flow_l_per_min", machine, given, check="flow meter, continuous", tolerance=10.0
        )
        water = chosen(
            "water_temperature_degC", machine, given, check="thermometer, each hour", tolerance=4.0
        )
        gap = chosen(
            "gap_length_mm", machine, given, check="scale, coil to ring, at set-up", tolerance=5.0
        )
        chain = stocks[MAIN]
        delay = dwell_time(length_mm=gap.value, speed_m_per_s=chain["line_speed_m_per_s"])
        shown = reading_setting(
            "quench_delay_s",
            delay.time_s,
            "from coil to water at this speed",
            check="scale and line drive, at set-up",
            tolerance=_DELAY_BAND * float(delay.time_s),
        )
        spoilt = stopped_length(
            coil_length_mm=chain["hot_length_mm"],
            following_length_mm=gap.value,
            ring_length_mm=machine.held["ring_length_mm"],
        )
        # one Ms for the tables of the steel: lots differ by a few kelvin, far below 700 °C
        prepared = {"machine": machine.name, "martensite_start_degC": martensite_start(chain)}
        return SetUp((flow, water, gap, shown, scrap_reading(chain, spoilt)), prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Cooling rates of the zones, structure and hardness that follow from them."""
        chain = stocks[MAIN]
        cooled = self._cooled(chain, settings, machine, factors)
        made = structure_after(
            chain, chain["austenitising_parameter_degC"], cooled.cooling_rate_K_per_s
        )
        hours = running_time(length_m=chain["length_m"], speed_m_per_s=chain["line_speed_m_per_s"])
        return Step(
            (
                *quench_findings(chain, cooled.ring_entry_temperature_degC, cooled, made, machine),
                *self._findings(chain, cooled, settings, machine),
            ),
            chain.changed(condition=quenched_condition(made)),
            use={
                "machine_time_h": hours,
                "water_m3": water_of_time(
                    machine_time_h=hours, flow_l_per_min=settings["water_flow_l_per_min"]
                ),
                "electricity_kWh": energy_of_time(
                    machine_time_h=hours, power_kW=machine.rate["connected_power_kW"]
                ),
            },
            cautions=_CAUTIONS,
            curves={} if factors.draws else section_curves(made, cooled),
        )

    def _cooled(self, chain: Stock, settings: SetUp, machine: Machine, factors: Conditions) -> Any:
        density = ring_impingement_density(
            water_flow_l_per_min=factors.actual(
                "lot/chain/quenching/water_flow_l_per_min", settings["water_flow_l_per_min"]
            ),
            ring_length_mm=machine.held["ring_length_mm"],
            envelope_diameter_mm=machine.held["envelope_diameter_mm"],
            hitting_share=machine.held["hitting_share"],
        )
        return ring_cooling(
            section_temperature_degC=chain["section_temperature_degC"],
            wire_diameter_mm=chain["lot_wire_diameter_mm"],
            line_speed_m_per_s=chain["line_speed_m_per_s"],
            gap_length_mm=settings["gap_length_mm"],
            ring_length_mm=machine.held["ring_length_mm"],
            impingement_density_kg_per_m2s=density,
            water_temperature_degC=factors.actual(
                "lot/chain/quenching/water_temperature_degC",
                settings["water_temperature_degC"],
                least=5.0,
            ),
            coefficient_factor=factors.factor(_TRANSFER.name),
            crown_share=machine.held["crown_share"],
            contact_share=machine.held["contact_share"],
            martensite_start_temperature_degC=settings.prepared["martensite_start_degC"],
        )

    def _findings(
        self, chain: Stock, cooled: Any, settings: SetUp, machine: Machine
    ) -> tuple[Finding, ...]:
        load = coil_power(
            heat_kJ_per_kg=cooled.heat_to_water_kJ_per_kg,
            mass_per_length_kg_per_m=obround_link_blank(
                wire_diameter_mm=chain["wire_diameter_mm"],
                pitch_mm=chain["pitch_mm"],
                outer_width_mm=chain["outer_width_mm"],
            ).mass_per_length_kg_per_m,
            line_speed_m_per_s=chain["line_speed_m_per_s"],
        )
        needed = quench_water_flow(
            heat_load_kW=load, water_temperature_rise_K=machine.held["water_temperature_rise_K"]
        )
        return (
            Finding(
                "ring_exit_temperature_degC",
                cooled.ring_exit_temperature_degC,
                None,
                martensite_start(chain),
                "martensite start of the analysis, Andrews 1965",
            ),
            Finding(
                "water_flow_for_bath_l_per_min",
                needed,
                None,
                settings["water_flow_l_per_min"],
                "flow through the ring: what carries the heat away",
                "to hold the rise of the bath that the works allows",
            ),
        )


def section_curves(made: Structure, cooled: Any) -> dict[str, Any]:
    """Hardness and cooling rate over the section, for a picture."""
    return {
        "radius_ratio": list(POSITIONS),
        "straight_HV": made.mixed_HV[0],
        "crown_HV": made.mixed_HV[1],
        "contact_HV": made.mixed_HV[2],
        "straight_rate_K_per_s": cooled.cooling_rate_K_per_s[0],
        "contact_rate_K_per_s": cooled.cooling_rate_K_per_s[2],
    }


_CAUTIONS = (
    Caution(
        "Steam and scalding drops where hot chain meets water, most at the start",
        "hood closed and extraction running before the chain enters",
    ),
    Caution("Slippery floor, live coil near by", "drains open, drip trays in place"),
)
