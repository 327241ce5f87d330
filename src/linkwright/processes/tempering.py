"""Tempering: a second coil and a soak bring the quenched chain down to the hardness wanted."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.heat_operation import HeatOperation
from linkwright.processes.line_setting import (
    FIELD_CAUTION,
    LEAST_FIELD_KA_PER_M,
    coil_arguments,
    coil_field_at,
    coil_settings,
    current_for,
    frequency_setting,
    power_findings,
    power_of,
    power_reading,
    power_use,
    pyrometer_settings,
    scrap_reading,
)
from linkwright.processes.models.line_heat import temper_soak
from linkwright.processes.models.line_stop import stopped_length
from linkwright.processes.models.quench_sums import softest_of
from linkwright.processes.models.short_soak import time_in_minutes
from linkwright.processes.temper_judged import (
    embrittlement_findings,
    equivalent_findings,
    equivalents,
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
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_KINETICS = Factor(
    "factor/tempering/hardness",
    1.0,
    0.03,
    "works' own factor on hardness after a temper of seconds, not yet learned: stated band 3 %",
    "temper 6 lengths at three temperatures and measure ten hardnesses each",
)
_TOUGHNESS = Factor(
    "factor/tempering/toughness",
    1.0,
    0.30,
    "works' own factor: toughness after a temper of seconds over that of an hour's temper to the "
    "same hardness, not yet learned: stated band 30 %; no transferable law",
    "notched bend tests of 6 links tempered in the coil and 6 in a furnace to the same hardness",
)
_CURRENT_CHECK = "generator display, each quarter hour"

_SPARE_K = 0.05
"""Above the least temper, so that what the search leaves open is not judged a miss."""


class Tempering(HeatOperation):
    """Coil current solved for the hardness that the breaking force needs."""

    name = "tempering"
    heats = True
    card = (
        "coil", "coil_inner_diameter_mm", "turns", "temperature_degC", "coil_current_A",
        "frequency_kHz", "generator_power_kW", "soak_length_mm", "pyrometer_emissivity",
        "pyrometer_reading_degC", "stop_scrap_links", "start_stop_rule",
    )  # fmt: skip
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
    factors = (_KINETICS, STRENGTH, _TOUGHNESS)

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
        """Current for the strength wanted, or for the temperature that the order gives."""
        chain = stocks[MAIN]
        frequency = frequency_setting(chain, machine, given)
        soak = chosen(
            "soak_length_mm", machine, given, check="mark on the channel, at set-up", tolerance=20.0
        )
        coil = _coil(chain, machine, frequency.value, soak.value)
        current = self._current(chain, coil, wanted, machine, factors, given)
        field = coil_field_at(current.value, machine)
        heated = temper_soak(coil_field_kA_per_m=field, **coil)
        if not self._hot_enough(heated, given):
            current = self._least_current(coil, machine, given)
            field = coil_field_at(current.value, machine)
            heated = temper_soak(coil_field_kA_per_m=field, **coil)
        temperature = solved_for(
            "temperature_degC",
            f"pyrometer at the exit of the coil, at {float(current.value):.0f} A",
            lambda: float(heated.straight_temperature_degC),
            machine,
            given,
            inputs={"coil_field_kA_per_m": field},
            check="pyrometer, continuous; hardness of two links each hour",
            tolerance=8.0,
        )
        power, scrap = _readings(chain, heated, field, frequency.value, soak.value, machine)
        settings = (
            temperature,
            current,
            frequency,
            power,
            soak,
            *pyrometer_settings(
                heated.straight_surface_degC, "at the exit of the coil", machine, given, 8.0
            ),
            *coil_settings(machine, given),
            scrap,
        )
        slope = self._slope(chain, field, coil, factors)
        prepared = {"machine": machine.name, "hardness_per_K": slope}
        return SetUp(settings, prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Temper of the zones, hardness and strength, the least temper of the standard."""
        chain = stocks[MAIN]
        amps = factors.actual("lot/chain/tempering/coil_current_A", settings["coil_current_A"])
        field, frequency = coil_field_at(amps, machine), settings["frequency_kHz"]
        coil = _coil(chain, machine, frequency, settings["soak_length_mm"])
        soak = temper_soak(coil_field_kA_per_m=field, **coil)
        off = factors.actual("link/chain/tempering/temperature_K", 0.0)
        zones = zones_at_link(
            self._zones(chain, soak, factors), off, settings.prepared["hardness_per_K"], factors
        )
        softest = softest_of(first_HV=zones[0], second_HV=zones[1])
        strength = strength_of(softest, factors)
        speed = chain["line_speed_m_per_s"]
        power = power_of(soak, field, speed, frequency, chain, machine)
        return Step(
            (
                Finding("temper_temperature_degC", soak.straight_temperature_degC),
                Finding("temper_time_s", soak.temper_time_s, note="coil and soak"),
                *equivalent_findings(soak, self.least_temper, self.source),
                *embrittlement_findings(
                    chain,
                    soak.straight_temperature_degC,
                    time_in_minutes(time_s=soak.temper_time_s),
                    None,
                    machine,
                ),
                *hardness_findings(zones, softest, strength, machine),
                Finding(
                    "toughness_ratio",
                    factors.factor(_TOUGHNESS.name),
                    note=f"over an hour's temper to the same hardness; to learn: "
                    f"{_TOUGHNESS.trial}",
                ),
                *power_findings(power, machine, of="temper_"),
            ),
            chain.changed(
                condition={
                    "tensile_strength_MPa": strength,
                    "hardness_HV": softest,
                    "tempering_temperature_degC": settings["temperature_degC"],
                }
            ),
            use=power_use(chain, speed, power.generator_kW),
            cautions=_CAUTIONS,
        )

    def _current(
        self,
        chain: Stock,
        coil: Mapping[str, Any],
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Setting:
        """Coil current for the temperature that the order gives, else for the strength."""

        def heated(field: np.ndarray) -> np.ndarray:
            soak = temper_soak(coil_field_kA_per_m=field, **coil)
            return np.asarray(soak.straight_temperature_degC)

        def softened(field: np.ndarray) -> np.ndarray:
            # strength falls as the temper rises; the search wants a rising result, and a steel
            # that is too weak at the gentlest temper gets that one
            soak = temper_soak(coil_field_kA_per_m=field, **coil)
            strength = -np.asarray(self._strength(chain, soak, factors))
            gentlest = field <= LEAST_FIELD_KA_PER_M
            return np.where(gentlest, np.minimum(strength, target - 1.0), strength)

        if "temperature_degC" in given:
            target, reached = float(given["temperature_degC"]), heated
            aim = f"{target:g} °C"
        else:
            target, reached = -float(wanted["tensile_strength_MPa"]), softened
            aim = f"a tensile strength of {-target:.0f} MPa"
        return solved_for(
            "coil_current_A",
            aim,
            # a third round: the strength that comes out is what the pitch is asked back with
            lambda: current_for(target, reached, machine, aim, rounds=3),
            machine,
            given,
            inputs={**coil, **wanted, **given},
            check=_CURRENT_CHECK,
            tolerance=15.0,
        )

    def _hot_enough(self, soak: Any, given: Mapping[str, Any]) -> bool:
        """Whether the least temper of the standard is met, or the order has fixed the temper."""
        if {"temperature_degC", "coil_current_A"} & set(given) or not self.least_temper:
            return True
        with not_recording():
            reached = min(float(one) for one in equivalents(soak, self.least_temper))
        return reached >= float(self.least_temper["temperature_degC"])

    def _least_current(
        self, coil: Mapping[str, Any], machine: Machine, given: Mapping[str, Any]
    ) -> Setting:
        """Coil current for the least temper, which goes before the strength wanted."""

        def tempered(field: np.ndarray) -> np.ndarray:
            soak = temper_soak(coil_field_kA_per_m=field, **coil)
            return np.asarray(np.minimum(*equivalents(soak, self.least_temper)))

        least = self.least_temper["temperature_degC"]
        aim = f"the least temper of the standard, {float(least):g} °C as of its time"
        return solved_for(
            "coil_current_A",
            aim,
            lambda: current_for(float(least) + _SPARE_K, tempered, machine, aim, rounds=3),
            machine,
            given,
            inputs={**coil, "least_temperature_degC": least},
            check=_CURRENT_CHECK,
            tolerance=15.0,
        )

    def _zones(self, chain: Stock, soak: Any, factors: Conditions) -> tuple[Any, ...]:
        """Hardness of the three zones."""
        return tempered_zones(chain, soak.parameter_K, factors.factor(_KINETICS.name))

    def _strength(self, chain: Stock, soak: Any, factors: Conditions) -> Any:
        """Strength of the softer of straight and crown."""
        zones = self._zones(chain, soak, factors)
        return strength_of(softest_of(first_HV=zones[0], second_HV=zones[1]), factors)

    def _slope(
        self, chain: Stock, field: Any, coil: Mapping[str, Any], factors: Conditions
    ) -> float:
        """Change of hardness with the exit temperature about the setting, HV/K."""
        with not_recording():
            near = np.array([0.995, 1.005]) * float(field)
            soak = temper_soak(coil_field_kA_per_m=near, **coil)
            hardness = self._zones(chain, soak, factors)[0]
            exits = np.asarray(soak.straight_temperature_degC)
        return float((hardness[1] - hardness[0]) / (exits[1] - exits[0]))


def _coil(
    chain: Stock, machine: Machine, frequency_kHz: Any, soak_length_mm: Any
) -> dict[str, Any]:
    return {
        **coil_arguments(chain, machine, chain["line_speed_m_per_s"], frequency_kHz),
        "soak_length_mm": soak_length_mm,
        "start_temperature_degC": machine.held["start_temperature_degC"],
    }


def _readings(
    chain: Stock,
    heated: Any,
    field: Any,
    frequency_kHz: Any,
    soak_length_mm: Any,
    machine: Machine,
) -> tuple[Setting, Setting]:
    """Power of the generator, and the links that a stop spoils."""
    speed = chain["line_speed_m_per_s"]
    power = power_of(heated, field, speed, frequency_kHz, chain, machine)
    length = stopped_length(
        coil_length_mm=machine.held["coil_length_mm"], following_length_mm=soak_length_mm
    )
    return power_reading(power), scrap_reading(chain, length)


_CAUTIONS = (
    FIELD_CAUTION,
    Caution("Chain at 500 °C looks cold", "hot-zone guards closed; never judge by colour"),
)
