"""Sums of the pin's route before grinding: bars sawn to length, ends turned, pins washed.

- `bar_for_pins`: pins a bar gives, steel and saw cuts
- `sawn_per_minute`: pins a minute of a saw
- `pin_before_turning`, `turned_end`: length before, force, power and time of an end
- `turning_hours`: hours of lathes
- `washing_heat`: power of a wash
- `pin_mass`, `over_size`
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_DENSITY = 7850.0
"""Steel, EN 1993-1-2:2005, 3.2.2."""


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
    source="volume of a cylinder times density", gives="piece_mass_kg", basis="computed",
    needs={"diameter_mm": POSITIVE, "length_mm": POSITIVE},
)  # fmt: skip
def pin_mass(*, diameter_mm: Values, length_mm: Values) -> Values:
    """Mass of a pin: (pi/4) d^2 l, 7850 kg/m3; chamfers left out.

    References: EN 1993-1-2:2005, 3.2.2, for the density.
    """
    return (np.pi / 4.0 * np.square(diameter_mm) * length_mm * 1e-9 * _DENSITY)[()]


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
