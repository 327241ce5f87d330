"""Marking: grade and traceability marks pressed into links, and a serial number a piece."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.models.marks import (
    last_serial,
    mark_depth,
    mark_depth_of_wire,
    mark_distance,
    mark_force,
    mark_section_loss,
    marks_on_piece,
    pieces_in_length,
    whole_links_between,
)
from linkwright.processes.models.use import energy_of_time, working_time
from linkwright.route import (
    HELD,
    MAIN,
    Caution,
    Conditions,
    Finding,
    KeepsSizes,
    Machine,
    Setting,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_OWN_LIMIT = "held by the works: no published law of the loss by a mark"


class Marking(KeepsSizes):
    """A mark at every so many links, never farther apart than the standard allows.

    greatest_spacing_mm: the standard's, None where it is not held: then the works' own
    ``greatest_spacing_mm`` counts. mark: what the standard has stamped, in its own signs.
    A piece is a length of chain with a serial number of its own.
    """

    name = "marking"
    card = (
        "grade_mark", "serial_prefix", "first_serial_number", "last_serial_number",
        "pieces_count", "piece_length_m", "first_marked_link_count", "links_between_marks",
        "mark_depth_mm", "mark_force_kN", "stamp_angle_deg", "stamp_number", "mark_place",
        "stamp_change_links_count",
    )  # fmt: skip

    def __init__(self, greatest_spacing_mm: Any, source: str, mark: str = "") -> None:
        self.greatest_spacing_mm = greatest_spacing_mm
        self.source = source
        self.mark = mark

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Which links and pieces are marked, and the force for the depth of the mark."""
        chain = stocks[MAIN]
        settings = (
            *self._stamp(chain, machine, given),
            self._links(chain, machine, given),
            chosen("first_marked_link_count", machine, given, tolerance=0.0,
                   check="counted from the first link of the piece, each piece"),
            *_serials(chain, machine, given),
        )  # fmt: skip
        return SetUp(settings, {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Chain with marks: their distance, depth, number and the section they take."""
        chain = stocks[MAIN]
        distance = mark_distance(
            links_between_marks=settings["links_between_marks"], pitch_mm=chain["pitch_mm"]
        )
        depth = mark_depth(mark_force_kN=settings["mark_force_kN"], **_under_stamp(chain, machine))
        loss = mark_section_loss(mark_depth_mm=depth, wire_diameter_mm=chain["wire_diameter_mm"])
        marks = marks_on_piece(
            piece_length_m=settings["piece_length_m"],
            pitch_mm=chain["pitch_mm"],
            links_between_marks=settings["links_between_marks"],
            first_marked_link_count=settings["first_marked_link_count"],
        )
        hours = working_time(
            pieces=chain["links"],
            pieces_per_minute=machine.held["links_per_min"],
            machines=machine.many,
        )
        least = machine.held["least_mark_depth_mm"]
        most = machine.held["greatest_section_loss_percent"]
        return Step(
            (
                Finding("mark_distance_mm", distance, None, *self._greatest(machine)),
                Finding("mark_depth_mm", depth, least, None, "held by the works: readable"),
                Finding("section_loss_percent", loss, None, most, _OWN_LIMIT),
                Finding("marks_on_piece_count", marks),
            ),
            chain.changed(amount={"piece_length_m": settings["piece_length_m"],
                                  "pieces": settings["pieces_count"]}),
            use={
                "machine_time_h": hours,
                "electricity_kWh": energy_of_time(
                    machine_time_h=hours, power_kW=machine.rate["connected_power_kW"]
                ),
            },
            cautions=_CAUTIONS,
        )  # fmt: skip

    def _greatest(self, machine: Machine) -> tuple[Any, str]:
        """Greatest spacing and its source: the standard's, else the works' own."""
        if self.greatest_spacing_mm is not None:
            return self.greatest_spacing_mm, self.source
        return machine.held["greatest_spacing_mm"], "held by the works: the standard's is not held"

    def _stamp(
        self, chain: Stock, machine: Machine, given: Mapping[str, Any]
    ) -> tuple[Setting, ...]:
        wire = {
            "wire_diameter_mm": chain["wire_diameter_mm"],
            "mark_depth_ratio": machine.held["mark_depth_ratio"],
        }
        depth = solved_for(
            "mark_depth_mm",
            "the works' share of the wire, so that every size loses the same share of section",
            lambda: mark_depth_of_wire(**wire),
            machine,
            given,
            inputs=wire,
            check="depth gauge on the first mark and on one each hour",
            tolerance=machine.held["mark_depth_tolerance_mm"],
        )
        under = _under_stamp(chain, machine)
        force = solved_for(
            "mark_force_kN",
            "the depth of the mark in chain of this hardness",
            lambda: mark_force(mark_depth_mm=depth.value, **under),
            machine,
            given,
            inputs={"mark_depth_mm": depth.value, **under},
            check="gauge at the press, each shift",
            tolerance=machine.held["mark_force_tolerance_kN"],
        )
        angle = chosen(
            "stamp_angle_deg", machine, given, tolerance=5.0,
            check="profile gauge, at each new stamp",
        )  # fmt: skip
        signs = Setting(
            "grade_mark", self.mark or "none held: read the standard", HELD,
            aim=f"the mark of the standard ({self.source})", check="read on the first mark",
        )  # fmt: skip
        return depth, force, angle, signs

    def _links(self, chain: Stock, machine: Machine, given: Mapping[str, Any]) -> Setting:
        inputs = {
            "greatest_spacing_mm": self._greatest(machine)[0],
            "pitch_mm": chain["pitch_mm"],
            "spare_links_count": machine.held["spare_links_count"],
        }
        return solved_for(
            "links_between_marks",
            "whole links within the greatest spacing, less the spare ones",
            lambda: whole_links_between(**inputs),
            machine,
            given,
            inputs=inputs,
            check="counter; steel rule from mark to mark, each piece",
            tolerance=0.0,
        )


def _serials(
    chain: Stock, machine: Machine, given: Mapping[str, Any]
) -> tuple[Setting, Setting, Setting, Setting]:
    """Length of a piece, number of pieces, first and last serial number."""
    length = chosen(
        "piece_length_m", machine, given, tolerance=machine.held["piece_length_tolerance_m"],
        check="length counter and tape, each piece",
    )  # fmt: skip
    first = chosen(
        "first_serial_number", machine, given, tolerance=0.0,
        check="next free number of the register of serials, before start",
    )  # fmt: skip
    ordered = {"length_m": chain["ordered_length_m"], "piece_length_m": length.value}
    pieces = solved_for(
        "pieces_count",
        "the ordered length in pieces",
        lambda: pieces_in_length(**ordered),
        machine,
        given,
        inputs=ordered,
        check="register of serials, at the end",
        tolerance=0.0,
    )
    counted = {"first_serial_number": first.value, "pieces_count": pieces.value}
    last = solved_for(
        "last_serial_number",
        "one serial number a piece",
        lambda: last_serial(**counted),
        machine,
        given,
        inputs=counted,
        check="register of serials, at the end",
        tolerance=0.0,
    )
    return length, pieces, first, last


def _under_stamp(chain: Stock, machine: Machine) -> dict[str, Any]:
    """The metal under the stamp, and the stamp."""
    return {
        "hardness_HV": chain["hardness_HV"],
        "stroke_length_mm": machine.held["stroke_length_mm"],
        "stamp_angle_deg": machine.held["stamp_angle_deg"],
    }


_CAUTIONS = (
    Caution("The press pinches", "guard closed and its switch tried before start"),
    Caution(
        "A mark that bites too deep or sharp weakens the link",
        "stamp with rounded edges, on the straight away from the weld, depth as on the card",
    ),
)
