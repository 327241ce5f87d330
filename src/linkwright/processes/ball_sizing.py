"""Ball sizing of plate holes: hard balls are pushed through, holes grow true and their edges yield.

An option for link plates after tumbling: pierced holes become round and of one size, and what
springs back leaves compression at the edge where a plate would crack. How much fatigue strength
that adds is left out: no formula is held that one could vouch for.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from linkwright.catalogue import not_recording
from linkwright.mechanics.hole_expansion import ball_sized_hole, hole_before_sizing
from linkwright.processes.choosing import chosen, held_of, rising_root, solved_for
from linkwright.processes.machine_use import use_of_machine
from linkwright.processes.models.plate_sums import yield_of_strength
from linkwright.processes.models.use import working_time
from linkwright.processes.of_part import OfPart
from linkwright.processes.plate_charge import PLATE_SIZES
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Scatter,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_HELD = "held by the works"
_LARGEST = 1.04
_NOT_HELD = "no formula is held for what it adds to the fatigue strength"


class BallSizing(OfPart):
    """Two balls a stroke, a little larger than the holes."""

    name = "ball_sizing"
    card = ("sizing_ball_mm", "strokes_per_min", "lubricant")
    scatter = (
        Scatter("lot/plate/ball_sizing/sizing_ball_mm", 0.001,
                "balls of one grade and their wear: common practice, no source"),
    )  # fmt: skip

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """The same plate with holes smaller by what the balls add at its usual yield stress."""
        hole = hole_before_sizing(
            ring_outside_mm=wanted["plate_height_mm"],
            sized_hole_mm=wanted["hole_diameter_mm"],
            ball_interference_percent=machine.held["ball_interference_percent"],
            yield_strength_MPa=yield_of_strength(
                tensile_strength_MPa=wanted["tensile_strength_MPa"],
                yield_ratio=machine.held["yield_ratio"],
            ),
        )
        keep = {name: wanted[name] for name in (*PLATE_SIZES, "tensile_strength_MPa")}
        return {MAIN: {**keep, "hole_diameter_mm": hole}}

    def sizes(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> Stock:
        """The plate with the hole wanted: the ball is solved for it."""
        return stocks[MAIN].changed(shape={"hole_diameter_mm": wanted["hole_diameter_mm"]})

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The ball that leaves the hole wanted."""
        plate = stocks[MAIN]
        inputs = {**_ring(plate), "sized_hole_mm": wanted["hole_diameter_mm"]}
        low, high = float(plate["hole_diameter_mm"]), _LARGEST * float(plate["hole_diameter_mm"])
        ball = solved_for(
            "sizing_ball_mm", "the hole wanted, with what springs back",
            lambda: rising_root(
                lambda trial: ball_sized_hole(
                    ball_diameter_mm=trial, **_ring(plate)
                ).hole_diameter_mm,
                float(wanted["hole_diameter_mm"]), low, high, "no ball leaves the hole", rounds=3,
            ),
            machine, given, inputs=inputs, bracket=(low, high),
            check="micrometer, each new ball", tolerance=0.002,
        )  # fmt: skip
        rate = chosen("strokes_per_min", machine, given, check="display", share=0.1)
        prepared = {"hole_diameter_mm": wanted["hole_diameter_mm"], "machine": machine.name}
        return SetUp((ball, rate), prepared)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Holes as the balls leave them, with less scatter than they came."""
        plate = stocks[MAIN]
        ball = self.actual(factors, "lot", "sizing_ball_mm", settings["sizing_ball_mm"])
        sized = ball_sized_hole(
            ball_diameter_mm=ball,
            **_ring(plate),
            **held_of(machine, friction="sizing_friction"),
        )
        hours = working_time(
            pieces=plate["plates"],
            pieces_per_minute=settings["strokes_per_min"],
            machines=machine.many,
        )
        return Step(
            _findings(sized, machine),
            plate.changed(
                "plate",
                shape={"hole_diameter_mm": sized.hole_diameter_mm},
                condition={"hole_residual_stress_MPa": sized.residual_hoop_stress_MPa},
            ),
            use=use_of_machine(hours, machine),
            cautions=_CAUTIONS,
            curves={} if factors.draws else _picture(plate, settings),
        )


def _ring(plate: Stock) -> dict[str, Any]:
    """The eye of a plate, taken as a round ring as wide as it is high."""
    return {
        "ring_outside_mm": plate["plate_height_mm"],
        "hole_diameter_mm": plate["hole_diameter_mm"],
        "yield_strength_MPa": plate["yield_strength_MPa"],
    }


def _findings(sized: Any, machine: Machine) -> tuple[Finding, ...]:
    return (
        Finding("hole_diameter_mm", sized.hole_diameter_mm),
        Finding("sizing_springback_um", sized.springback_um, note="of ball over hole"),
        Finding("plate_yielding_percent", sized.plastic_depth_percent, None,
                machine.held["greatest_plate_yielding_percent"], f"{_HELD}: of the eye's wall"),
        Finding("residual_hoop_stress_MPa", sized.residual_hoop_stress_MPa,
                note=f"at the edge of the hole; {_NOT_HELD}"),
        Finding("ball_force_kN", sized.ball_force_kN, None, machine.held["greatest_ball_force_kN"],
                _HELD, "of one ball"),
    )  # fmt: skip


def _picture(plate: Stock, settings: SetUp) -> dict[str, Any]:
    """Hole and residual stress over the ball."""
    hole = float(plate["hole_diameter_mm"])
    ball = np.linspace(hole, 2.0 * float(settings["sizing_ball_mm"]) - hole, 41)
    with not_recording():
        path = ball_sized_hole(
            ball_diameter_mm=ball, **{name: float(one) for name, one in _ring(plate).items()}
        )
    return {
        "ball_mm": [float(one) for one in ball],
        "sized_hole_mm": [float(one) for one in path.hole_diameter_mm],
        "residual_hoop_stress_MPa": [float(one) for one in path.residual_hoop_stress_MPa],
    }


_CAUTIONS = (
    Caution(
        "The press closes on fingers; a hard ball that jams bursts",
        "guard closed and its switch tried before start; eye protection; local codes first",
    ),
)
