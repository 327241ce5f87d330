"""What a welder is set to for a size of wire: lengths, times, forces, tap, water, windows.

A works keeps ratios, pressures and the times of one reference wire, so that one record of a
machine serves a range of sizes.

- `wire_multiple`, `time_for_wire`, `force_of_pressure`: from the kept values to this wire
- `whole_cycles`, `time_of_cycles`, `time_without_current`: times in cycles of the mains
- `closing_stroke`: way of the ram to its stop
- `tap_voltage`, `tap_current_ratio`: the transformer
- `heat_to_electrodes`, `water_for_heat`: cooling
- `distance_below`, `distance_above`, `temperature_margin`: how far from the boundaries
- `reject_window`, `time_window`, `stop_room`: what the weld record lets through
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_SIMILAR = "similarity: all lengths of the joint as the wire's diameter"


@calculation(
    source=_SIMILAR,
    gives="length_mm",
    needs={"wire_diameter_mm": POSITIVE, "ratio": NOT_NEGATIVE},
    basis="computed",
)
def wire_multiple(*, wire_diameter_mm: Values, ratio: Values) -> Values:
    """Length that the works keeps as a ratio to the wire: ratio times diameter.

    References: none needed.
    """
    return wire_diameter_mm * ratio


@calculation(
    source="heat conduction: times go as the square of the length (Fourier number a t/d^2 kept)",
    gives="time_s",
    needs={"time_s": POSITIVE, "wire_diameter_mm": POSITIVE, "reference_diameter_mm": POSITIVE},
    basis="computed",
)
def time_for_wire(
    *, time_s: Values, wire_diameter_mm: Values, reference_diameter_mm: Values
) -> Values:
    """Time for this wire from that of the reference wire: t (d/d0)^2.

    >>> round(float(time_for_wire(time_s=0.4, wire_diameter_mm=16.0,
    ...                           reference_diameter_mm=8.0)), 6)
    1.6

    References: Fourier number.
    """
    return time_s * (wire_diameter_mm / reference_diameter_mm) ** 2


@calculation(
    source="definition of pressure on the wire's section",
    gives="force_kN",
    needs={"pressure_MPa": NOT_NEGATIVE, "wire_diameter_mm": POSITIVE},
    basis="computed",
)
def force_of_pressure(*, pressure_MPa: Values, wire_diameter_mm: Values) -> Values:
    """Force that puts a pressure on the wire's section: p pi d^2/4.

    >>> round(float(force_of_pressure(pressure_MPa=50.0, wire_diameter_mm=8.0)), 3)
    2.513

    References: definition.
    """
    return pressure_MPa * np.pi / 4.0 * wire_diameter_mm**2 / 1e3


@calculation(
    source="a welder's timer counts whole cycles of the mains",
    gives="cycles",
    needs={"time_s": NOT_NEGATIVE, "frequency_Hz": POSITIVE},
    basis="common practice",
)
def whole_cycles(*, time_s: Values, frequency_Hz: Values) -> Values:
    """Whole cycles of the mains nearest to a time, at least one.

    References: common practice, no source.

    >>> float(whole_cycles(time_s=0.405, frequency_Hz=50.0))
    20.0
    """
    return np.maximum(np.rint(np.asarray(time_s, float) * frequency_Hz), 1.0)[()]


@calculation(
    source="definition of frequency",
    gives="time_s",
    needs={"cycles": NOT_NEGATIVE, "frequency_Hz": POSITIVE},
    basis="computed",
)
def time_of_cycles(*, cycles: Values, frequency_Hz: Values) -> Values:
    """Time of a number of cycles: n/f.

    References: definition.
    """
    return cycles / frequency_Hz


@calculation(
    source="definition of frequency",
    gives="time_s",
    needs={"upset_cycles": NOT_NEGATIVE, "hold_cycles": NOT_NEGATIVE, "frequency_Hz": POSITIVE},
    basis="computed",
)
def time_without_current(
    *, upset_cycles: Values, hold_cycles: Values, frequency_Hz: Values
) -> Values:
    """Time from the end of the current until the electrodes open: upset and hold.

    References: definition.
    """
    return (upset_cycles + hold_cycles) / frequency_Hz


@calculation(
    source="sum of what the ends travel", gives="stroke_mm", basis="computed",
    needs={"gap_mm": NOT_NEGATIVE, "burn_off_mm": NOT_NEGATIVE, "upset_length_mm": NOT_NEGATIVE},
)  # fmt: skip
def closing_stroke(*, gap_mm: Values, burn_off_mm: Values, upset_length_mm: Values) -> Values:
    """Way of the ram from the open link to its stop: gap, burn-off and upset.

    References: none needed.
    """
    return gap_mm + burn_off_mm + upset_length_mm


@calculation(
    source="taps of the transformer in even steps, as the works file gives their ends",
    gives="tap_voltage_V",
    needs={"tap_number": POSITIVE, "tap_count": (1.0, 100.0), "least_tap_voltage_V": POSITIVE,
           "greatest_tap_voltage_V": POSITIVE},
    basis="computed",
)  # fmt: skip
def tap_voltage(
    *,
    tap_number: Values,
    tap_count: Values,
    least_tap_voltage_V: Values,
    greatest_tap_voltage_V: Values,
) -> Values:
    """No-load voltage of the secondary at a tap: evenly from the least (1) to the greatest.

    >>> float(tap_voltage(tap_number=3.0, tap_count=8.0, least_tap_voltage_V=2.5,
    ...                   greatest_tap_voltage_V=6.0))
    3.5

    References: none; replace by the plate of the machine.
    """
    step = (greatest_tap_voltage_V - least_tap_voltage_V) / np.maximum(tap_count - 1.0, 1.0)
    return least_tap_voltage_V + (tap_number - 1.0) * step


@calculation(
    source="Ohm's law: at an impedance the current goes as the voltage",
    gives="current_ratio",
    needs={"secondary_voltage_V": NOT_NEGATIVE, "tap_voltage_V": POSITIVE},
    basis="computed",
)
def tap_current_ratio(*, secondary_voltage_V: Values, tap_voltage_V: Values) -> Values:
    """Wanted current over the one that the tap drives unbroken: needed over no-load voltage.

    References: Ohm's law.
    """
    return secondary_voltage_V / tap_voltage_V


@calculation(
    source="heat of the electrodes' contacts shared by the effusivities of copper and steel",
    gives="heat_kJ",
    needs={"electrode_heat_kJ": NOT_NEGATIVE, "electrode_contact_heat_kJ": NOT_NEGATIVE},
    basis="computed",
)
def heat_to_electrodes(
    *, electrode_heat_kJ: Values, electrode_contact_heat_kJ: Values, wire_share: Values = 0.27
) -> Values:
    """Heat that one weld leaves in both electrodes: from the wire, and from their contacts.

    Q = Qw + (1 - s) Qc, s the share of the contacts' heat that enters the wire, 13/(13 + 36)
    for two long bodies of steel and copper.

    References: effusivities as in the transient of the joint.
    """
    return electrode_heat_kJ + (1.0 - wire_share) * electrode_contact_heat_kJ


@calculation(
    source="heat balance of the cooling water; its values at 20 °C from common tables",
    gives="water_flow_l_per_min",
    needs={"heat_kJ": NOT_NEGATIVE, "pieces_per_minute": POSITIVE, "rise_K": POSITIVE},
    basis="computed",
)
def water_for_heat(
    *,
    heat_kJ: Values,
    pieces_per_minute: Values,
    rise_K: Values,
    specific_heat_kJ_per_kgK: Values = 4.18,
    density_kg_per_m3: Values = 998.0,
) -> Values:
    """Water that takes up the heat of every piece within a rise: Q n/(c rho rise).

    >>> round(float(water_for_heat(heat_kJ=1.5, pieces_per_minute=40.0, rise_K=5.0)), 2)
    2.88

    References: heat balance.
    """
    per_litre = specific_heat_kJ_per_kgK * density_kg_per_m3 / 1e3 * rise_K
    return heat_kJ * pieces_per_minute / per_litre


@calculation(
    source="definition",
    gives="distance_percent",
    needs={"value": POSITIVE, "boundary": POSITIVE},
    basis="computed",
)
def distance_below(*, value: Values, boundary: Values) -> Values:
    """How far a boundary lies below a value, in per cent of the value; negative if above.

    References: definition.
    """
    return 100.0 * (1.0 - boundary / value)


@calculation(
    source="definition",
    gives="distance_percent",
    needs={"value": POSITIVE, "boundary": POSITIVE},
    basis="computed",
)
def distance_above(*, value: Values, boundary: Values) -> Values:
    """How far a boundary lies above a value, in per cent of the value; negative if below.

    References: definition.
    """
    return 100.0 * (boundary / value - 1.0)


@calculation(
    source="stated rule of this program, no source: half the way to the nearer boundary",
    gives="reject_percent",
    needs={"share": (0.0, 1.0), "greatest_percent": POSITIVE},
    basis="common practice",
)
def reject_window(
    *, below_percent: Values, above_percent: Values, greatest_percent: Values, share: Values = 0.5
) -> Values:
    """By how much the monitor lets the current be off: a share of the nearer distance, capped.

    below_percent, above_percent: distances to the boundaries, both positive inside the
    window; outside it nothing is let through (0).

    >>> float(reject_window(below_percent=8.0, above_percent=6.0, greatest_percent=5.0))
    3.0

    References: none; the works' trial at rising current replaces it.
    """
    nearer = np.minimum(below_percent, above_percent)
    return np.clip(share * nearer, 0.0, greatest_percent)[()]


@calculation(
    source="the same heat, I^2 t kept",
    gives="time_percent",
    needs={"current_percent": NOT_NEGATIVE},
    basis="computed",
)
def time_window(*, current_percent: Values) -> Values:
    """Change of the time that heats as much as a change of the current: (1 + w)^2 - 1.

    >>> round(float(time_window(current_percent=3.0)), 2)
    6.09

    References: Joule's law.
    """
    return 100.0 * ((1.0 + current_percent / 100.0) ** 2 - 1.0)


@calculation(
    source="difference of two lengths", gives="room_mm", basis="computed",
    needs={"upset_length_mm": NOT_NEGATIVE, "least_upset_length_mm": NOT_NEGATIVE},
)  # fmt: skip
def stop_room(*, upset_length_mm: Values, least_upset_length_mm: Values) -> Values:
    """By how much the upset may stay short of its stop before it is rejected.

    References: none needed.
    """
    return np.maximum(upset_length_mm - least_upset_length_mm, 0.0)


@calculation(
    source="difference of two temperatures", gives="temperature_margin_K", basis="computed",
)  # fmt: skip
def temperature_margin(*, limit_temperature_degC: Values, temperature_degC: Values) -> Values:
    """How far a temperature lies below a limit; negative above it.

    References: none needed.
    """
    return limit_temperature_degC - temperature_degC
