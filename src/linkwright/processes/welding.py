"""Welding: the gap of the open link is closed by resistance heat and an upset, then trimmed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.mechanics.bending import oval_link_fibre_length
from linkwright.processes.choosing import as_it_comes, chosen, rising_root, solved_for
from linkwright.processes.models.hot_strength import solidus_temperature
from linkwright.processes.models.link_geometry import (
    affected_length_each_side,
    blank_length,
    pitch_from_centreline,
    trimmed_weld,
    trimming_bore,
    welded_centreline,
)
from linkwright.processes.models.upset_welding import upset_weld_heating
from linkwright.processes.models.use import energy_of_pieces, working_time
from linkwright.processes.models.weld_upset import bulging_length, upset_length, weld_bulge
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

_HOT_STRENGTH = Factor(
    "factor/welding/hot_flow_stress",
    1.0,
    0.10,
    "works' own factor on hot flow stress, not yet learned: stated band 10 %",
    "weld 20 links at three upset forces against the stop and measure the upset",
)
_SHARES = (0.5, 3.0)
_HEAT = "regulator and electrode wear: common practice, no source"


class Welding(Operation):
    """Heat the pressed ends to forging temperature, upset against a stop, trim the flash."""

    name = "welding"
    heats = True
    scatter = (
        Scatter("lot/chain/welding/current_kA", 0.01, _HEAT, relative=True),
        Scatter("link/chain/welding/upset_length_mm", 0.06, "play of the stop: no source"),
        Scatter("link/chain/welding/weld_diameter_mm", 0.06, "trimming tool: no source"),
    )
    factors = (_HOT_STRENGTH,)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """An open link of the same width whose wire is longer by what the weld takes."""
        closed = oval_link_fibre_length(
            wire_diameter_mm=as_it_comes("wire_diameter_mm", wanted, near),
            pitch_mm=wanted["pitch_mm"],
            outer_width_mm=as_it_comes("outer_width_mm", wanted, near),
        )
        cut = blank_length(
            centreline_length_mm=closed,
            upset_length_mm=machine.held["upset_length_mm"],
            burn_off_mm=machine.held["burn_off_mm"],
        )
        return {
            MAIN: {
                "wire_diameter_mm": wanted["wire_diameter_mm"],
                "outer_width_mm": wanted["outer_width_mm"],
                "cut_length_mm": cut,
            }
        }

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The closed link; the heat changes no size, the stop does."""
        upset = given.get("upset_length_mm", machine.held["upset_length_mm"])
        return self._closed(stocks[MAIN], upset, machine)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The current is solved for the joint temperature that the works aims at."""
        link = stocks[MAIN]
        joint = chosen(
            "joint_temperature_degC", machine, given, check="pyrometer at the joint, first article"
        )
        time = chosen("weld_time_s", machine, given, check="regulator, weld record", tolerance=0.02)
        squeeze = chosen(
            "squeeze_force_kN", machine, given, check="gauge at the cylinder, each shift",
            tolerance=0.15,
        )  # fmt: skip
        upset = chosen(
            "upset_length_mm", machine, given, check="stop, gauge block at set-up", tolerance=0.1
        )
        force = chosen(
            "upset_force_kN", machine, given, check="gauge at the cylinder, each shift",
            tolerance=0.5,
        )  # fmt: skip
        weld = _weld(link, machine, time.value, squeeze.value)

        def current() -> float:
            return rising_root(
                lambda trial: (
                    upset_weld_heating(secondary_current_kA=trial, **weld).joint_temperature_degC
                ),
                float(joint.value),
                *_bracket_kA(link, float(time.value)),
                f"{machine.name!r} reaches no joint temperature of {float(joint.value):g} °C",
                rounds=1,
                smooth=True,
            )

        amps = solved_for(
            "secondary_current_kA",
            "the joint temperature at the end of the heat",
            current,
            machine,
            given,
            inputs={"joint_temperature_degC": joint.value, **_numbers(weld)},
            check="weld record of every link; measuring belt, each shift",
            tolerance=0.2,
        )
        tool = solved_for(
            "trimming_diameter_mm",
            "flash taken off to a bore that clears the wire",
            lambda: trimming_bore(
                wire_diameter_mm=link["wire_diameter_mm"], ratio=machine.held["trimming_ratio"]
            ),
            machine,
            given,
            inputs={
                "wire_diameter_mm": link["wire_diameter_mm"],
                "ratio": machine.held["trimming_ratio"],
            },
            check="plug gauge at set-up; caliper at the weld, one link in 200",
            tolerance=0.1,
        )
        return SetUp((amps, time, squeeze, force, upset, joint, tool), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Joint and surface temperature, heat, upset, bulge, trimmed weld, closed link."""
        link = stocks[MAIN]
        heated = upset_weld_heating(
            secondary_current_kA=factors.actual(
                "lot/chain/welding/current_kA", settings["secondary_current_kA"]
            ),
            **_weld(link, machine, settings["weld_time_s"], settings["squeeze_force_kN"]),
        )
        upset = upset_length(
            wire_diameter_mm=link["lot_wire_diameter_mm"],
            electrode_distance_mm=machine.held["electrode_distance_mm"],
            joint_temperature_degC=heated.joint_temperature_degC,
            surface_temperature_degC=heated.surface_temperature_degC,
            upset_force_kN=settings["upset_force_kN"],
            upset_stop_mm=settings["upset_length_mm"],
            upset_time_s=machine.held["upset_time_s"],
            C_percent=link["C_percent"],
            flow_stress_factor=factors.factor(_HOT_STRENGTH.name),
        )
        reached = factors.actual("link/chain/welding/upset_length_mm", upset.upset_length_mm)
        bulge = weld_bulge(
            wire_diameter_mm=link["lot_wire_diameter_mm"],
            upset_length_mm=upset.upset_length_mm,
            heated_length_mm=bulging_length(
                heated_length_mm=heated.softened_length_mm,
                upset_length_mm=upset.upset_length_mm,
                wire_diameter_mm=link["lot_wire_diameter_mm"],
            ),
        )
        trimmed = trimmed_weld(
            bulge_diameter_mm=bulge.bulge_diameter_mm,
            trimming_diameter_mm=settings["trimming_diameter_mm"],
        )
        trimmed = factors.actual("link/chain/welding/weld_diameter_mm", trimmed)
        stock = self._closed(link, reached, machine).changed(
            shape={
                "weld_diameter_mm": trimmed,
                "weld_affected_length_mm": affected_length_each_side(
                    bulge_length_mm=bulge.bulge_length_mm
                ),
            }
        )
        return Step(
            _findings(heated, upset, bulge, trimmed, link, machine),
            stock,
            use=_use(link, heated.machine_energy_kJ, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else {"heat": lambda: _course(link, settings, machine)},
        )

    def _closed(self, link: Stock, upset: Any, machine: Machine) -> Stock:
        length = welded_centreline(
            cut_length_mm=link["cut_length_mm"],
            upset_length_mm=upset,
            burn_off_mm=machine.held["burn_off_mm"],
        )
        pitch = pitch_from_centreline(
            centreline_length_mm=length,
            wire_diameter_mm=link["wire_diameter_mm"],
            outer_width_mm=link["outer_width_mm"],
        )
        return link.changed(
            "closed link", shape={"pitch_mm": pitch, "centreline_length_mm": length}
        )


def _bracket_kA(link: Stock, time_s: float) -> tuple[float, float]:
    """Currents about the one that heats the section without loss, 104 A/mm² sqrt(1 s/t)."""
    section_mm2 = 0.25 * np.pi * float(link["lot_wire_diameter_mm"]) ** 2
    plain = 0.104 * section_mm2 / np.sqrt(time_s)
    return float(_SHARES[0] * plain), float(_SHARES[1] * plain)


def _use(link: Stock, energy_kJ: Any, machine: Machine) -> dict[str, Any]:
    hours = working_time(
        pieces=link["links"],
        pieces_per_minute=machine.held["links_per_min"],
        machines=machine.many,
    )
    energy = energy_of_pieces(pieces=link["links"], energy_kJ=energy_kJ)
    return {"machine_time_h": hours, "electricity_kWh": energy}


def _weld(link: Stock, machine: Machine, time: Any, squeeze: Any) -> dict[str, Any]:
    """Arguments of the weld calculations; analysis and strength are one value for all."""
    return {
        "wire_diameter_mm": link["lot_wire_diameter_mm"],
        "weld_time_s": time,
        "squeeze_force_kN": squeeze,
        "electrode_distance_mm": machine.held["electrode_distance_mm"],
        "contact_length_mm": machine.held["contact_length_mm"],
        "loop_resistance_microohm": machine.held["loop_resistance_microohm"],
        "loop_reactance_microohm": machine.held["loop_reactance_microohm"],
    }


def _numbers(arguments: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in arguments.items() if not isinstance(value, str)}


def _findings(
    heated: Any, upset: Any, bulge: Any, trimmed: Any, link: Stock, machine: Machine
) -> tuple[Finding, ...]:
    solidus = solidus_temperature(**link.elements("C", "Si", "Mn", "P", "S", "Ni", "Cr", "Al"))
    held = f"held by the works for {machine.name}"
    return (
        Finding(
            "joint_temperature_degC",
            heated.joint_temperature_degC,
            machine.held["least_joint_temperature_degC"],
            solidus,
            "works' least for sound forging; solidus of the steel",
        ),
        Finding(
            "visible_surface_temperature_degC",
            heated.surface_temperature_degC,
            note="at the electrodes' edge; visible about 927 °C is common practice, no source",
        ),
        Finding("useful_heat_kJ", heated.useful_heat_kJ),
        Finding("back_current_share", heated.back_current_share),
        Finding(
            "apparent_power_kVA",
            heated.apparent_power_kVA,
            None,
            machine.limits("apparent_power_kVA")[1],
            f"range of {machine.name}",
        ),
        Finding(
            "upset_reached_mm",
            upset.upset_length_mm,
            machine.held["least_upset_length_mm"],
            None,
            held,
        ),
        Finding("bulge_diameter_mm", bulge.bulge_diameter_mm, note="before trimming"),
        Finding("weld_diameter_mm", trimmed),
        Finding("heat_affected_length_mm", heated.affected_length_mm, note="hotter than Ac3"),
        Finding(
            "expulsion_margin_K",
            heated.solidus_margin_K,
            note="no limit given until the works has learned one: trial at rising current",
        ),
    )


def _course(link: Stock, settings: SetUp, machine: Machine) -> dict[str, Any]:
    """Joint temperature against weld time, for the picture."""
    with not_recording():
        times = [0.1 * float(settings["weld_time_s"]) * step for step in range(1, 11)]
        heated = upset_weld_heating(
            secondary_current_kA=float(settings["secondary_current_kA"]),
            **{**_weld(link, machine, times, settings["squeeze_force_kN"])},
        )
    return {
        "time_s": times,
        "joint_degC": heated.joint_temperature_degC,
        "surface_degC": heated.surface_temperature_degC,
    }


_CAUTIONS = (
    Caution(
        "Molten metal is thrown out; the joint is at forging heat",
        "spark shield closed, face and hands protected, nothing that burns near by",
    ),
    Caution(
        "Strong magnetic field at the welder",
        "nobody with a heart pacemaker or metal implant inside the marked line",
    ),
    Caution(
        "Hammer and electrodes close with force",
        "two-hand control or closed guard, tried before start",
    ),
)
