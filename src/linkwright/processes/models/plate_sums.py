"""Small sums of the route of link plates: slitting, loads, heaps, what tumbling takes.

- `slit_coil`, `steel_with_trim`: strips out of a coil, steel with what is trimmed off
- `strip_for_plates`, `press_time`: strip and hours of presses for a number of plates
- `mass_of_plates`, `bed_depth_of_charge`, `heap_place`: mass of a lot, depth of a heap, its places
- `plate_before_loss`, `plate_after_loss`: sizes before and after a surface has lost mass
- `load_hours`: hours of a machine that treats loads
- `punch_for_hole`, `hole_of_punch`: a punch as large as the hole and what the hole closes after it
- `yield_of_strength`: yield stress of quenched and tempered steel
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, UnknownName

_DENSITY_KG_PER_M3 = 7850.0
"""Steel, EN 1993-1-2:2005, 3.2.2."""
_PLACES = ("outside", "inside")


class SlitCoil(NamedTuple):
    """Results of `slit_coil`."""

    strips_count: Values
    used_share: Values


@calculation(
    source="geometry of a coil between its trimmed edges",
    basis="computed",
    needs={"coil_width_mm": POSITIVE, "strip_width_mm": POSITIVE, "edge_trim_mm": NOT_NEGATIVE},
)
def slit_coil(
    *, coil_width_mm: Values, strip_width_mm: Values, edge_trim_mm: Values = 5.0
) -> SlitCoil:
    """Strips that a coil gives between trimmed edges, and the share of its width in them.

    floor((W - 2 e)/w) strips. Raises `ArgumentError` for a coil too narrow for one.

    References: geometry; 5 mm of trim on either side is common practice, no source.

    Example:
        >>> print(slit_coil(coil_width_mm=600.0, strip_width_mm=56.0).strips_count)
        10.0
    """
    strips = np.floor((np.asarray(coil_width_mm, float) - 2.0 * edge_trim_mm) / strip_width_mm)
    if np.any(strips < 1.0):
        accepted = "wide enough for one strip and the trim"
        raise ArgumentError("coil_width_mm", coil_width_mm, "mm", accepted)
    return SlitCoil(strips[()], (strips * strip_width_mm / coil_width_mm)[()])


@calculation(
    source="mass over share", gives="steel_kg", basis="computed", needs={"used_share": (0.01, 1.0)}
)
def steel_with_trim(*, strip_kg: Values, used_share: Values) -> Values:
    """Steel of the coil for a mass of strip.

    References: balance of mass.
    """
    return strip_kg / used_share


@calculation(source="number times mass", gives="steel_kg", basis="computed")
def mass_of_plates(*, plates: Values, plate_mass_kg: Values) -> Values:
    """Mass of a number of plates.

    References: none needed.
    """
    return plates * plate_mass_kg


@calculation(
    source="volume of a heap",
    gives="bed_depth_mm",
    basis="computed",
    needs={"charge_kg": POSITIVE, "tray_area_m2": POSITIVE, "packing_share": (0.05, 1.0)},
)
def bed_depth_of_charge(
    *, charge_kg: Values, tray_area_m2: Values, packing_share: Values
) -> Values:
    """Depth at which a charge lies on its trays or belt: m/(A s rho).

    References: geometry; density of steel as EN 1993-1-2:2005, 3.2.2.

    Example:
        >>> print(round(bed_depth_of_charge(charge_kg=200.0, tray_area_m2=1.5,
        ...                                 packing_share=0.45), 1))
        37.7
    """
    return 1000.0 * charge_kg / (tray_area_m2 * packing_share * _DENSITY_KG_PER_M3)


@calculation(source="a place of a heap", gives="value", basis="computed")
def heap_place(*, values: Values, place: str) -> Values:
    """Value at the outside or the inside of a heap: first or second of the leading axis.

    Raises `UnknownName` for another place.

    References: none needed.
    """
    if place not in _PLACES:
        raise UnknownName("place", place, _PLACES)
    return np.asarray(values)[_PLACES.index(place)][()]


class PlateLoss(NamedTuple):
    """Results of `plate_before_loss` and `plate_after_loss`."""

    plate_thickness_mm: Values
    plate_height_mm: Values
    waist_height_mm: Values
    hole_diameter_mm: Values


_LOSS = {
    "plate_thickness_mm": POSITIVE,
    "hole_diameter_mm": POSITIVE,
    "surface_loss_g_per_m2": NOT_NEGATIVE,
}


@calculation(source="balance of mass at the surfaces of a plate", basis="computed", needs=_LOSS)
def plate_after_loss(
    *,
    plate_thickness_mm: Values,
    plate_height_mm: Values,
    waist_height_mm: Values,
    hole_diameter_mm: Values,
    surface_loss_g_per_m2: Values,
) -> PlateLoss:
    """Plate whose surfaces lost mass: outer sizes less 2 m/rho, the hole wider by as much.

    References: balance of mass; density of steel as EN 1993-1-2:2005, 3.2.2.
    """
    off = 2.0 * surface_loss_g_per_m2 / _DENSITY_KG_PER_M3
    outer = (plate_thickness_mm - off, plate_height_mm - off, waist_height_mm - off)
    return PlateLoss(*outer, hole_diameter_mm + off)


@calculation(source="`plate_after_loss` solved for the sizes before", basis="computed", needs=_LOSS)
def plate_before_loss(
    *,
    plate_thickness_mm: Values,
    plate_height_mm: Values,
    waist_height_mm: Values,
    hole_diameter_mm: Values,
    surface_loss_g_per_m2: Values,
) -> PlateLoss:
    """Plate that has these sizes after its surfaces lost mass.

    References: as `plate_after_loss`.
    """
    off = 2.0 * surface_loss_g_per_m2 / _DENSITY_KG_PER_M3
    outer = (plate_thickness_mm + off, plate_height_mm + off, waist_height_mm + off)
    return PlateLoss(*outer, hole_diameter_mm - off)


@calculation(
    source="loads one after the other",
    gives="machine_time_h",
    basis="computed",
    needs={"steel_kg": NOT_NEGATIVE, "load_mass_kg": POSITIVE, "machines": POSITIVE},
)
def load_hours(
    *,
    steel_kg: Values,
    load_mass_kg: Values,
    time_min: Values,
    handling_time_min: Values = 0.0,
    machines: Values = 1.0,
) -> Values:
    """Hours in which machines treat a mass in loads: ceil(m/load) (t + handling)/60/machines.

    References: definition of a rate.
    """
    loads = np.ceil(np.asarray(steel_kg, float) / load_mass_kg)
    return (loads * (time_min + handling_time_min) / 60.0 / machines)[()]


@calculation(source="sum of sizes", gives="hole_punch_diameter_mm", basis="computed")
def punch_for_hole(*, hole_diameter_mm: Values, hole_closing_um: Values) -> Values:
    """Punch for a hole that closes by the works' own figure once the punch is out.

    References: C. Donaldson et al., Tool Design: the punch gives the hole its size; how much the
    hole closes is the works' own figure.
    """
    return hole_diameter_mm + hole_closing_um / 1000.0


@calculation(source="difference of sizes", gives="hole_diameter_mm", basis="computed")
def hole_of_punch(*, hole_punch_diameter_mm: Values, hole_closing_um: Values) -> Values:
    """Hole that a punch leaves; `punch_for_hole` the other way.

    References: as `punch_for_hole`.
    """
    return hole_punch_diameter_mm - hole_closing_um / 1000.0


@calculation(
    source="works' own ratio of yield stress to tensile strength",
    gives="yield_strength_MPa",
    basis="computed",
    needs={"yield_ratio": (0.3, 1.0)},
)
def yield_of_strength(*, tensile_strength_MPa: Values, yield_ratio: Values) -> Values:
    """Yield stress of quenched and tempered steel by its strength.

    References: a works' own figure, from its tensile tests.
    """
    return tensile_strength_MPa * yield_ratio


class PlateStrip(NamedTuple):
    """Results of `strip_for_plates`."""

    strip_length_m: Values
    strip_kg: Values
    skeleton_kg: Values
    """What is left of the strip, with the pierced slugs."""


@calculation(
    source="mass balance of a strip; density of steel as EN 1993-1-2:2005, 3.2.2",
    basis="computed",
    needs={
        "plates": NOT_NEGATIVE,
        "plates_per_m": POSITIVE,
        "strip_width_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
        "plate_mass_kg": POSITIVE,
        "reject_percent": (0.0, 50.0),
    },
)
def strip_for_plates(
    *,
    plates: Values,
    plates_per_m: Values,
    strip_width_mm: Values,
    plate_thickness_mm: Values,
    plate_mass_kg: Values,
    reject_percent: Values = 0.0,
    density_kg_per_m3: Values = 7850.0,
) -> PlateStrip:
    """Strip for a number of good plates, and what of it becomes scrap.

    References: mass balance.

    Example:
        >>> got = strip_for_plates(plates=1000.0, plates_per_m=40.0, strip_width_mm=55.0,
        ...                        plate_thickness_mm=4.0, plate_mass_kg=0.0192)
        >>> print(got.strip_length_m, round(got.strip_kg, 1), round(got.skeleton_kg, 1))
        25.0 43.2 24.0
    """
    length = plates / (1.0 - reject_percent / 100.0) / plates_per_m
    mass = length * strip_width_mm * plate_thickness_mm * 1e-6 * density_kg_per_m3
    return PlateStrip(length, mass, mass - plates * plate_mass_kg)


@calculation(
    source="definition of a rate",
    gives="machine_time_h",
    basis="computed",
    needs={
        "plates": NOT_NEGATIVE,
        "plates_per_stroke": POSITIVE,
        "strokes_per_min": POSITIVE,
        "running_share": (5e-324, 1.0),
        "machines": POSITIVE,
    },
)
def press_time(
    *,
    plates: Values,
    strokes_per_min: Values,
    plates_per_stroke: Values = 1.0,
    running_share: Values = 1.0,
    machines: Values = 1.0,
    standing_time_h: Values = 0.0,
) -> Values:
    """Hours of presses for a number of plates: N/(n s 60 share)/machines + t0.

    The share is that of the shift in which the press strikes, coil changes apart; t0 the
    hours for which a press stands while its tool is ground.

    References: definition of a rate.

    Example:
        >>> print(press_time(plates=96000.0, plates_per_stroke=8.0, strokes_per_min=100.0))
        2.0
    """
    striking = plates / (plates_per_stroke * strokes_per_min * 60.0 * running_share) / machines
    return striking + standing_time_h


@calculation(
    source="the works' own rule for its tools", gives="rows_count", basis="computed",
    needs={"rows": (1.0, 6.0), "plate_thickness_mm": POSITIVE},
)  # fmt: skip
def rows_for_thickness(
    *, rows: Values, plate_thickness_mm: Values, greatest_row_thickness_mm: Values
) -> Values:
    """Rows of plates on a strip: as the works holds them, one for plates thicker than its limit.

    References: none; the works' own rule.
    """
    return np.where(np.asarray(plate_thickness_mm) > greatest_row_thickness_mm, 1.0, rows)[()]
