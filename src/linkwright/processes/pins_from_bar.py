"""Pins from bright bar, sawn or sheared: the stop, the bar that is accepted, the steel it takes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from linkwright.processes.choosing import computed
from linkwright.processes.models.pin_work import BarForPins, bar_for_pins, over_size, pin_mass
from linkwright.processes.of_part import OfPart
from linkwright.route import MAIN, Conditions, Finding, Machine, Setting, SetUp, Wanted
from linkwright.route.stock import Stock

HELD_BY_WORKS = "held by the works"


class PinsFromBar(OfPart):
    """Bar of the blank's diameter, cut as long as turning wants it."""

    part = "pin"

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Bar of the blank's diameter."""
        return {MAIN: {"diameter_mm": wanted["diameter_mm"]}}

    def stop(
        self, length_mm: Callable[[], Any], aim: str, machine: Machine, given: Mapping[str, Any]
    ) -> Setting:
        """Length at the stop, given or as ``length_mm`` computes it for the ``aim``."""
        return computed(
            "cut_length_mm", aim, length_mm, machine, given,
            check="caliper, first bundle and each hour", tolerance=0.15,
        )  # fmt: skip

    def as_cut(self, bar: Stock, settings: SetUp, factors: Conditions, used: BarForPins) -> Stock:
        """The pins of each member, with what they weigh and the steel that they took."""
        diameter = self.actual(factors, "lot", "diameter_mm", bar["diameter_mm"])
        length = self.actual(factors, "link", "cut_length_mm", settings["cut_length_mm"])
        mass = pin_mass(diameter_mm=diameter, length_mm=length)
        return bar.changed("pin", shape={"diameter_mm": diameter, "cut_length_mm": length},
                           amount={"piece_mass_kg": mass, "steel_kg": used.steel_kg})  # fmt: skip


def bar_used(bar: Stock, cut_length_mm: Any, kerf_mm: Any, machine: Machine) -> BarForPins:
    """Bars, their steel and what of it becomes pins."""
    return bar_for_pins(
        pieces=bar["pieces"],
        cut_length_mm=cut_length_mm,
        kerf_mm=kerf_mm,
        bar_length_m=bar["bar_length_m"],
        bar_diameter_mm=bar["diameter_mm"],
        end_loss_mm=machine.held["end_loss_mm"],
    )


def bar_findings(
    bar: Stock, pins: Stock, used: BarForPins, settings: SetUp, machine: Machine, why: str,
    lost: str,
) -> tuple[Finding, ...]:  # fmt: skip
    """Diameter and strength of the bar, ``why`` it must be soft; bars, and what is ``lost``."""
    aim, off = settings.prepared["wanted"]["diameter_mm"], machine.held["bar_tolerance_mm"]
    return (
        Finding("bar_diameter_mm", pins["diameter_mm"], over_size(size_mm=aim, tolerance_mm=-off),
                over_size(size_mm=aim, tolerance_mm=off),
                f"{HELD_BY_WORKS}: about the blank that grinding wants"),
        Finding("bar_strength_MPa", bar["tensile_strength_MPa"],
                machine.held.get("least_bar_strength_MPa"),
                machine.held["greatest_bar_strength_MPa"], f"{HELD_BY_WORKS}: {why}"),
        Finding("bars_count", used.bars),
        Finding("bar_used_share", used.used_share, note=lost),
    )  # fmt: skip
