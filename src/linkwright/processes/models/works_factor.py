"""The works' own factors on what a model says; each is learned from the works' own tests.

- `corrected_force`, `corrected_hardness`, `corrected_strength`, `corrected_elongation`,
  `corrected_friction`: model times factor
"""

from __future__ import annotations

from linkwright.catalogue import POSITIVE, Values, calculation

_SOURCE = "works' own factor: measured over calculated, learned from the works' own tests"


@calculation(source=_SOURCE, gives="force_N", basis="computed", needs={"factor": POSITIVE})
def corrected_force(*, force_N: Values, factor: Values) -> Values:
    """Force as this works measures it: model times factor.

    References: none; a works' own factor.
    """
    return force_N * factor


@calculation(
    source=_SOURCE, gives="breaking_force_kN", basis="computed", needs={"factor": POSITIVE}
)
def corrected_breaking_force(*, breaking_force_kN: Values, factor: Values) -> Values:
    """Breaking force as this works measures it: model times factor.

    References: none; a works' own factor.
    """
    return breaking_force_kN * factor


@calculation(source=_SOURCE, gives="hardness_HV", basis="computed", needs={"factor": POSITIVE})
def corrected_hardness(*, hardness_HV: Values, factor: Values) -> Values:
    """Hardness as this works measures it: model times factor.

    References: none; a works' own factor.
    """
    return hardness_HV * factor


@calculation(
    source=_SOURCE, gives="tensile_strength_MPa", basis="computed", needs={"factor": POSITIVE}
)
def corrected_strength(*, tensile_strength_MPa: Values, factor: Values) -> Values:
    """Tensile strength as this works measures it: model times factor.

    References: none; a works' own factor.
    """
    return tensile_strength_MPa * factor


@calculation(
    source=_SOURCE, gives="total_elongation_percent", basis="computed", needs={"factor": POSITIVE}
)
def corrected_elongation(*, total_elongation_percent: Values, factor: Values) -> Values:
    """Total elongation as this works measures it: model times factor.

    References: none; a works' own factor.
    """
    return total_elongation_percent * factor


@calculation(source=_SOURCE, gives="friction", basis="computed", needs={"factor": POSITIVE})
def corrected_friction(*, friction: Values, factor: Values) -> Values:
    """Coefficient of friction as this works measures it: held value times factor.

    References: none; a works' own factor.
    """
    return friction * factor
