"""The weld window: currents, times and forces between lack of fusion and expulsion.

- `expulsion_temperature`: where metal is thrown out, the works' own factor on the solidus
- `weld_ladder`: joints at rising currents, as members of one transient
- `weld_bounds`: the currents that just fuse and just expel at the set time
- `weld_window`: the boundaries over time and over upset force, for a picture

A shorter weld at the same held current is the beginning of a longer one, so one transient
over the longest time gives every time of the map.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import POSITIVE, ValidityWarning, Values, calculation
from linkwright.processes.models.upset_welding import (
    UpsetWeldHeating,
    upset_weld_course,
    upset_weld_heating,
)
from linkwright.processes.models.weld_upset import upset_length

Array = NDArray[np.float64]
_RUNGS = 32
_FINE = 24
_COOLER_K, _HOTTER_K = 350.0, 100.0
_TIMES = (0.7, 1.4)
_CURRENTS = (0.7, 1.5)
_POINTS, _FORCES = 10, 8


@calculation(
    source="works' own factor on the solidus; no published law carries over from works to works",
    gives="expulsion_temperature_degC",
    needs={"solidus_temperature_degC": POSITIVE, "factor": POSITIVE},
    basis="common practice",
)
def expulsion_temperature(*, solidus_temperature_degC: Values, factor: Values) -> Values:
    """Mean temperature of the faces at which metal is thrown out: factor times solidus (°C).

    References: none; learned from the works' trial at rising current.
    """
    return solidus_temperature_degC * factor


class Temperatures(NamedTuple):
    """Temperatures of joints by the names that `upset_length` has for them."""

    joint_temperature_degC: Array
    visible_temperature_degC: Array
    edge_temperature_degC: Array


class WeldLadder(NamedTuple):
    """Joints after the set time at rising currents; every result is (rungs,)."""

    current_kA: Array
    heated: UpsetWeldHeating

    @property
    def joint_degC(self) -> Array:
        """Joint temperatures of the rungs."""
        return np.asarray(self.heated.joint_temperature_degC)

    def value(self, name: str, current_kA: Any) -> Array:
        """A result at currents between the rungs, straight in the logarithm of the current."""
        known = np.asarray(getattr(self.heated, name))
        return np.asarray(np.interp(np.log(current_kA), np.log(self.current_kA), known))

    def at(self, current_kA: Any) -> Temperatures:
        """The three temperatures that the upset asks for."""
        return Temperatures(*(self.value(name, current_kA) for name in Temperatures._fields))

    def current_for(self, joint_degC: float) -> float:
        """Current at which the joint reaches a temperature; nan outside the ladder."""
        return float(first_reach(self.current_kA, self.joint_degC, joint_degC))


def weld_ladder(weld: Mapping[str, Any], bracket_kA: tuple[float, float]) -> WeldLadder:
    """Run the joint at currents in even ratios; ``weld`` as in `upset_weld_heating`."""
    current = np.geomspace(*bracket_kA, _RUNGS)
    return WeldLadder(current, upset_weld_heating(secondary_current_kA=current, **weld))


class WeldLimits(NamedTuple):
    """What a sound weld needs: joint temperature and upset reached, and no expulsion."""

    least_joint_degC: float
    least_upset_mm: float
    expulsion_degC: float


class WeldBounds(NamedTuple):
    """Currents in kA at the set time: enough heat, enough upset, expulsion."""

    heat_kA: float
    upset_kA: float
    expulsion_kA: float

    @property
    def fusion_kA(self) -> float:
        """The least current of a sound weld."""
        return max(self.heat_kA, self.upset_kA)


def weld_bounds(ladder: WeldLadder, limits: WeldLimits, press: Mapping[str, Any]) -> WeldBounds:
    """The window at the set time; ``press`` as in `upset_length`, without temperatures.

    A boundary that the ladder does not reach lies at its end.
    """
    fine = _fine_currents(ladder.current_kA, ladder.joint_degC, limits)
    upset = _upset(ladder.at(fine), press)
    reached = float(first_reach(fine, upset, limits.least_upset_mm))
    last = float(ladder.current_kA[-1])
    found = (
        ladder.current_for(limits.least_joint_degC), reached,
        ladder.current_for(limits.expulsion_degC),
    )  # fmt: skip
    return WeldBounds(*(last if np.isnan(one) else one for one in found))


def weld_window(
    weld: Mapping[str, Any],
    press: Mapping[str, Any],
    limits: WeldLimits,
    *,
    current_kA: float,
    expulsion_band: tuple[float, float],
    force_kN: float,
) -> dict[str, Any]:
    """Boundaries of the window about a set point, and the course of the weld at it.

    Lists by name with unit: ``window_*`` over `window_time_s` (currents in kA that reach the
    least joint temperature and the least upset, and those that expel at the factor's median
    and its band) and over `window_force_kN` (at the set time); `time_s` with the three
    temperatures of the set weld. nan where a boundary lies outside the currents tried.
    """
    with warnings.catch_warnings():
        # the findings of the set weld tell what is outside a source's range
        warnings.simplefilter("ignore", ValidityWarning)
        return _window(weld, press, limits, current_kA, expulsion_band, force_kN)


def _window(
    weld: Mapping[str, Any],
    press: Mapping[str, Any],
    limits: WeldLimits,
    current_kA: float,
    expulsion_band: tuple[float, float],
    force_kN: float,
) -> dict[str, Any]:
    time = float(weld["weld_time_s"])
    tried = np.geomspace(_CURRENTS[0] * current_kA, _CURRENTS[1] * current_kA, _RUNGS)
    course = upset_weld_course(
        **{**weld, "weld_time_s": _TIMES[1] * time},
        secondary_current_kA=np.append(tried, current_kA),
    )
    times = np.geomspace(_TIMES[0] * time, _TIMES[1] * time, _POINTS)
    rungs = [one[:, :-1] for one in course[1:]]
    hot = Temperatures(*(_at_times(course.time_s[:, 0], one, times) for one in rungs))
    joint = hot.joint_temperature_degC
    near = (joint > limits.least_joint_degC - _COOLER_K) & (
        joint < limits.expulsion_degC + _HOTTER_K
    )
    upset = np.where(joint > limits.least_joint_degC, np.inf, 0.0)
    upset[near] = _upset(Temperatures(*(one[near] for one in hot)), press)
    expelled = [first_reach(tried, joint, one) for one in (limits.expulsion_degC, *expulsion_band)]
    set_time = Temperatures(*(_at_times(course.time_s[:, 0], one, np.array([time]))[0]
                              for one in rungs))  # fmt: skip
    forces, by_force = _over_force(tried, set_time, press, limits, force_kN)
    return {
        **_course_to(course, time),
        "window_time_s": times,
        "window_heat_current_kA": first_reach(tried, joint, limits.least_joint_degC),
        "window_upset_current_kA": first_reach(tried, upset, limits.least_upset_mm),
        "window_expulsion_current_kA": expelled[0],
        "window_expulsion_low_current_kA": expelled[1],
        "window_expulsion_high_current_kA": expelled[2],
        "window_set_time_s": time,
        "window_set_current_kA": current_kA,
        "window_set_force_kN": force_kN,
        "window_force_kN": forces,
        "window_force_upset_current_kA": by_force,
    }


def first_reach(trial: Array, value: Array, wanted: float) -> Array:
    """Where values over rising trials (the last axis) first reach what is wanted; else nan.

    Straight between two trials; an infinite value counts as just reached at its trial.
    """
    there = value >= wanted
    upper = np.clip(there.argmax(axis=-1), 1, None)[..., None]
    before = np.take_along_axis(value, upper - 1, -1)[..., 0]
    after = np.take_along_axis(value, upper, -1)[..., 0]
    low, high = trial[upper[..., 0] - 1], trial[upper[..., 0]]
    inside = (before < wanted) & (after >= wanted)
    rise = np.where(inside & np.isfinite(after), after - before, 1.0)
    part = np.where(np.isfinite(after), (wanted - before) / rise, 1.0)
    return np.asarray(np.where(inside, low + part * (high - low), np.nan))


def _upset(hot: Temperatures, press: Mapping[str, Any]) -> Array:
    return np.asarray(upset_length(**hot._asdict(), **press).upset_length_mm)


def _fine_currents(current_kA: Array, joint_degC: Array, limits: WeldLimits) -> Array:
    """Currents close together from a cold joint to one that expels."""
    ends = (limits.least_joint_degC - _COOLER_K, limits.expulsion_degC + _HOTTER_K)
    low, high = np.exp(np.interp(ends, joint_degC, np.log(current_kA)))
    return np.geomspace(low, high, _FINE)


def _over_force(
    tried: Array, hot: Temperatures, press: Mapping[str, Any], limits: WeldLimits, force_kN: float
) -> tuple[Array, Array]:
    """Least current for the upset over the upset force, at the set time."""
    forces = np.geomspace(0.5 * force_kN, 2.0 * force_kN, _FORCES)
    fine = _fine_currents(tried, hot.joint_temperature_degC, limits)
    between = Temperatures(*(np.interp(np.log(fine), np.log(tried), one) for one in hot))
    upset = _upset(between, {**press, "upset_force_kN": forces[:, None]})
    return forces, first_reach(fine, upset, limits.least_upset_mm)


def _at_times(known: Array, values: Array, times: Array) -> Array:
    """Values (steps, members) at other times: (times, members)."""
    place = np.clip(np.searchsorted(known, times), 1, known.size - 1)
    part = ((times - known[place - 1]) / (known[place] - known[place - 1]))[:, None]
    return np.asarray(values[place - 1] + part * (values[place] - values[place - 1]))


def _course_to(course: Any, time: float) -> dict[str, Array]:
    """Temperatures of the set weld, the last member, up to its end."""
    known = course.time_s[:, -1]
    times = np.append(known[known < 0.999 * time], time)
    names = ("joint_degC", "visible_surface_degC", "electrode_edge_degC")
    return {
        "time_s": times,
        **{
            name: np.interp(times, known, values[:, -1])
            for name, values in zip(names, course[1:], strict=True)
        },
    }
