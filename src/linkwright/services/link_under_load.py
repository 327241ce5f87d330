"""One link by finite elements: pulled, proved if a proof force is given, with its pictures.

Offers `link_under_load` and `LinkAnswer`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from linkwright.mechanics.solid_damage import Breaking, breaking
from linkwright.mechanics.solid_link import (
    SolidProof,
    SolidPull,
    prove_solid_link,
    pull_solid_link,
)
from linkwright.mechanics.solid_model import Reading
from linkwright.mechanics.solid_octant import FINENESS
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.services.link_files import link_files
from linkwright.services.link_given import GivenLink, given_link
from linkwright.services.link_words import CAUTION
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.plan_folder import refuse_if_in_use, write_whole_folder


@dataclass(frozen=True)
class LinkAnswer:
    """What was asked and what came out."""

    given: GivenLink
    fineness: str
    pull: SolidPull
    breaking: Breaking
    proof: SolidProof | None
    files: tuple[Path, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "schema_version": SCHEMA_VERSION,
            "given": dict(self.given.values) | {"steel_as": self.given.steel_as},
            "fineness": self.fineness,
            "pull": _pull_data(self.pull),
            "breaking": _breaking_data(self.given, self.breaking),
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

    ``values`` are those of `given_link`. ``out`` is a folder for pictures, a page and the answer
    as JSON. Raises what `given_link` does, `ArgumentError` for a proof force that the link cannot
    bear, `LinkNotSolved` where no equilibrium was found, `FolderInUse`.
    """
    if fineness not in FINENESS:
        raise UnknownName("fineness", fineness, FINENESS)
    if out is not None:
        refuse_if_in_use(out, force=force)
    given = given_link(values)
    tell = progress or (lambda text: None)
    tell("pulling the link")
    pull = pull_solid_link(
        given.geometry,
        given.curve,
        fineness=fineness,
        weld=given.weld,
        friction_coefficient=given.number("friction_coefficient"),
        stud=given.stud,
        fall=given.number("fall_percent") / 100,
    )
    proof = None
    if given.values["proof_force_kN"] is not None:
        tell("loading it to the proof force and unloading it")
        proof = _proved(given, pull, fineness)
    answer = LinkAnswer(given, fineness, pull, _breaking(given, pull), proof)
    return answer if out is None else _written(answer, out, force=force)


def _proved(given: GivenLink, pull: SolidPull, fineness: str) -> SolidProof:
    wanted = given.number("proof_force_kN")
    if wanted >= pull.maximum_force_kN:
        raise ArgumentError(
            "proof_force_kN", wanted, "kN",
            f"less than the maximum force of the link, {pull.maximum_force_kN:.4g} kN",
        )  # fmt: skip
    return prove_solid_link(
        given.geometry,
        given.curve,
        wanted,
        fineness=fineness,
        weld=given.weld,
        friction_coefficient=given.number("friction_coefficient"),
        stud=given.stud,
    )


def _breaking(given: GivenLink, pull: SolidPull) -> Breaking:
    return breaking(
        pull.damage,
        pull.force_kN,
        pull.extension_mm,
        pull.model.outline.pitch_mm,
        given.limits,
        passed=pull.passed,
        weld_share=given.weld_share,
    )


def _readings(readings: list[Reading]) -> dict[str, list[float]]:
    """Readings as columns."""
    return {
        name: [float(getattr(reading, name)) for reading in readings] for name in Reading._fields
    }


def _pull_data(pull: SolidPull) -> dict[str, Any]:
    names = (
        "maximum_force_kN", "extension_at_maximum_mm", "elongation_at_maximum_percent",
        "efficiency", "passed", "ended", "stiffness_kN_per_mm", "unbalanced_work_percent",
        "greatest_imbalance_percent", "friction_work_percent", "factorisations", "negative_pivots",
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


def _breaking_data(given: GivenLink, found: Breaking) -> dict[str, Any]:
    data = found._asdict()
    data["damage"] = {place.replace(" ", "_"): share for place, share in found.damage.items()}
    data["reduction_of_area_as"] = given.area_as
    return data | {name: float(value) for name, value in given.limits._asdict().items()}


def _written(answer: LinkAnswer, out: Path, *, force: bool) -> LinkAnswer:
    """The answer with its files: pictures, a page, and what ``--json`` prints."""
    content = {**link_files(answer), "link.json": answer.to_dict()}
    return replace(answer, files=tuple(write_whole_folder(out, content, force=force)))
