"""Finishing without heat: chain is tumbled bright, blasted with shot, or oiled.

`Tumbling`, `Blasting` and `Oiling`. What tumbling and blasting take off the wire is asked
for beforehand, so that the finished chain still has its diameter.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.oil_film import (
    dipped_film,
    drained_film,
    draining_length,
    draining_time,
    film_mass,
)
from linkwright.processes.models.surface import (
    blast_coverage,
    blast_time,
    critical_barrel_speed,
    diameter_after_loss,
    diameter_before_loss,
    load_of_surface,
    mass_on_chain,
    shot_impacts,
    speed_at_ratio,
    surface_loss,
    surface_of_chain,
    time_of_loads,
)
from linkwright.processes.packing import mass_per_metre
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    KeepsSizes,
    Machine,
    Operation,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

WEIGHED = "held by the works, from a weighed coupon"
_WIRES = ("wire_diameter_mm", "lot_wire_diameter_mm")


class Tumbling(Operation):
    """Chain turns in a barrel until edges and scale are off and it is bright."""

    name = "tumbling"
    card = ("barrel_speed_rpm", "tumbling_time_min", "load_mass_kg", "tumbling_medium")

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Wire thicker by what the barrel takes."""
        loss = lost_in_time(machine, machine.held["tumbling_time_min"])
        return {MAIN: _thicker(wanted, loss)}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Speed below the critical one; time and load as held."""
        speed = barrel_speed(machine, given)
        return SetUp((speed, *_load(machine, given, "tumbling_time_min")),
                     {"machine": machine.name})  # fmt: skip

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Metal lost and the wire that is left."""
        chain = stocks[MAIN]
        loss = lost_in_time(machine, settings["tumbling_time_min"])
        thinner = _thinner(chain, loss)
        return Step(
            (*_loss_findings(thinner, loss, machine),),
            thinner,
            use=_use(chain, settings, "tumbling_time_min", machine),
            cautions=_TUMBLING,
        )


class Blasting(Operation):
    """Shot is thrown at the chain until it has hit nearly all of the surface."""

    name = "blasting"
    card = (
        "blast_time_min", "load_mass_kg", "shot_diameter_mm", "shot_flow_kg_per_h",
        "shot_kind", "almen_height", "wheel_speed_rpm",
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Wire thicker by what the shot takes."""
        time = machine.held.get("blast_time_min")
        loss = lost_in_time(machine, self._time(machine) if time is None else time)
        return {MAIN: _thicker(wanted, loss)}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Time for the coverage that the works asks for."""
        chain = stocks[MAIN]
        time = solved_for(
            "blast_time_min",
            "the coverage that the works asks for",
            lambda: self._time(machine),
            machine,
            given,
            inputs={
                "coverage_percent": machine.held["coverage_percent"],
                "indent_diameter_mm": machine.held["indent_diameter_mm"],
                "impacts_per_mm2_per_min": self._impacts(machine),
            },
            check="timer, each load; dye on one link, each shift: none left under a lens",
            tolerance=machine.held["time_tolerance_min"],
        )
        shot = chosen(
            "shot_diameter_mm", machine, given, tolerance=0.2, check="sieve, each week",
        )  # fmt: skip
        flow = chosen(
            "shot_flow_kg_per_h", machine, given, check="current of the wheel, each load",
            tolerance=machine.held["flow_tolerance_kg_per_h"],
        )  # fmt: skip
        shared = {
            "treated_surface_m2": machine.held["treated_surface_m2"],
            "chain_mass_kg_per_m": mass_per_metre(chain),
            "surface_m2_per_m": surface_per_metre(chain),
        }
        load = solved_for(
            "load_mass_kg",
            "the surface over which the shot is shared",
            lambda: load_of_surface(**shared),
            machine,
            given,
            inputs=shared,
            check="scale, each load",
            tolerance=machine.held["load_tolerance_kg"],
        )
        return SetUp((time, shot, flow, load), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Coverage, metal lost and the wire that is left."""
        chain = stocks[MAIN]
        time = settings["blast_time_min"]
        covered = blast_coverage(
            indent_diameter_mm=machine.held["indent_diameter_mm"],
            impacts_per_mm2_per_min=self._impacts(machine),
            time_min=time,
        )
        loss = lost_in_time(machine, time)
        thinner = _thinner(chain, loss)
        least = machine.held["least_coverage_percent"]
        return Step(
            (
                Finding("coverage_percent", covered, least, None, "held by the works"),
                *_loss_findings(thinner, loss, machine),
            ),
            thinner,
            use=_use(chain, settings, "blast_time_min", machine),
            cautions=_BLASTING,
        )

    def _impacts(self, machine: Machine) -> Any:
        names = ("shot_flow_kg_per_h", "shot_diameter_mm", "treated_surface_m2", "hitting_share")
        return shot_impacts(**{name: machine.held[name] for name in names})

    def _time(self, machine: Machine) -> Any:
        return blast_time(
            coverage_percent=machine.held["coverage_percent"],
            indent_diameter_mm=machine.held["indent_diameter_mm"],
            impacts_per_mm2_per_min=self._impacts(machine),
        )


class Oiling(KeepsSizes):
    """Chain is lifted through oil and drains until the film that is wanted is left."""

    name = "oiling"
    card = ("draining_time_s", "lifting_speed_m_per_s", "oil_temperature_degC", "oil_kind")

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Time of draining for the film wanted; speed and temperature as held."""
        inputs = {
            "film_mass_g_per_m2": machine.held["film_mass_g_per_m2"],
            **self._draining(stocks[MAIN], machine),
        }
        time = solved_for(
            "draining_time_s",
            "the mass of oil on a square metre that the works asks for",
            lambda: draining_time(**inputs),
            machine,
            given,
            inputs=inputs,
            check="timer; a metre weighed before and after, each drum",
            tolerance=machine.held["time_tolerance_s"],
        )
        speed = chosen(
            "lifting_speed_m_per_s", machine, given, tolerance=0.02, check="display, at set-up"
        )
        warm = chosen(
            "oil_temperature_degC", machine, given, tolerance=3.0,
            check="thermometer in the bath, each shift",
        )  # fmt: skip
        return SetUp((time, speed, warm), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Oil that stays, against what the works asks for; oil used."""
        chain, held = stocks[MAIN], machine.held
        film = film_mass(
            dipped_film_um=dipped_film(
                oil_viscosity_mPa_s=held["oil_viscosity_mPa_s"],
                lifting_speed_m_per_s=settings["lifting_speed_m_per_s"],
                oil_density_kg_per_m3=held["oil_density_kg_per_m3"],
                surface_tension_N_per_m=held["surface_tension_N_per_m"],
            ),
            drained_film_um=drained_film(
                draining_time_s=settings["draining_time_s"], **self._draining(chain, machine)
            ),
            oil_density_kg_per_m3=held["oil_density_kg_per_m3"],
        )
        limits = held["least_film_mass_g_per_m2"], held["greatest_film_mass_g_per_m2"]
        return Step(
            (Finding("film_mass_g_per_m2", film, *limits, "held by the works"),),
            chain,
            use={
                "machine_time_h": time_of_loads(
                    length_m=chain["length_m"],
                    chain_mass_kg_per_m=mass_per_metre(chain),
                    load_mass_kg=held["load_mass_kg"],
                    time_min=machine.rate["handling_time_min"],
                    machines=machine.many,
                ),
                "oil_kg": mass_on_chain(
                    film_mass_g_per_m2=film,
                    surface_m2_per_m=surface_per_metre(chain),
                    length_m=chain["length_m"],
                ),
            },
            cautions=_OILING,
        )

    def _draining(self, chain: Stock, machine: Machine) -> dict[str, Any]:
        """Oil and the wall it drains from: a hanging link is its outer length high."""
        return {
            "oil_viscosity_mPa_s": machine.held["oil_viscosity_mPa_s"],
            "draining_length_m": draining_length(
                pitch_mm=chain["pitch_mm"], wire_diameter_mm=chain["lot_wire_diameter_mm"]
            ),
            "oil_density_kg_per_m3": machine.held["oil_density_kg_per_m3"],
        }


def surface_per_metre(chain: Stock) -> Any:
    """Surface of a metre of chain (m2/m)."""
    return surface_of_chain(
        wire_diameter_mm=chain["lot_wire_diameter_mm"],
        centreline_length_mm=chain["centreline_length_mm"],
        pitch_mm=chain["pitch_mm"],
    )


def _load(machine: Machine, given: Mapping[str, Any], time: str) -> tuple[Any, Any]:
    """Time and load of a machine that treats loads."""
    return (
        chosen(time, machine, given, check="timer, each load",
               tolerance=machine.held["time_tolerance_min"]),
        chosen("load_mass_kg", machine, given, check="scale, each load",
               tolerance=machine.held["load_tolerance_kg"]),
    )  # fmt: skip


def barrel_speed(machine: Machine, given: Mapping[str, Any]) -> Setting:
    """Speed of a tumbling barrel, a share of that at which it carries its load round."""
    critical = {
        "critical_speed_rpm": critical_barrel_speed(
            barrel_diameter_m=machine.held["barrel_diameter_m"]
        ),
        "speed_ratio": machine.held["speed_ratio"],
    }
    return solved_for(
        "barrel_speed_rpm",
        "the held share of the speed at which the barrel carries its load round",
        lambda: speed_at_ratio(**critical),
        machine,
        given,
        inputs=critical,
        check="display, each load",
        tolerance=1.0,
    )


def lost_in_time(machine: Machine, time_min: Any) -> Any:
    """Mass that a square metre loses in a time, at the rate that the works holds."""
    return surface_loss(loss_rate_g_per_m2h=machine.held["loss_rate_g_per_m2h"], time_min=time_min)


def _thicker(wanted: Wanted, loss: Any) -> dict[str, Any]:
    before = diameter_before_loss(
        wire_diameter_mm=wanted["wire_diameter_mm"], surface_loss_g_per_m2=loss
    )
    return {**wanted, "wire_diameter_mm": before}


def _thinner(chain: Stock, loss: Any) -> Stock:
    left = {
        name: diameter_after_loss(wire_diameter_mm=chain[name], surface_loss_g_per_m2=loss)
        for name in _WIRES
    }
    return chain.changed(shape=left)


def _loss_findings(left: Stock, loss: Any, machine: Machine) -> tuple[Finding, Finding]:
    most = machine.held["greatest_loss_g_per_m2"]
    return (
        Finding("surface_loss_g_per_m2", loss, None, most, WEIGHED),
        Finding("wire_diameter_mm", left["wire_diameter_mm"]),
    )


def _use(chain: Stock, settings: SetUp, time: str, machine: Machine) -> dict[str, Any]:
    hours = time_of_loads(
        length_m=chain["length_m"],
        chain_mass_kg_per_m=mass_per_metre(chain),
        load_mass_kg=settings["load_mass_kg"],
        time_min=settings[time],
        handling_time_min=machine.rate["handling_time_min"],
        machines=machine.many,
    )
    return use_of_machine(hours, machine)


BARREL = Caution(
    "A turning barrel pulls in hands and hair, and is loud",
    "door of the barrel locked with its drive, tried before start; hearing protection",
)
_TUMBLING = (BARREL,)
_BLASTING = (
    Caution(
        "Shot leaves an open cabin like hail; its dust harms lungs and can burn",
        "door switch and dust extraction tried before start; eye protection and mask when emptying",
    ),
    Caution(
        "Shot that stays in the crown grinds the chain in use",
        "blow out and shake each load, look into three crowns",
    ),
)
_OILING = (
    Caution(
        "Oiled floors are slippery, oil irritates skin and its mist burns",
        "tray below the drain, gloves, no open flame; keep the safety data sheet at hand",
    ),
)
