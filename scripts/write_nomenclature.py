"""Write docs/nomenclature.md from the table of units; with --check only compare.

python scripts/write_nomenclature.py
python scripts/write_nomenclature.py --check
"""

from __future__ import annotations

import sys
from fractions import Fraction
from pathlib import Path
from textwrap import fill

from linkwright.quantities import UNITS, unit_text, units_of
from linkwright.quantities.units import DIFFERENCES, WRITTEN, Unit

PAGE = Path(__file__).parents[1] / "docs" / "nomenclature.md"
_LONGEST_DECIMAL = 12
HEAD = """# Names and units

This page is written from `src/linkwright/quantities/units.py` by
`python scripts/write_nomenclature.py`; a test compares the two.

A name of a quantity is a stem and a unit: `wire_diameter_mm` is `wire_diameter` in `mm`. The
longest suffix of the tables below is the unit, so `specific_heat_J_per_kgK` carries
`J_per_kgK`. A name that ends in none of them is a pure number, a text or a truth value. In
TOML files, JSON, column heads, arguments and results the same names mean the same thing.

- `_min` at the end is minutes. Least and greatest stand before the quantity
  (`least_yield_MPa`).
- `percent` is the only unit of a share; without it a share is a number from 0 to 1.
{differences}
- Hardness scales are not converted by arithmetic, only by a cited table.
- `t` is the tonne, 1000 kg. `ton` alone is refused: it may be a mass or one of two forces.

A number is written with a point and no thousands sign: `8`, `8.5`, `1e-3`, `5/16`, `1 1/4`; a
unit may follow (`0.315 in`, `18 klbf`). A decimal comma is refused, never guessed. A unit is
read as its suffix, as it is printed, with `/` for `_per_` (`N/mm2`), with ², ³, ^, ·, µ and Ω,
and in the spellings of the last column. No other spelling is read.

The size of a unit is exact where it is a plain decimal or a fraction; `≈` marks a decimal that
was cut for this page (the program keeps the fraction). Inch, pound, standard gravity and the
zeros of temperature scales are exact by definition.
"""
TABLE = "| kind | suffix | printed | size | also read |\n|---|---|---|---|---|"


def page() -> str:
    """The whole page: the rules, then all units by kind, in the order of the table."""
    *most, last = [f"`{word}`" for word in DIFFERENCES]
    words = fill(
        f"- A temperature difference is a kind of its own: its stem ends in {', '.join(most)} or"
        f" {last}. It is scaled, never shifted: a `core_undercooling_K` of 10 is 18 `degF`.",
        width=95,
        subsequent_indent="  ",
    )
    rows = [
        row
        for kind in dict.fromkeys(unit.kind for unit in UNITS.values())
        for row in _rows([UNITS[suffix] for suffix in units_of(kind)])
    ]
    return "\n".join([HEAD.format(differences=words), TABLE, *rows, ""])


def _rows(units: list[Unit]) -> list[str]:
    return [
        f"| {unit.kind if unit is units[0] else ''} | `{unit.suffix}` | {unit_text(unit.suffix)} "
        f"| {_size(unit, units[0])} | {_also(unit)} |"
        for unit in units
    ]


def _size(unit: Unit, first: Unit) -> str:
    if unit is first:
        return ""
    ratio = _decimal(unit.size / first.size)
    shown = unit_text(first.suffix)
    if unit.offset:
        moved = f"(value + {_decimal(unit.offset)})"
        return f"{moved} {shown}" if ratio == "1" else f"{moved} × {ratio} {shown}"
    return f"{ratio} {shown}"


def _decimal(exact: Fraction) -> str:
    """The fraction as a decimal if it ends, as a short fraction, or cut and marked so."""
    left = exact.denominator
    for prime in (2, 5):
        while left % prime == 0:
            left //= prime
    if left == 1:
        value = f"{float(exact):.15g}"
        if Fraction(value) == exact:
            return value
    short = f"{exact.numerator}/{exact.denominator}"
    return short if len(short) <= _LONGEST_DECIMAL else f"≈ {float(exact):.10g}"


def _also(unit: Unit) -> str:
    return ", ".join(f"`{text}`" for text, suffix in WRITTEN.items() if suffix == unit.suffix)


def main() -> int:
    """Write or compare the page; the exit code is 1 if the page is not up to date."""
    if "--check" in sys.argv[1:]:
        if PAGE.exists() and PAGE.read_text(encoding="utf-8") == page():
            return 0
        print(
            f"{PAGE} is not what the table says; run this script without --check", file=sys.stderr
        )
        return 1
    PAGE.write_text(page(), encoding="utf-8")
    print(PAGE)
    return 0


if __name__ == "__main__":
    sys.exit(main())
