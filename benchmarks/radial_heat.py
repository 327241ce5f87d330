"""How fast the radial heat solver is against a general implicit method, at equal error.

Prints the time of a quench of many members by `march`, the time of one quench of the same
control volumes by scipy's BDF (analytic tridiagonal Jacobian, the loosest tolerance whose
error is not greater than ours), both errors against a far tighter solution of the same
volumes, and the ratio per member. Then the whole hardening line of 1,536 members. Run:

    python benchmarks/radial_heat.py
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import diags

from linkwright.mechanics.radial_heat import RadialGrid, graded_fractions
from linkwright.mechanics.radial_steps import HeatHistory, march
from linkwright.processes.models.coil_heat import heat_in_coil
from linkwright.processes.models.quenching import SprayLoss, quench
from linkwright.processes.models.steel_tables import quenched_steel
from linkwright.processes.models.temper_heat import temper_course

NODES, STEPS, DURATION_S, WATER_DEGC, START_DEGC = 41, 60, 3.0, 18.0, 900.0
SAMPLES = 6


def members(count: int) -> tuple[np.ndarray, np.ndarray]:
    """Radii (m) and spray densities (kg/m2s) of a lot of 8 mm chain, the same for all runs."""
    rng = np.random.default_rng(11)
    return 0.004 * (1 + 0.02 * rng.standard_normal(count)), 20.0 * np.exp(
        0.1 * rng.standard_normal(count)
    )


def ours(count: int, steps: int = STEPS) -> HeatHistory:
    """One quench of many members."""
    metal = quenched_steel()
    radius, spray = members(max(count, SAMPLES))
    return march(
        metal, RadialGrid.of(NODES), radius_m=radius[:count],
        start_heat_J_per_m3=np.full((NODES, count), float(metal.heat_at(START_DEGC))),
        duration_s=DURATION_S, fractions=graded_fractions(steps, 1.5),
        loss=SprayLoss(spray[:count], WATER_DEGC),
    )  # fmt: skip


def spray_flux(surface: float, density: float) -> tuple[float, float]:
    """The spray law of `SprayLoss` for one number, without the cost of arrays."""

    def flux(t: float) -> float:
        rise = t - WATER_DEGC
        film = 140.0 * density * (1.0 - density * rise / 72000.0)
        boiling = 3.26 * rise * rise * (1.0 - math.tanh(rise / 128.0))
        return rise * (190.0 + math.tanh(density / 8.0) * (film + boiling))

    here = flux(surface)
    return here, flux(surface + 1.0) - here


def peer(radius: float, density: float, times: np.ndarray, rtol: float) -> np.ndarray:
    """Temperatures (nodes, times) of one member by scipy's BDF on the same volumes."""
    metal, grid = quenched_steel(), RadialGrid.of(NODES)
    volume = grid.volume * radius**2
    below, above = grid.link / volume[1:], grid.link / volume[:-1]
    middle = -np.concatenate((above, [0.0])) - np.concatenate(([0.0], below))

    def derivative(_: float, heat: np.ndarray) -> np.ndarray:
        cell = (heat * metal.cells_per_heat).astype(np.intp)
        phi = metal.potential_at_zero[cell] + metal.potential_slope[cell] * heat
        change = middle * phi
        change[1:] += below * phi[:-1]
        change[:-1] += above * phi[1:]
        last = cell[-1]
        surface = metal.temperature_at_zero[last] + metal.temperature_slope[last] * heat[-1]
        change[-1] -= radius * spray_flux(float(surface), density)[0] / volume[-1]
        return change

    def jacobian(_: float, heat: np.ndarray) -> Any:
        cell = (heat * metal.cells_per_heat).astype(np.intp)
        slope = metal.potential_slope[cell]
        last = cell[-1]
        surface = metal.temperature_at_zero[last] + metal.temperature_slope[last] * heat[-1]
        main = middle * slope
        steepness = spray_flux(float(surface), density)[1]
        main[-1] -= radius * steepness * metal.temperature_slope[last] / volume[-1]
        return diags([below * slope[:-1], main, above * slope[1:]], [-1, 0, 1], format="csc")

    start = np.full(NODES, float(metal.heat_at(START_DEGC)))
    found = solve_ivp(
        derivative, (0.0, DURATION_S), start, method="BDF", t_eval=times, jac=jacobian,
        rtol=rtol, atol=rtol * 1e9,
    )  # fmt: skip
    return np.asarray(metal.temperature_at(found.y))


def best(work: Callable[[], object], repeats: int) -> float:
    """Shortest time in seconds of several runs."""
    spans = []
    for _ in range(repeats):
        begun = time.perf_counter()
        work()
        spans.append(time.perf_counter() - begun)
    return min(spans)


def compare() -> None:
    """Errors and times of both."""
    history = ours(SAMPLES)
    radius, spray = members(SAMPLES)
    rows = np.arange(6, STEPS + 1, 6)
    times = history.time_s[:, 0][rows]
    exact = [peer(r, s, times, 1e-9) for r, s in zip(radius, spray, strict=True)]

    def worst(found: list[np.ndarray]) -> float:
        return max(float(np.abs(a - b[[0, -1]]).max()) for a, b in zip(found, exact, strict=True))

    mine = [
        np.stack([history.temperature_degC(p)[rows, m] for p in (0.0, 1.0)]) for m in range(SAMPLES)
    ]
    error = worst(mine)
    for rtol in 10.0 ** np.arange(-2.0, -7.0, -0.25):
        theirs = worst(
            [peer(r, s, times, rtol)[[0, -1]] for r, s in zip(radius, spray, strict=True)]
        )
        if theirs <= error:
            break
    one = best(lambda: [peer(r, s, times, rtol) for r, s in zip(radius, spray, strict=True)], 3)
    one /= SAMPLES
    print(f"greatest error of centre and surface: march {error:.3f} K, BDF {theirs:.3f} K")
    print(f"one quench by BDF (rtol {rtol:.1e}): {1e3 * one:.2f} ms")
    for count in (1, 64, 512, 4096):
        span = best(lambda count=count: ours(count), 5 if count < 4096 else 3)
        print(
            f"{count:5d} members x {NODES} nodes x {STEPS} steps: {span:.4f} s, "
            f"{1e3 * span / count:.4f} ms a member, ratio {one * count / span:.0f}"
        )


def line() -> None:
    """Coil, quench and temper of 512 lots x 3 zones on the ensemble grid."""
    count = 1536
    radius, spray = members(count)
    field = 39e3 * (1 + 0.02 * np.random.default_rng(5).standard_normal(count))

    def coil() -> object:
        return heat_in_coil(
            wire_radius_m=radius, duration_s=12.0, field_A_per_m=field, frequency_Hz=1e5
        )

    hot = heat_in_coil(
        wire_radius_m=radius, duration_s=12.0, field_A_per_m=field, frequency_Hz=1e5
    ).history.end_temperature_degC()

    def water() -> object:
        return quench(
            wire_radius_m=radius, delay_s=0.4, ring_time_s=4.0, loss=SprayLoss(spray, 25.0),
            start_temperature_degC=hot,
        )  # fmt: skip

    def temper() -> object:
        return temper_course(
            wire_radius_m=radius, coil_time_s=8.0, field_A_per_m=0.97 * field, frequency_Hz=1e4,
            soak_time_s=10.0, air_time_s=60.0,
        )  # fmt: skip

    spans = [best(work, 5) for work in (coil, water, temper)]
    names = ("coil", "gap and quench", "temper coil, soak, air")
    text = ", ".join(f"{name} {span:.3f} s" for name, span in zip(names, spans, strict=True))
    print(f"{count} members of the line: {text}; together {sum(spans):.3f} s")


if __name__ == "__main__":
    compare()
    line()
