"""Hardening: the chain runs through an induction coil until it is austenite throughout."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.catalogue import not_recording
from linkwright.materials.austenite_decomposition import austenitising_parameter
from linkwright.materials.transformation import andrews_ac3
from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.line_setting import coil_arguments, current_for
from linkwright.processes.models.induction import coil_efficiency_long_solenoid
from linkwright.processes.models.line_heat import (
    coil_exit,
    coil_field,
    coil_power,
    dwell_time,
    generator_power,
)
from linkwright.processes.models.link_geometry import stretched_pitch, unstretched_pitch
from linkwright.processes.models.use import energy_of_time, running_time
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

_STRETCH = Factor(
    "factor/hardening/hot_stretch_percent",
    0.25,
    0.30,
    "works' own figure: stretch of pitch under the line pull in the coil; stated band 30 %",
    "measure ten pitches before and after the line, three line pulls",
)


class Hardening(Operation):
    """Coil current solved for the straight's temperature; judged on coldest and hottest."""

    name = "hardening"
    heats = True
    scatter = (
        Scatter(
            "lot/chain/hardening/coil_current_A",
            0.006,
            "generator and pyrometer: common practice, no source",
            relative=True,
        ),
        Scatter(
            "lot/chain/hardening/line_speed_m_per_s",
            0.004,
            "line drive: common practice, no source",
            relative=True,
        ),
    )
    factors = (_STRETCH,)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A closed link whose pitch is shorter by the hot stretch."""
        before = unstretched_pitch(
            pitch_mm=wanted["pitch_mm"], stretch_percent=factors.factor(_STRETCH.name)
        )
        kept = ("wire_diameter_mm", "outer_width_mm")
        return {MAIN: {"pitch_mm": before, **{name: wanted[name] for name in kept}}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The stretched link; temperatures change no other size."""
        return self._stretched(stocks[MAIN], factors)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Current for the aim temperature of the straight, at the speed that the works holds."""
        link = stocks[MAIN]
        aim = chosen(
            "temperature_degC", machine, given, check="pyrometer, continuous", tolerance=10.0
        )
        speed = chosen("line_speed_m_per_s", machine, given, check="line drive, each hour")
        coil = coil_arguments(link, machine, {"line_speed_m_per_s": speed.value})
        current = solved_for(
            "coil_current_A",
            "the aim temperature of the straight at the exit of the coil",
            lambda: current_for(
                aim.value,
                lambda field: (
                    coil_exit(coil_field_kA_per_m=field, **coil).straight_temperature_degC
                ),
                machine,
                f"{float(aim.value):g} °C",
            ),
            machine,
            given,
            inputs={"temperature_degC": aim.value, **coil},
            check="generator display, each quarter hour",
            tolerance=15.0,
        )
        return SetUp((aim, current, speed), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Temperatures of the zones, power, soak, and the stretched link at austenite heat."""
        link = stocks[MAIN]
        speed = factors.actual(
            "lot/chain/hardening/line_speed_m_per_s", settings["line_speed_m_per_s"]
        )
        amps = factors.actual("lot/chain/hardening/coil_current_A", settings["coil_current_A"])
        field = coil_field(
            coil_current_A=amps,
            turns=machine.held["turns"],
            coil_length_mm=machine.held["coil_length_mm"],
        )
        coil = coil_arguments(link, machine, {"line_speed_m_per_s": speed})
        heated = coil_exit(coil_field_kA_per_m=field, **coil)
        upper = andrews_ac3(**link.elements("C", "Mn", "Si", "Ni", "Cr", "Mo"))
        soaked = austenitising_parameter(
            temperature_degC=heated.coldest_temperature_degC,
            time_h=dwell_time(length_mm=machine.held["soak_length_mm"], speed_m_per_s=speed),
        )
        stock = self._stretched(link, factors).changed(
            condition={
                "section_temperature_degC": heated.section_temperature_degC,
                "line_speed_m_per_s": speed,
                "austenitising_parameter_degC": soaked.parameter_degC,
            },
        )
        power, generator = self._power(heated, settings, stock, machine)
        hours = running_time(
            length_m=link["length_m"], speed_m_per_s=settings["line_speed_m_per_s"]
        )
        return Step(
            _findings(heated, upper, soaked, power, generator, machine),
            stock,
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(machine_time_h=hours, power_kW=generator),
            },
            cautions=_CAUTIONS,
            curves={} if factors.draws else _curves(heated),
        )

    def _stretched(self, link: Stock, factors: Conditions) -> Stock:
        pitch = stretched_pitch(
            pitch_mm=link["pitch_mm"], stretch_percent=factors.factor(_STRETCH.name)
        )
        return link.changed("chain", shape={"pitch_mm": pitch})

    def _power(
        self, heated: Any, settings: SetUp, chain: Stock, machine: Machine
    ) -> tuple[Any, Any]:
        blank = obround_link_blank(
            wire_diameter_mm=chain["wire_diameter_mm"],
            pitch_mm=chain["pitch_mm"],
            outer_width_mm=chain["outer_width_mm"],
        )
        power = coil_power(
            heat_kJ_per_kg=heated.heat_kJ_per_kg,
            mass_per_length_kg_per_m=blank.mass_per_length_kg_per_m,
            line_speed_m_per_s=settings["line_speed_m_per_s"],
        )
        efficiency = coil_efficiency_long_solenoid(
            coil_diameter_mm=machine.held["coil_inner_diameter_mm"],
            bar_diameter_mm=chain["lot_wire_diameter_mm"],
            bar_resistivity_microohm_m=machine.held["hot_resistivity_microohm_m"],
        )
        generator = generator_power(
            metal_power_kW=power,
            coil_efficiency=efficiency,
            generator_efficiency=machine.held["generator_efficiency"],
        )
        return power, generator


def _findings(
    heated: Any, upper: Any, soaked: Any, power: Any, generator: Any, machine: Machine
) -> tuple[Finding, ...]:
    return (
        Finding(
            "coldest_temperature_degC",
            heated.coldest_temperature_degC,
            upper,
            None,
            "Ac3 of the analysis, Andrews 1965",
        ),
        Finding(
            "hottest_temperature_degC",
            heated.hottest_temperature_degC,
            None,
            machine.held["greatest_temperature_degC"],
            "held by the works against coarse grain",
        ),
        Finding("straight_temperature_degC", heated.straight_temperature_degC),
        Finding("crown_temperature_degC", heated.crown_temperature_degC),
        Finding("contact_temperature_degC", heated.contact_temperature_degC),
        Finding("time_in_coil_s", heated.time_in_coil_s),
        Finding(
            "austenitising_parameter_degC",
            soaked.parameter_degC,
            note="temperature that austenitises as far in one hour",
        ),
        Finding("metal_power_kW", power),
        Finding(
            "generator_power_kW",
            generator,
            None,
            machine.limits("generator_power_kW")[1],
            f"range of {machine.name}",
        ),
    )


def _curves(heated: Any) -> dict[str, Any]:
    with not_recording():
        section = heated.section_temperature_degC
        return {
            "radius_ratio": [node / (section.shape[0] - 1) for node in range(section.shape[0])],
            "straight_degC": section[:, 0],
            "crown_degC": section[:, 1],
            "contact_degC": section[:, 2],
        }


_CAUTIONS = (
    Caution(
        "Strong magnetic field at coil and busbars",
        "nobody with a heart pacemaker or metal implant inside the marked line",
    ),
    Caution("Live coil and cooling water", "covers closed, earth-fault protection tried"),
    Caution("Chain at red heat, also when the line stands", "hot-zone guards closed"),
)
