"""Sums of the pin's route: bars sawn to length, ends turned, ground without centres.

- `bar_for_pins`: pins a bar gives, steel and saw cuts
- `pin_before_turning`, `turned_end`: length before, force, power and time of an end
- `blank_before_grinding`, `grinding_passes`: stock and passes
- `grinding_burn`: specific energy at which a ground steel burns
- `lobe_stability`: which out-of-round shapes the setting of a centreless grinder takes off
- `washing_heat`: power of a wash
- `pin_mass`, `size_capability`
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_DENSITY = 7850.0
"""Steel, EN 1993-1-2:2005, 3.2.2."""
_LOBES = np.arange(2.0, 13.0)


class BarForPins(NamedTuple):
    """Results of `bar_for_pins`."""

    pins_per_bar: Values
    bars: Values
    steel_kg: Values
    used_share: Values


@calculation(
    source="whole pins and saw cuts along a bar",
    basis="computed",
    needs={
        "pieces": POSITIVE, "cut_length_mm": POSITIVE, "kerf_mm": NOT_NEGATIVE,
        "bar_length_m": POSITIVE, "bar_diameter_mm": POSITIVE, "end_loss_mm": NOT_NEGATIVE,
    },
)  # fmt: skip
def bar_for_pins(
    *,
    pieces: Values,
    cut_length_mm: Values,
    kerf_mm: Values,
    bar_length_m: Values,
    bar_diameter_mm: Values,
    end_loss_mm: Values = 30.0,
) -> BarForPins:
    """Bars for a number of pins: floor((L - e)/(l + k)) pins a bar, whole bars.

    L bar, e what the saw cannot hold at its end (30 mm: common practice, no source), l pin, k kerf.

    References: geometry.

    Example:
        >>> got = bar_for_pins(pieces=1000.0, cut_length_mm=36.5, kerf_mm=2.0, bar_length_m=3.0,
        ...     bar_diameter_mm=8.5)
        >>> print(got.pins_per_bar, got.bars, round(got.steel_kg, 1))
        77.0 13.0 17.4
    """
    each = np.floor(
        (1000.0 * np.asarray(bar_length_m, float) - end_loss_mm) / (cut_length_mm + kerf_mm)
    )
    each = np.maximum(each, 1.0)
    bars = np.ceil(pieces / each)
    area = np.pi / 4.0 * np.square(bar_diameter_mm)
    steel = bars * area * bar_length_m * 1e-6 * _DENSITY
    used = each * cut_length_mm / (1000.0 * np.asarray(bar_length_m, float))
    return BarForPins(each[()], bars[()], steel[()], used[()])


@calculation(
    source="length of a pin and what turning takes off both ends", gives="cut_length_mm",
    basis="computed", needs={"pin_length_mm": POSITIVE, "facing_mm": NOT_NEGATIVE},
)  # fmt: skip
def pin_before_turning(*, pin_length_mm: Values, facing_mm: Values) -> Values:
    """Length to saw: l + 2 f, f what facing takes off an end.

    References: geometry.
    """
    return pin_length_mm + 2.0 * np.asarray(facing_mm, float)[()]


class TurnedEnd(NamedTuple):
    """Results of `turned_end`."""

    cutting_force_N: Values
    cutting_power_kW: Values
    spindle_speed_rpm: Values
    turning_time_s: Values
    """Both ends, without handling."""


@calculation(
    source="O. Kienzle (1952): F = k_c1.1 b h^(1 - m); time by feed",
    basis="memory",
    needs={
        "diameter_mm": POSITIVE, "facing_mm": POSITIVE, "feed_mm": POSITIVE,
        "cutting_speed_m_per_min": POSITIVE, "specific_cutting_force_MPa": POSITIVE,
        "kienzle_exponent": (0.0, 0.6), "chamfer_mm": NOT_NEGATIVE,
    },
)  # fmt: skip
def turned_end(
    *,
    diameter_mm: Values,
    facing_mm: Values,
    chamfer_mm: Values,
    feed_mm: Values,
    cutting_speed_m_per_min: Values,
    specific_cutting_force_MPa: Values,
    kienzle_exponent: Values = 0.25,
) -> TurnedEnd:
    """Force, power, speed and time of facing and chamfering both ends of a pin.

        F = k b h^(1 - m), b depth of cut (the facing), h feed (tool at 90°), P = F v
        n = v/(pi d), t = 2 (d/2 + chamfer)/(f n)

    k and m of the steel are the works' own or those of a table (16MnCr5: 2100 MPa and 0.26,
    remembered).

    References: as the source.

    Example:
        >>> end = turned_end(diameter_mm=8.5, facing_mm=0.25, chamfer_mm=0.8, feed_mm=0.1,
        ...     cutting_speed_m_per_min=120.0, specific_cutting_force_MPa=2100.0)
        >>> print(round(end.cutting_force_N), round(end.turning_time_s, 2))
        93 1.35
    """
    thickness = np.asarray(feed_mm, float)
    force = specific_cutting_force_MPa * facing_mm * thickness ** (1.0 - kienzle_exponent)
    speed = np.asarray(cutting_speed_m_per_min, float) * 1000.0 / (np.pi * diameter_mm)
    way = np.asarray(diameter_mm, float) / 2.0 + chamfer_mm
    return TurnedEnd(
        force[()],
        (force * cutting_speed_m_per_min / 60000.0)[()],
        speed[()],
        (2.0 * way / (feed_mm * speed) * 60.0)[()],
    )


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
    source="volume of a cylinder times density", gives="piece_mass_kg", basis="computed",
    needs={"diameter_mm": POSITIVE, "length_mm": POSITIVE},
)  # fmt: skip
def pin_mass(*, diameter_mm: Values, length_mm: Values) -> Values:
    """Mass of a pin: (pi/4) d^2 l, 7850 kg/m3; chamfers left out.

    References: EN 1993-1-2:2005, 3.2.2, for the density.
    """
    return (np.pi / 4.0 * np.square(diameter_mm) * length_mm * 1e-9 * _DENSITY)[()]


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
    source="limit on either side", gives="limit_mm", basis="computed", needs={"size_mm": POSITIVE}
)
def over_size(*, size_mm: Values, tolerance_mm: Values) -> Values:
    """A size with its tolerance, which may be negative.

    References: none needed.
    """
    return size_mm + np.asarray(tolerance_mm, float)[()]


@calculation(
    source="bundles cut one after the other", gives="pins_per_min", basis="computed",
    needs={"cut_time_min": POSITIVE, "bundle": POSITIVE, "feed_time_min": NOT_NEGATIVE},
)  # fmt: skip
def sawn_per_minute(*, cut_time_min: Values, bundle: Values, feed_time_min: Values) -> Values:
    """Pins a minute: a bundle takes the cut of each of its bars and one feed.

    References: none needed.
    """
    return bundle / (bundle * np.asarray(cut_time_min, float) + feed_time_min)


@calculation(
    source="pieces times their time", gives="machine_time_h", basis="computed",
    needs={"pieces": POSITIVE, "turning_time_s": POSITIVE, "machines": POSITIVE},
)  # fmt: skip
def turning_hours(
    *, pieces: Values, turning_time_s: Values, handling_time_s: Values, machines: Values = 1.0
) -> Values:
    """Hours of lathes for a number of pins.

    References: none needed.
    """
    return pieces * (turning_time_s + handling_time_s) / 3600.0 / machines


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


@calculation(
    source="heat of the metal by its capacity, 0.49 kJ/(kg K) about 60 °C (EN 1993-1-2:2005, "
    "3.4.1.2)",
    gives="heating_power_kW",
    basis="computed",
    needs={"load_mass_kg": POSITIVE, "washing_time_min": POSITIVE, "loss_kW": NOT_NEGATIVE},
)
def washing_heat(
    *,
    load_mass_kg: Values,
    wash_temperature_degC: Values,
    washing_time_min: Values,
    loss_kW: Values,
    room_temperature_degC: Values = 20.0,
) -> Values:
    """Power that keeps a wash warm: m c (T - T0)/t and what the walls lose.

    References: as the source.

    Example:
        >>> round(washing_heat(load_mass_kg=150.0, wash_temperature_degC=65.0,
        ...     washing_time_min=8.0, loss_kW=3.0), 2)
        9.89
    """
    rise = np.asarray(wash_temperature_degC, float) - room_temperature_degC
    return (load_mass_kg * 0.49 * rise / (washing_time_min * 60.0) + loss_kW)[()]
