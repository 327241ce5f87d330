"""Inspection of jack chain: the rod or wire that comes in, and what the finished chain shows.

- `JackReceiving`, `BoughtWireReceiving`: rod to be drawn, or annealed wire bought at its size
- `JackInspection`: gauges and the opening test

No standard of jack chain is held: the limits are the works' own, kept with its bench, and the
force that opens an eye has a limit only where the works gives one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from linkwright.materials.necking import prestrained_swift
from linkwright.processes.bench import bench_set_up
from linkwright.processes.jack_infeed import NOT_FOR_LIFTING
from linkwright.processes.models.inspection import testing_time
from linkwright.processes.models.jack_link import eye_inner_diameter, gap_over_wire, wider_eye
from linkwright.processes.models.opening import (
    eye_collapse_force,
    eye_opening_force,
    eye_opening_stiffness,
    force_against_gap,
)
from linkwright.processes.models.works_factor import corrected_force
from linkwright.processes.receiving import ElementLimit, Receiving
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

_OPENING = Factor(
    "factor/jack_inspection/opening_force",
    1.0,
    0.10,
    "works' own factor on the opening force of an eye, not yet learned: residual stress and the "
    "bending back (Bauschinger) are left out, so a stated band of 10 %",
    "open 10 links of one lot on the bench",
)


class JackReceiving(Receiving):
    """Accept rod for jack chain against the works' own limits of its analysis."""

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The rod with its real analysis and strength."""
        step = super().run(stocks, settings, machine, factors)
        return replace(step, cautions=(*step.cautions, NOT_FOR_LIFTING))


class BoughtWireReceiving(JackReceiving):
    """Accept annealed wire that has its size already: nothing is drawn."""

    scatter = (
        *Receiving.scatter,
        Scatter(
            "lot/wire/receiving/wire_diameter_mm",
            0.01,
            "coil to coil of bought wire: common practice, no source",
        ),
    )

    def __init__(self, limits: Sequence[ElementLimit], yield_offset_strain: Any) -> None:
        super().__init__(limits)
        self.yield_offset_strain = yield_offset_strain

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """The wire as bought, with the flow curve of annealed steel from a small strain on."""
        step = super().run(stocks, settings, machine, factors)
        wire = factors.actual("lot/wire/receiving/wire_diameter_mm", step.stock["wire_diameter_mm"])
        curve = prestrained_swift(
            K_MPa=step.stock["K_MPa"], n=step.stock["n"], true_strain=self.yield_offset_strain
        )
        stock = step.stock.changed(
            "wire",
            shape={"wire_diameter_mm": wire, "lot_wire_diameter_mm": wire},
            condition={"prestrain": curve.prestrain, "yield_MPa": curve.yield_MPa},
        )
        return replace(step, stock=stock)


@dataclass(frozen=True)
class OwnLimit:
    """A limit that the works holds for its own chain, and where it stands."""

    least: Any
    greatest: Any
    source: str


_NO_LIMIT = OwnLimit(None, None, "")

_COUNTS = ("gauged_links_per_lot_count", "opened_links_per_lot_count")
"""What the inspection plan counts."""


class JackInspection(Operation):
    """Gauges on links and the opening test on samples, against the works' own limits."""

    name = "jack_inspection"
    scatter = (
        Scatter(
            "link/chain/jack_inspection/opening_force_ratio",
            0.03,
            "link to link beyond size and strength: common practice, no source",
            relative=True,
        ),
    )
    factors = (_OPENING,)

    def __init__(self, limits: Mapping[str, OwnLimit]) -> None:
        self.limits = limits

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Chain of these sizes."""
        return {MAIN: dict(wanted)}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """Links gauged and links opened of each lot, and the speed of the bench."""
        return bench_set_up(_COUNTS, "bench", machine, given)

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """What gauges show, and the force at which an eye lets its neighbour go."""
        chain = stocks[MAIN]
        wire = chain["wire_diameter_mm"]
        shown = {"pitch_mm": chain["pitch_mm"], "wire_diameter_mm": wire}
        for which in ("first", "second"):
            mean, gap = chain[f"{which}_eye_mean_diameter_mm"], chain[f"{which}_gap_mm"]
            shown[f"{which}_eye_inner_diameter_mm"] = eye_inner_diameter(
                wire_diameter_mm=wire, eye_mean_diameter_mm=mean
            )
            shown[f"{which}_gap_ratio"] = gap_over_wire(gap_mm=gap, wire_diameter_mm=wire)
        opened = _opened(chain, machine, factors)
        findings = [self._finding(name, value) for name, value in {**shown, **opened}.items()]
        use = {
            "machine_time_h": testing_time(
                lots=chain["lots"],
                samples=settings["opened_links_per_lot_count"],
                test_time_min=machine.rate["test_time_min"],
            )
        }
        return Step(
            tuple(findings),
            chain,
            use=use,
            cautions=_CAUTIONS,
            curves={} if factors.draws else {"pull": lambda: _pull(chain, machine)},
        )

    def _finding(self, name: str, value: Any) -> Finding:
        limit = self.limits.get(name, _NO_LIMIT)
        return Finding(name, value, limit.least, limit.greatest, limit.source)


def _opened(chain: Stock, machine: Machine, factors: Conditions) -> dict[str, Any]:
    """The wider eye of the link under load: stiffness, collapse, opening."""
    wider = _wider(chain)
    eye = {
        "wire_diameter_mm": chain["wire_diameter_mm"],
        "eye_mean_diameter_mm": wider.eye_mean_diameter_mm,
    }
    curve = {"K_MPa": chain["K_MPa"], "n": chain["n"], "prestrain": chain["prestrain"]}
    E_MPa = machine.held["E_MPa"]
    stiff = eye_opening_stiffness(gap_mm=wider.gap_mm, E_MPa=E_MPa, **eye)
    collapse = eye_collapse_force(**eye, **curve)
    opening = eye_opening_force(gap_mm=wider.gap_mm, E_MPa=E_MPa, **eye, **curve)
    ratio = factors.actual(
        "link/chain/jack_inspection/opening_force_ratio", factors.factor(_OPENING.name)
    )
    return {
        "opening_force_N": corrected_force(force_N=opening.opening_force_N, factor=ratio),
        "unrolling_force_N": opening.unrolling_force_N,
        "straightened_share": opening.straightened_share,
        "collapse_force_N": collapse.collapse_force_N,
        "gap_stiffness_N_per_mm": stiff.gap_stiffness_N_per_mm,
    }


def _wider(chain: Stock) -> Any:
    names = (
        "first_eye_mean_diameter_mm", "second_eye_mean_diameter_mm", "first_gap_mm",
        "second_gap_mm",
    )  # fmt: skip
    return wider_eye(**{name: chain[name] for name in names})


def _pull(chain: Stock, machine: Machine) -> dict[str, Any]:
    """Force against gap of the eye, for the picture."""
    wider = _wider(chain)
    return force_against_gap(
        wire_diameter_mm=float(chain["wire_diameter_mm"]),
        eye_mean_diameter_mm=float(wider.eye_mean_diameter_mm),
        gap_mm=float(wider.gap_mm),
        K_MPa=float(chain["K_MPa"]),
        E_MPa=float(machine.held["E_MPa"]),
        n=float(chain["n"]),
        prestrain=float(chain["prestrain"]),
    )


_CAUTIONS = (
    Caution(
        "An eye that opens under load lets go with a jerk",
        "bench closed and its switch tried before start; eye protection",
    ),
    NOT_FOR_LIFTING,
)
