"""`linkwright eye`: one open eye of jack chain, pulled open by finite elements."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from linkwright.cli.show import Json, NoColor, Screen, columns, number_text
from linkwright.cli.solid import (
    Diameter,
    Fineness,
    MeshFineness,
    Modulus,
    Replaced,
    answer,
    one_thread,
    progress_of,
)

if TYPE_CHECKING:
    from linkwright.services.eye_under_load import EyeAnswer

EPILOG = """
Examples:

\b
  linkwright eye --diameter 2.64mm --inner 6.2mm --gap 0.5mm --strength 620MPa
  linkwright eye --diameter 2.64mm --inner 6.2mm --strength 620MPa --out eye --json

Pulls the eye by its neighbour until the gap lets the neighbour's wire out, and gives the force over
the gap beside that of a thin bar. Lengths without unit are mm, stresses MPa. Jack chain is
not for lifting or for loads over people.
"""

_Inner = Annotated[
    str, typer.Option("--inner", metavar="LENGTH", help="Diameter of the eye inside.")
]
_Strength = Annotated[str, typer.Option("--strength", metavar="STRESS", help="Tensile strength.")]
_Gap = Annotated[
    str | None,
    typer.Option("--gap", metavar="LENGTH", help="Free way from wire end to neck; 0 if left out."),
]
_Exponent = Annotated[
    str | None,
    typer.Option("--hardening", metavar="N", help="n of K (e0 + p)^n; 0.15 if left out."),
]
_Prestrain = Annotated[
    str | None,
    typer.Option("--prestrain", metavar="E0", help="e0 of it, by drawing; 0.3 if left out."),
]
_Out = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", help="Folder for pictures and eye.json.")
]


def eye(
    diameter: Diameter,
    inner: _Inner,
    strength: _Strength,
    gap: _Gap = None,
    hardening: _Exponent = None,
    prestrain: _Prestrain = None,
    modulus: Modulus = None,
    fineness: MeshFineness = Fineness.medium,
    out: _Out = None,
    force: Replaced = False,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Pull an open eye of jack chain by finite elements: force over the gap, and pictures."""
    one_thread()
    from linkwright.services.eye_under_load import CAUTION, eye_under_load  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    made = eye_under_load(
        {
            "wire_diameter_mm": diameter,
            "eye_inner_diameter_mm": inner,
            "tensile_strength_MPa": strength,
            "gap_mm": gap,
            "hardening_exponent": hardening,
            "prestrain": prestrain,
            "elastic_modulus_GPa": modulus,
        },
        fineness=fineness.value,
        out=out,
        force=force,
        progress=progress_of(screen),
    )
    answer(made, told, CAUTION, screen, json=json)


def told(made: EyeAnswer) -> list[str]:
    """The answer for people."""
    pull = made.pull
    rows = [
        ("opening force", number_text(pull.opening_force_N, "N")),
        ("of a thin bar", number_text(made.thin_bar_force_N, "N")),
        ("ended", pull.ended),
    ]
    texts = [columns(rows)]
    if not pull.opened:
        texts.append("  the gap did not open far enough: the force is the greatest seen")
    step = max(1, len(pull.readings) // 8)
    curve = [
        (number_text(reading.gap_mm, "mm"), number_text(reading.force_N, "N"))
        for reading in pull.readings[::step]
    ]
    return [*texts, "\nGap and force", columns(curve), *(f"wrote {path}" for path in made.files)]
