"""Passes of drawing: what one die does to the metal, and as few of them as the limits let.

- `drawn`: one pass on rod or on the wire that earlier passes left, by Schey and by Siebel
- `fewest_passes`: the least number of equal strains that keeps every limit in every pass
- `dies`: a diameter for each pass
- `runs`: which passes work at once, on the dies that the machine has in line
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from linkwright.catalogue import not_recording
from linkwright.materials.flow_curves import mean_flow_stress_hollomon, mean_flow_stress_swift
from linkwright.materials.necking import PrestrainedCurve, prestrained_swift
from linkwright.processes.choosing import solved_for
from linkwright.processes.models.drawing import (
    MassBalance,
    drawing_mass_balance,
    drawing_pass_schedule,
    drawing_stress_ratio,
)
from linkwright.processes.models.drawing_limits import drawing_limit_slab
from linkwright.processes.models.drawing_stress import (
    ScheyDrawing,
    SiebelDrawing,
    drawing_stress_schey,
    drawing_stress_siebel,
)
from linkwright.quantities import CannotPlan
from linkwright.route import Machine, Setting
from linkwright.route.stock import Stock

LAST_DIE = "die_diameter_mm"
"""Setting of the last die: the wire has its diameter."""
_MOST_PASSES = 20


@dataclass(frozen=True)
class Pass:
    """What one die does; ``ratio`` is the stress by Schey over the flow stress behind the die."""

    start_mm: Any
    die_mm: Any
    balance: MassBalance
    schey: ScheyDrawing
    siebel: SiebelDrawing
    ratio: Any
    curve: PrestrainedCurve


def drawn(
    start: Any,
    die: Any,
    entry_speed: Any,
    before: PrestrainedCurve | None,
    rod: Stock,
    angle: Any,
    machine: Machine,
) -> Pass:
    """One pass on the rod, or on the wire that the pass ``before`` has left."""
    balance = drawing_mass_balance(
        start_diameter_mm=start, final_diameter_mm=die, entry_speed_m_per_s=entry_speed
    )
    curve = {"K_MPa": rod["K_MPa"], "n": rod["n"], "true_strain": balance.true_strain}
    if before is None:
        mean = mean_flow_stress_hollomon(**curve)
        worked = prestrained_swift(**curve)
    else:
        mean = mean_flow_stress_swift(prestrain=before.prestrain, **curve)
        worked = prestrained_swift(prestrain=before.prestrain, **curve)
    pass_ = {
        "start_diameter_mm": start,
        "final_diameter_mm": die,
        "die_half_angle_deg": angle,
        "friction_coefficient": machine.held["friction_coefficient"],
        "mean_flow_stress_MPa": mean,
    }
    schey, siebel = drawing_stress_schey(**pass_), drawing_stress_siebel(**pass_)
    ratio = drawing_stress_ratio(
        drawing_stress_MPa=schey.drawing_stress_MPa, exit_flow_stress_MPa=worked.yield_MPa
    )
    return Pass(start, die, balance, schey, siebel, ratio, worked)


def fewest_passes(rod: Stock, wire: Any, angle: Any, machine: Machine) -> float:
    """Passes of equal strain until no pass breaks a limit; `CannotPlan` beyond the machine's.

    In every pass the drawing stress, by Schey and by Siebel, stays below the works' share of
    the flow stress, and the reduction below the published limit of the slab method and the
    works' own, if it holds one. More passes are taken where they bring the force below what
    the machine can pull; where none do, the force is left to its finding.
    """
    start, wire = float(rod["wire_diameter_mm"]), float(wire)
    most = int(machine.limits("passes")[1] or _MOST_PASSES)
    strong_enough = _greatest_force(machine)
    kept: list[float] = []
    for passes in range(1, most + 1):
        sizes = drawing_pass_schedule(
            start_diameter_mm=start, final_diameter_mm=wire, passes=float(passes)
        ).diameters_mm
        row = row_of_passes(rod, list(map(float, sizes)), angle, machine)
        if not _all_within(row, angle, machine):
            continue
        if max(float(one.schey.drawing_force_N) for one in row) <= strong_enough:
            return float(passes)
        kept.append(float(passes))
    if kept:
        return kept[0]
    raise CannotPlan(
        f"{machine.name!r} draws in at most {most} passes: too few to draw {start:g} mm rod to "
        f"{wire:.3g} mm within the works' limits; a thinner rod, or annealed wire"
    )


def _greatest_force(machine: Machine) -> float:
    most = machine.limits("drawing_force_N")[1]
    return float("inf") if most is None else float(most)


def _all_within(row: Sequence[Pass], angle: Any, machine: Machine) -> bool:
    greatest = float(machine.held["greatest_stress_ratio"])
    reduction = float(
        drawing_limit_slab(
            die_half_angle_deg=angle, friction_coefficient=machine.held["friction_coefficient"]
        ).max_reduction
    )
    if "greatest_reduction_percent" in machine.held:
        reduction = min(reduction, float(machine.held["greatest_reduction_percent"]) / 100.0)
    for one in row:
        siebel = float(one.siebel.drawing_stress_MPa) / float(one.curve.yield_MPa)
        if float(one.balance.reduction) > reduction or max(float(one.ratio), siebel) > greatest:
            return False
    return True


def row_of_passes(rod: Stock, dies: Sequence[Any], angle: Any, machine: Machine) -> list[Pass]:
    """The passes of the rod through all dies; for a look ahead, at a speed of 1 m/s."""
    start, before = rod["wire_diameter_mm"], None
    done = []
    for die in dies:
        done.append(drawn(start, die, 1.0, before, rod, angle, machine))
        start, before = die, done[-1].curve
    return done


def die_names(passes: Any) -> list[str]:
    """Settings of the dies in the order of the passes."""
    first = [f"die_{number}_diameter_mm" for number in range(1, round(float(passes)))]
    return [*first, LAST_DIE]


def earlier_dies(
    rod: Any, wire: Any, passes: Any, machine: Machine, given: Mapping[str, Any]
) -> list[Setting]:
    """A die for each pass but the last, of the same strain in every pass."""
    if float(passes) != round(float(passes)) or float(passes) < 1.0:
        raise CannotPlan(f"drawing: passes = {float(passes):g} is no whole number of dies")
    with not_recording():
        schedule = drawing_pass_schedule(
            start_diameter_mm=float(rod), final_diameter_mm=float(wire), passes=float(passes)
        ).diameters_mm
    low, high = machine.limits(LAST_DIE)
    made = []
    for name, diameter in zip(die_names(passes)[:-1], schedule, strict=False):
        die = solved_for(
            name,
            "the same strain in every pass",
            lambda size=float(diameter): size,  # type: ignore[misc]
            machine,
            given,
            inputs={"rod_diameter_mm": rod, "wire_diameter_mm": wire, "passes": passes},
            check="die certificate, at each change of die",
            tolerance=0.005 * float(diameter),
        )
        die = replace(die, low=low, high=high)
        if not die.reachable:
            raise CannotPlan(
                f"{machine.name!r} holds dies of {low:g} to {high:g} mm, not {name} = "
                f"{float(die.value):.4g}"
            )
        made.append(die)
    return made


def runs(passes: int, machine: Machine) -> list[tuple[int, int]]:
    """First and last pass (from 0, last left out) of each run through the machine."""
    in_line = int(machine.held.get("dies_in_line_count", passes))
    starts = range(0, passes, max(in_line, 1))
    return [(start, min(start + max(in_line, 1), passes)) for start in starts]
