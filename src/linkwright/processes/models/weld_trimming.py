"""Hot trimming of a welded link: the cut, what is left inside, what the electrodes leave.

- `trim_weld`: what the trimming tool shears off, and its force
- `inner_residue`, `inner_width_at_weld`: what is left on the inside of the link
- `electrode_mark`: how deep the electrodes sink into the hot wire
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.hot_strength import SHIDA, SHIDA_RANGE, shida_law
from linkwright.quantities import ArgumentError


class TrimWeld(NamedTuple):
    """Results of `trim_weld`."""

    cut_length_mm: Values
    cut_area_mm2: Values
    trimming_force_kN: Values
    trimmed_volume_mm3: Values


@calculation(
    source="M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), ch. 20: shearing "
    f"force F = S t L, with S = flow stress/sqrt(3) (von Mises); flow stress: {SHIDA}",
    needs={
        "wire_diameter_mm": POSITIVE,
        "bulge_diameter_mm": POSITIVE,
        "bulge_length_mm": NOT_NEGATIVE,
        "trimmed_diameter_mm": POSITIVE,
        "strain_rate_per_s": POSITIVE,
    },
    valid={
        "trimming_temperature_degC": SHIDA_RANGE["temperature_degC"],
        "strain_rate_per_s": SHIDA_RANGE["strain_rate_per_s"],
        "C_percent": SHIDA_RANGE["C_percent"],
    },
    basis="computed",
)
def trim_weld(
    *,
    wire_diameter_mm: Values,
    bulge_diameter_mm: Values,
    bulge_length_mm: Values,
    trimmed_diameter_mm: Values,
    trimming_temperature_degC: Values = 900.0,
    strain_rate_per_s: Values = 50.0,
    C_percent: Values = 0.2,
) -> TrimWeld:
    """Hot trimming of the bulge down to a diameter: sheared area, force, volume taken off.

    The bulge of `weld_bulge` stands out over the trimmed diameter D on the length
    lc = L sqrt[(Db - D)/(Db - d)]; it is sheared along the cylinder pi D lc, all at once:
    F = pi D lc s/sqrt(3), s the hot flow stress at a strain of 0.5. The whole area at once
    is the most the tool can meet. Nothing is cut where the bulge is not above D.

    Raises `ArgumentError` if the trimmed diameter is below the wire's.
    """
    d, bulge = np.asarray(wire_diameter_mm, float), np.asarray(bulge_diameter_mm, float)
    to = np.asarray(trimmed_diameter_mm, float)
    if (to < d).any():
        raise ArgumentError(
            "trimmed_diameter_mm", float(np.min(to)), "mm", "at least the wire's diameter"
        )
    over = np.maximum(bulge - to, 0.0)
    length = bulge_length_mm * np.sqrt(over / np.where(bulge > d, bulge - d, 1.0))
    area = np.pi * to * length
    law = shida_law(temperature_degC=trimming_temperature_degC, strain=0.5, C_percent=C_percent)
    stress = law.stress_MPa * (np.asarray(strain_rate_per_s, float) / 10.0) ** law.exponent
    force = area * stress / np.sqrt(3.0) / 1e3
    volume = np.pi * length * (to * over / 3.0 + 2.0 / 15.0 * over**2)
    return TrimWeld(*(np.asarray(value)[()] for value in (length, area, force, volume)))


@calculation(
    source="geometry of the trimmed joint",
    gives="inner_residue_mm",
    needs={"weld_diameter_mm": POSITIVE, "wire_diameter_mm": POSITIVE},
    basis="computed",
)
def inner_residue(*, weld_diameter_mm: Values, wire_diameter_mm: Values) -> Values:
    """Height of what is left of the bulge on the inside of the link: (D - d)/2, at least 0.

    The tool's bore lies concentric to the wire.

    >>> round(float(inner_residue(weld_diameter_mm=8.5, wire_diameter_mm=8.0)), 2)
    0.25

    References: geometry.
    """
    return np.maximum(0.5 * (np.asarray(weld_diameter_mm, float) - wire_diameter_mm), 0.0)[()]


@calculation(
    source="geometry of the trimmed joint; the weld lies in one of the two legs",
    gives="inner_width_at_weld_mm",
    needs={"outer_width_mm": POSITIVE, "wire_diameter_mm": POSITIVE},
    basis="computed",
)
def inner_width_at_weld(
    *, outer_width_mm: Values, wire_diameter_mm: Values, inner_residue_mm: Values
) -> Values:
    """Inner width of the link across its weld: w - 2 d less what stands inwards at the weld.

    >>> round(float(inner_width_at_weld(outer_width_mm=26.9, wire_diameter_mm=8.0,
    ...                                 inner_residue_mm=0.25)), 2)
    10.65

    References: geometry.
    """
    return outer_width_mm - 2.0 * np.asarray(wire_diameter_mm, float) - inner_residue_mm


@calculation(
    source="D. Tabor, The Hardness of Metals (1951): a contact that yields carries three times "
    f"the flow stress; flow stress: {SHIDA}; a flat electrode on a round wire",
    gives="electrode_mark_depth_mm",
    needs={
        "wire_diameter_mm": POSITIVE,
        "electrode_force_kN": NOT_NEGATIVE,
        "contact_length_mm": POSITIVE,
        "strain_rate_per_s": POSITIVE,
    },
    valid={
        "edge_temperature_degC": SHIDA_RANGE["temperature_degC"],
        "strain_rate_per_s": SHIDA_RANGE["strain_rate_per_s"],
        "C_percent": SHIDA_RANGE["C_percent"],
    },
    basis="computed",
)
def electrode_mark(
    *,
    wire_diameter_mm: Values,
    electrode_force_kN: Values,
    contact_length_mm: Values,
    edge_temperature_degC: Values,
    strain_rate_per_s: Values = 1.0,
    C_percent: Values = 0.2,
) -> Values:
    """Depth to which an electrode sinks into the wire at its hottest place, the edge.

    The contact grows until it carries the force: b L 3 s = F, s the hot flow stress at a
    strain of 0.1; a chord of the width b lies d/2 - sqrt(d^2/4 - b^2/4) deep. A grooved
    electrode touches on more width and marks less, so this is the most. Where the width
    would pass the wire's diameter the depth is d/2: the electrode crushes the wire.

    References: Tabor (1951); Shida's law as in `flow_stress_shida`.
    """
    d = np.asarray(wire_diameter_mm, float)
    law = shida_law(temperature_degC=edge_temperature_degC, strain=0.1, C_percent=C_percent)
    stress = law.stress_MPa * (np.asarray(strain_rate_per_s, float) / 10.0) ** law.exponent
    width = 1e3 * np.asarray(electrode_force_kN, float) / (3.0 * stress * contact_length_mm)
    return (0.5 * (d - np.sqrt(np.maximum(d**2 - width**2, 0.0))))[()]
