"""Drawing: rod is pulled through dies in grease and becomes wire of the size wanted.

As few passes as the limits of stress and reduction let, one where one is enough. The wire
hardens from pass to pass (Swift's curve, strains added). A machine with several dies in line
draws as many passes at once; a bench with one takes the wire pass by pass. No annealing
between passes: a greatest total strain may be held by the works.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.processes.choosing import Possible, chosen, held_of, refusal, solved_for
from linkwright.processes.drawing_card import DIE_LIFE, die_number, die_settings, drum_settings
from linkwright.processes.drawing_findings import pass_findings, whole_findings
from linkwright.processes.drawing_passes import (
    LAST_DIE,
    Pass,
    die_names,
    drawn,
    earlier_dies,
    fewest_passes,
    runs,
)
from linkwright.processes.models.drawing import drawing_force, drum_power
from linkwright.processes.models.drawing_line import (
    drawing_energy_together,
    drawing_entry_speed,
    drawing_time_together,
    drawn_length,
    drum_power_together,
    greater_drum_power,
)
from linkwright.processes.models.use import energy_of_time, running_time
from linkwright.processes.models.works_factor import corrected_force
from linkwright.processes.weak_skin import drawn_skin
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
    "factor/drawing/force",
    1.0,
    0.08,
    "works' own factor on drawing force, not yet learned: stated band 8 %",
    "read the drum's drive power on ten coils",
)


class Drawing(Operation):
    """Dies one after another; force by Schey, with Siebel beside it.

    The last die is `die_diameter_mm`; those before it are `die_1_diameter_mm` and so on, and
    findings about their passes begin with `pass_1_` and so on.
    """

    name = "drawing"
    scatter = (
        Scatter(
            "lot/wire/drawing/wire_diameter_mm",
            0.0015,
            "die wear between regrinds, 0.15 %: common practice, no source",
            relative=True,
        ),
        Scatter(
            "link/wire/drawing/wire_diameter_mm",
            0.00075,
            "along a coil, 0.075 %: common practice, no source",
            relative=True,
        ),
    )
    factors = (_FORCE, DIE_LIFE)
    card = (
        "passes", LAST_DIE, "die_number", "die_half_angle_deg", "die_bearing_length_mm",
        "lubricant", "drawing_speed_m_per_s", "next_regrind_km",
    )  # fmt: skip

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
        """The last die has the diameter wanted; as few dies before it as the limits let."""
        rod = stocks[MAIN]
        angle = chosen(
            "die_half_angle_deg",
            machine,
            given,
            check="die certificate, at each regrind",
            tolerance=0.5,
            possible=Possible(0.5, 45.0),
        )
        speed = chosen(
            "drawing_speed_m_per_s",
            machine,
            given,
            check="counter of the last drum, each coil",
            share=0.05,
            possible=Possible(0.001, 60.0),
        )
        die = _last_die(rod, wanted, machine, given)
        passes = _passes(rod, die.value, angle.value, machine, given)
        dies = [
            *earlier_dies(rod["wire_diameter_mm"], die.value, passes.value, machine, given),
            die,
        ]
        settings = [passes, *dies, die_number(die, angle, given), angle]
        settings += die_settings(rod, dies, angle.value, machine, factors, given)
        settings += [speed, *drum_settings(speed, machine, given)]
        return SetUp(tuple(settings), {"machine": machine.name})

    def run(self, stocks: Stocks, settings: SetUp, machine: Machine, factors: Conditions) -> Step:
        """Wire, and of each pass the force, the power and how near it came to breaking."""
        rod = stocks[MAIN]
        dies = [settings[name] for name in die_names(settings["passes"])]
        dies[-1] = wire = factors.actual("lot/wire/drawing/wire_diameter_mm", dies[-1])
        done: list[Pass] = []
        findings: list[Finding] = []
        power: Any = None
        use: dict[str, Any] = {}
        for first, last in runs(len(dies), machine):
            run_power, found = _run(dies, first, last, done, rod, settings, machine, factors)
            findings += found
            use = _used(use, run_power, dies[last - 1], wire, rod, settings)
            power = run_power if power is None else greater_drum_power(
                drum_power_kW=power, next_drum_power_kW=run_power
            )  # fmt: skip
        end = done[-1]
        findings += whole_findings(done, power, rod, settings, machine, factors, DIE_LIFE)
        link = factors.actual("link/wire/drawing/wire_diameter_mm", wire)
        stock = rod.changed(
            "wire",
            # fields inside the section are run once a lot, at the lot's own wire
            shape={"wire_diameter_mm": link, "lot_wire_diameter_mm": wire},
            condition={
                "prestrain": end.curve.prestrain,
                "yield_MPa": end.curve.yield_MPa,
                "tensile_strength_MPa": end.curve.tensile_strength_MPa,
                **drawn_skin(rod, wire),
            },
        )
        return Step(tuple(findings), stock, use=use, cautions=self.cautions)


def _last_die(rod: Stock, wanted: Wanted, machine: Machine, given: Mapping[str, Any]) -> Setting:
    """The die that gives the wire its size; it must be smaller than the rod."""
    die = solved_for(
        LAST_DIE,
        "wire of the diameter wanted; elastic recovery of the wire neglected",
        lambda: wanted["wire_diameter_mm"],
        machine,
        given,
        inputs=dict(wanted),
        check="micrometer on the wire, both ends of each coil, two directions",
        share=0.0025,
    )
    start = float(rod["wire_diameter_mm"])
    if LAST_DIE in given and float(die.value) >= start:
        raise refusal(
            LAST_DIE, die.value, given, f"draws nothing: the rod has {start:g} mm",
            f"less than {start:g} mm",
        )  # fmt: skip
    return die


def _passes(
    rod: Stock, wire: Any, angle: Any, machine: Machine, given: Mapping[str, Any]
) -> Setting:
    names = ("greatest_stress_ratio", "greatest_reduction_percent")
    return solved_for(
        "passes",
        "the least number that keeps every pass below its limits of stress and reduction",
        lambda: fewest_passes(rod, wire, angle, machine),
        machine,
        given,
        inputs={
            "rod_diameter_mm": rod["wire_diameter_mm"],
            "wire_diameter_mm": wire,
            "n": rod["n"],
            "die_half_angle_deg": angle,
            **held_of(machine, *names),
        },
        check="dies counted at set-up",
        tolerance=0.0,
        possible=Possible(1.0, 40.0),
    )


def _run(
    dies: Sequence[Any],
    first: int,
    last: int,
    done: list[Pass],
    rod: Stock,
    settings: SetUp,
    machine: Machine,
    factors: Conditions,
) -> tuple[Any, list[Finding]]:
    """One run through the dies in line: its passes are added to ``done``; power and findings."""
    start = done[-1].die_mm if done else rod["wire_diameter_mm"]
    speed = drawing_entry_speed(
        exit_speed_m_per_s=settings["drawing_speed_m_per_s"],
        start_diameter_mm=start,
        final_diameter_mm=dies[last - 1],
    )
    power: Any = None
    findings: list[Finding] = []
    for number in range(first, last):
        before = done[-1].curve if done else None
        angle = settings["die_half_angle_deg"]
        one = drawn(start, dies[number], speed, before, rod, angle, machine)
        force, drum = _load(one, machine, factors)
        power = drum if power is None else drum_power_together(
            drum_power_kW=power, next_drum_power_kW=drum
        )  # fmt: skip
        prefix = f"pass_{number + 1}_" if number + 1 < len(dies) else ""
        findings += pass_findings(prefix, one, force, settings, machine)
        if len(dies) > 1:
            findings.append(Finding(f"pass_{number + 1}_drum_power_kW", drum))
        start, speed = dies[number], one.balance.exit_speed_m_per_s
        done.append(one)
    return power, findings


def _load(done: Pass, machine: Machine, factors: Conditions) -> tuple[Any, Any]:
    """Force at a drum as this works measures it, and its drive's power."""
    force = corrected_force(
        force_N=drawing_force(
            drawing_stress_MPa=done.schey.drawing_stress_MPa, final_diameter_mm=done.die_mm
        ),
        factor=factors.factor(_FORCE.name),
    )
    power = drum_power(
        drawing_force_N=force,
        exit_speed_m_per_s=done.balance.exit_speed_m_per_s,
        drive_efficiency=machine.held["drive_efficiency"],
    )
    return force, power


def _used(
    before: Mapping[str, Any], power: Any, exit_mm: Any, wire_mm: Any, rod: Stock, settings: SetUp
) -> dict[str, Any]:
    """Hours and energy of the runs so far and of the one that ends at ``exit_mm``."""
    length = rod["wire_length_m"]
    if exit_mm is not wire_mm:
        length = drawn_length(length_m=length, diameter_mm=exit_mm, final_diameter_mm=wire_mm)
    hours = running_time(length_m=length, speed_m_per_s=settings["drawing_speed_m_per_s"])
    energy = energy_of_time(machine_time_h=hours, power_kW=power)
    if not before:
        return {"machine_time_h": hours, "electricity_kWh": energy}
    return {
        "machine_time_h": drawing_time_together(
            machine_time_h=before["machine_time_h"], next_machine_time_h=hours
        ),
        "electricity_kWh": drawing_energy_together(
            electricity_kWh=before["electricity_kWh"], next_electricity_kWh=energy
        ),
    }


_CAUTIONS = (
    Caution(
        "A wire that breaks runs back like a whip",
        "run-back guard closed and its switch tried before start; nobody in line with the wire",
    ),
    Caution(
        "Fingers, gloves and clothes are drawn in between wire and drum",
        "thread only in the creep step with hold-to-run; emergency stop tried before start",
    ),
)
