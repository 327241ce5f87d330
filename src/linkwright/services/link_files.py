"""The files of one link under load: its pictures, and a page with them and the figures.

Offers `link_files`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from importlib.metadata import version
from typing import TYPE_CHECKING, Any

import numpy as np

from linkwright.documents.chart import Mark
from linkwright.documents.display import Display
from linkwright.documents.link_under_load import field_picture, pull_chart
from linkwright.documents.typesetting import typeset
from linkwright.documents.words import words
from linkwright.mechanics.solid_cut import cut_of
from linkwright.mechanics.solid_damage import PLACES
from linkwright.mechanics.solid_element import Floats
from linkwright.services.link_words import CAUTION, FIRST, OF_PROOF, OF_PULL

if TYPE_CHECKING:
    from linkwright.services.link_under_load import LinkAnswer

_OF_LINK = (
    "wire_diameter_mm", "pitch_mm", "inner_width_mm", "tensile_strength_MPa",
    "hardening_exponent", "prestrain", "reduction_of_area_percent", "weld_ductility_percent",
)  # fmt: skip
_OF_BREAKING = (
    "breaking_force_kN", "damage_at_maximum", "tension_at_maximum", "damage_at_end",
    "fracture_force_kN", "fracture_elongation_percent",
)  # fmt: skip


def link_files(answer: LinkAnswer) -> dict[str, str | bytes]:
    """Pictures and the page by name.

    Raises `PapersFailed` if the page cannot be set.
    """
    pictures = _pictures(answer)
    data = {
        "title": "A link under load",
        "program": f"linkwright {version('linkwright')}",
        "first": FIRST[answer.breaking.first].capitalize(),
        "pictures": list(pictures.values()),
        "groups": _groups(answer),
        "caution": CAUTION,
        "foot": f"linkwright {version('linkwright')} · one link by finite elements, mesh "
        f"{answer.fineness} · {answer.given.steel_as}",
    }
    return {**pictures, "link.pdf": typeset(data, template="pulled.typ")}


def _groups(answer: LinkAnswer) -> list[dict[str, Any]]:
    """Tables of the page: the link, the pull, what breaks it, the proof."""
    given, pull, found, proof = answer.given, answer.pull, answer.breaking, answer.proof
    display = Display()

    def rows(names: Iterable[str], values: object) -> list[list[str]]:
        return [[words(name), display.text(name, _value(values, name))] for name in names]

    places = [[f"damage, {place}", display.number(share)] for place, share in found.damage.items()]
    breaking = [*rows(_OF_BREAKING, found), ["tears, or is nearest to it", found.place], *places]
    groups = [
        {"name": "Link and steel", "rows": rows(_OF_LINK, given.values)},
        {"name": "Pulled", "rows": rows(OF_PULL, pull)},
        {"name": "What breaks it (damage of 1 tears)", "rows": breaking},
    ]
    if proof is not None:
        stress = [
            [f"residual stress, {place}", display.text("stress_MPa", value, 3)]
            for place, value in proof.residual_stress_MPa.items()
        ]
        groups.append({"name": "Proved and unloaded", "rows": rows(OF_PROOF, proof) + stress})
    return groups


def _value(values: object, name: str) -> object:
    return values.get(name) if isinstance(values, Mapping) else getattr(values, name)


def _pictures(answer: LinkAnswer) -> dict[str, str]:
    pull, proof = answer.pull, answer.proof
    display = Display()
    note = "Cut in its own plane; dashed: before loading. The neighbours are cut across."
    if pull.model.cuts == 1:
        note = "Cut in its own plane; dashed: before loading. The weld is on the upper leg."
    force = display.text("force_kN", pull.maximum_force_kN)
    strain = cut_of(pull.model, pull.at_maximum, pull.at_maximum.strain)
    damage = cut_of(pull.model, pull.at_maximum, _damage_field(answer))
    drawn = {
        "link-at-maximum.svg": field_picture(strain, f"Link at its maximum, {force}", note),
        "damage-at-maximum.svg": field_picture(
            damage, f"Nearness to tearing at its maximum, {force}", note,
            of="damage, % of what tears",
        ),
    }  # fmt: skip
    if proof is not None:
        force = display.text("proof_force_kN", proof.proof_force_kN)
        cut = cut_of(proof.model, proof.unloaded, proof.unloaded.strain)
        drawn["link-after-proof.svg"] = field_picture(cut, f"Link after a proof of {force}", note)
    drawn["force-extension.svg"] = pull_chart(
        np.asarray(pull.extension_mm).tolist(),
        np.asarray(pull.force_kN).tolist(),
        None if proof is None else proof.proof_force_kN,
        _marks(answer),
    )
    return {name: drawing.text() for name, drawing in drawn.items()}


def _damage_field(answer: LinkAnswer) -> Floats:
    """Void strain over its limit at the greatest force; the weld by its own."""
    damage, pull = answer.pull.damage, answer.pull
    share = np.where(damage.place == PLACES.index("weld"), answer.given.weld_share, 1.0)
    field: Floats = damage.void_strain[pull.peak] / (
        float(answer.given.limits.void_strain_limit) * share
    )
    return field


def _marks(answer: LinkAnswer) -> list[Mark]:
    """The greatest force, and the fracture where the pull came so far."""
    pull, found = answer.pull, answer.breaking
    marks = []
    if pull.passed and found.first == "instability":
        marks.append(Mark(pull.extension_at_maximum_mm, pull.maximum_force_kN, "maximum"))
    if found.fracture_force_kN is not None and found.fracture_extension_mm is not None:
        where = f"tears: {found.place}"
        marks.append(Mark(found.fracture_extension_mm, found.fracture_force_kN, where))
    return marks
