"""When steel tears: ductile fracture from the reduction of area of a tensile test.

- `reduction_of_area_tempered`: reduction of area of hardened and tempered steel by its strength
- `neck_triaxiality`: mean stress over flow stress in the middle of a neck
- `fracture_limits`: the limits of two criteria, from the reduction of area
- `fracture_strain_at_triaxiality`: strain to fracture where the triaxiality stays the same
- `void_weight`: weight of strain in the growth of voids

Both criteria have one constant. In the neck of a tensile test it comes out of the reduction of
area; elsewhere strain is summed up with the weight of the stress that goes with it, and the
steel tears where the sum reaches the constant. Below a triaxiality of -1/3 nothing is summed.
Neither criterion sees the third invariant of stress: under shear the first is too hopeful.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation

RICE_TRACEY = 1.5
"""Weight of the triaxiality in the growth of a void."""
UNIAXIAL = 1.0 / 3.0
CUT_OFF = -1.0 / 3.0
_NECK = 1.1
_AREA_AT_ZERO_PERCENT, _AREA_PER_MPA = 81.24, -0.02472
TEMPERED_MPa = (758.0, 1772.0)
"""Strengths of the tempers behind `reduction_of_area_tempered`."""


class FractureLimits(NamedTuple):
    """Results of `fracture_limits`."""

    local_fracture_strain: Values
    """True strain of the neck's section at fracture, ln(1/(1 - Z))."""
    neck_triaxiality: Values
    """In the middle of the neck at fracture."""
    void_strain_limit: Values
    """Limit of the sum of exp(1.5 (T - 1/3)) dp: strain to fracture at a triaxiality of 1/3."""
    tension_strain_limit: Values
    """Limit of the sum of (greatest principal stress/flow stress) dp."""


@calculation(
    source="AISI 4140, oil quenched, tempered 205 to 650 °C: five pairs of strength and reduction "
    "of area in a materials table (efunda.com, AISI 4140); straight line through them; that steels "
    "of one hardness have about one reduction of area: SAE J413",
    gives="reduction_of_area_percent",
    needs={"tensile_strength_MPa": POSITIVE},
    valid={"tensile_strength_MPa": (0.0, TEMPERED_MPa[1])},
    basis="computed",
)
def reduction_of_area_tempered(*, tensile_strength_MPa: Values) -> Values:
    """Reduction of area in tension of a hardened and tempered steel, by its tensile strength.

    Z = 81.24 - 0.02472 Rm, least squares through five tempers of one chromium-molybdenum steel,
    off by 1.4 per cent of area at most. Below 758 MPa that of 758 MPa is kept, as softer steel
    necks further. Steels of less carbon or cleaner melt lie above, transverse or dirty ones below:
    put in the Z of a test where there is one.

    References: as the source; SAE J413, Mechanical properties of heat treated wrought steels,
    for the principle only.

    Example:
        >>> round(float(reduction_of_area_tempered(tensile_strength_MPa=1180.0)), 1)
        52.1
    """
    strength = np.maximum(np.asarray(tensile_strength_MPa, float), TEMPERED_MPa[0])
    return np.maximum(_AREA_AT_ZERO_PERCENT + _AREA_PER_MPA * strength, 10.0)[()]


@calculation(
    source="P. W. Bridgman, Studies in Large Plastic Flow and Fracture (1952); curvature of the "
    "neck: G. Le Roy, J. D. Embury, G. Edward & M. F. Ashby, Acta Metall. 29 (1981) 1509",
    gives="triaxiality",
    needs={"true_strain": NOT_NEGATIVE, "uniform_strain": NOT_NEGATIVE},
    basis="memory",
)
def neck_triaxiality(*, true_strain: Values, uniform_strain: Values) -> Values:
    """Mean stress over flow stress in the middle of the neck of a round tensile bar.

    T = 1/3 + ln(1 + a/(2 R)), a the radius of the neck's section, R that of its profile, with
    a/R = 1.1 (e - e_u) beyond the uniform strain e_u and 0 before.

    References: as the source; both equations from memory.

    Example:
        >>> round(float(neck_triaxiality(true_strain=0.8, uniform_strain=0.06)), 3)
        0.675
    """
    beyond = np.maximum(np.asarray(true_strain, float) - uniform_strain, 0.0)
    return (UNIAXIAL + np.log1p(_NECK / 2.0 * beyond))[()]


@calculation(
    source="J. R. Rice & D. M. Tracey, J. Mech. Phys. Solids 17 (1969) 201; M. G. Cockcroft & "
    "D. J. Latham, J. Inst. Metals 96 (1968) 33, over the flow stress; neck after Bridgman (1952) "
    "and Le Roy et al. (1981)",
    needs={
        "reduction_of_area_percent": (1.0, 95.0), "hardening_exponent": (0.0, 1.0),
        "prestrain": NOT_NEGATIVE,
    },
    basis="computed",
)  # fmt: skip
def fracture_limits(
    *,
    reduction_of_area_percent: Values,
    hardening_exponent: Values = 0.06,
    prestrain: Values = 0.005,
) -> FractureLimits:
    """Limits of two criteria of ductile fracture, so that the tensile test breaks at its Z.

    With e_f = ln(1/(1 - Z)), g = max(e_f - e_u, 0), u = 1 + 0.55 g and the stresses in the middle
    of the neck (`neck_triaxiality`; greatest principal stress/flow stress = 2/3 + T):

        sum of exp(1.5 (T - 1/3)) dp       = min(e_u, e_f) + (u^2.5 - 1)/1.375
        sum of (2/3 + T) dp                = min(e_u, e_f) + g + (u ln u - u + 1)/0.55

    e_u = max(n - e0, 0) is the uniform strain of a Swift curve K (e0 + p)^n. Arguments broadcast.

    References: as the source.

    Example:
        >>> limits = fracture_limits(reduction_of_area_percent=55.0)
        >>> [round(float(part), 3) for part in limits]
        [0.799, 0.676, 1.041, 0.933]
    """
    fracture = -np.log1p(-np.asarray(reduction_of_area_percent, float) / 100.0)
    uniform = np.maximum(np.asarray(hardening_exponent, float) - prestrain, 0.0)
    even = np.minimum(uniform, fracture)
    beyond = fracture - even
    half = _NECK / 2.0
    grown = 1.0 + half * beyond
    power = RICE_TRACEY + 1.0
    return FractureLimits(
        fracture[()],
        (UNIAXIAL + np.log(grown))[()],
        (even + (grown**power - 1.0) / (power * half))[()],
        (even + beyond + (grown * np.log(grown) - grown + 1.0) / half)[()],
    )


@calculation(
    source="J. R. Rice & D. M. Tracey, J. Mech. Phys. Solids 17 (1969) 201; cut-off: Y. Bao & "
    "T. Wierzbicki, Eng. Fract. Mech. 72 (2005) 1049",
    gives="fracture_strain",
    needs={"void_strain_limit": POSITIVE},
    basis="memory",
)
def fracture_strain_at_triaxiality(*, triaxiality: Values, void_strain_limit: Values) -> Values:
    """Equivalent plastic strain to fracture at a triaxiality that stays the same.

    e_f(T) = e_0 exp(-1.5 (T - 1/3)), e_0 the ``void_strain_limit`` of `fracture_limits`; without
    end (inf) below T = -1/3.

    References: as the source, from memory.

    Example:
        >>> round(float(fracture_strain_at_triaxiality(triaxiality=1.0, void_strain_limit=1.0)), 3)
        0.368
    """
    weight = void_weight(triaxiality)
    with np.errstate(divide="ignore"):
        return (np.asarray(void_strain_limit) / weight)[()]


def void_weight(triaxiality: Values) -> Values:
    """exp(1.5 (T - 1/3)), 1 in uniaxial tension, 0 below the cut-off.

    >>> float(void_weight(1 / 3)), float(void_weight(-0.4))
    (1.0, 0.0)
    """
    t = np.asarray(triaxiality, float)
    return np.where(t > CUT_OFF, np.exp(RICE_TRACEY * (t - UNIAXIAL)), 0.0)
