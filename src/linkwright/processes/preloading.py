"""Preloading: the finished strand is pulled so that joints bed in before the chain is measured."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.processes.choosing import chosen, computed
from linkwright.processes.models.assembled_chain import force_share
from linkwright.processes.models.roller_strand import (
    bedded_length_error,
    bedded_pitch,
    strands_time,
)
from linkwright.processes.strand import Strand
from linkwright.processes.strand_strength import strand_strength
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
    Machine,
    Operation,
    SetUp,
    Step,
    Stocks,
    Wanted,
)
from linkwright.route.stock import Stock

_BEDDING = Factor(
    "factor/preloading/bedding",
    1.0,
    0.40,
    "works' own factor on what joints bed in by, not yet learned: stated band 40 %",
    "measure ten strands before and after the preload",
)


class Preloading(Operation):
    """About a third of the tensile strength, as the standard recommends, held for seconds."""

    name = "preloading"
    factors = (_BEDDING,)
    card = ("preload_kN", "hold_time_s")

    def __init__(self, strand: Strand) -> None:
        self.strand = strand

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """A strand shorter by what its joints bed in."""
        error = bedded_length_error(
            length_error_percent=wanted["length_error_percent"],
            bedding_percent=machine.held["bedding_percent"],
            factor=factors.factor(_BEDDING.name),
        )
        return {MAIN: {**wanted, "length_error_percent": error}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """The force that the standard recommends; the time as held."""
        force = computed(
            "preload_kN", "a third of the tensile strength that the standard asks for",
            lambda: self.strand.strength.preload_kN, machine, given,
            check="load cell, each strand", share=0.02,
        )  # fmt: skip
        hold = chosen("hold_time_s", machine, given, check="timer, each strand", share=0.2)
        return SetUp((force, hold), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Force against the bench and against what breaks the chain; the pitch as bedded."""
        chain = stocks[MAIN]
        force = settings["preload_kN"]
        _, high = machine.limits("preload_kN")
        broken = strand_strength(chain, self.strand.strands).breaking_force_kN
        bedded = {
            name: bedded_pitch(
                pitch_mm=chain[name],
                bedding_percent=machine.held["bedding_percent"],
                factor=factors.factor(_BEDDING.name),
            )
            for name in ("pitch_mm", "lot_pitch_mm")
        }
        return Step(
            (
                Finding("preload_kN", force, None, high, f"range of {machine.name}"),
                Finding(
                    "preload_share_percent", force_share(force_kN=force, whole_force_kN=broken),
                    None, machine.held["greatest_share_percent"],
                    "held by the works: of the breaking force of the strand as it is",
                ),
                Finding("pitch_mm", bedded["pitch_mm"], note="after the preload"),
            ),
            chain.changed(shape=bedded),
            use={
                "machine_time_h": strands_time(
                    length_m=chain["ordered_length_m"],
                    strand_length_m=machine.held["strand_length_m"],
                    strand_time_min=machine.rate["strand_time_min"],
                )
            },
            cautions=_CAUTIONS,
        )  # fmt: skip


_CAUTIONS = (
    Caution(
        "A chain that breaks under its preload flies",
        "closed bench, its switch tried before start; nobody in line with the strand",
    ),
)
