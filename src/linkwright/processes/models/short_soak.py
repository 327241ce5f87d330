"""Small relations of a short soak.

- `carbon_in_solution`: what the austenite holds of the carbon of the analysis
- `above`: a temperature raised by a margin
- `time_in_minutes`: a time in minutes
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation


@calculation(
    source="works' own factor: carbon in solution over that of the analysis, never above one",
    gives="carbon_in_solution_percent",
    needs={"C_percent": NOT_NEGATIVE, "factor": POSITIVE},
    basis="computed",
)
def carbon_in_solution(*, C_percent: Values, factor: Values) -> Values:
    """Carbon of the austenite after a soak of seconds: C min(factor, 1).

    In a furnace all of it dissolves. In a coil the carbides of an alloy steel have seconds, and no
    transferable law says how many are left.

    References: none; a works' own factor.
    """
    return C_percent * np.minimum(factor, 1.0)


@calculation(
    source="sum of a temperature and a margin",
    gives="temperature_degC",
    needs={"margin_K": NOT_NEGATIVE},
    basis="computed",
)
def above(*, temperature_degC: Values, margin_K: Values) -> Values:
    """A temperature raised by a margin.

    References: none needed.
    """
    return temperature_degC + margin_K


@calculation(source="1 min = 60 s", gives="time_min", basis="computed")
def time_in_minutes(*, time_s: Values) -> Values:
    """A time in minutes.

    References: definition of the minute.
    """
    return time_s / 60.0
