"""DIN 766: calibrated and tested round steel chain, grade 3 (`din766_forces`)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError
from linkwright.standards.en818 import load_on_two_sections_N
from linkwright.standards.preferred_numbers import preferred_number_nearest
from linkwright.standards.reader import published_table

DIN_766 = "DIN 766:1986, round steel link chain, grade 3, calibrated and tested"
_PITCH_TOLERANCE = 0.02


class Din766Forces(NamedTuple):
    """Results of `din766_forces`."""

    proof_force_kN: Values
    breaking_force_kN: Values
    mean_stress_break_MPa: Values


@calculation(
    source=DIN_766,
    needs={
        "nominal_diameter_mm": POSITIVE,
        "pitch_mm": POSITIVE,
        "working_load_limit_t": POSITIVE,
    },
    basis="memory",
)
def din766_forces(
    *,
    nominal_diameter_mm: Values,
    working_load_limit_t: Values | None = None,
    pitch_mm: Values | None = None,
) -> Din766Forces:
    """Proof and breaking force of chain to DIN 766 from its load capacity.

    2.5 and 4 times the load at 10 kN/t, each taken to the nearest number of R'10
    (..., 2.5, 3.2, 4, 5, 6.3, 8). Gives every row of the table that was read (tested).

    Args:
        nominal_diameter_mm: Nominal size.
        working_load_limit_t: Load capacity; left out, the table's value of this size.
        pitch_mm: Pitch, if known: it tells whether the chain is one of this standard.

    Returns:
        Proof force, breaking force, mean stress at break on two sections.

    Raises:
        ArgumentError: without a load, a size that the table at hand does not list; or a
            pitch that differs by more than 2 % from that of the listed size.

    References:
        DIN 766:1986, tables of dimensions and of forces (rule found by recomputation).

    Example:
        >>> forces = din766_forces(nominal_diameter_mm=10)
        >>> float(forces.proof_force_kN), float(forces.breaking_force_kN)
        (32.0, 50.0)
    """
    table = published_table("din766")
    if working_load_limit_t is None:
        working_load_limit_t = table.column(nominal_diameter_mm, "working_load_limit_t")
    if pitch_mm is not None:
        _check_pitch(nominal_diameter_mm, pitch_mm)
    size = nominal_diameter_mm + 0.0 * working_load_limit_t
    proof = preferred_number_nearest(value=25.0 * working_load_limit_t, series="R'10")
    breaking = preferred_number_nearest(value=40.0 * working_load_limit_t, series="R'10")
    return Din766Forces(proof, breaking, 1000.0 * breaking / load_on_two_sections_N(size, 1.0))


def _check_pitch(nominal_diameter_mm: Values, pitch_mm: Values) -> None:
    table = published_table("din766")
    for size, pitch in np.broadcast(nominal_diameter_mm, pitch_mm):
        if not table.holds(float(size)):
            continue
        listed = float(table.row(float(size)).cells["pitch_mm"])
        if abs(pitch - listed) > _PITCH_TOLERANCE * listed:
            accepted = f"{listed:g} mm for size {size:g} mm"
            reason = "is not the pitch of this standard"
            raise ArgumentError("pitch_mm", f"{pitch:g}", "mm", accepted, reason)
