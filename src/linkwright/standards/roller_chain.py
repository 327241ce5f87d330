"""Roller chains by their number: sizes and strengths of ISO 606 and ASME B29.1.

- `iso606_chain`: one row of ISO 606, series A, B, C, H and the light cycle chains
- `ansi_chain`: the general dimensions of ASME B29.1 in inches
- `roller_chain_strength`: tensile strength, measuring force and preload for 1 to 6 strands
- `roller_chain_bearing_area`: bearing area of the joint

A chain number may be written as people do: "16B", "16B-2", "ISO 606 16B-1", "80", "ANSI 80-3",
"No. 40"; `read_chain_number` takes it apart. ISO 606 and ASME B29.1 name the same chains of
series A (08A is 40), so each table is found by either number.
"""

from __future__ import annotations

import re
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError, UnknownName, convert
from linkwright.standards.reader import Row, Table, published_table

_NUMBER = re.compile(
    r"(?:(?:ISO *606|DIN *818[78]|ANSI|ASME *B29\.1|NO\.?|#) *)?"
    r"(?P<chain>[0-9]{2,3}[A-Z]?)(?: *-? *(?<=[- ])(?P<strands>[0-9]{1,2}))?"
)
_ACCEPTED = "a chain number such as 16B, 16B-2, 80 or 80-3"
_STRAND_NAMES = ("simplex", "duplex", "triplex")
_STANDARD_GRAVITY = 9.80665
PRELOAD_SHARE = 1.0 / 3.0
"""Preload of a finished chain over its tensile strength: ISO 606:2004, clause on preloading
(recommended at least 30 %), a third as is common practice."""

ChainText = str | list[str]


class ChainNumber(NamedTuple):
    """A chain number taken apart: the chain without strands, and its strands."""

    chain: str
    strands: int


class Iso606Chain(NamedTuple):
    """Results of `iso606_chain`; a cell that the standard or this table lacks is nan."""

    pitch_mm: Values
    greatest_roller_diameter_mm: Values
    least_inner_width_mm: Values
    greatest_pin_diameter_mm: Values
    least_bushing_bore_mm: Values
    least_path_depth_mm: Values
    greatest_plate_height_mm: Values
    greatest_outer_plate_height_mm: Values
    transverse_pitch_mm: Values
    greatest_inner_link_width_mm: Values
    least_outer_link_opening_mm: Values
    greatest_pin_length_simplex_mm: Values
    greatest_pin_length_duplex_mm: Values
    greatest_pin_length_triplex_mm: Values
    greatest_fastener_projection_mm: Values
    measuring_force_simplex_N: Values
    measuring_force_duplex_N: Values
    measuring_force_triplex_N: Values
    breaking_force_simplex_kN: Values
    breaking_force_duplex_kN: Values
    breaking_force_triplex_kN: Values
    dynamic_strength_N: Values
    mass_per_length_kg_per_m: Values


class AnsiChain(NamedTuple):
    """Results of `ansi_chain`; a cell that is not held is nan."""

    pitch_in: Values
    roller_diameter_in: Values
    inner_width_in: Values
    pin_diameter_in: Values
    plate_thickness_in: Values
    transverse_pitch_in: Values
    measuring_load_lbf: Values
    breaking_force_lbf: Values
    weight_lbf_per_ft: Values


class ChainStrength(NamedTuple):
    """Results of `roller_chain_strength`."""

    breaking_force_kN: Values
    measuring_force_N: Values
    preload_kN: Values
    greatest_pin_length_mm: Values


def read_chain_number(text: str, strands: int = 1) -> ChainNumber:
    """The chain and its strands as ``text`` says, ``strands`` where it does not.

    Raises `ArgumentError` for anything that is not a chain number.

    >>> read_chain_number("ISO 606 16B-2"), read_chain_number("No. 40")
    (ChainNumber(chain='16B', strands=2), ChainNumber(chain='40', strands=1))
    """
    match = _NUMBER.fullmatch(" ".join(str(text).upper().split()))
    if match is None or match["strands"] == "0":
        raise ArgumentError("chain_number", str(text)[:60], "", _ACCEPTED)
    return ChainNumber(match["chain"], int(match["strands"] or strands))


def iso606_row(chain_number: str) -> Row:
    """The row of ISO 606 for a chain number of either standard. Raises `UnknownName`."""
    table = published_table("iso606_chain")
    chain = read_chain_number(chain_number).chain
    same = [row for row in table if row.cells.get("ansi_number") == chain]
    return same[0] if same else _row(table, chain)


def ansi_row(chain_number: str) -> Row:
    """The row of ASME B29.1 for a chain number of either standard. Raises `UnknownName`."""
    table = published_table("ansi_chain")
    chain = read_chain_number(chain_number).chain
    if not table.holds(chain):
        iso = published_table("iso606_chain")
        if iso.holds(chain):
            chain = iso.row(chain).cells.get("ansi_number", chain)
    return _row(table, chain)


@calculation(
    source="ISO 606:2004, Short-pitch transmission precision roller and bush chains, Tables 1, 2",
    basis="memory",
)
def iso606_chain(*, chain_number: ChainText) -> Iso606Chain:
    """Sizes, measuring force and strength of a roller chain by its ISO 606 number.

    The row of the standard: pitch p, greatest roller d1, least inner width b1, greatest pin d2,
    least bushing bore d3, least path depth h1, greatest plate heights h2 (inner) and h3 (outer or
    intermediate), transverse pitch pt, greatest width over the inner link b2, least opening of
    the outer link b3, pin lengths b4 to b6, projection of a fastener b7, measuring forces, least
    tensile strengths Fu and dynamic strength Fd (simplex). Mass per length is that of DIN 8187-1
    (series B), or Shigley's weight of the ANSI chain (series A). 04C and 06C (25 and 35) have no
    rollers: d1 is the bushing.

    A cell that is not held is nan: strands that do not exist (081 to 085), masses of the greatest
    sizes and of series H, dynamic strength of cycle chain.

    Args:
        chain_number: One, a list, or a text with commas: "16B", "80" (same chain as 16A), "100H".

    Raises:
        UnknownName: a number that is not held.

    References:
        ISO 606:2004, Tables 1 and 2; series A equals ASME B29.1.

    Example:
        >>> chain = iso606_chain(chain_number="16B")
        >>> chain.pitch_mm, chain.transverse_pitch_mm, chain.breaking_force_simplex_kN
        (25.4, 31.88, 60.0)
    """
    return Iso606Chain(*_columns(chain_number, iso606_row, Iso606Chain._fields, _iso_mass))


@calculation(
    source="ASME B29.1, Precision power transmission roller chains, general chain dimensions; "
    "strength, weight and strand spacing: Shigley, 10th ed., Table 17-19",
)
def ansi_chain(*, chain_number: ChainText) -> AnsiChain:
    """Sizes, strength and weight of a roller chain by its ASME B29.1 (ANSI) number.

    The number without its last digit is the pitch in eighths of an inch; the last digit is 0 for
    roller chain, 1 for light chain, 5 for chain without rollers (the roller diameter is then that
    of the bushing). H marks thicker plates. The measuring load is 1 % of the tensile strength
    12500 p^2, at least 18 and at most 1000 lbf; No. 41: 18 lbf.

    Args:
        chain_number: One, a list, or a text with commas: "40", "80H", "16A" (same chain as 80).

    Raises:
        UnknownName: a number that is not held.

    References:
        ASME B29.1, general chain dimensions, as in Machinery's Handbook; Shigley's Mechanical
        Engineering Design, 10th ed., Table 17-19 (nan where it has nothing: weight of heavy chain,
        spacing of No. 41).

    Example:
        >>> chain = ansi_chain(chain_number="60")
        >>> chain.pitch_in, chain.roller_diameter_in, chain.measuring_load_lbf
        (0.75, 0.469, 70.3125)
    """
    return AnsiChain(*_columns(chain_number, ansi_row, AnsiChain._fields, _measuring_load))


@calculation(
    source="ISO 606:2004, Tables 1 and 2 (1 to 3 strands)",
    needs={"strands": (1.0, 6.0)},
    valid={"strands": (1.0, 3.0)},
    basis="memory",
)
def roller_chain_strength(*, chain_number: str, strands: Values = None) -> ChainStrength:
    """Least tensile strength, measuring force, preload and pin length of a chain with its strands.

    One to three strands are the cells of the standard. More strands are by agreement: n/3 times
    the triplex value (series A and H: n times simplex, which is the same), and a pin longer by
    one transverse pitch for each strand; the result then carries a warning. Preload is a third of
    the strength (common practice, no source; the standard recommends at least 30 %).

    Args:
        chain_number: Chain with or without its strands, "16B" or "16B-2".
        strands: Number of strands where the chain number does not say it (1).

    Raises:
        ArgumentError: strands that are no whole number, or strands of a chain that has only one.

    References:
        ISO 606:2004, Tables 1 and 2.

    Example:
        >>> roller_chain_strength(chain_number="16B-2").breaking_force_kN
        106.0
    """
    number = read_chain_number(chain_number)
    said = number.strands if strands is None else strands
    row = iso606_row(chain_number)
    found = [_strength(row, float(count)) for count in np.ravel(said)]
    return ChainStrength(*(np.reshape(column, np.shape(said)) for column in np.transpose(found)))


@calculation(
    source="DIN 8187-1, bearing area of the joint f = d2 b2",
    gives="bearing_area_mm2",
    needs={"pin_diameter_mm": POSITIVE, "inner_link_width_mm": POSITIVE, "strands": (1.0, None)},
    basis="memory",
)
def roller_chain_bearing_area(
    *,
    chain_number: str | None = None,
    pin_diameter_mm: Values = None,
    inner_link_width_mm: Values = None,
    strands: Values = 1.0,
) -> Values:
    """Bearing area of a joint: pin diameter times width of the inner link, times strands.

    f = n d2 b2, d2 and b2 in mm, f in mm2; the width is that over the inner link because the
    bushing bears on the pin over its whole length. What is not given is taken from ISO 606 by the
    chain number.

    Raises:
        ArgumentError: neither the sizes nor a chain number.

    References:
        DIN 8187-1, remembered; its table is rounded to 0.01 cm2.

    Example:
        >>> round(roller_chain_bearing_area(chain_number="16B"), 1)
        210.7
    """
    if chain_number is not None:
        cells = iso606_row(chain_number).cells
        if pin_diameter_mm is None:
            pin_diameter_mm = cells["greatest_pin_diameter_mm"]
        if inner_link_width_mm is None:
            inner_link_width_mm = cells["greatest_inner_link_width_mm"]
    if pin_diameter_mm is None or inner_link_width_mm is None:
        reason = "is needed, or pin_diameter_mm and inner_link_width_mm"
        raise ArgumentError("chain_number", "none", "", _ACCEPTED, reason)
    return strands * pin_diameter_mm * inner_link_width_mm


def ansi_measuring_load_lbf(pitch_in: Values) -> Values:
    """1 % of 12500 p^2, at least 18 lbf and at most 1000 lbf (ASME B29.1)."""
    return np.clip(0.01 * 12500.0 * np.square(pitch_in), 18.0, 1000.0)


def _row(table: Table, chain: str) -> Row:
    if table.holds(chain):
        return table.row(chain)
    raise UnknownName("chain_number", chain, [str(known) for known in table.listed])


def _columns(numbers: ChainText, row_of: Any, names: tuple[str, ...], extra: Any) -> Any:
    """Each named cell for one chain number, or for a list of them as an array."""
    single = isinstance(numbers, str) and "," not in numbers
    listed = numbers.split(",") if isinstance(numbers, str) else numbers
    rows = [row_of(number) for number in listed]
    for name in names:
        cells = [float(row.cells.get(name, extra(row, name))) for row in rows]
        yield cells[0] if single else np.array(cells)


def _iso_mass(row: Row, name: str) -> float:
    """Mass of a chain of series A by Shigley's weight of the same ANSI chain."""
    number = row.cells.get("ansi_number")
    if name != "mass_per_length_kg_per_m" or number is None:
        return float("nan")
    cells = ansi_row(str(number)).cells
    weight = float(cells.get("weight_lbf_per_ft", float("nan")))
    return float(convert(weight, "lbf_per_ft", "N_per_m")) / _STANDARD_GRAVITY


def _measuring_load(row: Row, name: str) -> float:
    if name != "measuring_load_lbf":
        return float("nan")
    return float(ansi_measuring_load_lbf(float(row.cells["pitch_in"])))


def _strength(row: Row, strands: float) -> tuple[float, float, float, float]:
    """Strength, measuring force, preload and pin length of one row for one number of strands."""
    cells = row.cells
    single = "transverse_pitch_mm" not in cells
    if strands != round(strands) or (single and strands > 1):
        accepted = "1" if single else "a whole number from 1 to 6"
        raise ArgumentError("strands", f"{strands:g}", "", accepted)

    def of(stem: str, unit: str) -> float:
        if strands <= len(_STRAND_NAMES):
            name = f"{stem}_{_STRAND_NAMES[int(strands) - 1]}_{unit}"
            return float(cells.get(name, float("nan")))
        least = cells.get(f"{stem}_triplex_{unit}", float("nan"))
        return float(least) * strands / len(_STRAND_NAMES)

    breaking = of("breaking_force", "kN")
    further = max(0.0, strands - len(_STRAND_NAMES))
    held = _STRAND_NAMES[int(strands - further) - 1]
    pin_length = float(cells[f"greatest_pin_length_{held}_mm"])
    pin_length += further * float(cells.get("transverse_pitch_mm", 0.0))
    return breaking, of("measuring_force", "N"), PRELOAD_SHARE * breaking, pin_length
