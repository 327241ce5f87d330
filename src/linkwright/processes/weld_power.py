"""How a welder is set for heat and upset: current, force, transformer, water, reject limits.

- `current_setting`, `force_setting`, `time_for_current`: solved backwards
- `transformer`, `water`: what tap, firing angle and cooling the current needs
- `watched`: reject limits from the boundaries of the weld window
"""

from __future__ import annotations

from typing import Any

import numpy as np

from linkwright.catalogue import not_recording, solved
from linkwright.mechanics.phase_control import firing_angle
from linkwright.processes.choosing import chosen, computed, rising_root, solved_for
from linkwright.processes.models.inspection import with_margin
from linkwright.processes.models.upset_welding import upset_weld_heating
from linkwright.processes.models.weld_schedule import (
    distance_above,
    distance_below,
    heat_to_electrodes,
    reject_window,
    stop_room,
    tap_current_ratio,
    tap_voltage,
    time_window,
    water_for_heat,
)
from linkwright.processes.models.weld_upset import upset_length
from linkwright.processes.models.weld_window import WeldBounds, WeldLadder
from linkwright.processes.weld_settings import Given
from linkwright.quantities import CannotPlan
from linkwright.route import Machine, Setting
from linkwright.route.stock import Stock

_TRIED_SHARES = (0.5, 3.0)
_PRESSURES_MPA = (5.0, 600.0)
_TIMES = (0.25, 4.0)


def bracket_kA(link: Stock, time_s: float) -> tuple[float, float]:
    """Currents about the one that heats the section without loss, 104 A/mm² sqrt(1 s/t)."""
    section_mm2 = 0.25 * np.pi * float(link["lot_wire_diameter_mm"]) ** 2
    plain = 0.104 * section_mm2 / np.sqrt(time_s)
    return float(_TRIED_SHARES[0] * plain), float(_TRIED_SHARES[1] * plain)


def aimed_at(machine: Machine, given: Given) -> Setting:
    """The joint temperature that the works aims at."""
    return chosen(
        "joint_temperature_degC", machine, given,
        check="pyrometer at the joint, first article", tolerance=40.0,
    )  # fmt: skip


def time_for_current(
    weld: Given, joint: Setting, machine: Machine, given: Given, cycles: Setting
) -> Setting:
    """Heat cycles for the joint temperature where the order gives it and the current."""
    if "heat_cycles" in given or not {"secondary_current_kA", joint.name} <= set(given):
        return cycles
    usual, mains = float(weld["weld_time_s"]), float(machine.held["mains_frequency_Hz"])
    current = float(given["secondary_current_kA"])
    free = {key: value for key, value in weld.items() if key != "weld_time_s"}

    def solve() -> float:
        time = rising_root(
            lambda trial: upset_weld_heating(
                secondary_current_kA=current, weld_time_s=trial, **free
            ).joint_temperature_degC,
            float(joint.value), _TIMES[0] * usual, _TIMES[1] * usual,
            f"{current:g} kA reaches no joint temperature of {float(joint.value):g} °C",
            rounds=1, smooth=True,
        )  # fmt: skip
        return float(np.maximum(np.rint(time * mains), 1.0))

    return solved_for(
        "heat_cycles", "the joint temperature at the given current, whole cycles", solve, machine,
        given, inputs={name: given[name] for name in (joint.name, "secondary_current_kA")},
        check=cycles.check, tolerance=cycles.tolerance,
    )  # fmt: skip


def current_setting(
    ladder: WeldLadder, weld: Given, joint: Setting, machine: Machine, given: Given
) -> Setting:
    """The secondary current that gives the joint temperature at the end of the heat."""
    return solved_for(
        "secondary_current_kA",
        "the joint temperature at the end of the heat",
        lambda: rising_root(
            lambda _: ladder.joint_degC,
            float(joint.value),
            float(ladder.current_kA[0]),
            float(ladder.current_kA[-1]),
            f"{machine.name!r} reaches no joint temperature of {float(joint.value):g} °C",
            rounds=1,
            smooth=True,
        ),
        machine,
        given,
        inputs={joint.name: joint.value, **_numbers(weld)},
        check="weld record of every link; measuring belt, each shift",
        share=0.02,
    )


def force_setting(
    ladder: WeldLadder, current_kA: Any, press: Given, machine: Machine, given: Given
) -> Setting:
    """The upset force that reaches the stop in the upset time, and the works' reserve above."""
    stop = float(press["upset_stop_mm"])
    section_mm2 = 0.25 * np.pi * float(press["wire_diameter_mm"]) ** 2
    low, high = (pressure * section_mm2 / 1e3 for pressure in _PRESSURES_MPA)

    def just() -> Any:
        with not_recording():
            hot = ladder.at(np.array([float(current_kA)]))._asdict()
            free = {**press, "upset_stop_mm": 4.0 * stop}
            found = rising_root(
                lambda trial: upset_length(upset_force_kN=trial, **hot, **free).upset_length_mm,
                stop, low, high,
                f"no upset force of {machine.name!r} shortens the joint by {stop:.3g} mm in the "
                f"upset time", rounds=1, smooth=False,
            )  # fmt: skip
        inputs = {"secondary_current_kA": current_kA, **_numbers(press)}
        least = solved("least_upset_force_kN", found, "solved for the stop just reached", **inputs)
        return with_margin(limit=least, margin_percent=machine.held["upset_force_reserve_percent"])

    return computed(
        "upset_force_kN", "the stop reached in the upset time, with the works' reserve", just,
        machine, given, check="gauge at the cylinder, each shift", share=0.08,
    )  # fmt: skip


def at_current(name: str, ladder: WeldLadder, current_kA: Any, weld: Given) -> Any:
    """A result of the joint at the set current, from the ladder, with what it rests on."""
    with not_recording():
        value = float(ladder.value(name, float(current_kA)))
    inputs = {"secondary_current_kA": current_kA, **_numbers(weld)}
    return solved(name, value, "joint heated at rising currents, read at the set one", **inputs)


def transformer(
    ladder: WeldLadder, current_kA: Any, weld: Given, machine: Machine, given: Given
) -> list[Setting]:
    """The lowest tap that drives the current with the works' reserve, and the firing angle."""
    held = machine.held
    plate = {
        key: held[key] for key in ("tap_count", "least_tap_voltage_V", "greatest_tap_voltage_V")
    }
    needed = at_current("secondary_voltage_V", ladder, current_kA, weld)
    used = held["greatest_current_ratio"]

    def lowest() -> float:
        taps = np.arange(1.0, float(plate["tap_count"]) + 0.5)
        volts = np.asarray(tap_voltage(tap_number=taps, **plate))
        enough = float(used) * volts >= float(needed)
        if not enough.any():
            raise CannotPlan(
                f"{machine.name!r} cannot drive {float(current_kA):.4g} kA: {float(needed):.3g} V "
                f"are needed at no load; its highest tap gives {volts[-1]:.3g} V, of which "
                f"{float(used):.0%} are used"
            )
        return float(taps[int(enough.argmax())])

    tap = solved_for(
        "transformer_tap_number", "the lowest tap that drives the current", lowest, machine, given,
        inputs={**plate, "secondary_voltage_V": needed, "greatest_current_ratio": used},
        check="tap switch locked, at set-up", tolerance=0.0,
    )  # fmt: skip

    def fired() -> Any:
        volts = tap_voltage(tap_number=tap.value, **plate)
        share = tap_current_ratio(secondary_voltage_V=needed, tap_voltage_V=volts)
        factor = at_current("power_factor", ladder, current_kA, weld)
        return firing_angle(current_ratio=share, power_factor=factor).firing_angle_deg

    angle = computed(
        "firing_angle_deg", "the current at this tap, at the end of the heat", fired, machine,
        given, check="control's display during a weld, each shift", tolerance=5.0,
    )  # fmt: skip
    return [tap, angle]


def water(
    ladder: WeldLadder, current_kA: Any, weld: Given, machine: Machine, given: Given
) -> Setting:
    """Cooling water for the electrodes' heat, at least what the works keeps."""

    def needed() -> Any:
        parts = ("electrode_heat_kJ", "electrode_contact_heat_kJ")
        heats = {name: at_current(name, ladder, current_kA, weld) for name in parts}
        flow = water_for_heat(
            heat_kJ=heat_to_electrodes(**heats),
            pieces_per_minute=machine.held["links_per_min"],
            rise_K=machine.held["water_temperature_rise_K"],
        )
        least = machine.held["least_electrode_water_l_per_min"]
        return flow if float(flow) > float(least) else least

    return computed(
        "electrode_water_l_per_min", "the heat of the electrodes, at least what the works keeps",
        needed, machine, given, check="flow meter of each electrode, each shift", tolerance=1.0,
    )  # fmt: skip


def watched(
    bounds: WeldBounds, current: Any, upset: Any, least_upset: Any, machine: Machine, given: Given
) -> list[Setting]:
    """Reject limits of the weld record: current, time and upset about their set values."""
    below = distance_below(value=current, boundary=bounds.fusion_kA)
    above = distance_above(value=current, boundary=bounds.expulsion_kA)
    record = "weld record of every link: link outside is cut out"
    window = computed(
        "current_reject_percent", "half the way to the nearer boundary of the weld window",
        lambda: reject_window(
            below_percent=below, above_percent=above,
            greatest_percent=machine.held["greatest_current_reject_percent"],
        ), machine, given, check=record, tolerance=0.5,
    )  # fmt: skip
    time = computed(
        "time_reject_percent", "as much heat as the current's window",
        lambda: time_window(current_percent=window.value), machine, given, check=record,
        tolerance=1.0,
    )  # fmt: skip
    room = computed(
        "upset_reject_mm", "the least upset",
        lambda: stop_room(upset_length_mm=upset, least_upset_length_mm=least_upset),
        machine, given, check=record, tolerance=0.05,
    )  # fmt: skip
    return [window, time, room]


def _numbers(arguments: Given) -> dict[str, Any]:
    return {key: value for key, value in arguments.items() if not isinstance(value, str)}
