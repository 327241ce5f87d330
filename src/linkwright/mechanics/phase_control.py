"""Phase control of an alternating current: two thyristors before an inductive load.

- `firing_angle`: the angle at which they fire for a wanted share of the full current
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import Values, calculation

Array = NDArray[np.float64]
_GAUSS_POINTS, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(24)
_TRIALS = 48
_HALVINGS = 44
_LATEST_DEG = 175.0


class FiringAngle(NamedTuple):
    """Results of `firing_angle`."""

    firing_angle_deg: Values
    conduction_angle_deg: Values


@calculation(
    source="circuit equation L di/dt + R i = sqrt(2) V sin(wt) from the firing on; as in "
    "M. H. Rashid, Power Electronics, single-phase full-wave controllers with inductive load",
    needs={"current_ratio": (0.001, 1.0), "power_factor": (0.02, 1.0)},
    basis="computed",
)
def firing_angle(*, current_ratio: Values, power_factor: Values) -> FiringAngle:
    """Firing angle of two thyristors for an rms current, as a share of the full one.

    With the load's angle f = arccos(power factor) and the firing at a (from the zero of the
    voltage), the current is sqrt(2) V/Z {sin(x - f) - sin(a - f) exp[-(x - a)/tan f]} until it
    is zero at b; its rms over the full one is

        sqrt{(2/pi) integral from a to b of {...}^2 dx},

    1 at a = f, where current flows without a break. Solved for a among 48 angles and again
    between the two nearest; conduction angle b - a. Arguments broadcast.

    Raises `ArgumentError` for a share above 1: the tap is too low.

    >>> round(float(firing_angle(current_ratio=1.0, power_factor=0.5).firing_angle_deg), 1)
    60.0

    References: Rashid, Power Electronics (AC voltage controllers).
    """
    share, factor = np.broadcast_arrays(
        np.asarray(current_ratio, float), np.asarray(power_factor, float)
    )
    lag = np.arccos(factor)
    low, high = lag, np.full(lag.shape, np.radians(_LATEST_DEG))
    ladder = np.linspace(0.0, 1.0, _TRIALS)
    for _ in range(2):
        trial = low[..., None] + (high - low)[..., None] * ladder
        reached, end = rms_share(trial, lag[..., None])
        place = np.clip((reached <= share[..., None]).argmax(axis=-1), 1, _TRIALS - 1)[..., None]
        low, high = _two(trial, place)
    more, less = _two(reached, place)
    part = np.clip((more - share) / np.where(more > less, more - less, 1.0), 0.0, 1.0)
    stop = _two(end, place)
    angle = low + part * (high - low)
    width = stop[0] + part * (stop[1] - stop[0]) - angle
    return FiringAngle(np.degrees(angle)[()], np.degrees(width)[()])


def rms_share(firing: Any, lag: Any) -> tuple[Array, Array]:
    """Share of the full rms current for firing angle and load's angle (rad), and its end (rad)."""
    firing, lag = np.broadcast_arrays(np.asarray(firing, float), np.asarray(lag, float))
    decay = 1.0 / np.maximum(np.tan(np.minimum(lag, 1.5707)), 1e-6)
    start = np.sin(firing - lag)

    def current(angle: Array) -> Array:
        fall = np.exp(np.maximum(-(angle - firing) * decay, -700.0))
        return np.asarray(np.sin(angle - lag) - start * fall)

    low, high = np.full(firing.shape, np.pi), np.pi + lag
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        flows = current(middle) > 0.0
        low, high = np.where(flows, middle, low), np.where(flows, high, middle)
    half = 0.5 * (high - firing)
    total = np.zeros(firing.shape)
    for point, weight in zip(_GAUSS_POINTS, _GAUSS_WEIGHTS, strict=True):
        total += weight * current(firing + half * (1.0 + point)) ** 2
    return np.sqrt(2.0 / np.pi * half * total), high


def _two(values: Array, place: NDArray[np.intp]) -> tuple[Array, Array]:
    """The values before and at a place along the last axis."""
    before = np.take_along_axis(values, place - 1, -1)[..., 0]
    return before, np.take_along_axis(values, place, -1)[..., 0]
