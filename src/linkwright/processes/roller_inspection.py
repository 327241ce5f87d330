"""Inspection of roller chain: length under the measuring force, what breaks it, what it bears.

The tests are those of ISO 606; the values are the models'. A finding says what a test would show.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.catalogue import sourced
from linkwright.processes.bench import bench_set_up
from linkwright.processes.choosing import held_of
from linkwright.processes.models.assembled_chain import cranked_force, cranked_links
from linkwright.processes.models.inspection import testing_time, weakest_of
from linkwright.processes.models.plate_fatigue import chain_dynamic_strength
from linkwright.processes.models.plate_response import plate_response, strength_for_plate_force
from linkwright.processes.models.roller_joint import pin_bending_force
from linkwright.processes.models.roller_strand import (
    margin_over,
    plate_stretch_percent,
    strand_length_error,
    unstretched_error,
)
from linkwright.processes.models.works_factor import corrected_breaking_force, corrected_force
from linkwright.processes.strand import PLATE, Strand
from linkwright.processes.strand_strength import strand_strength
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

BREAKING = Factor(
    "factor/roller_inspection/breaking_force",
    1.0,
    0.05,
    "works' own factor on breaking force by finite elements of the plate and shear of the pin, not "
    "yet learned: stated band 5 %",
    "break five test pieces of one lot of known hardness",
)
_FATIGUE = Factor(
    "factor/roller_inspection/dynamic_strength",
    1.0,
    0.25,
    "works' own factor on dynamic strength by local stress, not yet learned: stated band 25 %; "
    "pressed pins, sizing and peening of the holes are not in the model",
    "a staircase of twenty test pieces at 3e6 cycles",
)
_FORCE_RATIO = "link/chain/roller_inspection/breaking_force_ratio"
_LENGTH = "link/chain/roller_inspection/length_error_percent"
_COUNTS = (
    "samples_per_lot_count",
    "links_per_sample_count",
    "measured_pitches_count",
    "dynamic_tests_count",
)


class RollerInspection(Operation):
    """Strand on the measuring bench, test pieces in the tensile and the pulsating machine."""

    name = "roller_inspection"
    scatter = (
        Scatter(_FORCE_RATIO, 0.01, "link to link beyond sizes and hardness: common practice, "
                "no source"),
        Scatter(_LENGTH, 0.004, "strand to strand and reading of the gauge: common practice, "
                "no source"),
    )  # fmt: skip
    factors = (BREAKING, _FATIGUE)
    card = (*_COUNTS, "test_speed_mm_per_s")

    def __init__(self, strand: Strand, limits: Mapping[str, Any]) -> None:
        """``limits``: what ISO 606 gives by finding: ``(least, greatest, source)``."""
        self.strand, self.limits = strand, limits

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A strand that has its length under the measuring force; plates as strong as needed."""
        parts = self.strand.parts
        error = unstretched_error(
            length_error_percent=wanted["length_error_percent"],
            stretch_percent=self._stretch(
                parts.outer_plate.plate_thickness_mm, parts.outer_plate.waist_height_mm, machine
            ),
        )
        asked = {
            name: strength_for_plate_force(
                chain_force_kN=wanted[force],
                plates=wanted["plates_across"],
                **{size: getattr(plate, size) for size in ("hole_spacing_mm", *PLATE)},
            )
            for name, plate, force in (
                ("tensile_strength_MPa", parts.outer_plate, "breaking_force_kN"),
                ("inner_tensile_strength_MPa", parts.inner_plate, "inner_plates_force_kN"),
            )
        }
        return {MAIN: {"pitch_mm": wanted["pitch_mm"], "length_error_percent": error, **asked}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Test pieces, pitches measured, tests of endurance, rate of the tensile test."""
        return bench_set_up(_COUNTS, "machine", machine, given)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """What rule, tensile test and pulsating test would show."""
        chain = stocks[MAIN]
        found = (
            *self._length(chain, settings, machine, factors),
            *self._breaking(chain, settings, machine, factors),
            *self._dynamic(chain, machine, factors),
        )
        return Step(
            found,
            chain,
            use={
                "machine_time_h": testing_time(
                    lots=chain["lots"],
                    samples=settings["samples_per_lot_count"],
                    test_time_min=machine.rate["test_time_min"],
                )
            },
            cautions=_CAUTIONS,
        )

    def _finding(self, subject: str, value: Any, note: str = "") -> Finding:
        """Against the standard's limit, or without one where it gives none."""
        least, greatest, source = self.limits.get(subject, (None, None, ""))
        return Finding(subject, value, least, greatest, source, note)

    def _stretch(self, thickness_mm: Any, width_mm: Any, machine: Machine) -> Any:
        return plate_stretch_percent(
            force_N=self._measuring_force(machine),
            plate_thickness_mm=thickness_mm,
            plate_width_mm=width_mm,
            strands=self.strand.strands,
        )

    def _measuring_force(self, machine: Machine) -> Any:
        """That of the standard, or the works' own where no table holds it."""
        force = self.strand.strength.measuring_force_N
        return force if float(force) > 0.0 else machine.held["measuring_force_N"]

    def _length(
        self, chain: Stock, settings: SetUp, machine: Machine, factors: Conditions
    ) -> tuple[Finding, ...]:
        stretch = self._stretch(
            chain["outer_plate_thickness_mm"], chain["outer_waist_height_mm"], machine
        )
        error = strand_length_error(
            strand_pitch_mm=chain["lot_pitch_mm"],
            pitch_mm=self.strand.parts.pitch_mm,
            pitches=settings["measured_pitches_count"],
            spacing_deviation_mm=_ONE_LOT,
            stretch_percent=stretch,
        ).length_error_percent
        force = self._measuring_force(machine)
        return (
            self._finding("length_error_percent", factors.actual(_LENGTH, error)),
            Finding("measuring_force_N", force),
        )

    def _breaking(
        self, chain: Stock, settings: SetUp, machine: Machine, factors: Conditions
    ) -> tuple[Finding, ...]:
        broken = strand_strength(chain, self.strand.strands)
        factor = factors.factor(BREAKING.name)
        usual, force = (
            corrected_breaking_force(breaking_force_kN=broken.breaking_force_kN, factor=one)
            for one in (factor, factors.actual(_FORCE_RATIO, factor))
        )
        sample = weakest_of(
            breaking_force_kN=usual,
            deviation_ratio=self._deviation(factors),
            links=settings["links_per_sample_count"],
        )
        required = self.strand.strength.breaking_force_kN
        bent = pin_bending_force(
            pin_diameter_mm=chain["pin_diameter_mm"],
            pin_yield_strength_MPa=chain["pin_yield_strength_MPa"],
            outer_plate_thickness_mm=chain["outer_plate_thickness_mm"],
            inner_plate_thickness_mm=chain["inner_plate_thickness_mm"],
            strands=self.strand.strands,
        )
        cranked = cranked_links(pitches=self.strand.pitches)
        weaker = cranked_force(
            breaking_force_kN=sample, **held_of(machine, strength_share_percent="cranked_percent")
        )
        return (
            self._finding("breaking_force_kN", force),
            self._finding("weakest_link_in_sample_kN", sample),
            Finding("inner_plates_force_kN", broken.inner_plates_force_kN),
            Finding("outer_plates_force_kN", broken.outer_plates_force_kN),
            Finding("pins_force_kN", broken.pins_force_kN, note="pins shear"),
            Finding("pin_bending_force_kN", bent, note="pull at which pins bend for good"),
            Finding("strength_margin_percent", margin_over(value=force, least=required)),
            Finding("cranked_links", cranked, note="needed where the number of pitches is odd"),
            *((Finding("cranked_force_kN", weaker, note="with a cranked link"),)
              if float(cranked) > 0.0 else ()),
        )  # fmt: skip

    def _dynamic(self, chain: Stock, machine: Machine, factors: Conditions) -> tuple[Finding, ...]:
        """Of one strand, for which the standard asks it: the weaker of inner and outer plates."""
        found = {}
        for side in ("inner", "outer"):
            strength = chain[f"{side}_tensile_strength_MPa"]
            sizes = {name: chain[f"{side}_{name}"] for name in PLATE}
            peak = plate_response(
                hole_spacing_mm=chain["hole_spacing_mm"], tensile_strength_MPa=strength, **sizes
            )
            del sizes["waist_height_mm"]
            found[side] = chain_dynamic_strength(
                tensile_strength_MPa=strength,
                net_stress_factor=peak.net_stress_factor,
                **sizes,
                **held_of(machine, "edge_roughness_um"),
            ).dynamic_strength_N
        return tuple(
            self._finding(
                f"{side}_dynamic_strength_N",
                _corrected_dynamic(found[side], factors),
                "of one strand, pulsating from zero",
            )
            for side in found
        )

    def _deviation(self, factors: Conditions) -> Any:
        known = factors.scatter.get(_FORCE_RATIO, self.scatter[0])
        return sourced(_FORCE_RATIO, known.sd, "default", known.source)


def _corrected_dynamic(strength_N: Any, factors: Conditions) -> Any:
    """Dynamic strength with the works' own factor."""
    return corrected_force(force_N=strength_N, factor=factors.factor(_FATIGUE.name))


_ONE_LOT = 0.0
_CAUTIONS = (
    Caution(
        "Test pieces break with a shot",
        "test bench closed and its switch tried before start; eye protection",
    ),
)
