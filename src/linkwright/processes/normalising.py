"""Normalising: chain soaks above Ac3 in a furnace and cools in air; its steel sets the strength."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.catalogue import not_recording
from linkwright.processes.austenitised import furnace_soaked, soak_findings, structure_after
from linkwright.processes.choosing import chosen
from linkwright.processes.furnace_charge import (
    FURNACE_CAUTIONS,
    charge_findings,
    charge_use,
    heating_arguments,
    time_settings,
)
from linkwright.processes.heat_operation import HeatOperation
from linkwright.processes.models.air_cooling import air_cooling
from linkwright.processes.models.furnace_heat import furnace_heating, heating_course
from linkwright.processes.models.line_heat import ZONES
from linkwright.processes.models.quench_sums import softest_of, zone_value
from linkwright.processes.models.works_factor import corrected_hardness
from linkwright.processes.tempered_strength import STRENGTH, hardness_findings, strength_of
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

_FLOW = ("hardening_exponent", "yield_offset_strain")
_AIR = Factor(
    "factor/normalising/heat_transfer",
    1.0,
    0.30,
    "works' own factor on the heat that chain gives to air, not yet learned: stated band 30 %",
    "record the cooling of 6 links with thermocouples, at the edge and in the middle of a charge",
)
_HARDNESS = Factor(
    "factor/normalising/hardness",
    1.0,
    0.05,
    "works' own factor on hardness after cooling in air (Creusot-Loire), not yet learned: stated "
    "band 5 %",
    "measure ten hardnesses on links of three heats",
)


class Normalising(HeatOperation):
    """The strength is what analysis and cooling give; a miss of the one asked for is a finding."""

    name = "normalising"
    heats = True
    card = (
        "temperature_degC", "soak_time_min", "time_in_furnace_min", "charge_kg", "charge_layout",
        "thermocouples", "air_speed_m_per_s",
    )  # fmt: skip
    scatter = (
        Scatter(
            "lot/chain/normalising/temperature_degC",
            5.0,
            "evenness and control of the furnace: common practice, no source",
        ),
        Scatter(
            "lot/chain/normalising/air_temperature_degC",
            6.0,
            "shop over a year's shifts: common practice, no source",
        ),
        Scatter(
            "link/chain/normalising/cooling_ratio",
            0.15,
            "link to link, edge and middle of a charge: common practice, no source",
            relative=True,
        ),
    )
    factors = (_AIR, _HARDNESS, STRENGTH)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Temperature, soak and air as held; time in the furnace for the soak."""
        aim = chosen(
            "temperature_degC",
            machine,
            given,
            check="thermocouple of each zone, recorded",
            tolerance=10.0,
        )
        charge = heating_arguments(stocks[MAIN], machine)
        times = time_settings(furnace_heating, aim.value, charge, machine, given)
        speed = chosen(
            "air_speed_m_per_s",
            machine,
            given,
            check="fan stage; anemometer at set-up",
            tolerance=0.3,
        )
        asked = wanted.get("tensile_strength_MPa")
        prepared = {"machine": machine.name, "tensile_strength_MPa": asked}
        return SetUp((aim, *times, speed), prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Austenite at the coldest place, cooling in air, structure, hardness and strength."""
        link = stocks[MAIN]
        charge = {
            "furnace_temperature_degC": factors.actual(
                "lot/chain/normalising/temperature_degC", settings["temperature_degC"]
            ),
            "time_in_furnace_min": settings["time_in_furnace_min"],
            **heating_arguments(link, machine),
        }
        heated = furnace_heating(**charge)
        cooled = self._cooled(link, settings, machine, factors)
        soaked = furnace_soaked(heated)
        made = structure_after(link, soaked, cooled.cooling_rate_K_per_s)
        zones = tuple(
            corrected_hardness(
                hardness_HV=zone_value(values=made.mixed_HV, zone=zone),
                factor=factors.factor(_HARDNESS.name),
            )
            for zone in ZONES
        )
        softest = softest_of(first_HV=zones[0], second_HV=zones[1])
        strength = strength_of(softest, factors)
        condition = {
            **{name: machine.held[name] for name in _FLOW if name in machine.held},
            "tensile_strength_MPa": strength,
            "hardness_HV": softest,
        }
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
                *_cooling_findings(cooled, made.shares, machine),
                *hardness_findings(zones, softest, strength, machine, **_asked(settings)),
            ),
            link.changed("chain", condition=condition),
            use=charge_use(link, settings["temperature_degC"], settings, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _curves(charge),
        )

    def _cooled(self, link: Stock, settings: SetUp, machine: Machine, factors: Conditions) -> Any:
        factor = factors.actual(
            "link/chain/normalising/cooling_ratio", factors.factor(_AIR.name), least=0.05
        )
        return air_cooling(
            wire_diameter_mm=link["lot_wire_diameter_mm"],
            exposed_share=machine.held["cooling_exposed_share"],
            contact_share=machine.held["contact_share"],
            air_temperature_degC=factors.actual(
                "lot/chain/normalising/air_temperature_degC",
                machine.held["air_temperature_degC"],
            ),
            air_speed_m_per_s=settings["air_speed_m_per_s"],
            coefficient_factor=factor,
        )


def _cooling_findings(cooled: Any, shares: Any, machine: Machine) -> tuple[Finding, ...]:
    return (
        Finding("straight_cooling_rate_K_per_s", cooled.straight_cooling_rate_K_per_s),
        Finding("contact_cooling_rate_K_per_s", cooled.contact_cooling_rate_K_per_s),
        Finding("biot", cooled.biot, None, machine.held["greatest_biot_number"], "even section"),
        Finding(
            "ferrite_pearlite_fraction",
            zone_value(values=shares.ferrite_pearlite_fraction, zone="straight"),
            machine.held["least_ferrite_pearlite_fraction"],
            None,
            "held by the works: normalised chain is ferrite and pearlite, not bainite",
        ),
    )


def _asked(settings: SetUp) -> dict[str, Any]:
    return {
        "least": settings.prepared["tensile_strength_MPa"],
        "source": "asked by the breaking force aimed at, margin of the works included",
        "note": "set by analysis and cooling; the standard's own limit is judged at inspection",
    }


def _curves(charge: Mapping[str, Any]) -> dict[str, Any]:
    with not_recording():
        names = {name: float(value) for name, value in charge.items() if name != "soak_band_K"}
        return dict(heating_course(**names))


_CAUTIONS = (
    *FURNACE_CAUTIONS,
    Caution(
        "Hot chain cools in the open shop for half an hour and turns black long before it is cold",
        "cooling place fenced and marked hot; nothing that burns near by",
    ),
)
