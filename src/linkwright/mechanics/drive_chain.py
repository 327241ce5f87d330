"""What the standards say of the chain of a drive, one or many at once.

- `DriveChain`: its numbers; `drive_chain`: those of one chain
- `stacked`: many chains as arrays
- `rated_chains`: chains whose power is rated
- `lubrication_as`: the chain whose limiting speeds stand for another
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

import numpy as np

from linkwright.catalogue import ValidityWarning, not_recording
from linkwright.standards.reader import published_table
from linkwright.standards.roller_chain import (
    iso606_chain,
    iso606_row,
    roller_chain_bearing_area,
    roller_chain_strength,
)
from linkwright.standards.roller_mass import roller_chain_mass
from linkwright.standards.roller_selection import lubrication_speed_limits

RATED_SERIES = ("A", "B", "H")


@dataclass(frozen=True)
class DriveChain:
    """What the standards say of a chain; the numbers may be arrays over chains and strands.

    ``lubrication_as`` is the chain whose limiting speeds are taken.
    """

    chain_number: str
    lubrication_as: str
    pitch_mm: Any
    roller_diameter_mm: Any
    pin_diameter_mm: Any
    inner_width_mm: Any
    bearing_area_mm2: Any
    dynamic_strength_N: Any
    breaking_force_kN: Any
    width_mm: Any
    mass_per_length_kg_per_m: Any
    greatest_speed_type_a_m_per_s: Any
    greatest_speed_type_b_m_per_s: Any


def rated_chains() -> tuple[str, ...]:
    """The chains of series A, B and H by number, small pitches first."""
    rows = [row.cells for row in published_table("iso606_chain")]
    rated = [cells for cells in rows if cells["series"] in RATED_SERIES]
    rated.sort(key=lambda cells: (float(cells["pitch_mm"]), cells["series"]))
    return tuple(str(cells["chain_number"]) for cells in rated)


def drive_chain(chain_number: str, strands: Any) -> DriveChain:
    """One chain with one number of strands, or an array of them. Raises `UnknownName`."""
    sizes = iso606_chain(chain_number=chain_number)
    strength = roller_chain_strength(chain_number=chain_number, strands=strands)
    like = lubrication_as(chain_number)
    limits = lubrication_speed_limits(chain_number=like)
    return DriveChain(
        chain_number=chain_number,
        lubrication_as=like,
        pitch_mm=sizes.pitch_mm,
        roller_diameter_mm=sizes.greatest_roller_diameter_mm,
        pin_diameter_mm=sizes.greatest_pin_diameter_mm,
        inner_width_mm=sizes.least_inner_width_mm,
        bearing_area_mm2=roller_chain_bearing_area(chain_number=chain_number, strands=strands),
        dynamic_strength_N=sizes.dynamic_strength_N,
        breaking_force_kN=strength.breaking_force_kN,
        width_mm=strength.greatest_pin_length_mm,
        mass_per_length_kg_per_m=roller_chain_mass(chain_number=chain_number, strands=strands),
        greatest_speed_type_a_m_per_s=limits.greatest_speed_type_a_m_per_s,
        greatest_speed_type_b_m_per_s=limits.greatest_speed_type_b_m_per_s,
    )


def lubrication_as(chain_number: str) -> str:
    """The ANSI chain whose limiting speeds stand for this one: itself, or the nearest pitch."""
    cells = iso606_row(chain_number).cells
    listed = [str(entry) for entry in published_table("roller_lubrication").listed]
    own = str(cells.get("ansi_number", "")).removesuffix("H")
    if own in listed:
        return own
    # the number of an ANSI chain is its pitch in eighths of an inch
    return min(listed, key=lambda one: abs(int(one[:-1]) / 8.0 * 25.4 - float(cells["pitch_mm"])))


@lru_cache(maxsize=4)
def stacked(chains: tuple[str, ...], strands: tuple[int, ...]) -> DriveChain:
    """Many chains as arrays of the axes chain, strands, teeth (the last of length 1)."""
    # kept from one choice to the next: a derivation must not get into it
    with not_recording(), warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        made = [drive_chain(chain, np.asarray(strands, dtype=float)) for chain in chains]

    def column(name: str) -> np.ndarray:
        cells = np.asarray([getattr(one, name) for one in made], dtype=float)
        return cells.reshape(len(chains), -1, 1)

    names = [field.name for field in fields(DriveChain)][2:]
    return DriveChain("", "", **{name: column(name) for name in names})
