"""Tempering: a second coil and a soak bring the quenched chain down to the hardness wanted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.materials.hardness_scales import tensile_strength_from_hardness
from linkwright.materials.tempering import hollomon_jaffe_temperature, tempered_hardness
from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.line_setting import coil_arguments, current_for
from linkwright.processes.models.line_heat import (
    ZONES,
    coil_field,
    coil_power,
    generator_power,
    section_mean,
    temper_soak,
)
from linkwright.processes.models.quench_sums import (
    equivalent_temperature,
    hardness_at_link,
    over_section,
    softest_of,
    tempered_mixture,
    zone_value,
)
from linkwright.processes.models.use import energy_of_time, running_time
from linkwright.processes.models.works_factor import corrected_hardness, corrected_strength
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Operation,
    Scatter,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock
from linkwright.standards.link_blank import obround_link_blank

_KINETICS = Factor(
    "factor/tempering/hardness",
    1.0,
    0.03,
    "works' own factor on hardness after a temper of seconds, not yet learned: stated band 3 %",
    "temper 6 lengths at three temperatures and measure ten hardnesses each",
)
_STRENGTH = Factor(
    "factor/tempering/strength_of_hardness",
    1.0,
    0.02,
    "works' own factor on tensile strength by hardness (ISO 18265), not yet learned: band 2 %",
    "pull 5 straight bars of known hardness",
)


class Tempering(Operation):
    """Coil current solved for the hardness that the breaking force needs."""

    name = "tempering"
    heats = True
    scatter = (
        Scatter(
            "lot/chain/tempering/coil_current_A",
            0.006,
            "generator and pyrometer: common practice, no source",
            relative=True,
        ),
        Scatter(
            "link/chain/tempering/temperature_K",
            4.0,
            "link to link, place in the coil: common practice, no source",
        ),
    )
    factors = (_KINETICS, _STRENGTH)

    def __init__(self, least_temper: Mapping[str, Any] | None = None, source: str = "") -> None:
        """``least_temper``: temperature and time of the standard's least temper, if it is held."""
        self.least_temper = least_temper
        self.source = source

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Quenched chain of the same sizes; its hardness is what the quench gives."""
        sizes = ("wire_diameter_mm", "pitch_mm", "outer_width_mm")
        return {MAIN: {name: wanted[name] for name in sizes}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The chain as it came, with the strength wanted taken as met."""
        strength = wanted["tensile_strength_MPa"]
        return stocks[MAIN].changed(condition={"tensile_strength_MPa": strength})

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Current for the strength wanted, or for the temperature that the order gives."""
        chain = stocks[MAIN]
        coil = self._coil(chain, machine)
        current = self._current(chain, wanted, machine, factors, given)
        field = coil_field(
            coil_current_A=current.value,
            turns=machine.held["turns"],
            coil_length_mm=machine.held["coil_length_mm"],
        )
        exit_degC, slope = self._about(chain, field, coil, factors)
        temperature = solved_for(
            "temperature_degC",
            f"pyrometer at the exit of the coil, at {float(current.value):.0f} A",
            lambda: exit_degC,
            machine,
            given,
            inputs={"coil_field_kA_per_m": field},
            check="pyrometer, continuous; hardness of two links each hour",
            tolerance=8.0,
        )
        soak = chosen(
            "soak_length_mm", machine, given, check="mark on the channel, at set-up", tolerance=20.0
        )
        prepared = {"machine": machine.name, "hardness_per_K": slope}
        return SetUp((temperature, current, soak), prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Temper of the zones, hardness and strength, the least temper of the standard."""
        chain = stocks[MAIN]
        amps = factors.actual("lot/chain/tempering/coil_current_A", settings["coil_current_A"])
        field = coil_field(
            coil_current_A=amps,
            turns=machine.held["turns"],
            coil_length_mm=machine.held["coil_length_mm"],
        )
        soak = temper_soak(coil_field_kA_per_m=field, **self._coil(chain, machine))
        zones, strength = self._strength(chain, soak, factors)
        softest = softest_of(first_HV=zones[0], second_HV=zones[1])
        off = factors.actual("link/chain/tempering/temperature_K", 0.0)
        if factors.draws:
            slope = settings.prepared["hardness_per_K"]
            zones = tuple(
                hardness_at_link(
                    hardness_HV=zone, hardness_per_K=slope, temperature_difference_K=off
                )
                for zone in zones
            )
            softest = softest_of(first_HV=zones[0], second_HV=zones[1])
            strength = _strength_of(softest, factors)
        stock = chain.changed(condition={"tensile_strength_MPa": strength, "hardness_HV": softest})
        hours = running_time(length_m=chain["length_m"], speed_m_per_s=chain["line_speed_m_per_s"])
        generator = self._generator(chain, soak, machine)
        return Step(
            self._findings(soak, zones, softest, strength, generator, machine),
            stock,
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(machine_time_h=hours, power_kW=generator),
            },
            cautions=_CAUTIONS,
        )

    def _current(
        self,
        chain: Stock,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Setting:
        """Coil current for the temperature that the order gives, else for the strength."""
        coil = self._coil(chain, machine)

        def heated(field: np.ndarray) -> np.ndarray:
            soak = temper_soak(coil_field_kA_per_m=field, **coil)
            return np.asarray(soak.straight_temperature_degC)

        def softened(field: np.ndarray) -> np.ndarray:
            # strength falls as the temper rises; the search wants a rising result
            soak = temper_soak(coil_field_kA_per_m=field, **coil)
            return -np.asarray(self._strength(for_trials(chain), soak, factors)[1])

        if "temperature_degC" in given:
            target, reached = given["temperature_degC"], heated
            aim = f"{float(target):g} °C"
        else:
            target, reached = -wanted["tensile_strength_MPa"], softened
            aim = f"a tensile strength of {-float(target):.0f} MPa"
        return solved_for(
            "coil_current_A",
            aim,
            # a third round: the strength that comes out is what the pitch is asked back with
            lambda: current_for(float(target), reached, machine, aim, rounds=3),
            machine,
            given,
            inputs={**coil, **wanted, **given},
            check="generator display, each quarter hour",
            tolerance=15.0,
        )

    def _coil(self, chain: Stock, machine: Machine) -> dict[str, Any]:
        return {
            **coil_arguments(chain, machine, {"line_speed_m_per_s": chain["line_speed_m_per_s"]}),
            "soak_length_mm": machine.held["soak_length_mm"],
            "start_temperature_degC": machine.held["start_temperature_degC"],
        }

    def _strength(
        self, chain: Stock, soak: Any, factors: Conditions
    ) -> tuple[tuple[Any, ...], Any]:
        """Hardness of the three zones and the strength of the softer of straight and crown."""
        hard = tempered_hardness(
            parameter_K=over_section(values=soak.parameter_K),
            quenched_martensite_HV=chain["martensite_HV"],
            quenched_bainite_HV=chain["bainite_HV"],
            **chain.elements("C", "Si", "Mn", "Ni", "Cr", "Mo"),
        )
        mixture = tempered_mixture(
            martensite_fraction=chain["martensite_fraction"],
            bainite_fraction=chain["bainite_fraction"],
            ferrite_pearlite_fraction=chain["ferrite_pearlite_fraction"],
            tempered_martensite_HV=hard.martensite_HV,
            tempered_bainite_HV=hard.bainite_HV,
            ferrite_pearlite_HV=chain["ferrite_pearlite_HV"],
        )
        factor = factors.factor(_KINETICS.name)
        zones = tuple(
            corrected_hardness(hardness_HV=section_mean(values=mixture, zone=zone), factor=factor)
            for zone in ZONES
        )
        return zones, _strength_of(softest_of(first_HV=zones[0], second_HV=zones[1]), factors)

    def _about(
        self, chain: Stock, field: Any, coil: Mapping[str, Any], factors: Conditions
    ) -> tuple[float, float]:
        """Exit temperature at the setting, and change of hardness with it, HV/K."""
        with not_recording():
            near = np.array([0.995, 1.0, 1.005]) * float(field)
            soak = temper_soak(coil_field_kA_per_m=near, **coil)
            hardness = self._strength(for_trials(chain), soak, factors)[0][0]
            exits = np.asarray(soak.straight_temperature_degC)
        return float(exits[1]), float((hardness[2] - hardness[0]) / (exits[2] - exits[0]))

    def _generator(self, chain: Stock, soak: Any, machine: Machine) -> Any:
        blank = obround_link_blank(
            wire_diameter_mm=chain["wire_diameter_mm"],
            pitch_mm=chain["pitch_mm"],
            outer_width_mm=chain["outer_width_mm"],
        )
        power = coil_power(
            heat_kJ_per_kg=soak.heat_kJ_per_kg,
            mass_per_length_kg_per_m=blank.mass_per_length_kg_per_m,
            line_speed_m_per_s=chain["line_speed_m_per_s"],
        )
        return generator_power(
            metal_power_kW=power,
            coil_efficiency=machine.held["coil_efficiency"],
            generator_efficiency=machine.held["generator_efficiency"],
        )

    def _findings(
        self, soak: Any, zones: Any, softest: Any, strength: Any, generator: Any, machine: Machine
    ) -> tuple[Finding, ...]:
        least = self.least_temper or {}
        held = {"time_h": least["time_h"]} if least else {}
        return (
            Finding("temper_temperature_degC", soak.straight_temperature_degC),
            Finding("temper_time_s", soak.temper_time_s, note="coil and soak"),
            Finding(
                "one_hour_equivalent_degC",
                hollomon_jaffe_temperature(
                    parameter=zone_value(values=soak.hollomon_jaffe, zone="straight"), **held
                ),
                least.get("temperature_degC"),
                None,
                self.source,
                "Hollomon and Jaffe, constant 20",
            ),
            Finding(
                "one_hour_equivalent_creusot_loire_degC",
                equivalent_temperature(parameter_K=soak.parameter_K, zone="straight"),
                least.get("temperature_degC"),
                None,
                self.source,
                "Maynier, Jungmann and Dollet, the law used for hardness",
            ),
            Finding("straight_hardness_HV", zones[0]),
            Finding("crown_hardness_HV", zones[1]),
            Finding("contact_hardness_HV", zones[2]),
            Finding(
                "hardness_HV",
                softest,
                machine.held["least_hardness_HV"],
                machine.held["greatest_hardness_HV"],
                "band held by the works",
            ),
            Finding("tensile_strength_MPa", strength, note="ISO 18265 by hardness"),
            Finding(
                "generator_power_kW",
                generator,
                None,
                machine.limits("generator_power_kW")[1],
                f"range of {machine.name}",
            ),
        )


def _strength_of(hardness: Any, factors: Conditions) -> Any:
    return corrected_strength(
        tensile_strength_MPa=tensile_strength_from_hardness(hardness_HV=hardness),
        factor=factors.factor(_STRENGTH.name),
    )


def for_trials(chain: Stock) -> Stock:
    """The nominal chain with section arrays that leave a last axis for a solver's trials."""
    arrays = {
        name: np.asarray(value)[..., None]
        for name, value in chain.condition.items()
        if np.ndim(value) == len(("zone", "position")) and name != "section_temperature_degC"
    }
    return chain.changed(condition=arrays)


_CAUTIONS = (
    Caution(
        "Strong magnetic field at the coil",
        "nobody with a heart pacemaker or metal implant inside the marked line",
    ),
    Caution("Chain at 500 °C looks cold", "hot-zone guards closed; never judge by colour"),
)
