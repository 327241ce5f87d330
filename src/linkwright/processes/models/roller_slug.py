"""Slug and cup of a cold extruded roller: volumes, sizes, mass.

- `roller_slug`: volume of the slug: roller, web that is pierced out, rims that are faced off
- `slug_wire`, `slug_length`, `slug_volume`: wire for a slug, its length, what it holds
- `over_diameter`: slenderness of a slug
- `cup_sizes`, `faced_length`: height and depth of the cup, reduction of area; what facing leaves
- `tool_for_size`, `size_of_tool`: sizes of punch and die and what is ejected from them
- `ring_volume`, `extruded_mass`, `slugs_mass`, `scrap_mass`: volume of a roller, masses
- `stage_sum`: force of all stations

Cutting the slug is `round_wire_shear_force`, piercing the web `punching_force`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError

_QUARTER = np.pi / 4.0


class RollerSlug(NamedTuple):
    """Results of `roller_slug`."""

    slug_volume_mm3: Values
    roller_volume_mm3: Values
    web_volume_mm3: Values
    rim_volume_mm3: Values
    """Faced off, since the rim of a cup is uneven."""
    web_thickness_mm: Values


@calculation(
    source="constancy of volume",
    basis="computed",
    needs={
        "outside_mm": POSITIVE,
        "bore_mm": POSITIVE,
        "length_mm": POSITIVE,
        "web_over_wall": POSITIVE,
        "rim_percent": (0.0, 50.0),
    },
)
def roller_slug(
    *,
    outside_mm: Values,
    bore_mm: Values,
    length_mm: Values,
    web_over_wall: Values = 1.0,
    rim_percent: Values = 4.0,
) -> RollerSlug:
    """Volume from which a cup comes that is pierced and faced to a roller.

    (pi/4)(D^2 - d^2) l (1 + r/100) + (pi/4) d^2 w, web w as a multiple of the wall.

    Raises `ArgumentError` where the bore is not below the outside.

    References: geometry; a web as thick as the wall and 4 % of rim are common practice, no source.

    Example:
        >>> slug = roller_slug(outside_mm=15.88, bore_mm=11.39, length_mm=16.51)
        >>> print(round(slug.slug_volume_mm3), round(slug.web_volume_mm3))
        1880 229
    """
    if np.any(np.asarray(bore_mm) >= outside_mm):
        raise ArgumentError("bore_mm", bore_mm, "mm", "below the outside")
    web = web_over_wall * (np.asarray(outside_mm, float) - bore_mm) / 2.0
    roller = _QUARTER * (np.asarray(outside_mm, float) ** 2 - bore_mm**2) * length_mm
    pierced = _QUARTER * np.asarray(bore_mm, float) ** 2 * web
    rim = roller * rim_percent / 100.0
    return RollerSlug((roller + pierced + rim)[()], roller[()], pierced[()], rim[()], web[()])


@calculation(
    source="constancy of volume; proportions of a slug: common practice, no source",
    gives="wire_diameter_mm",
    basis="common practice",
    needs={
        "slug_volume_mm3": POSITIVE,
        "outside_mm": POSITIVE,
        "length_ratio": POSITIVE,
        "die_play_percent": (0.0, 50.0),
    },
)
def slug_wire(
    *,
    slug_volume_mm3: Values,
    outside_mm: Values,
    length_ratio: Values = 0.9,
    die_play_percent: Values = 2.0,
) -> Values:
    """Wire for a slug that shears cleanly and enters the die.

    d = (4 V/(pi q))^(1/3) makes the slug q diameters long, shorter ones shear askew; at most
    D (1 - play), so that it enters the die.

    References: common practice, no source.

    Example:
        >>> print(round(slug_wire(slug_volume_mm3=1880.0, outside_mm=15.88), 2))
        13.86
    """
    sheared = np.cbrt(np.asarray(slug_volume_mm3, float) / (_QUARTER * length_ratio))
    return np.minimum(sheared, outside_mm * (1.0 - die_play_percent / 100.0))[()]


@calculation(
    source="constancy of volume",
    gives="slug_length_mm",
    basis="computed",
    needs={"slug_volume_mm3": POSITIVE, "wire_diameter_mm": POSITIVE},
)
def slug_length(*, slug_volume_mm3: Values, wire_diameter_mm: Values) -> Values:
    """Length of wire that holds a volume: 4 V/(pi d^2).

    References: constancy of volume.

    Example:
        >>> print(round(slug_length(slug_volume_mm3=1880.0, wire_diameter_mm=13.8), 2))
        12.57
    """
    return slug_volume_mm3 / (_QUARTER * np.asarray(wire_diameter_mm, float) ** 2)[()]


@calculation(
    source="constancy of volume",
    gives="slug_volume_mm3",
    basis="computed",
    needs={"wire_diameter_mm": POSITIVE, "slug_length_mm": POSITIVE},
)
def slug_volume(*, wire_diameter_mm: Values, slug_length_mm: Values) -> Values:
    """Volume of a length of wire; `slug_length` the other way.

    References: geometry.
    """
    return (_QUARTER * np.asarray(wire_diameter_mm, float) ** 2 * slug_length_mm)[()]


@calculation(
    source="definition",
    gives="over_diameter",
    basis="computed",
    needs={"length_mm": POSITIVE, "diameter_mm": POSITIVE},
)
def over_diameter(*, length_mm: Values, diameter_mm: Values) -> Values:
    """Length over diameter.

    References: definition.
    """
    return length_mm / diameter_mm


class CupSizes(NamedTuple):
    """Results of `cup_sizes`."""

    cup_height_mm: Values
    depth_ratio: Values
    """Depth of the cup over the punch."""
    area_reduction_percent: Values


@calculation(
    source="constancy of volume",
    basis="computed",
    needs={
        "slug_volume_mm3": POSITIVE,
        "die_diameter_mm": POSITIVE,
        "punch_diameter_mm": POSITIVE,
        "web_thickness_mm": POSITIVE,
    },
)
def cup_sizes(
    *,
    slug_volume_mm3: Values,
    die_diameter_mm: Values,
    punch_diameter_mm: Values,
    web_thickness_mm: Values,
) -> CupSizes:
    """Height of the cup that a slug fills, its depth, and the share of the section displaced.

    H = (V - (pi/4) d^2 w)/((pi/4)(D^2 - d^2)), depth (H - w)/d, reduction d^2/D^2.

    References: constancy of volume.

    Example:
        >>> cup = cup_sizes(slug_volume_mm3=1880.0, die_diameter_mm=15.88, punch_diameter_mm=11.39,
        ...                 web_thickness_mm=2.245)
        >>> print(round(cup.cup_height_mm, 2), round(cup.area_reduction_percent, 1))
        17.17 51.4
    """
    punch, die = np.asarray(punch_diameter_mm, float) ** 2, np.asarray(die_diameter_mm, float) ** 2
    height = (slug_volume_mm3 - _QUARTER * punch * web_thickness_mm) / (_QUARTER * (die - punch))
    depth = (height - web_thickness_mm) / punch_diameter_mm
    return CupSizes(height[()], depth[()], (100.0 * punch / die)[()])


@calculation(
    source="geometry: nothing is added by facing",
    gives="length_mm",
    basis="computed",
    needs={"cup_height_mm": POSITIVE, "faced_length_mm": POSITIVE},
)
def faced_length(*, cup_height_mm: Values, faced_length_mm: Values) -> Values:
    """Length of a roller whose cup was faced to a length, or was too short for it.

    References: geometry.
    """
    return np.minimum(cup_height_mm, faced_length_mm)[()]


@calculation(
    source="share of a size",
    gives="tool_diameter_mm",
    basis="computed",
    needs={"size_mm": POSITIVE, "growth_percent": (-5.0, 5.0)},
)
def tool_for_size(*, size_mm: Values, growth_percent: Values = 0.0) -> Values:
    """Die or punch for a size: s/(1 + g/100), g what a part grows by when it leaves the die.

    References: none; g is the works' own figure.
    """
    return size_mm / (1.0 + growth_percent / 100.0)


@calculation(
    source="share of a size",
    gives="size_mm",
    basis="computed",
    needs={"tool_diameter_mm": POSITIVE, "growth_percent": (-5.0, 5.0)},
)
def size_of_tool(*, tool_diameter_mm: Values, growth_percent: Values = 0.0) -> Values:
    """Size of a part that has left its tool; `tool_for_size` the other way.

    References: as `tool_for_size`.
    """
    return tool_diameter_mm * (1.0 + growth_percent / 100.0)


@calculation(
    source="volume times density; density of steel as EN 1993-1-2:2005, 3.2.2",
    gives="mass_kg",
    basis="computed",
    needs={"volume_mm3": POSITIVE},
)
def extruded_mass(*, volume_mm3: Values, density_kg_per_m3: Values = 7850.0) -> Values:
    """Mass of a volume of steel.

    References: definition of a density.
    """
    return volume_mm3 * 1e-9 * density_kg_per_m3


@calculation(source="sum of forces", gives="ram_force_kN", basis="computed")
def stage_sum(
    *,
    upsetting_force_kN: Values,
    extrusion_force_kN: Values,
    piercing_force_kN: Values,
) -> Values:
    """Force of a ram whose stations all strike at once; the knife works beside it.

    References: statics.
    """
    return upsetting_force_kN + extrusion_force_kN + piercing_force_kN


@calculation(
    source="geometry",
    gives="volume_mm3",
    basis="computed",
    needs={"outside_mm": POSITIVE, "bore_mm": POSITIVE, "length_mm": POSITIVE},
)
def ring_volume(*, outside_mm: Values, bore_mm: Values, length_mm: Values) -> Values:
    """Volume of a ring: (pi/4)(D^2 - d^2) l.

    References: geometry.

    Example:
        >>> print(round(ring_volume(outside_mm=15.88, bore_mm=11.39, length_mm=16.51)))
        1588
    """
    section = np.asarray(outside_mm, float) ** 2 - np.asarray(bore_mm, float) ** 2
    return (_QUARTER * section * length_mm)[()]


@calculation(
    source="number times mass",
    gives="steel_kg",
    basis="computed",
    needs={"pieces": POSITIVE, "slug_mass_kg": POSITIVE, "reject_percent": (0.0, 50.0)},
)
def slugs_mass(*, pieces: Values, slug_mass_kg: Values, reject_percent: Values = 0.0) -> Values:
    """Wire for a number of good pieces: n m/(1 - r/100).

    References: balance of mass.
    """
    return pieces * slug_mass_kg / (1.0 - reject_percent / 100.0)


@calculation(source="difference of masses", gives="scrap_mass_kg", basis="computed")
def scrap_mass(*, slug_mass_kg: Values, piece_mass_kg: Values) -> Values:
    """What of a slug does not become roller: web and rim.

    References: balance of mass.
    """
    return slug_mass_kg - piece_mass_kg
