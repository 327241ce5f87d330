"""What a step takes from the works: time, energy, water, metal.

- `working_time`: hours of one machine of a group
- `running_time`: hours of a line that wire or chain runs through
- `energy_of_time`, `energy_of_pieces`: electricity
- `fed_strokes`: strokes a minute that a feed allows
- `water_of_time`: quench water
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_DEFINITION = "definition of rate and power"


@calculation(
    source=_DEFINITION,
    gives="machine_time_h",
    basis="computed",
    needs={"pieces": NOT_NEGATIVE, "pieces_per_minute": POSITIVE, "machines": POSITIVE},
)
def working_time(*, pieces: Values, pieces_per_minute: Values, machines: Values = 1.0) -> Values:
    """Hours until a group of machines has made all pieces: n/(60 rate machines).

    References: definition of a rate.

    Example:
        >>> print(working_time(pieces=12600.0, pieces_per_minute=52.5, machines=4.0))
        1.0
    """
    return pieces / (60.0 * pieces_per_minute * machines)


@calculation(
    source=_DEFINITION,
    gives="machine_time_h",
    basis="computed",
    needs={"length_m": NOT_NEGATIVE, "speed_m_per_s": POSITIVE},
)
def running_time(*, length_m: Values, speed_m_per_s: Values) -> Values:
    """Hours in which a length of wire or chain runs through a line: L/(3600 v).

    References: definition of speed.

    Example:
        >>> print(running_time(length_m=360.0, speed_m_per_s=0.1))
        1.0
    """
    return length_m / (3600.0 * speed_m_per_s)


@calculation(
    source="definition of a speed",
    gives="strokes_per_min",
    basis="computed",
    needs={
        "cut_length_mm": POSITIVE,
        "feed_speed_m_per_min": POSITIVE,
        "greatest_strokes_per_min": POSITIVE,
    },
)
def fed_strokes(
    *, cut_length_mm: Values, feed_speed_m_per_min: Values, greatest_strokes_per_min: Values
) -> Values:
    """Strokes a minute: what the feed brings in, at most what the press does.

    References: definition.

    Example:
        >>> print(fed_strokes(cut_length_mm=100.0, feed_speed_m_per_min=8.0,
        ...                    greatest_strokes_per_min=120.0))
        80.0
    """
    fed = 1000.0 * np.asarray(feed_speed_m_per_min, float) / cut_length_mm
    return np.minimum(fed, greatest_strokes_per_min)[()]


@calculation(
    source=_DEFINITION,
    gives="electricity_kWh",
    basis="computed",
    needs={"machine_time_h": NOT_NEGATIVE, "power_kW": NOT_NEGATIVE},
)
def energy_of_time(*, machine_time_h: Values, power_kW: Values, machines: Values = 1.0) -> Values:
    """Electricity of ``machines`` machines that draw a power for a time: P t machines.

    References: definition of power.

    Example:
        >>> print(energy_of_time(machine_time_h=2.0, power_kW=15.0))
        30.0
    """
    return machine_time_h * power_kW * machines


@calculation(
    source=_DEFINITION,
    gives="electricity_kWh",
    basis="computed",
    needs={"pieces": NOT_NEGATIVE, "energy_kJ": NOT_NEGATIVE},
)
def energy_of_pieces(*, pieces: Values, energy_kJ: Values) -> Values:
    """Electricity of all pieces from the energy of one: n E/3600.

    References: 1 kWh = 3600 kJ.

    Example:
        >>> print(energy_of_pieces(pieces=3600.0, energy_kJ=10.0))
        10.0
    """
    return pieces * energy_kJ / 3600.0


@calculation(
    source=_DEFINITION,
    gives="water_m3",
    basis="computed",
    needs={"machine_time_h": NOT_NEGATIVE, "flow_l_per_min": NOT_NEGATIVE},
)
def water_of_time(*, machine_time_h: Values, flow_l_per_min: Values) -> Values:
    """Water that runs for a time: 60 t flow/1000.

    References: definition of a flow.

    Example:
        >>> print(water_of_time(machine_time_h=1.0, flow_l_per_min=100.0))
        6.0
    """
    return machine_time_h * 60.0 * flow_l_per_min / 1000.0
