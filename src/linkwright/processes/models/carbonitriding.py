"""Carbonitriding: from ammonia to nitrogen at the surface, and the ammonia that loads take.

- `nitrogen_of_ammonia`: nitrogen that foil takes up, by the share of ammonia in the gas
- `ammonia_of_loads`: ammonia that a number of loads takes
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

_AMMONIA_KG_PER_M3 = 17.031 / 22.414
"""Ideal gas at 0 °C and 1.01325 bar."""


@calculation(
    source="activity of nitrogen over NH3 = N + 3/2 H2: in proportion to the ammonia left in the "
    "gas; through the works' own foil",
    gives="nitrogen_potential_percent",
    basis="computed",
    needs={
        "ammonia_percent": NOT_NEGATIVE,
        "foil_ammonia_percent": POSITIVE,
        "foil_nitrogen_percent": NOT_NEGATIVE,
    },
    valid={"ammonia_percent": (0.0, 15.0)},
)
def nitrogen_of_ammonia(
    *, ammonia_percent: Values, foil_ammonia_percent: Values, foil_nitrogen_percent: Values
) -> Values:
    """Nitrogen that foil takes up in the end: that of the works' foil times the ratio of ammonia.

    Most ammonia cracks before it meets the metal; what share is left depends on temperature,
    surface and flow of the furnace. So one foil at one share is measured, and only the step from
    there to another share at the same temperature and flow is calculated.

    References: law of mass action; hydrogen of the gas taken as unchanged.

    Example:
    >>> print(round(nitrogen_of_ammonia(ammonia_percent=4.0, foil_ammonia_percent=3.0,
    ...                                 foil_nitrogen_percent=0.3), 3))
    0.4
    """
    return foil_nitrogen_percent * ammonia_percent / foil_ammonia_percent


@calculation(
    source="flow times time; ammonia as an ideal gas of 17.031 g/mol",
    gives="ammonia_kg",
    basis="computed",
    needs={
        "steel_kg": NOT_NEGATIVE,
        "load_mass_kg": POSITIVE,
        "gas_flow_m3_per_h": NOT_NEGATIVE,
        "ammonia_percent": (0.0, 100.0),
        "gas_time_h": NOT_NEGATIVE,
    },
)
def ammonia_of_loads(
    *,
    steel_kg: Values,
    load_mass_kg: Values,
    gas_flow_m3_per_h: Values,
    ammonia_percent: Values,
    gas_time_h: Values,
) -> Values:
    """Ammonia of all loads: ceil(m/load) q x t 0.760 kg/m3.

    q the flow of all gas at 0 °C and 1.01325 bar, x the share of ammonia in it.

    References: definition of a flow; molar volume 22.414 l.

    Example:
    >>> print(round(ammonia_of_loads(steel_kg=500.0, load_mass_kg=250.0, gas_flow_m3_per_h=10.0,
    ...                              ammonia_percent=4.0, gas_time_h=2.0), 2))
    1.22
    """
    loads = np.ceil(np.asarray(steel_kg, float) / load_mass_kg)
    flow = gas_flow_m3_per_h * ammonia_percent / 100.0
    return (loads * flow * gas_time_h * _AMMONIA_KG_PER_M3)[()]
