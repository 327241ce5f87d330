"""The secondary circuit of a resistance welder that closes through an open link.

The current of the machine divides at the electrodes: the joint's branch and, beside it,
the closed back of the link. `WeldCircuit` holds the source, `divide` gives the currents
for the branches' present resistances, `back_impedance` the back with skin effect.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.quantities import ArgumentError

Array = NDArray[np.float64]

MAGNETIC_CONSTANT = 4e-7 * np.pi
"""H/m."""
SATURATION_A_PER_M = 1.71e6
"""Saturation magnetisation of iron at room temperature, A/m (2.15 T)."""


@dataclass(frozen=True)
class WeldCircuit:
    """Source and loop of the machine; give the current or the no-load voltage, both rms.

    secondary_current_kA: total current held by the control; or secondary_voltage_V: no-load
    voltage of the secondary after tap and phase setting, behind loop_resistance_microohm
    and loop_reactance_microohm (both of the secondary loop without the link).
    electrode_resistance_microohm: contact of one electrode on the link (there are two).
    frequency_Hz: 0 for direct current.
    """

    secondary_current_kA: Any = None
    secondary_voltage_V: Any = None
    loop_resistance_microohm: Any = 60.0
    loop_reactance_microohm: Any = 150.0
    electrode_resistance_microohm: Any = 15.0
    frequency_Hz: Any = 50.0

    def __post_init__(self) -> None:
        if (self.secondary_current_kA is None) == (self.secondary_voltage_V is None):
            raise ArgumentError(
                "secondary_current_kA",
                self.secondary_current_kA,
                "kA",
                "either a secondary current or a secondary voltage",
                "must be given, or else the voltage",
            )


class Source(NamedTuple):
    """The circuit in SI units, each (members,); current is nan where voltage drives."""

    current: Array
    voltage: Array
    resistance: Array
    reactance: Array
    pulsation: Array
    electrode: Array

    @classmethod
    def of(cls, circuit: WeldCircuit, members: int) -> Source:
        """The circuit's values spread over the members."""

        def spread(value: Any, scale: float) -> Array:
            given = np.nan if value is None else np.asarray(value, dtype=float) * scale
            return np.broadcast_to(given, (members,)).astype(float)

        electrode = spread(circuit.electrode_resistance_microohm, 1e-6)
        return cls(
            spread(circuit.secondary_current_kA, 1e3),
            spread(circuit.secondary_voltage_V, 1.0),
            spread(circuit.loop_resistance_microohm, 1e-6) + 2.0 * electrode,
            spread(circuit.loop_reactance_microohm, 1e-6),
            spread(circuit.frequency_Hz, 2.0 * np.pi),
            electrode,
        )


class Currents(NamedTuple):
    """Rms currents in A, real and apparent power of the secondary in W and VA."""

    total: Array
    joint: Array
    back: Array
    power: Array
    apparent: Array


def divide(
    source: Source, joint_ohm: Array, back_ohm: Array, back_reactance_ohm: Array
) -> Currents:
    """Currents through joint (resistive) and back (R + jX) side by side on one source.

    Ij/I = |Zb|/|Rj + Zb|, Ib/I = Rj/|Rj + Zb|; I = U/|Z loop + Z link| where the voltage
    drives. The two shares add up to more than one where the back's reactance counts.
    """
    around = (joint_ohm + back_ohm) ** 2 + back_reactance_ohm**2
    back_squared = back_ohm**2 + back_reactance_ohm**2
    link = joint_ohm * (back_squared + joint_ohm * back_ohm) / around
    resistance = source.resistance + link
    reactance = source.reactance + joint_ohm**2 * back_reactance_ohm / around
    impedance = np.sqrt(resistance**2 + reactance**2)
    total = np.where(np.isnan(source.current), source.voltage / impedance, source.current)
    scale = total / np.sqrt(around)
    return Currents(
        total,
        scale * np.sqrt(back_squared),
        scale * joint_ohm,
        total**2 * resistance,
        total**2 * impedance,
    )


def back_impedance(
    *,
    resistivity_ohm_m: Array,
    current_A: Array,
    length_m: Array,
    diameter_m: Array,
    loop_inductance_H: Array,
    pulsation_per_s: Array,
) -> tuple[Array, Array]:
    """Resistance with skin effect and reactance of the closed back, ohm.

    The steel is saturated by its own current: mu_r = 1 + Ms/H with H = sqrt(2) I/(pi d) at
    the surface. Skin effect R/R0 = 1 + xs^4/(192 + 0.8 xs^4), xs^2 = 8 pi f 1e-7 mu_r/R0'
    (R0' in ohm/m; xs up to 2.8). Reactance w (L + mu0 mu_r l/(8 pi)), the inner
    inductance of evenly spread current.

    References:
        IEC 60287-1-1, skin effect factor of round conductors (there for mu_r = 1).
    """
    area = np.pi / 4.0 * diameter_m**2
    field = np.sqrt(2.0) * current_A / (np.pi * diameter_m)
    permeability = 1.0 + SATURATION_A_PER_M / np.maximum(field, 1e3)
    plain = resistivity_ohm_m / area
    fourth = (4e-7 * pulsation_per_s * permeability / plain) ** 2
    inner = MAGNETIC_CONSTANT / (8.0 * np.pi) * permeability * length_m
    return (
        plain * length_m * (1.0 + fourth / (192.0 + 0.8 * fourth)),
        pulsation_per_s * (loop_inductance_H + inner),
    )


def ring_inductance(*, centreline_m: Array, diameter_m: Array) -> Array:
    """Outer inductance in H of a ring as long as the link's centreline.

    L = mu0 r [ln(8 r/a) - 2], r the ring's mean radius, a the wire's: current on the
    surface of a circular ring (J. C. Maxwell); an oval of the same length has less.
    """
    radius = centreline_m / (2.0 * np.pi)
    return np.asarray(MAGNETIC_CONSTANT * radius * (np.log(16.0 * radius / diameter_m) - 2.0))
