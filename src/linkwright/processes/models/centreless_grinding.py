"""Sums of pins ground without centres: what comes to the grinder, passes, burning, roundness.

- `blank_before_grinding`, `case_before_grinding`: diameter and case that come to the grinder
- `grinding_passes`, `grinding_hours`: stock shared over passes, and their time
- `grinding_burn`: specific energy at which a ground steel burns
- `lobe_stability`: which out-of-round shapes the setting of the grinder takes off
- `wheel_surface_speed`, `size_capability`
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_LOBES = np.arange(2.0, 13.0)


@calculation(
    source="size wanted and the stock on it", gives="diameter_mm", basis="computed",
    needs={"pin_diameter_mm": POSITIVE, "grinding_stock_mm": NOT_NEGATIVE},
)  # fmt: skip
def blank_before_grinding(*, pin_diameter_mm: Values, grinding_stock_mm: Values) -> Values:
    """Diameter that comes to the grinder: that wanted and the stock on it.

    References: none needed.
    """
    return pin_diameter_mm + np.asarray(grinding_stock_mm, float)[()]


@calculation(
    source="half of the stock on the diameter is ground off the case", gives="case_depth_mm",
    basis="computed",
    needs={"case_depth_mm": NOT_NEGATIVE, "grinding_stock_mm": NOT_NEGATIVE},
)  # fmt: skip
def case_before_grinding(*, case_depth_mm: Values, grinding_stock_mm: Values) -> Values:
    """Case that comes to the grinder: `depth_after_grinding` backwards.

    References: geometry.
    """
    return case_depth_mm + np.asarray(grinding_stock_mm, float)[()] / 2.0


class GrindingPasses(NamedTuple):
    """Results of `grinding_passes`."""

    passes_count: Values
    reduction_per_pass_mm: Values
    """On the diameter, the last pass like the others."""


@calculation(
    source="stock over the greatest reduction of a pass",
    basis="computed",
    needs={"grinding_stock_mm": POSITIVE, "greatest_reduction_mm": POSITIVE},
)
def grinding_passes(*, grinding_stock_mm: Values, greatest_reduction_mm: Values) -> GrindingPasses:
    """Passes through the grinder: ceil(stock/greatest), at least two (rough and finish).

    References: none needed.

    Example:
        >>> got = grinding_passes(grinding_stock_mm=0.16, greatest_reduction_mm=0.06)
        >>> print(got.passes_count, round(got.reduction_per_pass_mm, 4))
        3.0 0.0533
    """
    stock = np.asarray(grinding_stock_mm, float)
    passes = np.maximum(np.ceil(stock / greatest_reduction_mm - 1e-9), 2.0)
    return GrindingPasses(passes[()], (stock / passes)[()])


class GrindingBurn(NamedTuple):
    """Results of `grinding_burn`."""

    depth_of_cut_um: Values
    """Of one turn of the pin."""
    burning_energy_J_per_mm3: Values


@calculation(
    source="S. Malkin, Grinding Technology, thermal damage: u* = 6.2 + 7.2 de^(1/4) a^(-3/4) "
    "v^(-1/2) in J, mm and s for plain carbon steel, remembered; depth by geometry",
    basis="memory",
    needs={
        "pin_diameter_mm": POSITIVE, "wheel_diameter_mm": POSITIVE, "wheel_width_mm": POSITIVE,
        "reduction_per_pass_mm": POSITIVE, "feed_m_per_min": POSITIVE,
        "pin_speed_m_per_min": POSITIVE,
    },
)  # fmt: skip
def grinding_burn(
    *,
    pin_diameter_mm: Values,
    wheel_diameter_mm: Values,
    wheel_width_mm: Values,
    reduction_per_pass_mm: Values,
    feed_m_per_min: Values,
    pin_speed_m_per_min: Values,
) -> GrindingBurn:
    """Specific energy above which grinding burns the surface, and the depth of cut behind it.

    A pin that turns at v passes the wheel's width B with feed f in B/f turns v/(pi d); each turn
    takes a = (reduction/2) f pi d/(B v). Equivalent wheel 1/de = 1/d + 1/D.

    Validity: easy-to-grind wheels and plain carbon steel; a blunt wheel or bad coolant burns
    sooner, so temper colours and nital etching of samples decide.

    References: as the source.

    Example:
        >>> burn = grinding_burn(pin_diameter_mm=8.28, wheel_diameter_mm=500.0,
        ...     wheel_width_mm=200.0, reduction_per_pass_mm=0.05, feed_m_per_min=2.0,
        ...     pin_speed_m_per_min=30.0)
        >>> print(round(burn.depth_of_cut_um, 3), round(burn.burning_energy_J_per_mm3))
        0.217 311
    """
    girth = np.pi * np.asarray(pin_diameter_mm, float)
    feed_a_turn = feed_m_per_min / np.asarray(pin_speed_m_per_min, float) * girth
    depth = reduction_per_pass_mm / 2.0 * feed_a_turn / wheel_width_mm
    equivalent = 1.0 / (1.0 / np.asarray(pin_diameter_mm, float) + 1.0 / wheel_diameter_mm)
    speed = np.asarray(pin_speed_m_per_min, float) * 1000.0 / 60.0
    energy = 6.2 + 7.2 * equivalent**0.25 * depth**-0.75 * speed**-0.5
    return GrindingBurn((1000.0 * depth)[()], energy[()])


class LobeStability(NamedTuple):
    """Results of `lobe_stability`."""

    least_stability: Values
    """Of 2 to 12 lobes; above 0 every such shape dies out by geometry."""
    worst_lobes_count: Values
    tangent_angle_deg: Values
    """Between the tangents at both wheels."""


@calculation(
    source="geometry of three contacts; geometric stability of centreless grinding as in W. B. "
    "Rowe, Principles of Modern Grinding Technology, remembered",
    basis="memory",
    needs={
        "pin_diameter_mm": POSITIVE, "centre_height_mm": NOT_NEGATIVE,
        "wheel_diameter_mm": POSITIVE, "regulating_wheel_diameter_mm": POSITIVE,
        "blade_angle_deg": (0.0, 60.0),
    },
)  # fmt: skip
def lobe_stability(
    *,
    pin_diameter_mm: Values,
    centre_height_mm: Values,
    wheel_diameter_mm: Values,
    regulating_wheel_diameter_mm: Values,
    blade_angle_deg: Values = 30.0,
) -> LobeStability:
    """Whether the setting of a centreless grinder takes off shapes of 2 to 12 lobes.

    A bump that passes blade or regulating wheel moves the pin's middle and so what is ground:

        r(t) = c1 r(t - f1) + c2 r(t - f2),  c1 = sin f2/sin(f2 - f1),  c2 = -sin f1/sin(f2 - f1)
        A_n = Re[1 - c1 exp(-i n f1) - c2 exp(-i n f2)]

    f1 = 90° - g_s - b and f2 = 180° - g_s - g_r angles from the grinding contact to blade and
    regulating wheel, sin g = 2 h/(D + d) at each wheel, h height of the middle over the line of
    the wheels' centres, b angle of the blade. A_n > 0: n lobes die out. At h = 0 odd numbers of
    lobes stay for good (A = 0), which is why pins run above centre.

    Validity: geometry only; stiffness and chatter are not in it.

    References: as the source.

    Example:
        >>> flat = lobe_stability(pin_diameter_mm=10.0, centre_height_mm=0.0,
        ...     wheel_diameter_mm=500.0, regulating_wheel_diameter_mm=300.0)
        >>> print(round(abs(flat.least_stability), 9), flat.worst_lobes_count % 2)
        0.0 1.0
    """
    diameter, height = np.asarray(pin_diameter_mm, float), np.asarray(centre_height_mm, float)
    at_wheel = np.arcsin(2.0 * height / (wheel_diameter_mm + diameter))
    at_guide = np.arcsin(2.0 * height / (regulating_wheel_diameter_mm + diameter))
    first = np.pi / 2.0 - at_wheel - np.radians(blade_angle_deg)
    second = np.pi - at_wheel - at_guide
    by_blade = np.sin(second) / np.sin(second - first)
    by_wheel = -np.sin(first) / np.sin(second - first)
    blade, guide = (np.asarray(a)[..., None] for a in (by_blade, by_wheel))
    one, two = (np.asarray(a)[..., None] for a in (first, second))
    stability = 1.0 - blade * np.cos(_LOBES * one) - guide * np.cos(_LOBES * two)
    worst = np.argmin(stability, axis=-1)
    return LobeStability(
        stability.min(axis=-1)[()],
        _LOBES[worst][()],
        np.degrees(at_wheel + at_guide)[()],
    )


@calculation(
    source="tolerance over six standard deviations", gives="capability_ratio", basis="computed",
    needs={"tolerance_um": POSITIVE, "deviation_mm": POSITIVE},
)  # fmt: skip
def size_capability(*, tolerance_um: Values, deviation_mm: Values) -> Values:
    """Capability of a process within its tolerance: T/(6 s).

    References: definition.

    Example:
        >>> round(size_capability(tolerance_um=15.0, deviation_mm=0.0015), 3)
        1.667
    """
    return np.asarray(tolerance_um, float)[()] / (6000.0 * deviation_mm)


@calculation(
    source="length of all pins through the wheels, pass by pass", gives="machine_time_h",
    basis="computed",
    needs={"pieces": POSITIVE, "pin_length_mm": POSITIVE, "feed_m_per_min": POSITIVE,
           "machines": POSITIVE},
)  # fmt: skip
def grinding_hours(
    *,
    pieces: Values,
    pin_length_mm: Values,
    feed_m_per_min: Values,
    passes: Values,
    machines: Values = 1.0,
) -> Values:
    """Hours of grinders: n l passes/(v 60), pins end to end.

    References: none needed.
    """
    return pieces * pin_length_mm / 1000.0 / feed_m_per_min * passes / 60.0 / machines


@calculation(
    source="circumference times turns", gives="surface_speed_m_per_min", basis="computed",
    needs={"wheel_diameter_mm": POSITIVE, "wheel_rpm": POSITIVE},
)  # fmt: skip
def wheel_surface_speed(*, wheel_diameter_mm: Values, wheel_rpm: Values) -> Values:
    """Speed at the outside of a wheel, which the pin takes on: pi D n.

    References: geometry.
    """
    return np.pi * np.asarray(wheel_diameter_mm, float)[()] / 1000.0 * wheel_rpm
