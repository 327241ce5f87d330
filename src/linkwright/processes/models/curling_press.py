"""What curling a ring from strip asks of press and tool, and small sums of it.

- `mandrel_of_tool`, `mandrel_play`: the mandrel in the closed tool
- `curling_forces`: cutting off, bending to a U, to an O, closing
- `bend_over_thickness`: tightness of the bend
- `seam_peak`: how far the unbent ends stand out at the seam
- `curled_mass`, `blanks_per_metre`: mass of a ring, blanks of a metre

The ring itself is in `curling`.

Caution: a press crushes hands; it is guarded and set up by licensed people under the local code.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.shearing import punching_force
from linkwright.processes.models.sheet_bending import v_bending_force

_SHARE = (5e-324, 1.0)


@calculation(
    source="geometry; play as the works has it",
    gives="mandrel_diameter_mm",
    basis="computed",
    needs={"tool_bore_mm": POSITIVE, "thickness_mm": POSITIVE, "play_percent": NOT_NEGATIVE},
)
def mandrel_of_tool(
    *, tool_bore_mm: Values, thickness_mm: Values, play_percent: Values = 2.0
) -> Values:
    """Mandrel in the closed tool: the bore there less a share of the strip on each side.

    References: geometry; 2 % of the strip is common practice, no source.
    """
    return tool_bore_mm - 2.0 * thickness_mm * play_percent / 100.0


@calculation(source="difference of sizes", gives="mandrel_play_mm", basis="computed")
def mandrel_play(*, tool_bore_mm: Values, mandrel_diameter_mm: Values) -> Values:
    """Play of the mandrel in the closed ring; negative: thick strip jams it.

    References: geometry.
    """
    return tool_bore_mm - mandrel_diameter_mm


@calculation(
    source="definition",
    gives="bend_over_thickness",
    basis="computed",
    needs={"bore_mm": POSITIVE, "thickness_mm": POSITIVE},
)
def bend_over_thickness(*, bore_mm: Values, thickness_mm: Values) -> Values:
    """Inner radius of a ring over the thickness of its strip, to be held against the least one.

    References: definition; `minimum_bend_radius`.
    """
    return bore_mm / 2.0 / thickness_mm


class CurlingForces(NamedTuple):
    """Results of `curling_forces`."""

    cut_off_force_kN: Values
    u_bending_force_kN: Values
    o_bending_force_kN: Values
    closing_force_kN: Values
    ram_force_kN: Values
    """All stages at once, as one ram meets them."""


@calculation(
    source="cutting: Kalpakjian & Schmid, 6th ed. (2010), 0.7 T L (UTS); U: M. P. Groover, 5th ed. "
    "(2013), Sec. 19.2; O and closing: statics with the moment and hoop force of the strip",
    basis="computed",
    needs={
        "width_mm": POSITIVE,
        "thickness_mm": POSITIVE,
        "tensile_strength_MPa": POSITIVE,
        "mandrel_diameter_mm": POSITIVE,
        "bending_moment_per_width_N": NOT_NEGATIVE,
        "hoop_force_N_per_mm": NOT_NEGATIVE,
        "shear_over_tensile": _SHARE,
    },
)
def curling_forces(
    *,
    width_mm: Values,
    thickness_mm: Values,
    tensile_strength_MPa: Values,
    mandrel_diameter_mm: Values,
    bending_moment_per_width_N: Values,
    hoop_force_N_per_mm: Values,
    shear_over_tensile: Values = 0.7,
) -> CurlingForces:
    """Force of each stage of curling a strip of width w and thickness s.

        cut off  0.7 Rm w s
        U        1.33 Rm w s^2/(d + 2 s): the mandrel d sinks between two edges
        O        2 m w/s: two shells bend the ends with an arm of one thickness
        closing  2 N w: two shells squeeze the ring along its girth, friction left out

    m the bending moment of a millimetre of width before closing, N the hoop force of it. The ram
    of a tool that does all in one stroke, blank after blank, meets their sum.

    References: as the source; the arm is common practice, no source.

    Example:
        >>> got = curling_forces(width_mm=25.2, thickness_mm=1.5, tensile_strength_MPa=500.0,
        ...     mandrel_diameter_mm=8.2, bending_moment_per_width_N=340.0,
        ...     hoop_force_N_per_mm=860.0)
        >>> print([round(force, 1) for force in got])
        [13.2, 3.4, 11.4, 43.3, 71.4]
    """
    metal = {"thickness_mm": thickness_mm, "tensile_strength_MPa": tensile_strength_MPa}
    cut = punching_force(cut_length_mm=width_mm, shear_over_tensile=shear_over_tensile, **metal)
    opening = mandrel_diameter_mm + 2.0 * thickness_mm
    bent = v_bending_force(width_mm=width_mm, die_opening_mm=opening, **metal) / 1000.0
    ends = 2.0 * bending_moment_per_width_N * width_mm / thickness_mm / 1000.0
    closing = 2.0 * hoop_force_N_per_mm * width_mm / 1000.0
    return CurlingForces(cut, bent, ends, closing, cut + bent + ends + closing)


@calculation(
    source="geometry: a tangent leaves its circle by a^2/(2 R)",
    gives="seam_peak_um",
    basis="computed",
    needs={"outside_mm": POSITIVE, "thickness_mm": POSITIVE, "unbent_ratio": NOT_NEGATIVE},
)
def seam_peak(*, outside_mm: Values, thickness_mm: Values, unbent_ratio: Values = 0.5) -> Values:
    """How far the edges of the seam stand out where the last a = q s of the blank stays straight.

    An upper bound of the ovality that curling leaves: what closing presses flat is left out, and a
    release by an even moment leaves a circle. q half a thickness: common practice, no source.

    References: geometry.

    Example:
        >>> print(round(seam_peak(outside_mm=11.28, thickness_mm=1.5), 1))
        49.9
    """
    return (1000.0 * (unbent_ratio * np.asarray(thickness_mm, float)) ** 2 / outside_mm)[()]


@calculation(
    source="volume times density; density of steel as EN 1993-1-2:2005, 3.2.2",
    gives="piece_mass_kg",
    basis="computed",
    needs={"cut_length_mm": POSITIVE, "thickness_mm": POSITIVE, "width_mm": POSITIVE},
)
def curled_mass(
    *,
    cut_length_mm: Values,
    thickness_mm: Values,
    width_mm: Values,
    density_kg_per_m3: Values = 7850.0,
) -> Values:
    """Mass of a ring, which is that of its blank.

    References: geometry.

    Example:
        >>> print(round(curled_mass(cut_length_mm=30.3, thickness_mm=1.5, width_mm=25.2), 5))
        0.00899
    """
    return cut_length_mm * thickness_mm * width_mm * 1e-9 * density_kg_per_m3


@calculation(
    source="definition of a rate",
    gives="blanks_per_m",
    basis="computed",
    needs={"cut_length_mm": POSITIVE},
)
def blanks_per_metre(*, cut_length_mm: Values) -> Values:
    """Blanks of a metre of strip that is cut off without waste.

    References: definition.
    """
    return 1000.0 / cut_length_mm
