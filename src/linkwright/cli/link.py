"""`linkwright link`: one link under load by finite elements."""

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
from linkwright.quantities import split
from linkwright.services.link_words import CAUTION, FIRST, OF_PROOF, OF_PULL

if TYPE_CHECKING:
    from linkwright.services.link_under_load import LinkAnswer

EPILOG = """
Examples:

\b
  linkwright link --diameter 8mm --pitch 24mm --inner-width 10.8mm --strength 1180MPa
  linkwright link --diameter 8mm --pitch 24mm --inner-width 10.8mm --strength 1180MPa \\
    --proof 50.3kN --fineness coarse --out link --json
  linkwright link --diameter 8mm --pitch 24mm --inner-width 10.8mm --steel 23MnNiMoCr5-4 \\
    --hardness 380HV --fall 20%

Pulls the link by its neighbours through its maximum force and says what ends it: the force falls
(instability) or the steel tears (fracture), and where. With --proof it also loads the link to
that force and unloads it. The steel is given by --strength, by --hardness (with --steel held
against what that steel reaches), or by --steel alone: annealed rod. Lengths without unit are mm,
stresses MPa, forces kN. A computed force is no rating: chain is fit for lifting only after the
tests of its standard.
"""


_Pitch = Annotated[str, typer.Option("--pitch", metavar="LENGTH", help="Inner length.")]
_Width = Annotated[str, typer.Option("--inner-width", metavar="LENGTH", help="Between the legs.")]
_Strength = Annotated[
    str | None, typer.Option("--strength", metavar="STRESS", help="Tensile strength.")
]
_Steel = Annotated[
    str | None, typer.Option("--steel", metavar="NAME", help="Name or number of the steel.")
]
_Hardness = Annotated[
    str | None, typer.Option("--hardness", metavar="HV", help="After hardening and tempering.")
]
_Area = Annotated[
    str | None,
    typer.Option(
        "--reduction-of-area",
        metavar="PERCENT",
        help="Of a tensile test; by strength, as of tempered steel, if left out.",
    ),
]
_Weld = Annotated[
    str | None,
    typer.Option(
        "--weld-ductility",
        metavar="PERCENT",
        help="Ductility left at the weld; 50 if left out, an assumption.",
    ),
]
_Fall = Annotated[
    str | None,
    typer.Option("--fall", metavar="PERCENT", help="Pull on until the force fell so far; 1."),
]
_Exponent = Annotated[
    str | None,
    typer.Option("--hardening", metavar="N", help="n of K (e0 + p)^n; 0.06 if left out."),
]
_Prestrain = Annotated[
    str | None, typer.Option("--prestrain", metavar="E0", help="e0 of it; 0.005 if left out.")
]
_Crown = Annotated[
    str | None,
    typer.Option("--crown-radius", metavar="LENGTH", help="Mean, of the middle 60 degrees."),
]
_Friction = Annotated[
    str | None,
    typer.Option("--friction", metavar="COEFFICIENT", help="Where links touch; 0 if left out."),
]
_Bulge = Annotated[
    str | None,
    typer.Option("--weld-bulge", metavar="PERCENT", help="Growth of the radius at the weld."),
]
_Undercut = Annotated[
    str | None,
    typer.Option(
        "--weld-undercut", metavar="PERCENT", help="Depth over the radius, on the outside."
    ),
]
_ZoneStrength = Annotated[
    str | None,
    typer.Option("--weld-strength", metavar="PERCENT", help="Of the weld's zone; 100."),
]
_Zone = Annotated[
    str | None,
    typer.Option("--weld-zone", metavar="LENGTH", help="Along the leg; the wire if left out."),
]
_Legs = Annotated[
    str | None,
    typer.Option("--welded-legs", metavar="N", help="1, or 2 for both alike, which is quicker."),
]
_Stud = Annotated[
    str | None,
    typer.Option("--stud", metavar="LENGTH", help="Diameter of a stud between the legs."),
]
_Squeeze = Annotated[
    str | None,
    typer.Option(
        "--stud-squeeze", metavar="LENGTH", help="By how much it is too long; 0. Below 0: play."
    ),
]
_Proof = Annotated[
    str | None, typer.Option("--proof", metavar="FORCE", help="Load to this and unload.")
]
_Out = Annotated[
    Path | None,
    typer.Option("--out", metavar="DIR", help="Folder for pictures, page, link.json."),
]


def link(
    diameter: Diameter,
    pitch: _Pitch,
    inner_width: _Width,
    strength: _Strength = None,
    steel: _Steel = None,
    hardness: _Hardness = None,
    hardening: _Exponent = None,
    prestrain: _Prestrain = None,
    modulus: Modulus = None,
    crown_radius: _Crown = None,
    friction: _Friction = None,
    weld_bulge: _Bulge = None,
    weld_undercut: _Undercut = None,
    weld_strength: _ZoneStrength = None,
    weld_zone: _Zone = None,
    welded_legs: _Legs = None,
    stud: _Stud = None,
    stud_squeeze: _Squeeze = None,
    reduction_of_area: _Area = None,
    weld_ductility: _Weld = None,
    fall: _Fall = None,
    proof: _Proof = None,
    fineness: MeshFineness = Fineness.medium,
    out: _Out = None,
    force: Replaced = False,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Pull one link by finite elements: force, what breaks it, set, strain and pictures."""
    one_thread()
    from linkwright.services.link_under_load import link_under_load  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    made = link_under_load(
        {
            "wire_diameter_mm": diameter,
            "pitch_mm": pitch,
            "inner_width_mm": inner_width,
            "tensile_strength_MPa": strength,
            "steel": steel,
            "hardness_HV": hardness,
            "hardening_exponent": hardening,
            "prestrain": prestrain,
            "elastic_modulus_GPa": modulus,
            "crown_radius_mm": crown_radius,
            "friction_coefficient": friction,
            "weld_bulge_percent": weld_bulge,
            "weld_undercut_percent": weld_undercut,
            "weld_strength_percent": weld_strength,
            "weld_zone_mm": weld_zone,
            "welded_legs": welded_legs,
            "stud_diameter_mm": stud,
            "stud_squeeze_mm": stud_squeeze,
            "reduction_of_area_percent": reduction_of_area,
            "weld_ductility_percent": weld_ductility,
            "fall_percent": fall,
            "proof_force_kN": proof,
        },
        fineness=fineness.value,
        out=out,
        force=force,
        progress=progress_of(screen),
    )
    answer(made, told, CAUTION, screen, json=json)


def told(made: LinkAnswer) -> list[str]:
    """The answer for people."""
    pull, proof = made.pull, made.proof
    texts = [f"Pulled: {made.given.steel_as}", _table(pull, OF_PULL), f"  ended: {pull.ended}"]
    if not pull.passed:
        texts.append("  the maximum was not passed: the force given is the greatest seen")
    texts += ["\nBreaking", *_breaking(made)]
    if proof is not None:
        texts += ["\nProved", _table(proof, OF_PROOF), "\nResidual stress along the wire"]
        stresses = proof.residual_stress_MPa.items()
        texts.append(columns([(place, number_text(value, "MPa")) for place, value in stresses]))
    return texts + [f"wrote {path}" for path in made.files]


def _breaking(made: LinkAnswer) -> list[str]:
    """What ends the link, where, and how near each place is to tearing."""
    found, given = made.breaking, made.given
    area = number_text(given.values["reduction_of_area_percent"], "percent")
    rows = [
        ("first", FIRST[found.first]),
        ("breaking force", number_text(found.breaking_force_kN, "kN")),
        ("reduction of area of the steel", f"{area} ({given.area_as})"),
        ("damage then, 1 tears", number_text(found.damage_at_maximum)),
        ("by greatest tension instead", number_text(found.tension_at_maximum)),
    ]
    if found.fracture_force_kN is None:
        rows.append(("nearest to tearing at the end", f"{found.place}, "
                     f"damage {number_text(found.damage_at_end)}"))  # fmt: skip
    else:
        rows += [
            ("tears at", found.place),
            ("force there", number_text(found.fracture_force_kN, "kN")),
            (
                "total ultimate elongation",
                number_text(found.fracture_elongation_percent, "percent"),
            ),
        ]
    places = [(f"  {place}", number_text(share)) for place, share in found.damage.items()]
    return [columns(rows), "  damage by place at that force", columns(places)]


def _table(part: object, names: tuple[str, ...]) -> str:
    rows = []
    for name in names:
        words, unit = split(name)
        rows.append((words.replace("_", " "), number_text(getattr(part, name), unit)))
    return columns(rows)
