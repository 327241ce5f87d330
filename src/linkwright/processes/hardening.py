"""Hardening: the chain runs through an induction coil until it is austenite throughout."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from linkwright.catalogue import not_recording, solved
from linkwright.materials.austenite_decomposition import austenitising_parameter
from linkwright.materials.transformation import andrews_ac3
from linkwright.processes.austenitised import IN_SOLUTION, soak_findings
from linkwright.processes.choosing import chosen, solved_for, within
from linkwright.processes.hot_pull import (
    STRETCH,
    per_newton,
    pitch_before,
    pull_findings,
    pull_setting,
    stretched,
)
from linkwright.processes.line_setting import (
    FIELD_CAUTION,
    LinePower,
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
)
from linkwright.processes.models.coil_generator import eddy_depth
from linkwright.processes.models.hot_stretch import stress_under
from linkwright.processes.models.line_heat import coil_exit, dwell_time
from linkwright.processes.models.line_stop import stopped_length
from linkwright.processes.models.short_soak import above, carbon_in_solution
from linkwright.route import (
    MAIN,
    SOLVED,
    Caution,
    Conditions,
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

_ROUNDS, _POWER_MET = 12, 1e-3
_SPEED_CHECK = "line drive, each hour"


class Hardening(Operation):
    """Coil current solved for the straight's temperature; judged on coldest and hottest."""

    name = "hardening"
    heats = True
    card = (
        "coil", "coil_inner_diameter_mm", "turns", "temperature_degC", "coil_current_A",
        "frequency_kHz", "generator_power_kW", "line_speed_m_per_s", "chain_tension_N",
        "pyrometer_emissivity", "pyrometer_reading_degC", "start_stop_rule",
    )  # fmt: skip
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
        Scatter(
            "lot/chain/hardening/chain_tension_N",
            0.10,
            "brake of the line: common practice, no source",
            relative=True,
        ),
    )
    factors = (STRETCH, IN_SOLUTION)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A closed link whose pitch is shorter by the stretch under the pull of the line."""
        before = pitch_before(wanted, near, machine, factors)
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
        link = stocks[MAIN]
        pull = pull_setting(link, machine, given)
        return stretched(link, per_newton(link), pull.value, factors)[0]

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Current for austenite throughout, at the speed that the generator has power for."""
        line = _Line(stocks[MAIN], machine, frequency_setting(stocks[MAIN], machine, given), given)
        speed = chosen("line_speed_m_per_s", machine, given, check=_SPEED_CHECK, tolerance=0.002)
        current, heated, power = line.at(speed.value)
        if line.lacks(power):
            speed = line.slower(speed, power)
            current, heated, power = line.at(speed.value)
        pull = pull_setting(line.link, machine, given)
        settings = (
            _temperature(heated, machine, given),
            current,
            line.frequency,
            power_reading(power),
            speed,
            pull,
            *pyrometer_settings(
                heated.straight_surface_degC, "at the exit of the coil", machine, given, 10.0
            ),
            *coil_settings(machine, given),
        )
        return SetUp(settings, {"machine": machine.name, "per_newton": per_newton(line.link)})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Temperatures of the zones, power, soak, and the stretched link at austenite heat."""
        link = stocks[MAIN]
        speed = factors.actual(
            "lot/chain/hardening/line_speed_m_per_s", settings["line_speed_m_per_s"]
        )
        amps = factors.actual("lot/chain/hardening/coil_current_A", settings["coil_current_A"])
        field = coil_field_at(amps, machine)
        coil = coil_arguments(link, machine, speed, settings["frequency_kHz"])
        heated = coil_exit(coil_field_kA_per_m=field, **coil)
        soak = dwell_time(length_mm=machine.held["soak_length_mm"], speed_m_per_s=speed)
        soaked = austenitising_parameter(
            temperature_degC=heated.coldest_temperature_degC, time_h=soak.time_h
        )
        stretched_link, pulled = self._pulled(link, heated, settings, machine, factors)
        stock = stretched_link.changed(
            condition={
                "section_temperature_degC": heated.section_temperature_degC,
                "line_speed_m_per_s": speed,
                "austenitising_parameter_degC": soaked.parameter_degC,
                "carbon_in_solution_percent": carbon_in_solution(
                    **link.elements("C"), factor=factors.factor(IN_SOLUTION.name)
                ),
                "hot_length_mm": stopped_length(
                    coil_length_mm=machine.held["coil_length_mm"],
                    following_length_mm=machine.held["soak_length_mm"],
                ),
            },
        )
        power = power_of(
            heated, field, settings["line_speed_m_per_s"], settings["frequency_kHz"], stock, machine
        )
        hottest = heated.hottest_temperature_degC
        return Step(
            (
                *soak_findings(link, heated, hottest, soak.time_s, machine),
                *_coil_findings(heated, soaked, settings, machine),
                *power_findings(power, machine),
                *pulled,
            ),
            stock,
            use=power_use(link, settings["line_speed_m_per_s"], power.generator_kW),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _curves(heated),
        )

    def _pulled(
        self, link: Stock, heated: Any, settings: SetUp, machine: Machine, factors: Conditions
    ) -> tuple[Stock, tuple[Finding, ...]]:
        pull = factors.actual("lot/chain/hardening/chain_tension_N", settings["chain_tension_N"])
        per_N = settings.prepared["per_newton"]
        stock, stretch = stretched(link, per_N, pull, factors)
        stress = stress_under(stress_per_N_MPa=per_N.greatest_stress_MPa, chain_tension_N=pull)
        hottest = heated.hottest_temperature_degC
        return stock, pull_findings(link, stretch, stress, hottest, machine)


@dataclass(frozen=True)
class _Line:
    """The line about to be set up: trials that are not recorded."""

    link: Stock
    machine: Machine
    frequency: Setting
    given: Mapping[str, Any]

    @property
    def known(self) -> dict[str, Any]:
        """What the current is solved for: the straight, or the coldest place where none is set."""
        if "temperature_degC" in self.machine.held or "temperature_degC" in self.given:
            return {"temperature_degC": self.given.get(
                "temperature_degC", self.machine.held.get("temperature_degC")
            )}  # fmt: skip
        upper = andrews_ac3(**self.link.elements("C", "Mn", "Si", "Ni", "Cr", "Mo"))
        margin = self.machine.held["austenite_margin_K"]
        return {"coldest_temperature_degC": above(temperature_degC=upper, margin_K=margin)}

    @property
    def aim(self) -> str:
        """The same in words."""
        if "temperature_degC" in self.known:
            return "the aim temperature of the straight at the exit of the coil"
        return "the coldest place above Ac3 of the analysis by the margin of the works"

    def at(self, speed: Any) -> tuple[Setting, Any, LinePower]:
        """Current at a line speed, the chain as it leaves the coil, and the power."""
        coil = coil_arguments(self.link, self.machine, speed, self.frequency.value)
        current = solved_for(
            "coil_current_A",
            self.aim,
            lambda: self._solved(coil),
            self.machine,
            self.given,
            inputs={**self.known, **coil},
            check="generator display, each quarter hour",
            tolerance=15.0,
        )
        field = coil_field_at(current.value, self.machine)
        heated = coil_exit(coil_field_kA_per_m=field, **coil)
        power = power_of(heated, field, speed, self.frequency.value, self.link, self.machine)
        return current, heated, power

    def _solved(self, coil: Mapping[str, Any]) -> float:
        ((name, target),) = self.known.items()
        result = "straight_temperature_degC" if name == "temperature_degC" else name
        return current_for(
            float(target),
            lambda field: getattr(coil_exit(coil_field_kA_per_m=field, **coil), result),
            self.machine,
            f"{float(target):g} °C",
        )

    def lacks(self, power: LinePower) -> bool:
        """Whether the generator has too little power, and the line may go slower."""
        limit = self._limit
        fixed = {"coil_current_A", "line_speed_m_per_s"} & set(self.given)
        return not fixed and float(power.generator_kW) > limit

    @property
    def _limit(self) -> float:
        limit = self.machine.limits("generator_power_kW")[1]
        return math.inf if limit is None else float(limit)

    def slower(self, speed: Setting, power: LinePower) -> Setting:
        """The greatest speed that the generator has power for.

        The power is nearly in proportion to the speed, so a few steps of proportion find it.
        """
        with not_recording():
            aimed, found = self._limit * (1.0 - _POWER_MET), float(speed.value)
            for _ in range(_ROUNDS):
                found *= aimed / float(power.generator_kW)
                power = self.at(found)[2]
                if abs(float(power.generator_kW) / aimed - 1.0) < _POWER_MET:
                    break
        aim = f"the greatest speed at {self._limit:g} kW of the generator"
        value = solved("line_speed_m_per_s", found, f"solved for {aim}", **self.known)
        return within(replace(speed, value=value, how=SOLVED, aim=aim), self.machine)


def _temperature(heated: Any, machine: Machine, given: Mapping[str, Any]) -> Setting:
    """The straight's temperature at the exit: held, given, or what the current makes of it."""
    if "temperature_degC" in machine.held or "temperature_degC" in given:
        return chosen(
            "temperature_degC", machine, given, check="pyrometer, continuous", tolerance=10.0
        )
    return within(
        Setting(
            "temperature_degC",
            heated.straight_temperature_degC,
            SOLVED,
            "austenite at the coldest place",
            check="pyrometer, continuous",
            tolerance=10.0,
        ),
        machine,
    )


def _coil_findings(
    heated: Any, soaked: Any, settings: SetUp, machine: Machine
) -> tuple[Finding, ...]:
    depth = eddy_depth(
        frequency_kHz=settings["frequency_kHz"],
        resistivity_microohm_m=machine.held["hot_resistivity_microohm_m"],
    )
    return (
        Finding("straight_temperature_degC", heated.straight_temperature_degC),
        Finding("crown_temperature_degC", heated.crown_temperature_degC),
        Finding("time_in_coil_s", heated.time_in_coil_s),
        Finding(
            "austenitising_parameter_degC",
            soaked.parameter_degC,
            note="temperature that austenitises as far in one hour",
        ),
        Finding("hot_skin_depth_mm", depth, note="above the Curie point"),
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
    FIELD_CAUTION,
    Caution("Live coil and cooling water", "covers closed, earth-fault protection tried"),
    Caution("Chain at red heat, also when the line stands", "hot-zone guards closed"),
)
