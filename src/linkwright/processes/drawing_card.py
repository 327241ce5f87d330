"""What the card of a drawing bench says of its dies and its drum, each worked out for the wire."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.processes.choosing import held_of, solved_for, tool
from linkwright.processes.drawing_passes import row_of_passes
from linkwright.processes.models.drawing_die import (
    die_bearing_length,
    die_life_length,
    die_pressure,
)
from linkwright.processes.models.drawing_line import drum_turning
from linkwright.route import Conditions, Factor, Machine, Setting
from linkwright.route.stock import Stock

DIE_LIFE = Factor(
    "factor/drawing/die_life",
    1.0,
    1.0,
    "works' own factor on the life of a die, not yet learned: no published law transfers, "
    "stated band a factor of e",
    "measure ten dies at the regrind and note the length that each has drawn",
)


def die_number(die: Setting, angle: Setting, given: Mapping[str, Any]) -> Setting:
    """The last die by its bore and whole angle, as it is stamped."""
    words = f"die {float(die.value):.2f} / {2.0 * float(angle.value):.0f} deg"
    return tool(
        "die_number",
        words,
        "bore and whole angle of the last die",
        given,
        check="stamp on the casing, at each change of die",
    )


def die_settings(
    rod: Stock,
    dies: Sequence[Setting],
    angle: Any,
    machine: Machine,
    factors: Conditions,
    given: Mapping[str, Any],
) -> list[Setting]:
    """Bearing of the last die, and the length after which it is ground again."""
    die = dies[-1].value
    bearing = solved_for(
        "die_bearing_length_mm",
        "a bearing in the works' ratio to the die; the dies before it have the same ratio",
        lambda: die_bearing_length(
            die_diameter_mm=die, **held_of(machine, bearing_ratio="die_bearing_ratio")
        ),
        machine,
        given,
        inputs={"die_diameter_mm": die, **held_of(machine, bearing_ratio="die_bearing_ratio")},
        check="die certificate, at each regrind",
        share=0.2,
    )
    held = held_of(machine, growth_ratio="die_growth_ratio")
    life = factors.factor(DIE_LIFE.name)

    def length() -> float:
        pressure = _pressure(rod, [one.value for one in dies], angle, machine)
        return float(
            die_life_length(
                die_diameter_mm=die, die_pressure_MPa=pressure, life_factor=life, **held
            )
        )

    regrind = solved_for(
        "next_regrind_km",
        "a last die that has grown by the works' share of its diameter",
        length,
        machine,
        given,
        inputs={"die_diameter_mm": die, "life_factor": life, **held},
        check="length counter of the drum, each coil; micrometer on the wire",
        share=0.1,
    )
    return [bearing, regrind]


def _pressure(rod: Stock, dies: Sequence[Any], angle: Any, machine: Machine) -> Any:
    """Mean pressure on the cone of the last die."""
    last = row_of_passes(rod, dies, angle, machine)[-1]
    return die_pressure(
        drawing_stress_MPa=last.schey.drawing_stress_MPa,
        start_diameter_mm=last.start_mm,
        final_diameter_mm=last.die_mm,
        die_half_angle_deg=angle,
        friction_coefficient=machine.held["friction_coefficient"],
    )


def drum_settings(speed: Setting, machine: Machine, given: Mapping[str, Any]) -> list[Setting]:
    """Turns of the last drum, where the works tells its diameter."""
    if "drum_diameter_mm" not in machine.held:
        return []
    inputs = {
        "drawing_speed_m_per_s": speed.value,
        "drum_diameter_mm": machine.held["drum_diameter_mm"],
    }
    turns = solved_for(
        "drum_speed_rpm",
        "the drawing speed",
        lambda: drum_turning(**inputs),
        machine,
        given,
        inputs=inputs,
        check="tachometer of the drum, each coil",
        share=0.05,
    )
    return [turns]
