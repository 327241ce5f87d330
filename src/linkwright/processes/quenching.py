"""Quenching: hot chain runs into a ring of water and becomes martensite."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.materials.austenite_decomposition import constituents_after_cooling
from linkwright.materials.structure_hardness import constituent_hardness, mixed_hardness
from linkwright.materials.transformation import andrews_martensite_start
from linkwright.processes.choosing import chosen
from linkwright.processes.models.line_heat import POSITIONS, coil_power, ring_cooling, section_mean
from linkwright.processes.models.quench_sums import least_of, rate_per_hour
from linkwright.processes.models.quenching import quench_water_flow, ring_impingement_density
from linkwright.processes.models.use import energy_of_time, running_time, water_of_time
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
from linkwright.standards.link_blank import obround_link_blank

_TRANSFER = Factor(
    "factor/quenching/heat_transfer",
    1.0,
    0.30,
    "works' own factor on the spray law, not yet learned: stated band 30 %; no transferable law",
    "quench 10 instrumented bars in the ring at two flows",
)


class Quenching(Operation):
    """Water flow and temperature are held; what they give is judged at the slowest place."""

    name = "quenching"
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

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Hot chain of the same sizes."""
        return {MAIN: dict(wanted)}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The chain as it came: the quench changes no size here."""
        return stocks[MAIN]

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
        return SetUp((flow, water, gap), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Cooling rates of the zones, structure and hardness that follow from them."""
        chain = stocks[MAIN]
        cooled = self._cooled(chain, settings, machine, factors)
        rate = rate_per_hour(cooling_rate_K_per_s=cooled.cooling_rate_K_per_s)
        alloy = chain.elements("C", "Mn", "Ni", "Cr", "Mo")
        shares = constituents_after_cooling(
            cooling_rate_K_per_h=rate,
            parameter_degC=chain["austenitising_parameter_degC"],
            **alloy,
        )
        hard = constituent_hardness(
            cooling_rate_martensite_K_per_h=rate, **alloy, **chain.elements("Si")
        )
        mixed = mixed_hardness(
            martensite_fraction=shares.martensite_fraction,
            martensite_HV=hard.martensite_HV,
            bainite_fraction=shares.bainite_fraction,
            bainite_HV=hard.bainite_HV,
            ferrite_pearlite_fraction=shares.ferrite_pearlite_fraction,
            ferrite_pearlite_HV=hard.ferrite_pearlite_HV,
        )
        stock = chain.changed(
            condition={
                "martensite_fraction": shares.martensite_fraction,
                "bainite_fraction": shares.bainite_fraction,
                "ferrite_pearlite_fraction": shares.ferrite_pearlite_fraction,
                "martensite_HV": hard.martensite_HV,
                "bainite_HV": hard.bainite_HV,
                "ferrite_pearlite_HV": hard.ferrite_pearlite_HV,
            }
        )
        hours = running_time(length_m=chain["length_m"], speed_m_per_s=chain["line_speed_m_per_s"])
        return Step(
            self._findings(chain, cooled, shares, mixed, machine),
            stock,
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
            curves={} if factors.draws else _curves(mixed, cooled),
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
        )

    def _findings(
        self, chain: Stock, cooled: Any, shares: Any, mixed: Any, machine: Machine
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
            Finding("slowest_cooling_rate_K_per_s", cooled.slowest_cooling_rate_K_per_s),
            Finding(
                "straight_centre_cooling_rate_K_per_s", cooled.straight_centre_cooling_rate_K_per_s
            ),
            Finding(
                "least_martensite_fraction",
                least_of(values=shares.martensite_fraction),
                machine.held["least_martensite_fraction"],
                None,
                "held by the works: least share at the slowest place of a link",
            ),
            Finding("quenched_hardness_HV", section_mean(values=mixed, zone="straight")),
            Finding("quenched_contact_hardness_HV", section_mean(values=mixed, zone="contact")),
            Finding(
                "ring_exit_temperature_degC",
                cooled.ring_exit_temperature_degC,
                None,
                andrews_martensite_start(**chain.elements("C", "Mn", "Ni", "Cr", "Mo")),
                "martensite start of the analysis, Andrews 1965",
            ),
            Finding("water_flow_for_bath_l_per_min", needed, note="to hold the bath's rise"),
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
    Caution(
        "Steam and scalding drops where hot chain meets water, most at the start",
        "hood closed and extraction running before the chain enters",
    ),
    Caution("Slippery floor, live coil near by", "drains open, drip trays in place"),
)
