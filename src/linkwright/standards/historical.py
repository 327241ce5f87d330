"""Old rules for chain: workshop rules, the Navy's, the Illinois rule, Anderson's forces.

`navy_open_link_load`, `navy_load_from_break`, `navy_wear_limit`, `eighths_rule_load`,
`goodenough_moore_stud_load`, `goodenough_moore_open_load`,
`goodenough_moore_concentration` and `anderson_mean_stress`. They are kept for old chain
and for comparison; they do not rate a chain for lifting.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import convert

NAVY = "US Navy, Steelworker, Volume 2 (NAVEDTRA 14251), chapter 6, Chain"
ILLINOIS = (
    "Goodenough and Moore, The Strength of Chain Links, Univ. of Illinois Engineering "
    "Experiment Station Bulletin 18, 1907, conclusions"
)
_SIZE = {"nominal_diameter_in": POSITIVE}


class StressConcentration(NamedTuple):
    """Results of `goodenough_moore_concentration`."""

    open_ratio: Values
    stud_ratio: Values


class AndersonStress(NamedTuple):
    """Results of `anderson_mean_stress`."""

    open_mean_stress_break_MPa: Values
    stayed_mean_stress_break_MPa: Values


@calculation(source=f"{NAVY} safe working loads", gives="safe_load_lbf", needs=_SIZE)
def navy_open_link_load(*, nominal_diameter_in: Values) -> Values:
    """Safe load of open-link chain by rule of thumb, 8 D^2 tons of 2000 lb.

    Args:
        nominal_diameter_in: Smallest measured bar diameter D; straight pull, no impact.

    References:
        NAVEDTRA 14251, chapter 6.

    Example:
        >>> navy_open_link_load(nominal_diameter_in=0.75)
        9000.0
    """
    return 8.0 * 2000.0 * nominal_diameter_in**2


@calculation(
    source=f"{NAVY} safe working loads",
    gives="safe_load_lbf",
    needs={"breaking_force_lbf": POSITIVE},
)
def navy_load_from_break(*, breaking_force_lbf: Values) -> Values:
    """Safe load of chain, one sixth of its breaking force.

    Args:
        breaking_force_lbf: Breaking force.

    References:
        NAVEDTRA 14251, chapter 6.

    Example:
        >>> navy_load_from_break(breaking_force_lbf=54000)
        9000.0
    """
    return breaking_force_lbf / 6.0


@calculation(source=f"{NAVY} in use", gives="minimum_thickness_in", needs=_SIZE)
def navy_wear_limit(*, nominal_diameter_in: Values) -> Values:
    """Thickness at the link ends at which chain is taken out of service: 75 % of the size.

    Looser than the 10 % of other rules (`discard_thickness`).

    Args:
        nominal_diameter_in: Nominal size.

    References:
        NAVEDTRA 14251, chapter 6: more than 25 % worn.

    Example:
        >>> navy_wear_limit(nominal_diameter_in=0.5)
        0.375
    """
    return 0.75 * nominal_diameter_in


@calculation(
    source="Progress (Wellington), vol. IV no. 5, 1 March 1909, p. 176, Strength of a Chain",
    gives="safe_load_long_ton",
    needs=_SIZE,
)
def eighths_rule_load(*, nominal_diameter_in: Values) -> Values:
    """Safe load of chain by the old workshop rule: eighths of an inch squared, over ten.

    (8 d)^2 / 10 tons of 2240 lb (the source says tons only).

    Args:
        nominal_diameter_in: Size of the iron.

    References:
        Progress (Wellington), 1 March 1909, p. 176.

    Example:
        >>> eighths_rule_load(nominal_diameter_in=0.375)
        0.9
    """
    return (8.0 * nominal_diameter_in) ** 2 / 10.0


@calculation(
    source=ILLINOIS,
    gives="safe_load_lbf",
    needs={"nominal_diameter_in": POSITIVE, "permissible_stress_psi": POSITIVE},
    basis="memory",
)
def goodenough_moore_stud_load(
    *, nominal_diameter_in: Values, permissible_stress_psi: Values
) -> Values:
    """Safe load of a stud link, P = 0.5 d^2 S.

    Args:
        nominal_diameter_in: Bar diameter d.
        permissible_stress_psi: Greatest permissible tensile stress S.

    References:
        Goodenough and Moore, Bulletin 18, 1907, conclusions; remembered.

    Example:
        >>> goodenough_moore_stud_load(nominal_diameter_in=1, permissible_stress_psi=15000)
        7500.0
    """
    return 0.5 * nominal_diameter_in**2 * permissible_stress_psi


@calculation(
    source=ILLINOIS,
    gives="safe_load_lbf",
    needs={"nominal_diameter_in": POSITIVE, "permissible_stress_psi": POSITIVE},
    basis="memory",
)
def goodenough_moore_open_load(
    *, nominal_diameter_in: Values, permissible_stress_psi: Values
) -> Values:
    """Safe load of an open link, P = 0.4 d^2 S.

    Args:
        nominal_diameter_in: Bar diameter d.
        permissible_stress_psi: Greatest permissible tensile stress S.

    References:
        Goodenough and Moore, Bulletin 18, 1907, conclusions; remembered.

    Example:
        >>> goodenough_moore_open_load(nominal_diameter_in=1, permissible_stress_psi=15000)
        6000.0
    """
    return 0.4 * nominal_diameter_in**2 * permissible_stress_psi


@calculation(
    source=ILLINOIS,
    needs={"open_coefficient": POSITIVE, "stud_coefficient": POSITIVE},
    basis="memory",
)
def goodenough_moore_concentration(
    *, open_coefficient: Values = 0.4, stud_coefficient: Values = 0.5
) -> StressConcentration:
    """Greatest tensile stress over the mean stress P/(2A) that the Illinois rule implies.

    P = k d^2 S and A = pi d^2 / 4 give S / (P / 2A) = (pi / 2) / k.

    Args:
        open_coefficient: k of the open link.
        stud_coefficient: k of the stud link.

    References:
        Goodenough and Moore, Bulletin 18, 1907, conclusions; remembered.

    Example:
        >>> round(goodenough_moore_concentration().open_ratio, 3)
        3.927
    """
    return StressConcentration(math.pi / 2.0 / open_coefficient, math.pi / 2.0 / stud_coefficient)


@calculation(
    source="J. Anderson, The Strength of Materials and Structures, 1884 edition",
    needs={
        "nominal_diameter_in": POSITIVE,
        "open_breaking_force_long_ton": POSITIVE,
        "stayed_breaking_force_long_ton": POSITIVE,
    },
)
def anderson_mean_stress(
    *,
    nominal_diameter_in: Values,
    open_breaking_force_long_ton: Values,
    stayed_breaking_force_long_ton: Values,
) -> AndersonStress:
    """Mean stress on two bar sections at the ultimate strength of open and stayed links.

    sigma = F / (2 pi d^2 / 4).

    Args:
        nominal_diameter_in: Size of the iron.
        open_breaking_force_long_ton: Ultimate strength of the open link, tons of 2240 lb.
        stayed_breaking_force_long_ton: That of the stayed (studded) link.

    References:
        Anderson, 1884 (forces of 1 in chain: about 24 and up to 30 tons; proof half the
        ultimate); stresses computed.

    Example:
        >>> stress = anderson_mean_stress(
        ...     nominal_diameter_in=1,
        ...     open_breaking_force_long_ton=24,
        ...     stayed_breaking_force_long_ton=30,
        ... )
        >>> round(stress.open_mean_stress_break_MPa)
        236
    """
    area_mm2 = math.pi / 2.0 * convert(nominal_diameter_in, "in", "mm") ** 2
    return AndersonStress(
        convert(open_breaking_force_long_ton, "long_ton", "N") / area_mm2,
        convert(stayed_breaking_force_long_ton, "long_ton", "N") / area_mm2,
    )
