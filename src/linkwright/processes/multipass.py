"""Wire drawing in several passes: rod becomes thin wire through a row of dies.

As few passes as the works' limits of stress and reduction let, each of the same strain. The
wire hardens from pass to pass (Swift's curve, strains added); force and power are given for
each pass. No annealing between passes: a greatest total strain is held by the works.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from linkwright.catalogue import POSITIVE, Values, calculation, not_recording
from linkwright.materials.flow_curves import mean_flow_stress_hollomon, mean_flow_stress_swift
from linkwright.materials.necking import PrestrainedCurve, prestrained_swift
from linkwright.processes.choosing import chosen, solved_for
from linkwright.processes.models.drawing import (
    MassBalance,
    drawing_force,
    drawing_mass_balance,
    drawing_pass_schedule,
    drawing_stress_ratio,
    drawing_temperature_rise,
    drum_power,
)
from linkwright.processes.models.drawing_stress import drawing_stress_schey
from linkwright.processes.models.use import energy_of_time, running_time
from linkwright.processes.models.works_factor import corrected_force
from linkwright.quantities import CannotPlan
from linkwright.route import (
    MAIN,
    Caution,
    Conditions,
    Factor,
    Finding,
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

_FORCE = Factor(
    "factor/wiredrawing/force",
    1.0,
    0.08,
    "works' own factor on drawing force, not yet learned: stated band 8 %",
    "read the drives' power on ten coils",
)


@calculation(
    source="constancy of volume",
    gives="entry_speed_m_per_s",
    basis="computed",
    needs={
        "exit_speed_m_per_s": POSITIVE,
        "start_diameter_mm": POSITIVE,
        "final_diameter_mm": POSITIVE,
    },
)
def drawing_entry_speed(
    *, exit_speed_m_per_s: Values, start_diameter_mm: Values, final_diameter_mm: Values
) -> Values:
    """Speed of the rod before the first die, v (d1/d0)^2.

    References: constancy of volume.

    Example:
        >>> print(drawing_entry_speed(exit_speed_m_per_s=4.0, start_diameter_mm=5.0,
        ...                           final_diameter_mm=2.5))
        1.0
    """
    return exit_speed_m_per_s * (final_diameter_mm / start_diameter_mm) ** 2


@calculation(source="all drives of the machine together", gives="drum_power_kW", basis="computed")
def drum_power_together(*, drum_power_kW: Values, next_drum_power_kW: Values) -> Values:
    """Power of the drums so far and of the next one.

    References: none needed.
    """
    return drum_power_kW + next_drum_power_kW


@dataclass(frozen=True)
class _Pass:
    """What one die does; stress and ratio as the model gives them."""

    balance: MassBalance
    stress: Any
    ratio: Any
    curve: PrestrainedCurve


class WireDrawing(Operation):
    """Several dies one after another, force of each by Schey's factors."""

    name = "wiredrawing"
    scatter = (
        Scatter(
            "lot/wire/wiredrawing/wire_diameter_mm",
            0.008,
            "wear of the last die: common practice, no source",
        ),
        Scatter(
            "link/wire/wiredrawing/wire_diameter_mm",
            0.004,
            "along a coil: common practice, no source",
        ),
    )
    factors = (_FORCE,)

    def __init__(self, cautions: tuple[Caution, ...] = ()) -> None:
        self.cautions = (*_CAUTIONS, *cautions)

    def ask(
        self, wanted: Wanted, near: Stock | None, machine: Machine, factors: Conditions
    ) -> Mapping[str, Wanted]:
        """Rod thicker than the wire; which rod is the store's choice."""
        return {MAIN: {"wire_diameter_mm": wanted["wire_diameter_mm"]}}

    def set_up(
        self,
        stocks: Stocks,
        wanted: Wanted,
        machine: Machine,
        factors: Conditions,
        given: Mapping[str, Any],
    ) -> SetUp:
        """As few passes of equal strain as stress ratio and reduction let; one die for each."""
        rod, wire = stocks[MAIN], wanted["wire_diameter_mm"]
        angle = chosen("die_half_angle_deg", machine, given, check="die certificate at regrind")
        speed = chosen("drawing_speed_m_per_s", machine, given, check="counter of the last drum")
        passes = solved_for(
            "passes",
            "the least number that keeps the works' limits of stress ratio and reduction",
            lambda: _fewest_passes(rod, wire, angle.value, machine),
            machine,
            given,
            inputs={
                "rod_diameter_mm": rod["wire_diameter_mm"],
                "wire_diameter_mm": wire,
                "n": rod["n"],
                "die_half_angle_deg": angle.value,
                "greatest_stress_ratio": machine.held["greatest_stress_ratio"],
                "greatest_reduction_percent": machine.held["greatest_reduction_percent"],
            },
            check="dies counted at set-up",
        )
        dies = _dies(rod["wire_diameter_mm"], wire, passes.value, machine, given)
        return SetUp((passes, *dies, angle, speed), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Wire, and of each pass the force, the power and how near it came to breaking."""
        rod = stocks[MAIN]
        dies = [settings[name] for name in _die_names(settings["passes"])]
        dies[-1] = factors.actual("lot/wire/wiredrawing/wire_diameter_mm", dies[-1])
        wire, start = dies[-1], rod["wire_diameter_mm"]
        speed = drawing_entry_speed(
            exit_speed_m_per_s=settings["drawing_speed_m_per_s"],
            start_diameter_mm=start,
            final_diameter_mm=wire,
        )
        findings: list[Finding] = []
        done: list[_Pass] = []
        power: Any = None
        for number, die in enumerate(dies, 1):
            one = _drawn(start, die, speed, done, rod, settings["die_half_angle_deg"], machine)
            force, drum = _load(die, one, machine, factors)
            power = drum if power is None else drum_power_together(
                drum_power_kW=power, next_drum_power_kW=drum
            )  # fmt: skip
            findings += _pass_findings(number, one, force, drum, machine)
            start, speed = die, one.balance.exit_speed_m_per_s
            done.append(one)
        last = done[-1]
        findings += _whole_findings(wire, last, power, machine)
        link = factors.actual("link/wire/wiredrawing/wire_diameter_mm", wire)
        stock = rod.changed(
            "wire",
            shape={"wire_diameter_mm": link, "lot_wire_diameter_mm": wire},
            condition={
                "prestrain": last.curve.prestrain,
                "yield_MPa": last.curve.yield_MPa,
                "tensile_strength_MPa": last.curve.tensile_strength_MPa,
            },
        )
        return Step(tuple(findings), stock, use=_use(rod, settings, power), cautions=self.cautions)


def _use(rod: Stock, settings: SetUp, power: Any) -> dict[str, Any]:
    hours = running_time(
        length_m=rod["wire_length_m"], speed_m_per_s=settings["drawing_speed_m_per_s"]
    )
    return {
        "machine_time_h": hours,
        "electricity_kWh": energy_of_time(machine_time_h=hours, power_kW=power),
    }


def _drawn(
    start: Any,
    die: Any,
    speed: Any,
    before: Sequence[_Pass],
    rod: Stock,
    angle: Any,
    machine: Machine,
) -> _Pass:
    """One pass on the rod, or on the wire that the passes ``before`` have left."""
    balance = drawing_mass_balance(
        start_diameter_mm=start, final_diameter_mm=die, entry_speed_m_per_s=speed
    )
    curve = {"K_MPa": rod["K_MPa"], "n": rod["n"], "true_strain": balance.true_strain}
    if not before:
        mean = mean_flow_stress_hollomon(**curve)
        worked = prestrained_swift(**curve)
    else:
        prestrain = before[-1].curve.prestrain
        mean = mean_flow_stress_swift(prestrain=prestrain, **curve)
        worked = prestrained_swift(prestrain=prestrain, **curve)
    stress = drawing_stress_schey(
        start_diameter_mm=start,
        final_diameter_mm=die,
        die_half_angle_deg=angle,
        friction_coefficient=machine.held["friction_coefficient"],
        mean_flow_stress_MPa=mean,
    ).drawing_stress_MPa
    ratio = drawing_stress_ratio(drawing_stress_MPa=stress, exit_flow_stress_MPa=worked.yield_MPa)
    return _Pass(balance, stress, ratio, worked)


def _load(die: Any, done: _Pass, machine: Machine, factors: Conditions) -> tuple[Any, Any]:
    """Force at a drum as this works measures it, and its drive's power."""
    force = corrected_force(
        force_N=drawing_force(drawing_stress_MPa=done.stress, final_diameter_mm=die),
        factor=factors.factor(_FORCE.name),
    )
    power = drum_power(
        drawing_force_N=force,
        exit_speed_m_per_s=done.balance.exit_speed_m_per_s,
        drive_efficiency=machine.held["drive_efficiency"],
    )
    return force, power


def _fewest_passes(rod: Stock, wire: Any, angle: Any, machine: Machine) -> float:
    """Passes of equal strain until no pass breaks a limit; `CannotPlan` beyond the machine's."""
    start, most = float(rod["wire_diameter_mm"]), int(machine.limits("passes")[1] or 1)
    ratio = float(machine.held["greatest_stress_ratio"])
    reduction = float(machine.held["greatest_reduction_percent"]) / 100.0
    for passes in range(1, most + 1):
        dies = drawing_pass_schedule(
            start_diameter_mm=start, final_diameter_mm=float(wire), passes=float(passes)
        ).diameters_mm
        done: list[_Pass] = []
        for before, die in pairwise([start, *map(float, dies)]):
            done.append(_drawn(before, die, 1.0, done, rod, angle, machine))
        if all(float(one.balance.reduction) <= reduction for one in done) and all(
            float(one.ratio) <= ratio for one in done
        ):
            return float(passes)
    raise CannotPlan(
        f"{machine.name!r} has {most} dies: too few to draw {start:g} mm rod to "
        f"{float(wire):.3g} mm within the works' limits; a thinner rod, or annealed wire"
    )


def _die_names(passes: Any) -> list[str]:
    return [f"die_{number}_diameter_mm" for number in range(1, round(float(passes)) + 1)]


def _dies(
    start: Any, wire: Any, passes: Any, machine: Machine, given: Mapping[str, Any]
) -> list[Setting]:
    """One die a pass; the last one has the diameter of the wire wanted."""
    if float(passes) != round(float(passes)) or float(passes) < 1.0:
        raise CannotPlan(f"wiredrawing: passes = {float(passes):g} is no whole number of dies")
    with not_recording():
        schedule = drawing_pass_schedule(
            start_diameter_mm=float(start), final_diameter_mm=float(wire), passes=float(passes)
        ).diameters_mm
    names = _die_names(passes)
    low, high = machine.limits("die_diameter_mm")
    dies = []
    for name, diameter in zip(names, schedule, strict=True):
        last = name == names[-1]
        size = float(wire if last else diameter)
        die = solved_for(
            name,
            "wire of the diameter wanted" if last else "the same strain in every pass",
            lambda size=size: size,  # type: ignore[misc]
            machine,
            given,
            inputs={"rod_diameter_mm": start, "wire_diameter_mm": wire, "passes": passes},
            check="micrometer on the wire, each coil" if last else "die certificate",
            tolerance=0.01 if last else 0.03,
        )
        die = replace(die, low=low, high=high)
        if not die.reachable:
            raise CannotPlan(
                f"{machine.name!r} holds dies of {low:g} to {high:g} mm, not {name} = "
                f"{float(die.value):.4g}"
            )
        dies.append(die)
    return dies


def _pass_findings(
    number: int, done: _Pass, force: Any, power: Any, machine: Machine
) -> tuple[Finding, ...]:
    """How hard one pass is for metal and machine."""
    held = "held by the works: drawing stress over flow stress at the exit"
    most = machine.limits("drawing_force_N")[1]
    return (
        Finding(f"pass_{number}_drawing_stress_MPa", done.stress),
        Finding(
            f"pass_{number}_stress_ratio",
            done.ratio,
            None,
            machine.held["greatest_stress_ratio"],
            held,
        ),
        Finding(f"pass_{number}_drawing_force_N", force, None, most, f"range of {machine.name}"),
        Finding(f"pass_{number}_drum_power_kW", power),
    )


def _whole_findings(wire: Any, last: _Pass, power: Any, machine: Machine) -> tuple[Finding, ...]:
    """The wire after all passes, and all drives together."""
    rise = drawing_temperature_rise(
        drawing_stress_MPa=last.stress,
        density_kg_per_m3=machine.held["wire_density_kg_per_m3"],
        specific_heat_J_per_kgK=machine.held["wire_specific_heat_J_per_kgK"],
    )
    return (
        Finding("drawn_wire_diameter_mm", wire),
        Finding(
            "total_true_strain",
            last.curve.prestrain,
            None,
            machine.held["greatest_total_true_strain"],
            "held by the works: beyond it the rod is annealed between passes",
        ),
        Finding("drawn_tensile_strength_MPa", last.curve.tensile_strength_MPa),
        Finding("last_pass_temperature_rise_K", rise, note="wire cooled on each drum"),
        Finding("drum_power_kW", power, None, machine.rate["connected_power_kW"], "the drives"),
    )


_CAUTIONS = (
    Caution(
        "A wire that breaks runs back like a whip",
        "guards over dies and drums closed and their switch tried before start; nobody in line",
    ),
    Caution(
        "Fingers, gloves and clothes are drawn in between wire and drum",
        "thread only in the creep step with hold-to-run; emergency stop tried before start",
    ),
)
