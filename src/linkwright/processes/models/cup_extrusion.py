"""Cold extrusion of rollers from slugs of wire: upsetting and backward extrusion of a cup.

- `upsetting_siebel`: force to upset a slug until it fills the die
- `cup_extrusion_dipper`, `extrusion_pressure_johnson`: pressure on the punch, by two authors
- `extrusion_heat`: temperature of the cup

Sizes of slug and cup are in `roller_slug`.

Caution: punches that carry 2 GPa burst; tools of a press are shrouded and set up by licensed people
under the local code.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.flow_curves import flow_stress_swift, mean_flow_stress_swift
from linkwright.quantities import ArgumentError

_LANGE = "K. Lange, Handbook of Metal Forming (1985)"
_GROOVER = "M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013)"
_QUARTER = np.pi / 4.0
_FRICTION = (0.0, 0.577)
_CURVE = {"K_MPa": POSITIVE, "n": (0.0, 0.999), "prestrain": NOT_NEGATIVE}


class Upsetting(NamedTuple):
    """Results of `upsetting_siebel`."""

    upset_height_mm: Values
    upset_strain: Values
    flow_stress_MPa: Values
    upsetting_force_kN: Values


@calculation(
    source=f"E. Siebel, upsetting between flat tools with friction, as in {_LANGE}; remembered",
    basis="memory",
    needs={
        "wire_diameter_mm": POSITIVE,
        "slug_length_mm": POSITIVE,
        "die_diameter_mm": POSITIVE,
        "friction": _FRICTION,
        **_CURVE,
    },
)
def upsetting_siebel(
    *,
    wire_diameter_mm: Values,
    slug_length_mm: Values,
    die_diameter_mm: Values,
    K_MPa: Values,
    n: Values,
    prestrain: Values = 0.0,
    friction: Values = 0.08,
) -> Upsetting:
    """Upsetting of a slug until it fills the die: F = A1 kf (1 + mu d1/(3 h1)).

    d1 the die, h1 = l (d/d1)^2 by volume, strain ln(l/h1), kf the flow stress at its end. That the
    edges fill last and ask for more is left out: the slug is only centred here.

    Raises `ArgumentError` for wire that does not enter the die.

    References: as the source.

    Example:
        >>> up = upsetting_siebel(wire_diameter_mm=13.8, slug_length_mm=12.57,
        ...                       die_diameter_mm=15.88, K_MPa=760.0, n=0.2)
        >>> print(round(up.upset_height_mm, 2), round(up.upsetting_force_kN))
        9.49 122
    """
    die = np.asarray(die_diameter_mm, float)
    if np.any(wire_diameter_mm > die):
        accepted = f"at most the die of {float(np.min(die)):.4g} mm"
        raise ArgumentError("wire_diameter_mm", float(np.max(wire_diameter_mm)), "mm", accepted)
    height = slug_length_mm * (wire_diameter_mm / die) ** 2
    strain = np.log(slug_length_mm / height)
    flow = flow_stress_swift(K_MPa=K_MPa, n=n, prestrain=prestrain, true_strain=strain)
    force = _QUARTER * die**2 * flow * (1.0 + friction * die / (3.0 * height)) / 1000.0
    return Upsetting(height[()], strain[()], flow, force[()])


class CupExtrusion(NamedTuple):
    """Results of `cup_extrusion_dipper`."""

    web_strain: Values
    wall_strain: Values
    web_flow_stress_MPa: Values
    wall_flow_stress_MPa: Values
    punch_pressure_MPa: Values
    extrusion_force_kN: Values


@calculation(
    source=f"R. Dipper, backward extrusion of cups (1949), as in {_LANGE}; remembered",
    basis="memory",
    needs={
        "die_diameter_mm": POSITIVE,
        "punch_diameter_mm": POSITIVE,
        "upset_height_mm": POSITIVE,
        "web_thickness_mm": POSITIVE,
        "upset_strain": NOT_NEGATIVE,
        "friction": _FRICTION,
        **_CURVE,
    },
)
def cup_extrusion_dipper(
    *,
    die_diameter_mm: Values,
    punch_diameter_mm: Values,
    upset_height_mm: Values,
    web_thickness_mm: Values,
    K_MPa: Values,
    n: Values,
    prestrain: Values = 0.0,
    upset_strain: Values = 0.0,
    friction: Values = 0.08,
) -> CupExtrusion:
    """Pressure on the punch at the end of backward cup extrusion.

        p = kf1 (1 + mu d/(3 h)) + kf2 (1 + (h/s)(1/4 + mu/2))
        strain 1 = ln(h0/h),  strain 2 = strain 1 (1 + d/(8 s))

    d punch, s wall, h web, h0 height of the upset slug. Under the punch the slug is upset (1), then
    pressed outward into the wall (2). Flow stresses by Swift's curve at those strains after the
    strain of upsetting. Taken at the end, where the web is thinnest.

    Raises:
        ArgumentError: a punch that leaves no wall, a web that is not below the slug.

    References: as the source; formula recalled, not looked at again. It lies within 30 % of
    `extrusion_pressure_johnson` for rollers of the table (tested).

    Example:
        >>> cup = cup_extrusion_dipper(die_diameter_mm=15.88, punch_diameter_mm=11.39,
        ...     upset_height_mm=9.49, web_thickness_mm=2.245, K_MPa=760.0, n=0.2)
        >>> print(round(cup.wall_strain, 2), round(cup.punch_pressure_MPa))
        2.36 2092
    """
    wall = (np.asarray(die_diameter_mm, float) - punch_diameter_mm) / 2.0
    if np.any(wall <= 0.0):
        accepted = "below the die, so that a wall is left"
        raise ArgumentError("punch_diameter_mm", float(np.max(punch_diameter_mm)), "mm", accepted)
    if np.any(np.asarray(web_thickness_mm) >= upset_height_mm):
        accepted = f"below the slug of {float(np.min(upset_height_mm)):.4g} mm"
        raise ArgumentError("web_thickness_mm", float(np.max(web_thickness_mm)), "mm", accepted)
    first = np.log(np.asarray(upset_height_mm, float) / web_thickness_mm)
    second = first * (1.0 + punch_diameter_mm / (8.0 * wall))
    curve = {"K_MPa": K_MPa, "n": n, "prestrain": prestrain}
    under = flow_stress_swift(true_strain=upset_strain + first, **curve)
    beside = flow_stress_swift(true_strain=upset_strain + second, **curve)
    pressure = under * (1.0 + friction * punch_diameter_mm / (3.0 * web_thickness_mm))
    pressure = pressure + beside * (1.0 + web_thickness_mm / wall * (0.25 + friction / 2.0))
    force = pressure * _QUARTER * np.asarray(punch_diameter_mm, float) ** 2 / 1000.0
    return CupExtrusion(first[()], second[()], under, beside, pressure, force[()])


@calculation(
    source=f"{_GROOVER}, Eqs 15.20 to 15.23 (Johnson's extrusion strain)",
    gives="punch_pressure_MPa",
    basis="memory",
    needs={
        "die_diameter_mm": POSITIVE,
        "punch_diameter_mm": POSITIVE,
        "a": NOT_NEGATIVE,
        "b": POSITIVE,
        **_CURVE,
    },
)
def extrusion_pressure_johnson(
    *,
    die_diameter_mm: Values,
    punch_diameter_mm: Values,
    K_MPa: Values,
    n: Values,
    prestrain: Values = 0.0,
    a: Values = 0.8,
    b: Values = 1.5,
) -> Values:
    """Pressure on the punch of backward extrusion by Johnson's strain: kf,m (a + b ln r) A0/Ap.

    r = A0/(A0 - Ap) the extrusion ratio, kf,m the mean flow stress up to ln r. The pressure of the
    book acts on the section of the slug; the punch has only Ap of it. No web, no lubricant in it.

    Raises `ArgumentError` for a punch that leaves no wall.

    References: as the source; a = 0.8, b = 1.2 to 1.5.

    Example:
        >>> print(round(extrusion_pressure_johnson(die_diameter_mm=15.88, punch_diameter_mm=11.39,
        ...                                        K_MPa=760.0, n=0.2)))
        2173
    """
    share = (np.asarray(punch_diameter_mm, float) / die_diameter_mm) ** 2
    if np.any(share >= 1.0):
        accepted = "below the die, so that a wall is left"
        raise ArgumentError("punch_diameter_mm", float(np.max(punch_diameter_mm)), "mm", accepted)
    strain = -np.log(1.0 - share)
    mean = mean_flow_stress_swift(K_MPa=K_MPa, n=n, prestrain=prestrain, true_strain=strain)
    return (mean * (a + b * strain) / share)[()]


@calculation(
    source="energy balance without loss: the work of the punch heats the slug; steel 7850 kg/m3, "
    "460 J/(kg K) at room temperature",
    gives="temperature_rise_K",
    basis="computed",
    needs={
        "punch_pressure_MPa": POSITIVE,
        "punch_diameter_mm": POSITIVE,
        "upset_height_mm": POSITIVE,
        "web_thickness_mm": POSITIVE,
        "slug_volume_mm3": POSITIVE,
    },
)
def extrusion_heat(
    *,
    punch_pressure_MPa: Values,
    punch_diameter_mm: Values,
    upset_height_mm: Values,
    web_thickness_mm: Values,
    slug_volume_mm3: Values,
    specific_heat_J_per_kgK: Values = 460.0,
    density_kg_per_m3: Values = 7850.0,
) -> Values:
    """Mean temperature rise of a cup: p A (h0 - h)/(V rho c).

    The pressure at the end acts all the way, which is on the hot side.

    References: first law; specific heat of low alloy steel near room temperature.

    Example:
        >>> print(round(extrusion_heat(punch_pressure_MPa=2100.0, punch_diameter_mm=11.39,
        ...     upset_height_mm=9.49, web_thickness_mm=2.245, slug_volume_mm3=1880.0)))
        228
    """
    swept = _QUARTER * np.asarray(punch_diameter_mm, float) ** 2
    swept = swept * (upset_height_mm - web_thickness_mm)
    work_J_per_m3 = punch_pressure_MPa * swept / slug_volume_mm3 * 1e6
    return (work_J_per_m3 / (density_kg_per_m3 * specific_heat_J_per_kgK))[()]
