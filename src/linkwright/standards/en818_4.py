"""EN 818-4: working load limits, lengths and proof force of grade 8 chain slings.

`en818_4_leg_factors`, `en818_4_sling_limits`, `en818_4_leg_difference`,
`en818_4_leg_length` and `en818_4_sling_proof_force`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError
from linkwright.standards.en818 import STANDARD_GRAVITY_M_PER_S2, unrounded_limit_t
from linkwright.standards.preferred_numbers import preferred_number_at_most
from linkwright.standards.reader import published_table

PART_4 = "EN 818-4:1996+A1:2008, Chain slings grade 8"
TWO_LEGS, THREE_LEGS, THREE_LEGS_WIDE, CHOKE = 1.4, 2.1, 1.5, 1.6
"""Factors of Table 3 and Annex B on the load of one leg."""


class LegFactors(NamedTuple):
    """Results of `en818_4_leg_factors`."""

    two_leg_0_45_limit_t: Values
    two_leg_45_60_t: Values
    three_four_leg_0_45_t: Values
    three_four_leg_45_60_t: Values
    endless_choke_t: Values


class SlingLimits(NamedTuple):
    """Results of `en818_4_sling_limits`."""

    working_load_limit_t: Values
    two_leg_0_45_limit_t: Values
    two_leg_45_60_t: Values
    three_four_leg_0_45_t: Values
    three_four_leg_45_60_t: Values
    endless_choke_t: Values


class LegDifference(NamedTuple):
    """Results of `en818_4_leg_difference`."""

    greatest_leg_difference_joined_mm: Values
    greatest_leg_difference_welded_mm: Values


class LegLength(NamedTuple):
    """Results of `en818_4_leg_length`."""

    least_length_mm: Values
    greatest_length_mm: Values


@calculation(source=f"{PART_4}, Table 3 and Annex B", needs={"working_load_limit_t": POSITIVE})
def en818_4_leg_factors(*, working_load_limit_t: Values) -> LegFactors:
    """Working load of multi-leg and endless slings from that of one leg, not rounded.

    Factors 1.4 and 1 (two legs, 0 to 45 and 45 to 60 degrees to the vertical), 2.1 and 1.5
    (three and four legs), 1.6 (endless, choke hitch).

    Args:
        working_load_limit_t: Working load limit of a single leg.

    References:
        EN 818-4:1996+A1:2008, Table 3 and Annex B. The table itself applies the factors
        before it rounds: see `en818_4_sling_limits`.

    Example:
        >>> en818_4_leg_factors(working_load_limit_t=2.0).three_four_leg_0_45_t
        4.2
    """
    one = working_load_limit_t
    return LegFactors(
        TWO_LEGS * one, 1.0 * one, THREE_LEGS * one, THREE_LEGS_WIDE * one, CHOKE * one
    )


@calculation(
    source=f"{PART_4}, Table 3; DGUV Information 209-021",
    needs={
        "nominal_diameter_mm": POSITIVE,
        "mean_stress_wll_MPa": POSITIVE,
        "working_load_limit_t": POSITIVE,
    },
)
def en818_4_sling_limits(
    *,
    nominal_diameter_mm: Values,
    mean_stress_wll_MPa: Values = 200.0,
    working_load_limit_t: Values | None = None,
) -> SlingLimits:
    """Working load limits of chain slings by size of chain, number of legs and angle.

    The factors 1, 1.4, 1, 2.1, 1.5, 1.6 act on the load 2 (pi d^2 / 4) sigma / g before
    rounding; each result is then taken down to the next number of R40. This gives every
    value of Table 3 that was read (4 to 45 mm). With 100 MPa it gives the limits of grade 4.

    Args:
        nominal_diameter_mm: Nominal size of the chain, one of the sizes of EN 818-2.
        mean_stress_wll_MPa: Mean stress at the working load limit.
        working_load_limit_t: Limit of a single leg where it is known; only compared.

    Raises:
        ArgumentError: a size that is not listed, or a given limit that does not belong to it
            (a sling derated for use or for its fittings is not rated by this table).

    References:
        EN 818-4:1996+A1:2008, Table 3 and Annex B; DGUV Information 209-021; order of
        factor and rounding found by recomputation.

    Example:
        >>> [float(value) for value in en818_4_sling_limits(nominal_diameter_mm=10)]
        [3.15, 4.25, 3.15, 6.7, 4.75, 5.0]
    """
    published_table("en818_2").require(nominal_diameter_mm)
    load_t = unrounded_limit_t(nominal_diameter_mm, mean_stress_wll_MPa)
    single = preferred_number_at_most(value=load_t)
    if working_load_limit_t is not None and np.any(
        np.abs(working_load_limit_t - single) > 0.01 * single
    ):
        raise ArgumentError(
            "working_load_limit_t",
            f"{working_load_limit_t}",
            "t",
            f"{single} t, the limit of this size",
            "does not belong to the nominal size",
        )
    factors = (TWO_LEGS, 1.0, THREE_LEGS, THREE_LEGS_WIDE, CHOKE)
    return SlingLimits(single, *(preferred_number_at_most(value=k * load_t) for k in factors))


@calculation(source="EN 818-4:1996, Table 2", needs={"nominal_length_mm": POSITIVE})
def en818_4_leg_difference(*, nominal_length_mm: Values) -> LegDifference:
    """Largest difference between the longest and the shortest leg of one sling.

    Up to 2 m 10 mm (joined by mechanical devices) and 6 mm (welded); over 2 m 5 mm and
    3 mm for each metre of nominal length.

    Args:
        nominal_length_mm: Nominal length of the legs.

    References:
        EN 818-4:1996, Table 2.

    Example:
        >>> float(en818_4_leg_difference(nominal_length_mm=5000).greatest_leg_difference_joined_mm)
        25.0
    """
    length_m = nominal_length_mm / 1000.0
    return LegDifference(np.maximum(10.0, 5.0 * length_m), np.maximum(6.0, 3.0 * length_m))


@calculation(
    source="EN 818-4:1996, clause on tolerance on length",
    needs={"nominal_length_mm": POSITIVE, "pitch_mm": POSITIVE},
)
def en818_4_leg_length(*, nominal_length_mm: Values, pitch_mm: Values) -> LegLength:
    """Least and greatest length of a sling leg: nominal, + 2 link pitches, - 0.

    Args:
        nominal_length_mm: Nominal length of the leg.
        pitch_mm: Pitch of the chain.

    References:
        EN 818-4:1996, clause on tolerance on length.

    Example:
        >>> en818_4_leg_length(nominal_length_mm=3000, pitch_mm=30).greatest_length_mm
        3060.0
    """
    return LegLength(nominal_length_mm + 0.0 * pitch_mm, nominal_length_mm + 2.0 * pitch_mm)


@calculation(
    source="EN 818-4:1996, clause on manufacturing proof force",
    gives="proof_force_kN",
    needs={"working_load_limit_t": POSITIVE},
)
def en818_4_sling_proof_force(*, working_load_limit_t: Values) -> Values:
    """Least proof force on each section of an assembled sling: 2.5 WLL g.

    Args:
        working_load_limit_t: Working load limit of the section (1 leg, or upper part).

    References:
        EN 818-4:1996, clause on manufacturing proof force; g = 9.80665 m/s2.

    Example:
        >>> round(en818_4_sling_proof_force(working_load_limit_t=3.15), 3)
        77.227
    """
    return 2.5 * working_load_limit_t * STANDARD_GRAVITY_M_PER_S2
