"""What the guard of the catalogue costs: calculations against the same formula in bare numpy.

Each calculation runs over 100,000 values, and once with single numbers, beside a function
without guard that is written out here and must give the same numbers. Run:

    python benchmarks/calculations.py
"""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
from measured import Figure, best_and_median, table

from linkwright.materials.tempering import hollomon_jaffe
from linkwright.materials.transformation import andrews_martensite_start
from linkwright.processes.models.drawing import cold_work
from linkwright.processes.models.drawing_stress import drawing_stress_siebel

LENGTH, SEED = 100_000, 3


def plain_cold_work(*, start_diameter_mm: Any, final_diameter_mm: Any) -> Any:
    return 100.0 * (1.0 - 1.0 / (start_diameter_mm / final_diameter_mm) ** 2)


def plain_hollomon(*, temperature_degC: Any, time_h: Any) -> Any:
    return (temperature_degC + 273.15) * (20.0 + np.log10(time_h)) / 1000.0


def plain_siebel(
    *,
    start_diameter_mm: Any,
    final_diameter_mm: Any,
    die_half_angle_deg: Any,
    friction_coefficient: Any,
    mean_flow_stress_MPa: Any,
) -> Any:
    strain = np.log((start_diameter_mm / final_diameter_mm) ** 2)
    angle = np.radians(die_half_angle_deg)
    ideal = mean_flow_stress_MPa * strain
    stress = ideal + ideal * friction_coefficient / angle + 2.0 / 3.0 * angle * mean_flow_stress_MPa
    return stress * np.pi * final_diameter_mm**2 / 4.0


def plain_andrews(*, C_percent: Any, Mn_percent: Any, Cr_percent: Any) -> Any:
    return 539.0 - 423.0 * C_percent - 30.4 * Mn_percent - 12.1 * Cr_percent


PAIRS: tuple[tuple[Callable[..., Any], Callable[..., Any], str | None], ...] = (
    (cold_work, plain_cold_work, None),
    (hollomon_jaffe, plain_hollomon, None),
    (drawing_stress_siebel, plain_siebel, "drawing_force_N"),
    (andrews_martensite_start, plain_andrews, None),
)
RANGES = {
    "start_diameter_mm": (8.5, 9.0),
    "final_diameter_mm": (7.6, 8.4),
    "temperature_degC": (400.0, 650.0),
    "time_h": (0.1, 4.0),
    "die_half_angle_deg": (4.0, 10.0),
    "friction_coefficient": (0.03, 0.12),
    "mean_flow_stress_MPa": (500.0, 800.0),
    "C_percent": (0.15, 0.3),
    "Mn_percent": (0.5, 1.5),
    "Cr_percent": (0.1, 0.8),
}


def figures(length: int = LENGTH, repeats: int = 15) -> list[Figure]:
    """Ratio of the times over arrays, microseconds of a single call, greatest difference."""
    rng = np.random.default_rng(SEED)
    found, differences = [], []
    for guarded, plain, result in PAIRS:
        names = inspect.signature(plain).parameters
        arrays = {name: rng.uniform(*RANGES[name], length) for name in names}
        single = {name: float(values[0]) for name, values in arrays.items()}
        answer = guarded(**arrays)
        expected = plain(**arrays)
        got = answer if result is None else getattr(answer, result)
        differences.append(float(np.max(np.abs(got / expected - 1.0))))
        found += _times(guarded, plain, arrays, single, repeats)
    name = "greatest relative difference from the bare formula"
    return [*found, Figure(name, max(differences), greatest=1e-12)]


def _times(
    guarded: Callable[..., Any],
    plain: Callable[..., Any],
    arrays: dict[str, np.ndarray],
    single: dict[str, float],
    repeats: int,
) -> list[Figure]:
    length = next(iter(arrays.values())).size
    ours, _ = best_and_median(lambda: guarded(**arrays), repeats)
    body, _ = best_and_median(lambda: inspect.unwrap(guarded)(**arrays), repeats)
    bare, _ = best_and_median(lambda: plain(**arrays), repeats)
    calls = 300
    one, _ = best_and_median(lambda: [guarded(**single) for _ in range(calls)], repeats)
    bare_one, _ = best_and_median(lambda: [plain(**single) for _ in range(calls)], repeats)
    name = guarded.__name__
    return [
        Figure(f"{name}, {length} values, time over bare numpy", ours / bare),
        Figure(f"{name}, {length} values, time over its body without guard", ours / body),
        Figure(f"{name}, one value", 1e6 * one / calls, "us"),
        Figure(f"{name}, one value, bare", 1e6 * bare_one / calls, "us"),
    ]


if __name__ == "__main__":
    print(table(figures()))
