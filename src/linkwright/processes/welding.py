"""Welding: the gap of the open link is closed by resistance heat and an upset, then trimmed."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording, solved
from linkwright.mechanics.bending import oval_link_fibre_length
from linkwright.processes.choosing import as_it_comes
from linkwright.processes.models.hot_strength import solidus_temperature
from linkwright.processes.models.link_geometry import (
    affected_length_each_side,
    blank_length,
    pitch_from_centreline,
    trimmed_weld,
    welded_centreline,
)
from linkwright.processes.models.upset_welding import UpsetWeldHeating, upset_weld_heating
from linkwright.processes.models.use import energy_of_pieces, working_time
from linkwright.processes.models.weld_schedule import time_without_current
from linkwright.processes.models.weld_trimming import (
    electrode_mark,
    inner_residue,
    inner_width_at_weld,
    trim_weld,
)
from linkwright.processes.models.weld_upset import bulging_length, upset_length, weld_bulge
from linkwright.processes.models.weld_window import (
    WeldBounds,
    WeldLimits,
    expulsion_temperature,
    weld_bounds,
    weld_ladder,
    weld_window,
)
from linkwright.processes.weld_findings import Needs, Welded, findings, least_upset
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
    Factor,
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

_HOT_STRENGTH = Factor(
    "factor/welding/hot_flow_stress",
    1.0,
    0.10,
    "works' own factor on hot flow stress, not yet learned: stated band 10 %",
    "weld 20 links at three upset forces against the stop and measure the upset",
)
_EXPULSION = Factor(
    "factor/welding/expulsion_temperature",
    1.0,
    0.06,
    "works' own factor on the solidus at which metal is thrown out, not yet learned: stated "
    "band 6 %, about 85 K",
    "weld 10 links at each of six currents, 3 % apart, and note the first that throws metal out",
)
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
    factors = (_HOT_STRENGTH, _EXPULSION)
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
        press = press_arguments(link, dialled, machine, factors.factor(_HOT_STRENGTH.name))
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
        press = press_arguments(link, settings, machine, factors.factor(_HOT_STRENGTH.name))
        press["upset_force_kN"] = settings["upset_force_kN"]
        current = factors.actual("lot/chain/welding/current_kA", settings["secondary_current_kA"])
        heated = _heated(current, weld, settings, machine)
        found = _joined(current, heated, press, link, settings, machine, factors)
        reached = factors.actual("link/chain/welding/upset_length_mm", found.upset.upset_length_mm)
        stock = _closed(link, reached, settings["burn_off_mm"]).changed(
            shape={
                "weld_diameter_mm": found.weld_diameter_mm,
                "weld_affected_length_mm": found.affected_length_mm,
            }
        )
        learned = factors.factors[_EXPULSION.name].kind == "file"
        return Step(
            findings(found, settings.prepared, machine, self.needs, learned),
            stock,
            use=_use(link, heated.machine_energy_kJ, machine),
            cautions=_CAUTIONS,
            curves={}
            if factors.draws
            else {"window": lambda: _window(weld, press, settings, factors)},
        )


def _heated(
    current: Any, weld: Mapping[str, Any], settings: SetUp, machine: Machine
) -> UpsetWeldHeating:
    """The joint at the end of the heat and when the electrodes open."""
    held = time_without_current(
        upset_cycles=settings["upset_cycles"],
        hold_cycles=settings["hold_cycles"],
        frequency_Hz=machine.held["mains_frequency_Hz"],
    )
    return upset_weld_heating(secondary_current_kA=current, hold_time_s=held, **weld)


def _joined(
    current: Any,
    heated: UpsetWeldHeating,
    press: Mapping[str, Any],
    link: Stock,
    settings: SetUp,
    machine: Machine,
    factors: Conditions,
) -> Welded:
    """Upset, bulge and trimming of a heated joint."""
    wire, carbon = link["lot_wire_diameter_mm"], link["C_percent"]
    upset = upset_length(
        joint_temperature_degC=heated.joint_temperature_degC,
        visible_temperature_degC=heated.visible_temperature_degC,
        edge_temperature_degC=heated.edge_temperature_degC,
        **press,
    )
    bulge = weld_bulge(
        wire_diameter_mm=wire,
        upset_length_mm=upset.upset_length_mm,
        heated_length_mm=bulging_length(
            heated_length_mm=heated.softened_length_mm,
            upset_length_mm=upset.upset_length_mm,
            wire_diameter_mm=wire,
        ),
    )
    across = {"wire_diameter_mm": wire, "bulge_diameter_mm": bulge.bulge_diameter_mm}
    cut = trim_weld(
        bulge_length_mm=bulge.bulge_length_mm,
        trimmed_diameter_mm=settings["trimming_diameter_mm"],
        trimming_temperature_degC=heated.released_temperature_degC,
        C_percent=carbon,
        **across,
    )
    trimmed = factors.actual(
        "link/chain/welding/weld_diameter_mm",
        trimmed_weld(
            bulge_diameter_mm=bulge.bulge_diameter_mm,
            trimming_diameter_mm=settings["trimming_diameter_mm"],
        ),
    )
    residue = inner_residue(weld_diameter_mm=trimmed, wire_diameter_mm=wire)
    solidus = _solidus(link)
    return Welded(
        current_kA=current,
        heated=heated,
        upset=upset,
        bulge=bulge,
        cut=cut,
        solidus_degC=solidus,
        expulsion_degC=expulsion_temperature(
            solidus_temperature_degC=solidus, factor=factors.factor(_EXPULSION.name)
        ),
        weld_diameter_mm=trimmed,
        affected_length_mm=affected_length_each_side(bulge_length_mm=bulge.bulge_length_mm),
        inner_residue_mm=residue,
        inner_width_mm=inner_width_at_weld(
            outer_width_mm=link["outer_width_mm"], wire_diameter_mm=wire, inner_residue_mm=residue
        ),
        mark_depth_mm=electrode_mark(
            wire_diameter_mm=wire,
            electrode_force_kN=settings["electrode_force_kN"],
            contact_length_mm=settings.prepared["metal"].contact_length_mm,
            edge_temperature_degC=heated.edge_temperature_degC,
            C_percent=carbon,
        ),
    )


def _limits(link: Stock, machine: Machine, factors: Conditions) -> WeldLimits:
    """What a sound weld needs; the expulsion factor at its median."""
    return WeldLimits(
        machine.held["least_joint_temperature_degC"],
        least_upset(machine, link["wire_diameter_mm"]),
        expulsion_temperature(
            solidus_temperature_degC=_solidus(link), factor=factors.factor(_EXPULSION.name)
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


def _solidus(link: Stock) -> Any:
    return solidus_temperature(**link.elements("C", "Si", "Mn", "P", "S", "Ni", "Cr", "Al"))


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
    spread = factors.factors[_EXPULSION.name].spread
    with not_recording():
        return weld_window(
            weld,
            press,
            limits,
            current_kA=float(settings["secondary_current_kA"]),
            expulsion_band=tuple(
                float(limits.expulsion_degC * np.exp(side * spread)) for side in (-1.0, 1.0)
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
