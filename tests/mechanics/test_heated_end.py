"""A bar heated at its end: balance of heat, finite volumes, and what must not depend on what."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from linkwright.mechanics.heated_end import heated_end_rise

K, A = 38.0, 7.8  # W/(m K), mm2/s
PIN: dict[str, Any] = {
    "heating_time_s": 0.5, "power_kW": 0.7, "heated_length_mm": 2.5, "diameter_mm": 8.0,
    "conductivity_W_per_mK": K, "diffusivity_mm2_per_s": A,
}  # fmt: skip


@pytest.mark.parametrize("time", [0.1, 0.5, 0.9, 3.0])
def test_the_bar_holds_the_heat_that_flowed_in(time):
    """Integral of the rise over the volume: P t/(rho c), whatever the radius does."""
    z = np.linspace(0.0, 40.0, 1601)
    r, weight = np.polynomial.legendre.leggauss(24)
    ratio, weight = (r + 1.0) / 2.0, weight / 2.0
    rise = heated_end_rise(distance_mm=z[:, None], radius_ratio=ratio[None, :], time_s=time, **PIN)
    mean = (rise * 2.0 * ratio * weight).sum(axis=1)  # over the section
    held = np.trapezoid(mean, z) * np.pi * 4.0**2 * K / A / 1e6  # kJ, with rho c = k/a
    assert held == pytest.approx(0.7 * min(time, 0.5), rel=2e-3)


def _finite_volumes(times: list[float]) -> list[np.ndarray]:
    """Explicit balance of rings 0.2 mm high and wide; skin and axis rise over z at the times."""
    R, step = 4.0, 0.2
    nr, nz = 20, 100
    edge = np.arange(nr + 1) * step
    ring = np.diff(edge**2)  # over pi
    through = 2.0 * edge[1:-1]  # girth over pi, of inner edges
    u = np.zeros((nz, nr))
    dt = 0.2 * step**2 / A
    flow = PIN["power_kW"] * 1e3 / (np.pi * 2.0 * R * PIN["heated_length_mm"])  # W/mm2
    share = np.clip((PIN["heated_length_mm"] - np.arange(nz) * step) / step, 0.0, 1.0)
    kept, t = [], 0.0
    for until in times:
        while t < until - 1e-9:
            now = min(dt, until - t)
            across = np.zeros((nz, nr + 1))
            across[:, 1:-1] = A * np.diff(u, axis=1) / step * through
            along = np.zeros((nz + 1, nr))
            along[1:-1] = A * np.diff(u, axis=0) / step
            gain = np.diff(across, axis=1) / ring + np.diff(along, axis=0) / step
            if t < PIN["heating_time_s"] - 1e-9:
                gain[:, -1] += flow * share * A / (K / 1e3) * 2.0 * R / ring[-1]
            u += now * gain
            t += now
        kept.append(u.copy())
    return kept


def test_skin_and_axis_are_those_of_finite_volumes():
    times = [0.25, 0.5, 1.0]
    z = (np.arange(100) + 0.5) * 0.2
    for time, field in zip(times, _finite_volumes(times), strict=True):
        for column, ratio in ((-1, 3.9 / 4.0), (0, 0.1 / 4.0), (10, 2.1 / 4.0)):
            exact = heated_end_rise(distance_mm=z, radius_ratio=ratio, time_s=time, **PIN)
            assert np.max(np.abs(field[:, column] - exact)) < 0.015 * np.max(exact) + 1.0


def test_heat_is_double_at_double_power_and_nothing_before():
    one = heated_end_rise(distance_mm=1.0, radius_ratio=1.0, time_s=0.4, **PIN)
    two = heated_end_rise(distance_mm=1.0, radius_ratio=1.0, time_s=0.4, **{**PIN, "power_kW": 1.4})
    assert two == pytest.approx(2.0 * one)
    assert heated_end_rise(distance_mm=1.0, radius_ratio=1.0, time_s=0.0, **PIN) == 0.0


def test_a_pin_twice_as_thick_does_the_same_in_four_times_the_time():
    """Similar bodies: lengths double, times fourfold, power doubles, temperatures alike."""
    small = heated_end_rise(distance_mm=1.5, radius_ratio=0.7, time_s=0.8, **PIN)
    thick = {**PIN, "heating_time_s": 2.0, "power_kW": 1.4, "heated_length_mm": 5.0,
             "diameter_mm": 16.0}  # fmt: skip
    large = heated_end_rise(distance_mm=3.0, radius_ratio=0.7, time_s=3.2, **thick)
    assert large == pytest.approx(small)


def test_members_are_single_runs():
    z = np.array([0.0, 1.0, 2.5, 4.0])
    many = heated_end_rise(distance_mm=z, radius_ratio=1.0, time_s=0.6, **PIN)
    single = [heated_end_rise(distance_mm=float(one), radius_ratio=1.0, time_s=0.6, **PIN)
              for one in z]  # fmt: skip
    assert many == pytest.approx(np.array(single), rel=1e-12)
