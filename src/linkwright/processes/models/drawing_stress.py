"""The stress to draw a wire through a die, by four published models.

- `drawing_stress_schey`: friction and redundant work as factors
- `drawing_stress_siebel`, `siebel_optimum_angle`: ideal, friction and shear work added
- `drawing_stress_sachs`: slab equation, with back tension
- `drawing_stress_wright`, `wright_redundant_work`: by the shape of the deformation zone

Avitzur's upper bound is in `avitzur`. Die half-angles are half of the included angle.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.flow_curves import given_or_tabled, mean_flow_stress_swift
from linkwright.processes.models.drawing import area_ratio, drawing_force
from linkwright.quantities import ArgumentError

ANGLE = (0.01, 89.0)
"""Bounds of a die half-angle, degrees."""
_REDUCTION = (1e-9, 0.999)


class ScheyDrawing(NamedTuple):
    """Results of `drawing_stress_schey`."""

    mean_diameter_mm: Values
    contact_length_mm: Values
    redundant_work_factor: Values
    true_strain: Values
    mean_flow_stress_MPa: Values
    drawing_stress_MPa: Values
    drawing_force_N: Values


class SiebelDrawing(NamedTuple):
    """Results of `drawing_stress_siebel`: the three parts, their sum and the force."""

    true_strain: Values
    mean_flow_stress_MPa: Values
    ideal_stress_MPa: Values
    friction_stress_MPa: Values
    shear_stress_MPa: Values
    drawing_stress_MPa: Values
    drawing_force_N: Values


class WrightDrawing(NamedTuple):
    """Results of `drawing_stress_wright`."""

    delta: Values
    redundant_work_factor: Values
    drawing_stress_over_mean_flow_stress: Values


@calculation(
    source="M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), "
    "Eqs 18.32-18.35 (after Schey)",
    needs={
        "start_diameter_mm": POSITIVE,
        "final_diameter_mm": POSITIVE,
        "die_half_angle_deg": ANGLE,
        "friction_coefficient": NOT_NEGATIVE,
        "mean_flow_stress_MPa": POSITIVE,
        "K_MPa": POSITIVE,
        "n": (0.0, 1.0),
    },
)
def drawing_stress_schey(
    *,
    start_diameter_mm: Values,
    final_diameter_mm: Values,
    die_half_angle_deg: Values,
    friction_coefficient: Values,
    K_MPa: Values = None,
    n: Values = None,
    mean_flow_stress_MPa: Values = None,
    material: str | list[str] | None = None,
    table: str | None = None,
) -> ScheyDrawing:
    """Drawing stress and force of one pass with factors for friction and redundant work.

    sigma_d = Ybar (1 + mu/tan a) phi ln(A0/A1); phi = 0.88 + 0.12 D/Lc, D mean diameter,
    Lc = (D0 - D1)/(2 sin a) contact length. Ybar is given, or K eps^n/(1 + n) with K and n
    given or looked up for ``material``. Where D is below Lc (long, slim zones) phi falls below
    1, to 0.88: less than the ideal work, an artefact of the fit.

    Raises `ArgumentError` unless the final diameter is below the start, or if no flow stress
    is given; `UnknownName` for an unknown material.

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Sec.
    18.6.1, Example 18.4; J. A. Schey, Introduction to Manufacturing Processes.

    Example:
        >>> drawn = drawing_stress_schey(start_diameter_mm=2.5, final_diameter_mm=2.0,
        ...     die_half_angle_deg=15.0, friction_coefficient=0.07, K_MPa=205.0, n=0.2)
        >>> print(round(drawn.drawing_stress_MPa, 2), round(drawn.drawing_force_N, 1))
        94.88 298.1
    """
    strain = _strain(start_diameter_mm, final_diameter_mm)
    if mean_flow_stress_MPa is None:
        K_MPa, n = given_or_tabled(material, table, K_MPa, n)
        mean_flow_stress_MPa = K_MPa * np.power(strain, n) / (1.0 + n)
    angle = np.radians(die_half_angle_deg)
    mean = (start_diameter_mm + final_diameter_mm) / 2.0
    contact = (start_diameter_mm - final_diameter_mm) / (2.0 * np.sin(angle))
    redundant = 0.88 + 0.12 * mean / contact
    stress = mean_flow_stress_MPa * (1.0 + friction_coefficient / np.tan(angle))
    stress = stress * redundant * strain
    force = drawing_force(drawing_stress_MPa=stress, final_diameter_mm=final_diameter_mm)
    return ScheyDrawing(mean, contact, redundant, strain, mean_flow_stress_MPa, stress, force)


@calculation(
    source="E. Siebel, drawing stress as the sum of ideal, friction and shear work",
    needs={
        "start_diameter_mm": POSITIVE,
        "final_diameter_mm": POSITIVE,
        "die_half_angle_deg": ANGLE,
        "friction_coefficient": NOT_NEGATIVE,
        "mean_flow_stress_MPa": POSITIVE,
        "K_MPa": POSITIVE,
        "n": (0.0, 1.0),
        "prestrain": NOT_NEGATIVE,
    },
    basis="memory",
)
def drawing_stress_siebel(
    *,
    start_diameter_mm: Values,
    final_diameter_mm: Values,
    die_half_angle_deg: Values,
    friction_coefficient: Values,
    mean_flow_stress_MPa: Values = None,
    K_MPa: Values = None,
    n: Values = None,
    prestrain: Values = 0.0,
) -> SiebelDrawing:
    """Drawing stress k [phi (1 + mu/a) + 2 a/3] and its three parts.

    phi = ln(A0/A1), a the die half-angle in radians, k the mean flow stress: given, or the
    mean of Swift's curve K (prestrain + eps)^n over the pass. The parts are ideal work
    k phi, friction k phi mu/a and shear at entry and exit 2 k a/3.

    Raises `ArgumentError` unless the final diameter is below the start, or if no flow stress
    is given.

    References: E. Siebel's sum of works, as given in textbooks on metal forming such as
    K. Lange, Umformtechnik (recalled).

    Example:
        >>> drawn = drawing_stress_siebel(start_diameter_mm=8.5, final_diameter_mm=8.0,
        ...     die_half_angle_deg=6.0, friction_coefficient=0.05, mean_flow_stress_MPa=600.0)
        >>> print(round(drawn.drawing_stress_MPa, 1))
        149.4
    """
    strain = _strain(start_diameter_mm, final_diameter_mm)
    if mean_flow_stress_MPa is None:
        if K_MPa is None or n is None:
            accepted = "a mean flow stress, or K_MPa and n"
            raise ArgumentError("mean_flow_stress_MPa", None, "MPa", accepted, "is missing")
        mean_flow_stress_MPa = mean_flow_stress_swift(
            K_MPa=K_MPa, n=n, prestrain=prestrain, true_strain=strain
        )
    angle = np.radians(die_half_angle_deg)
    ideal = mean_flow_stress_MPa * strain
    friction = ideal * friction_coefficient / angle
    shear = 2.0 / 3.0 * angle * mean_flow_stress_MPa
    stress = ideal + friction + shear
    force = drawing_force(drawing_stress_MPa=stress, final_diameter_mm=final_diameter_mm)
    return SiebelDrawing(strain, mean_flow_stress_MPa, ideal, friction, shear, stress, force)


@calculation(
    source="minimum of Siebel's drawing stress with respect to the die half-angle",
    gives="optimum_half_angle_deg",
    basis="computed",
    needs={"friction_coefficient": NOT_NEGATIVE, "reduction": (0.0, 0.999)},
)
def siebel_optimum_angle(*, reduction: Values, friction_coefficient: Values) -> Values:
    """Die half-angle of least drawing stress, a = sqrt(1.5 mu phi), phi = -ln(1 - r).

    References: d/da of phi (1 + mu/a) + 2 a/3 (see `drawing_stress_siebel`) set to 0.

    Example:
        >>> print(round(siebel_optimum_angle(reduction=0.2, friction_coefficient=0.05), 2))
        7.41
    """
    strain = -np.log1p(-np.asarray(reduction, float))
    return np.degrees(np.sqrt(1.5 * friction_coefficient * strain))[()]


@calculation(
    source="G. E. Dieter, Mechanical Metallurgy, 3rd ed. (1986), Sec. 19-3 (Sachs)",
    gives="drawing_stress_MPa",
    needs={
        "reduction": (0.0, 0.999),
        "die_half_angle_deg": ANGLE,
        "friction_coefficient": NOT_NEGATIVE,
        "mean_flow_stress_MPa": POSITIVE,
        "back_tension_MPa": NOT_NEGATIVE,
    },
)
def drawing_stress_sachs(
    *,
    reduction: Values,
    die_half_angle_deg: Values,
    friction_coefficient: Values,
    mean_flow_stress_MPa: Values,
    back_tension_MPa: Values = 0.0,
) -> Values:
    """Drawing stress of the slab equation, with back tension.

    sigma_d = k (1 + B)/B [1 - (1 - r)^B] + sigma_b (1 - r)^B, B = mu/tan a; without friction
    k ln(1/(1 - r)) + sigma_b. No redundant work, so low at large angles and small passes.

    References: G. E. Dieter, Mechanical Metallurgy, 3rd ed. (1986), Sec. 19-3; G. Sachs (1927).

    Example:
        >>> print(round(drawing_stress_sachs(reduction=0.514, die_half_angle_deg=6.0,
        ...     friction_coefficient=0.09, mean_flow_stress_MPa=100.0), 1))
        99.9
    """
    B = friction_coefficient / np.tan(np.radians(die_half_angle_deg))
    strain = -np.log1p(-np.asarray(reduction, float))
    lost = -np.expm1(-B * strain)
    # [1 - exp(-B s)]/B tends to s as B goes to 0
    ratio = np.where(B == 0.0, strain, lost / np.where(B == 0.0, 1.0, B))
    return (mean_flow_stress_MPa * (1.0 + B) * ratio + back_tension_MPa * (1.0 - lost))[()]


@calculation(
    source="R. N. Wright, Wire Technology (2011), after Wistreich; Atkins & Caddell (1968)",
    gives="redundant_work_factor",
    basis="computed",
    needs={"delta": POSITIVE},
    valid={"delta": (1.0, None)},
)
def wright_redundant_work(*, delta: Values) -> Values:
    """Redundant work factor phi = 0.8 + delta/4.4 of the deformation zone's shape delta.

    Below delta = 0.88 the line would give less than the ideal work.

    References: R. N. Wright, Wire Technology (2011); A. G. Atkins & R. M. Caddell, Int. J.
    Mech. Sci. 10 (1968) 15; J. G. Wistreich, Proc. Inst. Mech. Eng. 169 (1955) 654.

    Example:
        >>> print(round(wright_redundant_work(delta=2.0), 4))
        1.2545
    """
    return 0.8 + delta / 4.4


@calculation(
    source="R. N. Wright, Wire Technology (2011), drawing stress expression",
    basis="computed",
    needs={
        "reduction": _REDUCTION,
        "die_half_angle_deg": ANGLE,
        "friction_coefficient": NOT_NEGATIVE,
    },
)
def drawing_stress_wright(
    *, reduction: Values, die_half_angle_deg: Values, friction_coefficient: Values
) -> WrightDrawing:
    """Drawing stress over mean flow stress, (3.2/delta + 0.9)(a + mu).

    delta = (a/r) [1 + sqrt(1 - r)]^2, a the die half-angle in radians, r the reduction of
    area. Follows from r about 4 a/delta, the redundant work factor 0.8 + delta/4.4 and
    friction as (1 + mu/a).

    References: R. N. Wright, Wire Technology (2011).

    Example:
        >>> print(round(drawing_stress_wright(reduction=0.2, die_half_angle_deg=6.0,
        ...     friction_coefficient=0.05).drawing_stress_over_mean_flow_stress, 4))
        0.4027
    """
    angle = np.radians(die_half_angle_deg)
    delta = angle / reduction * (1.0 + np.sqrt(1.0 - np.asarray(reduction, float))) ** 2
    ratio = (3.2 / delta + 0.9) * (angle + friction_coefficient)
    return WrightDrawing(delta[()], (0.8 + delta / 4.4)[()], ratio[()])


def _strain(start_diameter_mm: Values, final_diameter_mm: Values) -> Values:
    ratio = area_ratio(start_diameter_mm, final_diameter_mm)
    if np.any(np.asarray(ratio) == 1.0):
        accepted = "below the start diameter"
        raise ArgumentError("final_diameter_mm", final_diameter_mm, "mm", accepted)
    return np.log(ratio)
