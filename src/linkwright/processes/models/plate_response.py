"""The link plate as a solid: breaking force and elastic peak for any number of plates.

- `plate_response`: from the response of the solid plate (`mechanics.plate_response`)
"""

from __future__ import annotations

import json
from functools import lru_cache
from importlib.resources import files
from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.plate_response import PlateResponse
from linkwright.quantities import ArgumentError


@lru_cache(maxsize=1)
def shipped_response() -> PlateResponse:
    """The fit that ships (scripts/build_plate_response.py)."""
    text = files("linkwright.processes.models").joinpath("data", "plate_response.json")
    return PlateResponse.of_table(json.loads(text.read_text("utf-8")))


class PlateAnswer(NamedTuple):
    """Results of `plate_response`, of one plate."""

    plate_breaking_force_kN: Values
    net_stress_factor: Values
    """Elastic peak at the hole of a neat pin over F/((h - D) t)."""


@calculation(
    source="finite elements of a quarter of the plate, J. C. Simo, Comput. Methods Appl. Mech. "
    "Eng. 99 (1992); H. W. Swift (1952); response surface over runs of it (docs/models/plate.md)",
    basis="computed",
    needs={
        "hole_spacing_mm": POSITIVE,
        "plate_height_mm": POSITIVE,
        "waist_height_mm": POSITIVE,
        "hole_diameter_mm": POSITIVE,
        "plate_thickness_mm": POSITIVE,
        "tensile_strength_MPa": POSITIVE,
    },
    valid={"hardening_exponent": (0.03, 0.2)},
)
def plate_response(
    *,
    hole_spacing_mm: Values,
    plate_height_mm: Values,
    waist_height_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
    tensile_strength_MPa: Values,
    hardening_exponent: Values = 0.06,
) -> PlateAnswer:
    """Greatest force of a ductile plate that its pins pull, and its elastic peak.

    F = f t (h - D) Rm with f a polynomial in D/h (0.3 to 0.6), w/h (0.6 to 0.92), p/h (1.1 to 1.6)
    and n; a plate beyond is taken at the edge. Pins without friction; no fracture. Errors in
    docs/models/plate.md. Arguments broadcast.

    Raises `ArgumentError` for a hole as large as the plate.

    References: as the source.

    Example:
        >>> got = plate_response(hole_spacing_mm=25.4, plate_height_mm=20.87, waist_height_mm=15.65,
        ...     hole_diameter_mm=8.25, plate_thickness_mm=3.05, tensile_strength_MPa=1200.0)
        >>> bool(32.0 < got.plate_breaking_force_kN < 35.0)
        True
    """
    height = np.asarray(plate_height_mm, float)
    net = height - hole_diameter_mm
    if np.any(net <= 0.0):
        raise ArgumentError("hole_diameter_mm", hole_diameter_mm, "mm", "below the plate height")
    force, peak = shipped_response().factors(
        hole_diameter_mm / height,
        waist_height_mm / height,
        hole_spacing_mm / height,
        hardening_exponent,
    )
    unit = net * plate_thickness_mm * tensile_strength_MPa / 1e3
    return PlateAnswer((force * unit)[()], peak[()])


@calculation(
    source="`plate_response` is proportional to the strength",
    gives="tensile_strength_MPa",
    basis="computed",
    needs={"chain_force_kN": POSITIVE, "plates": (1.0, None)},
)
def strength_for_plate_force(
    *,
    chain_force_kN: Values,
    plates: Values,
    hole_spacing_mm: Values,
    plate_height_mm: Values,
    waist_height_mm: Values,
    hole_diameter_mm: Values,
    plate_thickness_mm: Values,
    hardening_exponent: Values = 0.06,
) -> Values:
    """Tensile strength that plates side by side need so that they carry a chain pull.

    References: as `plate_response`.

    Example:
        >>> print(round(strength_for_plate_force(chain_force_kN=60.0, plates=2.0,
        ...     hole_spacing_mm=25.4, plate_height_mm=20.87, waist_height_mm=15.65,
        ...     hole_diameter_mm=8.25, plate_thickness_mm=3.05), -1))
        1080.0
    """
    one = plate_response(
        hole_spacing_mm=hole_spacing_mm,
        plate_height_mm=plate_height_mm,
        waist_height_mm=waist_height_mm,
        hole_diameter_mm=hole_diameter_mm,
        plate_thickness_mm=plate_thickness_mm,
        tensile_strength_MPa=1.0,
        hardening_exponent=hardening_exponent,
    ).plate_breaking_force_kN
    return chain_force_kN / plates / one
