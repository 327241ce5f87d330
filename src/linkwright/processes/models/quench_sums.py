"""Small relations between quench, structure and temper.

- `rate_per_hour`: cooling rate in the unit of the Creusot-Loire formulas
- `least_of`, `softest_of`, `lower_of`: least over zones and positions, softer, lower of two
- `over_section`, `zone_value`: a value of zones at every position, of one zone
- `least_zone`: the least over the zones
- `tempered_mixture`: hardness of a tempered mixed structure
- `equivalent_temperature`: tempering parameter as a temperature held for one hour
- `hardness_at_link`: hardness of one link whose temper was off the lot's
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.processes.models.line_heat import zone_index

_SOFTEST_HV = 80.0


@calculation(source="1 h = 3600 s", gives="cooling_rate_K_per_h", basis="computed")
def rate_per_hour(*, cooling_rate_K_per_s: Values) -> Values:
    """Cooling rate in K/h, the unit of the Creusot-Loire formulas.

    References: definition of the hour.
    """
    return 3600.0 * cooling_rate_K_per_s


@calculation(source="least over zones and positions", gives="least_value", basis="computed")
def least_of(*, values: Values) -> Values:
    """Least value of a quantity with axes (zone, position) over both.

    References: none needed.
    """
    return np.min(np.asarray(values, float), axis=(0, 1))[()]


@calculation(
    source="P. Maynier, B. Jungmann & J. Dollet (1978): mean of constituents by their shares; "
    "ferrite and pearlite do not temper",
    gives="hardness_HV",
    basis="computed",
)
def tempered_mixture(
    *,
    martensite_fraction: Values,
    bainite_fraction: Values,
    ferrite_pearlite_fraction: Values,
    tempered_martensite_HV: Values,
    tempered_bainite_HV: Values,
    ferrite_pearlite_HV: Values,
) -> Values:
    """Hardness of a tempered mixed structure, shares as weights.

    Never below 80 HV, about that of soft ferrite (common practice, no source): far beyond its
    range the law of tempering runs to nothing and less, where a solver's hottest trials lie.

    References: Maynier, Jungmann & Dollet (1978).
    """
    mixed = (
        martensite_fraction * tempered_martensite_HV
        + bainite_fraction * tempered_bainite_HV
        + ferrite_pearlite_fraction * ferrite_pearlite_HV
    )
    return np.maximum(mixed, _SOFTEST_HV)[()]


@calculation(
    source="P. Maynier, B. Jungmann & J. Dollet (1978): Pa is the temperature of one hour",
    gives="temperature_degC",
    basis="computed",
    needs={"parameter_K": POSITIVE},
)
def equivalent_temperature(*, parameter_K: Values) -> Values:
    """Temperature that held for one hour tempers as far: Pa - 273.15.

    References: Maynier, Jungmann & Dollet (1978).
    """
    return parameter_K - 273.15


@calculation(
    source="slope of hardness with temper temperature about the setting",
    gives="hardness_HV",
    basis="computed",
)
def hardness_at_link(
    *, hardness_HV: Values, hardness_per_K: Values, temperature_difference_K: Values
) -> Values:
    """Hardness of a link that was hotter than its lot by a temperature difference.

    References: first-order expansion about the setting.
    """
    return hardness_HV + hardness_per_K * temperature_difference_K


@calculation(source="the softer of two", gives="hardness_HV", basis="computed")
def softest_of(*, first_HV: Values, second_HV: Values) -> Values:
    """Hardness of the softer of two places.

    References: none needed.
    """
    return np.minimum(first_HV, second_HV)


@calculation(source="the lower of two", gives="temperature_degC", basis="computed")
def lower_of(*, first_degC: Values, second_degC: Values) -> Values:
    """The lower of two temperatures.

    References: none needed.
    """
    return np.minimum(first_degC, second_degC)


@calculation(source="one value of a zone at every position", gives="parameter_K", basis="computed")
def over_section(*, values: Values) -> Values:
    """A quantity with axis (zone) as one with axes (zone, position), alike at each position.

    References: none needed.
    """
    return np.asarray(values, float)[:, None]


@calculation(source="the value of one zone", gives="zone_value", basis="computed")
def zone_value(*, values: Values, zone: str) -> Values:
    """The value of one zone: straight, crown or contact.

    References: none needed.
    """
    return np.asarray(values, float)[zone_index(zone)]


@calculation(source="the least over zones", gives="least_value", basis="computed")
def least_zone(*, values: Values) -> Values:
    """Least value of a quantity with axis (zone).

    References: none needed.
    """
    return np.min(np.asarray(values, float), axis=0)[()]
