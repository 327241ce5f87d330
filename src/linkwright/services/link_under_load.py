"""One link by finite elements: pulled, proved if a proof force is given, with its pictures.

Offers `link_under_load` and `LinkAnswer`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.documents.display import Display
from linkwright.documents.link_under_load import pull_chart, strain_picture
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_cut import cut_of
from linkwright.mechanics.solid_link import (
    SolidProof,
    SolidPull,
    prove_solid_link,
    pull_solid_link,
)
from linkwright.mechanics.solid_model import Reading
from linkwright.mechanics.solid_octant import FINENESS
from linkwright.quantities import (
    ArgumentError,
    InputErrors,
    LinkwrightError,
    Problem,
    UnknownName,
    quantity,
)
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.plan_folder import refuse_if_in_use, write_whole_folder

CAUTION = (
    "A computed force is no rating: chain is fit for lifting only after the tests of its standard "
    "and a competent person's judgement; a chain that breaks on a test bed flies."
)
DEFAULTS: Mapping[str, float] = {
    "hardening_exponent": 0.06,
    "prestrain": 0.005,
    "elastic_modulus_GPa": 205.0,
    "weld_bulge_percent": 0.0,
}
"""What is taken where nothing is given."""
_NEEDED = ("wire_diameter_mm", "pitch_mm", "inner_width_mm", "tensile_strength_MPa")
_OPTIONAL = (*DEFAULTS, "crown_radius_mm", "proof_force_kN")


@dataclass(frozen=True)
class LinkAnswer:
    """What was asked and what came out."""

    given: Mapping[str, float | None]
    fineness: str
    pull: SolidPull
    proof: SolidProof | None
    files: tuple[Path, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION,
            "given": dict(self.given),
            "fineness": self.fineness,
            "pull": _pull_data(self.pull),
            "proof": None if self.proof is None else _proof_data(self.proof),
            "caution": CAUTION,
            "files": [str(path) for path in self.files],
        }


def link_under_load(
    values: Mapping[str, str | float | None],
    *,
    fineness: str = "medium",
    out: Path | None = None,
    force: bool = False,
    progress: Callable[[str], None] | None = None,
) -> LinkAnswer:
    """Pull a link until its force falls; load it to ``proof_force_kN`` and unload it if given.

    ``values`` are texts with units or numbers in the unit of their key. ``out`` is a folder for
    pictures and the answer as JSON.

    Raises `InputErrors` with all wrong values at once, `ArgumentError` for sizes that make no
    link, `LinkNotSolved` where no equilibrium was found, `FolderInUse`.
    """
    if fineness not in FINENESS:
        raise UnknownName("fineness", fineness, FINENESS)
    if out is not None:
        refuse_if_in_use(out, force=force)
    given = _read(values)
    geometry, curve = _link(given)
    tell = progress or (lambda text: None)
    bulge = (given["weld_bulge_percent"] or 0.0) / 100
    tell("pulling the link")
    pull = pull_solid_link(geometry, curve, fineness=fineness, weld_bulge=bulge)
    proof, wanted = None, given["proof_force_kN"]
    if wanted is not None:
        if wanted >= pull.maximum_force_kN:
            raise ArgumentError(
                "proof_force_kN", wanted, "kN",
                f"less than the maximum force of the link, {pull.maximum_force_kN:.4g} kN",
            )  # fmt: skip
        tell("loading it to the proof force and unloading it")
        proof = prove_solid_link(geometry, curve, wanted, fineness=fineness, weld_bulge=bulge)
    answer = LinkAnswer(given, fineness, pull, proof)
    return answer if out is None else _written(answer, out, force=force)


def _read(values: Mapping[str, str | float | None]) -> dict[str, float | None]:
    """All values as numbers in the units of their keys, with the defaults."""
    problems: list[Problem] = []
    made: dict[str, float | None] = {}
    for name in (*_NEEDED, *_OPTIONAL):
        value = values.get(name)
        if value is None:
            made[name] = DEFAULTS.get(name)
            if name in _NEEDED:
                problems.append(Problem("missing-key", "is missing", key=name))
            continue
        try:
            made[name] = quantity(value, name)
        except LinkwrightError as error:
            problems.append(Problem("quantity", str(error), key=name))
            continue
        if name != "weld_bulge_percent" and not (made[name] or 0.0) > 0:
            problems.append(
                Problem("value", f"{value} is not positive", key=name, accepted="more than 0")
            )
    if problems:
        raise InputErrors(problems)
    return made


def _link(given: Mapping[str, float | None]) -> tuple[LinkGeometry, SwiftCurve]:
    number = {name: value for name, value in given.items() if value is not None}
    geometry = LinkGeometry(
        number["wire_diameter_mm"],
        number["pitch_mm"],
        number["inner_width_mm"] + 2 * number["wire_diameter_mm"],
        given["crown_radius_mm"],
    )
    curve = SwiftCurve.of_strength(
        number["tensile_strength_MPa"],
        number["hardening_exponent"],
        number["prestrain"],
        number["elastic_modulus_GPa"],
    )
    return geometry, curve


def _readings(readings: list[Reading]) -> dict[str, list[float]]:
    """Readings as columns."""
    return {
        name: [float(getattr(reading, name)) for reading in readings] for name in Reading._fields
    }


def _pull_data(pull: SolidPull) -> dict[str, Any]:
    names = (
        "maximum_force_kN", "extension_at_maximum_mm", "elongation_at_maximum_percent",
        "efficiency", "passed", "ended", "stiffness_kN_per_mm", "unbalanced_work_percent",
        "factorisations", "negative_pivots",
    )  # fmt: skip
    data: dict[str, Any] = {name: getattr(pull, name) for name in names}
    data["greatest_strain_at_maximum"] = float(pull.at_maximum.strain.max())
    data["readings"] = _readings(pull.readings)
    return data


def _proof_data(proof: SolidProof) -> dict[str, Any]:
    names = (
        "proof_force_kN", "permanent_set_mm", "residual_pitch_mm", "residual_outer_width_mm",
        "residual_inner_width_mm", "contact_area_mm2", "stiffness_before_kN_per_mm",
        "stiffness_after_kN_per_mm", "factorisations",
    )  # fmt: skip
    data: dict[str, Any] = {name: getattr(proof, name) for name in names}
    data["residual_stress_MPa"] = {
        place.replace(" ", "_"): stress for place, stress in proof.residual_stress_MPa.items()
    }
    data["loading"] = _readings(proof.loading)
    data["unloading"] = _readings(proof.unloading)
    return data


def _written(answer: LinkAnswer, out: Path, *, force: bool) -> LinkAnswer:
    """The answer with its files: pictures, and what ``--json`` prints."""
    made = LinkAnswer(answer.given, answer.fineness, answer.pull, answer.proof, ())
    files = write_whole_folder(out, {**_pictures(answer), "link.json": made.to_dict()}, force=force)
    return LinkAnswer(answer.given, answer.fineness, answer.pull, answer.proof, tuple(files))


def _pictures(answer: LinkAnswer) -> dict[str, str]:
    pull, proof = answer.pull, answer.proof
    display = Display()
    note = "Cut in its own plane; dashed: before loading. The neighbours are cut across."
    force = display.text("force_kN", pull.maximum_force_kN)
    cut = cut_of(pull.model, pull.at_maximum, pull.at_maximum.strain)
    drawn = {"link-at-maximum.svg": strain_picture(cut, f"Link at its maximum, {force}", note)}
    if proof is not None:
        force = display.text("proof_force_kN", proof.proof_force_kN)
        cut = cut_of(proof.model, proof.unloaded, proof.unloaded.strain)
        drawn["link-after-proof.svg"] = strain_picture(cut, f"Link after a proof of {force}", note)
    drawn["force-extension.svg"] = pull_chart(
        np.asarray(pull.extension_mm).tolist(),
        np.asarray(pull.force_kN).tolist(),
        None if proof is None else proof.proof_force_kN,
    )
    return {name: drawing.text() for name, drawing in drawn.items()}
