"""Marking: grade and traceability marks pressed into links at the standard's spacing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.models.inspection import mark_distance, whole_links_between
from linkwright.processes.models.use import energy_of_time, working_time
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Finding,
    Machine,
    Operation,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock


class Marking(Operation):
    """A mark at every so many links, never farther apart than the standard allows."""

    name = "marking"

    def __init__(self, greatest_spacing_mm: Any, source: str) -> None:
        self.greatest_spacing_mm = greatest_spacing_mm
        self.source = source

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Calibrated chain; marking changes no size."""
        return {MAIN: dict(wanted)}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Whole links between marks, as many as the standard's spacing takes with some to spare."""
        chain = stocks[MAIN]
        spare = machine.held["spare_links_count"]
        links = solved_for(
            "links_between_marks",
            "whole links within the greatest spacing of the standard, less the spare ones",
            lambda: whole_links_between(
                greatest_spacing_mm=self.greatest_spacing_mm,
                pitch_mm=chain["pitch_mm"],
                spare_links_count=spare,
            ),
            machine,
            given,
            inputs={
                "greatest_spacing_mm": self.greatest_spacing_mm,
                "pitch_mm": chain["pitch_mm"],
                "spare_links_count": spare,
            },
            check="counter; steel rule from mark to mark, each piece",
        )
        force = chosen("mark_force_kN", machine, given, check="gauge at the press, each shift")
        return SetUp((links, force), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Chain with marks; the distance between them against the standard."""
        chain = stocks[MAIN]
        distance = mark_distance(
            links_between_marks=settings["links_between_marks"], pitch_mm=chain["pitch_mm"]
        )
        hours = working_time(
            pieces=chain["links"],
            pieces_per_minute=machine.held["links_per_min"],
            machines=machine.many,
        )
        return Step(
            (Finding("mark_distance_mm", distance, None, self.greatest_spacing_mm, self.source),),
            chain,
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(
                    machine_time_h=hours, power_kW=machine.rate["connected_power_kW"]
                ),
            },
            cautions=(
                Caution("The press pinches", "guard closed and its switch tried before start"),
                Caution(
                    "A mark that bites too deep weakens the link",
                    "mark on the straight away from the weld, depth as on the card",
                ),
            ),
        )
