"""Wire and rod drawing: volumes, speeds, passes, force, power and heat.

- `drawing_mass_balance`, `cold_work`, `drawing_pass_schedule`: constancy of volume
- `drawing_force`, `drum_power`, `drawing_stress_ratio`: what the machine must give
- `rod_drawing_power`: force, power and die pressure from the ideal work and its losses
- `drawing_temperature_rise`: adiabatic heating of the wire

The stress to draw is in `drawing_stress` and `avitzur`, the greatest reduction in
`drawing_limits`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.flow_curves import given_or_tabled
from linkwright.quantities import ArgumentError

_MOST_PASSES = 200


class MassBalance(NamedTuple):
    """Results of `drawing_mass_balance`."""

    reduction: Values
    true_strain: Values
    length_ratio: Values
    exit_speed_m_per_s: Values


class PassSchedule(NamedTuple):
    """Results of `drawing_pass_schedule`; the last axis of the diameters is the passes."""

    diameters_mm: Values
    total_reduction: Values
    true_strain_per_pass: Values


class RodDrawing(NamedTuple):
    """Results of `rod_drawing_power`."""

    true_strain: Values
    mean_flow_stress_MPa: Values
    exit_flow_stress_MPa: Values
    ideal_force_kN: Values
    ideal_power_kW: Values
    actual_force_kN: Values
    actual_power_kW: Values
    actual_drawing_stress_MPa: Values
    die_pressure_at_exit_MPa: Values


def area_ratio(start_diameter_mm: Values, final_diameter_mm: Values) -> Values:
    """Section before over section after, (d0/d1)^2; `ArgumentError` if the wire would grow."""
    ratio = (np.asarray(start_diameter_mm, float) / final_diameter_mm) ** 2
    if np.any(ratio < 1.0):
        start = float(np.min(start_diameter_mm))
        raise ArgumentError("start_diameter_mm", start, "mm", "at least the final diameter")
    return ratio[()]


@calculation(
    source="constancy of volume",
    basis="computed",
    needs={
        "start_diameter_mm": POSITIVE,
        "final_diameter_mm": POSITIVE,
        "entry_speed_m_per_s": NOT_NEGATIVE,
    },
)
def drawing_mass_balance(
    *, start_diameter_mm: Values, final_diameter_mm: Values, entry_speed_m_per_s: Values
) -> MassBalance:
    """Reduction of area, strain, length ratio and exit speed by constant volume.

    r = 1 - (d1/d0)^2, eps = ln(A0/A1), L1/L0 = v1/v0 = A0/A1.

    Raises `ArgumentError` if the final diameter is above the start.

    References: constancy of volume.

    Example:
        >>> drawn = drawing_mass_balance(start_diameter_mm=5.5, final_diameter_mm=5.0,
        ...                              entry_speed_m_per_s=2.0)
        >>> print(round(drawn.reduction, 4), round(drawn.exit_speed_m_per_s, 2))
        0.1736 2.42
    """
    ratio = area_ratio(start_diameter_mm, final_diameter_mm)
    return MassBalance(1.0 - 1.0 / ratio, np.log(ratio), ratio, entry_speed_m_per_s * ratio)


@calculation(
    source="W. D. Callister, Materials Science and Engineering, 7th/8th ed., Example Problem 7.2",
    gives="cold_work_percent",
    basis="memory",
    needs={"start_diameter_mm": POSITIVE, "final_diameter_mm": POSITIVE},
)
def cold_work(*, start_diameter_mm: Values, final_diameter_mm: Values) -> Values:
    """Per cent cold work of a drawn rod, 100 (A0 - A1)/A0.

    Raises `ArgumentError` if the final diameter is above the start.

    References: W. D. Callister, Materials Science and Engineering, Example Problem 7.2.

    Example:
        >>> print(round(cold_work(start_diameter_mm=15.2, final_diameter_mm=12.2), 1))
        35.6
    """
    return 100.0 * (1.0 - 1.0 / area_ratio(start_diameter_mm, final_diameter_mm))


@calculation(
    source="constancy of volume, d_i = d_0 (1 - r)^(i/2)",
    basis="computed",
    needs={
        "start_diameter_mm": POSITIVE,
        "reduction_per_pass": (0.0, 0.999),
        "final_diameter_mm": POSITIVE,
        "passes": (1.0, float(_MOST_PASSES)),
    },
)
def drawing_pass_schedule(
    *,
    start_diameter_mm: Values,
    passes: float,
    reduction_per_pass: Values = None,
    final_diameter_mm: Values = None,
) -> PassSchedule:
    """Diameters after each of several passes of equal reduction, that is of equal strain.

    d_i = d_0 (1 - r)^(i/2), i = 1 ... passes; the passes are the last axis. With a final
    diameter instead of a reduction, r = 1 - (d_n/d_0)^(2/n).

    Raises `ArgumentError` without reduction and final diameter, or for a number of passes
    that is not whole.

    References: constancy of volume.

    Example:
        >>> schedule = drawing_pass_schedule(start_diameter_mm=8.0, reduction_per_pass=0.2,
        ...                                  passes=5)
        >>> print(schedule.diameters_mm.round(3), round(schedule.total_reduction, 4))
        [7.155 6.4   5.724 5.12  4.579] 0.6723
    """
    if np.ndim(passes) or float(passes) != round(float(passes)):
        raise ArgumentError("passes", passes, "", f"one whole number, 1 to {_MOST_PASSES}")
    if reduction_per_pass is not None:
        strain = -np.log1p(-np.asarray(reduction_per_pass, float))[()]
    elif final_diameter_mm is not None:
        strain = np.log(area_ratio(start_diameter_mm, final_diameter_mm)) / passes
    else:
        accepted = "a reduction per pass or a final diameter"
        raise ArgumentError("reduction_per_pass", None, "", accepted, "is missing")
    counts = np.arange(1, round(float(passes)) + 1)
    shrink = np.exp(-np.asarray(strain)[..., None] * counts / 2.0)
    diameters = np.asarray(start_diameter_mm, float)[..., None] * shrink
    return PassSchedule(diameters, -np.expm1(-strain * passes), strain)


@calculation(
    source="statics, force = stress x drawn section",
    gives="drawing_force_N",
    basis="computed",
    needs={"drawing_stress_MPa": NOT_NEGATIVE, "final_diameter_mm": POSITIVE},
)
def drawing_force(*, drawing_stress_MPa: Values, final_diameter_mm: Values) -> Values:
    """Force to draw a round wire: drawing stress times the section behind the die.

    References: statics.

    Example:
        >>> print(round(drawing_force(drawing_stress_MPa=94.88, final_diameter_mm=2.0), 1))
        298.1
    """
    return drawing_stress_MPa * np.pi * final_diameter_mm**2 / 4.0


@calculation(
    source="mechanics, power = force x speed",
    gives="drum_power_kW",
    basis="computed",
    needs={
        "drawing_force_N": NOT_NEGATIVE,
        "exit_speed_m_per_s": NOT_NEGATIVE,
        "drive_efficiency": (5e-324, 1.0),
    },
)
def drum_power(
    *, drawing_force_N: Values, exit_speed_m_per_s: Values, drive_efficiency: Values = 1.0
) -> Values:
    """Power that the drum takes: drawing force times exit speed over the drive's efficiency.

    References: mechanics.

    Example:
        >>> print(drum_power(drawing_force_N=5000.0, exit_speed_m_per_s=1.6, drive_efficiency=0.8))
        10.0
    """
    return drawing_force_N * exit_speed_m_per_s / drive_efficiency / 1000.0


@calculation(
    source="W. F. Hosford & R. M. Caddell, Metal Forming: Mechanics and Metallurgy, drawing limit",
    gives="stress_ratio",
    needs={"drawing_stress_MPa": NOT_NEGATIVE, "exit_flow_stress_MPa": POSITIVE},
    basis="memory",
)
def drawing_stress_ratio(*, drawing_stress_MPa: Values, exit_flow_stress_MPa: Values) -> Values:
    """Drawing stress over the flow stress of the drawn wire; at 1 the wire yields or breaks.

    References: W. F. Hosford & R. M. Caddell, Metal Forming: Mechanics and Metallurgy.

    Example:
        >>> print(drawing_stress_ratio(drawing_stress_MPa=240.0, exit_flow_stress_MPa=480.0))
        0.5
    """
    return drawing_stress_MPa / exit_flow_stress_MPa


@calculation(
    source="S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology, 6th ed. "
    "(2010), Example 15.2",
    basis="memory",
    needs={
        "start_diameter_mm": POSITIVE,
        "final_diameter_mm": POSITIVE,
        "speed_m_per_s": NOT_NEGATIVE,
        "K_MPa": POSITIVE,
        "n": (0.0, 1.0),
        "losses_over_ideal_work": NOT_NEGATIVE,
    },
)
def rod_drawing_power(
    *,
    start_diameter_mm: Values,
    final_diameter_mm: Values,
    speed_m_per_s: Values,
    losses_over_ideal_work: Values,
    K_MPa: Values = None,
    n: Values = None,
    material: str | list[str] | None = None,
    table: str | None = None,
) -> RodDrawing:
    """Force, power and die pressure from the ideal work and a share of losses.

    Ideal: F = Ybar eps A1, Ybar = K eps^n/(1 + n), eps = ln(A0/A1), P = F v at the exit
    speed v; actual values are (1 + losses/ideal work) times these. Die pressure at the exit
    p = Y1 - sigma_d, Y1 = K eps^n the flow stress of the drawn rod. K and n are given or
    looked up for ``material``.

    Raises `ArgumentError` if the final diameter is above the start, or K, n and material
    are missing; `UnknownName` for an unknown material.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology,
    6th ed. (2010), Example 15.2.

    Example:
        >>> rod = rod_drawing_power(start_diameter_mm=10.0, final_diameter_mm=8.0,
        ...     speed_m_per_s=0.5, K_MPa=1300.0, n=0.3, losses_over_ideal_work=0.4)
        >>> print(round(rod.actual_power_kW, 2))
        12.33
    """
    K_MPa, n = given_or_tabled(material, table, K_MPa, n)
    strain = np.log(area_ratio(start_diameter_mm, final_diameter_mm))
    exit_flow = K_MPa * np.power(strain, n)
    mean_flow = exit_flow / (1.0 + n)
    ideal = mean_flow * strain * np.pi * final_diameter_mm**2 / 4.0 / 1000.0
    actual = 1.0 + losses_over_ideal_work
    stress = actual * mean_flow * strain
    return RodDrawing(
        strain, mean_flow, exit_flow, ideal, ideal * speed_m_per_s, actual * ideal,
        actual * ideal * speed_m_per_s, stress, exit_flow - stress,
    )  # fmt: skip


@calculation(
    source="energy balance; R. N. Wright, Wire Technology (2011), Ch. 6",
    gives="temperature_rise_K",
    basis="computed",
    needs={
        "drawing_stress_MPa": NOT_NEGATIVE,
        "density_kg_per_m3": POSITIVE,
        "specific_heat_J_per_kgK": POSITIVE,
        "heat_fraction": (0.0, 1.0),
    },
)
def drawing_temperature_rise(
    *,
    drawing_stress_MPa: Values,
    density_kg_per_m3: Values,
    specific_heat_J_per_kgK: Values,
    heat_fraction: Values = 1.0,
) -> Values:
    """Mean temperature rise of a drawn wire, f sigma_d/(rho c).

    The drawing stress is the work per volume; f is the share of it that stays in the wire
    as heat, 1 for no loss to the die. The surface is hotter at the die exit.

    References: R. N. Wright, Wire Technology (2011), Ch. 6; G. E. Dieter, Mechanical
    Metallurgy.

    Example:
        >>> print(round(drawing_temperature_rise(drawing_stress_MPa=240.4,
        ...     density_kg_per_m3=7850.0, specific_heat_J_per_kgK=460.0), 2))
        66.57
    """
    work = heat_fraction * drawing_stress_MPa * 1e6
    return work / (density_kg_per_m3 * specific_heat_J_per_kgK)
