"""Welding: the gap of the open link is closed by resistance heat and an upset, then trimmed."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording, solved
from linkwright.mechanics.bending import oval_link_fibre_length
from linkwright.processes.choosing import as_it_comes
from linkwright.processes.models.link_geometry import (
    blank_length,
    pitch_from_centreline,
    welded_centreline,
)
from linkwright.processes.models.use import energy_of_pieces, working_time
from linkwright.processes.models.weld_window import (
    WeldBounds,
    WeldLimits,
    expulsion_temperature,
    weld_bounds,
    weld_ladder,
    weld_window,
)
from linkwright.processes.weld_findings import Needs, findings, least_upset
from linkwright.processes.weld_joint import (
    EXPULSION,
    HOT_STRENGTH,
    heated_joint,
    solidus_of,
    upset_and_trimmed,
)
from linkwright.processes.weld_power import (
    aimed_at,
    bracket_kA,
    current_setting,
    force_setting,
    time_for_current,
    transformer,
    watched,
    water,
)
from linkwright.processes.weld_settings import (
    Metal,
    held_length,
    mechanical,
    press_arguments,
    timed,
    weld_arguments,
)
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
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

_HEAT = "regulator and electrode wear: common practice, no source"
_NOTHING: Needs = MappingProxyType({})


class Welding(Operation):
    """Heat the pressed ends to forging temperature, upset against a stop, trim the flash hot.

    needs: what the standard asks of the welded link (``weld_diameter_mm``,
    ``weld_affected_length_mm``, ``inner_width_mm``), each if it is there.
    """

    name = "welding"
    heats = True
    scatter = (
        Scatter("lot/chain/welding/current_kA", 0.01, _HEAT, relative=True),
        Scatter("link/chain/welding/upset_length_mm", 0.06, "play of the stop: no source"),
        Scatter("link/chain/welding/weld_diameter_mm", 0.06, "trimming tool: no source"),
    )
    factors = (HOT_STRENGTH, EXPULSION)
    card = (
        "transformer_tap_number", "firing_angle_deg", "secondary_current_kA", "squeeze_cycles",
        "heat_cycles", "upset_cycles", "hold_cycles", "squeeze_force_kN", "upset_force_kN",
        "electrode_force_kN", "closing_stroke_mm", "upset_length_mm", "burn_off_mm",
        "electrode_distance_mm", "joint_temperature_degC", "electrode_water_l_per_min",
        "trimming_diameter_mm", "current_reject_percent", "time_reject_percent",
        "upset_reject_mm", "electrode_alloy", "dress_after_links_count", "trimming_tool",
    )  # fmt: skip

    def __init__(self, needs: Needs = _NOTHING) -> None:
        self.needs = needs

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """An open link of the same width whose wire is longer by what the weld takes."""
        wire = as_it_comes("wire_diameter_mm", wanted, near)
        closed = oval_link_fibre_length(
            wire_diameter_mm=wire,
            pitch_mm=wanted["pitch_mm"],
            outer_width_mm=as_it_comes("outer_width_mm", wanted, near),
        )
        cut = blank_length(
            centreline_length_mm=closed,
            upset_length_mm=held_length("upset_length_mm", machine, wire),
            burn_off_mm=held_length("burn_off_mm", machine, wire),
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
        link = stocks[MAIN]
        taken = {
            name: given[name]
            if name in given
            else held_length(name, machine, link["wire_diameter_mm"])
            for name in ("upset_length_mm", "burn_off_mm")
        }
        return _closed(link, **taken)

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Current and upset force are solved for joint temperature and upset, the rest follows."""
        link = stocks[MAIN]
        joint, metal = aimed_at(machine, given), Metal.of(link, machine)
        settings = [joint, *timed(link, machine, given), *mechanical(link, machine, given)]
        dialled = {one.name: one.value for one in settings}
        cycles = next(one for one in settings if one.name == "heat_cycles")
        timing = time_for_current(
            weld_arguments(link, dialled, metal, machine), joint, machine, given, cycles
        )
        settings[settings.index(cycles)] = timing
        dialled[timing.name] = timing.value
        weld = weld_arguments(link, dialled, metal, machine)
        with not_recording():
            ladder = weld_ladder(weld, bracket_kA(link, float(weld["weld_time_s"])))
        current = current_setting(ladder, weld, joint, machine, given)
        press = press_arguments(link, dialled, machine, factors.factor(HOT_STRENGTH.name))
        force = force_setting(ladder, current.value, press, machine, given)
        limits = _limits(link, machine, factors)
        pressed = {**press, "upset_force_kN": force.value}
        with not_recording():
            found = weld_bounds(ladder, WeldLimits(*map(float, limits)), pressed)
        bounds = _sourced(found, limits, pressed)
        amps = current.value
        settings += [
            current, force, *transformer(ladder, amps, weld, machine, given),
            water(ladder, amps, weld, machine, given),
            *watched(bounds, amps, dialled["upset_length_mm"], limits.least_upset_mm, machine,
                     given),
        ]  # fmt: skip
        return SetUp(
            _in_order(settings, self.card),
            {
                "machine": machine.name,
                "metal": metal,
                "bounds": bounds,
                "limits": limits,
                "wire_mm": link["wire_diameter_mm"],
            },
        )

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Joint and surface temperature, heat, upset, bulge, trimmed weld, closed link."""
        link = stocks[MAIN]
        weld = weld_arguments(link, settings, settings.prepared["metal"], machine)
        press = press_arguments(link, settings, machine, factors.factor(HOT_STRENGTH.name))
        press["upset_force_kN"] = settings["upset_force_kN"]
        current = factors.actual("lot/chain/welding/current_kA", settings["secondary_current_kA"])
        heated = heated_joint(current, weld, settings, machine)
        found = upset_and_trimmed(current, heated, press, link, settings, factors)
        reached = factors.actual("link/chain/welding/upset_length_mm", found.upset.upset_length_mm)
        stock = _closed(link, reached, settings["burn_off_mm"]).changed(
            shape={
                "weld_diameter_mm": found.weld_diameter_mm,
                "weld_affected_length_mm": found.affected_length_mm,
            }
        )
        learned = factors.factors[EXPULSION.name].kind == "file"
        return Step(
            findings(found, settings.prepared, machine, self.needs, learned),
            stock,
            use=_use(link, heated.machine_energy_kJ, machine),
            cautions=_CAUTIONS,
            curves={}
            if factors.draws
            else {"window": lambda: _window(weld, press, settings, factors)},
        )


def _limits(link: Stock, machine: Machine, factors: Conditions) -> WeldLimits:
    """What a sound weld needs; the expulsion factor at its median."""
    return WeldLimits(
        machine.held["least_joint_temperature_degC"],
        least_upset(machine, link["wire_diameter_mm"]),
        expulsion_temperature(
            solidus_temperature_degC=solidus_of(link), factor=factors.factor(EXPULSION.name)
        ),
    )


def _sourced(bounds: WeldBounds, limits: WeldLimits, press: Mapping[str, Any]) -> WeldBounds:
    """The boundaries as solved numbers that open to what they rest on."""
    asked = (
        {"joint_temperature_degC": limits.least_joint_degC},
        {"least_upset_length_mm": limits.least_upset_mm, **press},
        {"expulsion_temperature_degC": limits.expulsion_degC},
    )
    aims = ("the least joint temperature", "the least upset", "expulsion")
    return WeldBounds(
        *(
            solved(name, value, f"solved for {aim} at the set time", **inputs)
            for name, value, aim, inputs in zip(
                WeldBounds._fields, bounds, aims, asked, strict=True
            )
        )
    )


def _in_order(settings: list[Setting], names: tuple[str, ...]) -> tuple[Setting, ...]:
    """The settings in the order of the card."""
    return tuple(sorted(settings, key=lambda one: names.index(one.name)))


def _closed(link: Stock, upset_length_mm: Any, burn_off_mm: Any) -> Stock:
    """The link closed by what burns off and is upset."""
    length = welded_centreline(
        cut_length_mm=link["cut_length_mm"],
        upset_length_mm=upset_length_mm,
        burn_off_mm=burn_off_mm,
    )
    pitch = pitch_from_centreline(
        centreline_length_mm=length,
        wire_diameter_mm=link["wire_diameter_mm"],
        outer_width_mm=link["outer_width_mm"],
    )
    return link.changed("closed link", shape={"pitch_mm": pitch, "centreline_length_mm": length})


def _use(link: Stock, energy_kJ: Any, machine: Machine) -> dict[str, Any]:
    hours = working_time(
        pieces=link["links"],
        pieces_per_minute=machine.held["links_per_min"],
        machines=machine.many,
    )
    energy = energy_of_pieces(pieces=link["links"], energy_kJ=energy_kJ)
    return {"machine_time_h": hours, "electricity_kWh": energy}


def _window(
    weld: Mapping[str, Any], press: Mapping[str, Any], settings: SetUp, factors: Conditions
) -> dict[str, Any]:
    """The weld window about the set point and the course of the weld, for the pictures."""
    limits = WeldLimits(*map(float, settings.prepared["limits"]))
    spread = factors.factors[EXPULSION.name].spread
    with not_recording():
        return weld_window(
            weld,
            press,
            limits,
            current_kA=float(settings["secondary_current_kA"]),
            expulsion_band=(
                float(limits.expulsion_degC * np.exp(-spread)),
                float(limits.expulsion_degC * np.exp(spread)),
            ),
            force_kN=float(settings["upset_force_kN"]),
        )


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
        "Hammer, electrodes and trimming tool close with force",
        "two-hand control or closed guard, tried before start",
    ),
)
