"""A row of dies and drums: speeds, lengths, powers and times of several passes together.

- `drawing_entry_speed`, `drum_turning`: speeds before the dies and of the drum
- `drawn_length`: the same metal before a pass
- `drum_power_together`, `drawing_time_together`: sums over drums and over runs
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_DIAMETERS = {"start_diameter_mm": POSITIVE, "final_diameter_mm": POSITIVE}


@calculation(
    source="constancy of volume",
    gives="entry_speed_m_per_s",
    basis="computed",
    needs={"exit_speed_m_per_s": POSITIVE, **_DIAMETERS},
)
def drawing_entry_speed(
    *, exit_speed_m_per_s: Values, start_diameter_mm: Values, final_diameter_mm: Values
) -> Values:
    """Speed of the rod before the first die, v (d1/d0)^2.

    References: constancy of volume.

    Example:
        >>> print(drawing_entry_speed(exit_speed_m_per_s=4.0, start_diameter_mm=5.0,
        ...                           final_diameter_mm=2.5))
        1.0
    """
    return exit_speed_m_per_s * (final_diameter_mm / start_diameter_mm) ** 2


@calculation(
    source="constancy of volume",
    gives="length_m",
    basis="computed",
    needs={"length_m": NOT_NEGATIVE, "diameter_mm": POSITIVE, "final_diameter_mm": POSITIVE},
)
def drawn_length(*, length_m: Values, diameter_mm: Values, final_diameter_mm: Values) -> Values:
    """Length that wire of ``length`` and the final diameter has at another diameter, L (d1/d)^2.

    References: constancy of volume.

    Example:
        >>> print(drawn_length(length_m=4000.0, diameter_mm=5.0, final_diameter_mm=2.5))
        1000.0
    """
    return length_m * (final_diameter_mm / diameter_mm) ** 2


@calculation(source="all drives of the machine together", gives="drum_power_kW", basis="computed")
def drum_power_together(*, drum_power_kW: Values, next_drum_power_kW: Values) -> Values:
    """Power of the drums so far and of the next one.

    References: none needed.
    """
    return drum_power_kW + next_drum_power_kW


@calculation(source="the greater of two powers", gives="drum_power_kW", basis="computed")
def greater_drum_power(*, drum_power_kW: Values, next_drum_power_kW: Values) -> Values:
    """The greater power of two runs of one machine, which do not run at once.

    References: none needed.
    """
    return np.maximum(drum_power_kW, next_drum_power_kW)


@calculation(source="runs one after another", gives="machine_time_h", basis="computed")
def drawing_time_together(*, machine_time_h: Values, next_machine_time_h: Values) -> Values:
    """Hours of the runs so far and of the next one.

    References: none needed.
    """
    return machine_time_h + next_machine_time_h


@calculation(source="energies added", gives="electricity_kWh", basis="computed")
def drawing_energy_together(*, electricity_kWh: Values, next_electricity_kWh: Values) -> Values:
    """Energy of the runs so far and of the next one.

    References: none needed.
    """
    return electricity_kWh + next_electricity_kWh


@calculation(
    source="kinematics, v = pi D n",
    gives="drum_speed_rpm",
    basis="computed",
    needs={"drawing_speed_m_per_s": NOT_NEGATIVE, "drum_diameter_mm": POSITIVE},
)
def drum_turning(*, drawing_speed_m_per_s: Values, drum_diameter_mm: Values) -> Values:
    """Turns of the last drum per minute, n = 60 v/(pi D).

    References: kinematics.

    Example:
        >>> print(round(drum_turning(drawing_speed_m_per_s=0.8, drum_diameter_mm=560.0), 2))
        27.28
    """
    return 60.0 * drawing_speed_m_per_s / (np.pi * drum_diameter_mm / 1000.0)
