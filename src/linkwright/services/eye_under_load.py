"""One open eye of jack chain by finite elements, pulled open, with its pictures.

Offers `eye_under_load` and `EyeAnswer`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from linkwright.documents.display import Display
from linkwright.documents.link_under_load import field_picture
from linkwright.documents.pull_open import opening_chart
from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.solid_eye import Eye, EyePull, EyeReading, pull_eye
from linkwright.mechanics.solid_eye_cut import eye_cut
from linkwright.mechanics.solid_octant import FINENESS
from linkwright.processes.models.opening import eye_opening_force
from linkwright.quantities import InputErrors, UnknownName
from linkwright.services.given_numbers import Accepted, read_numbers
from linkwright.services.plain import SCHEMA_VERSION
from linkwright.services.plan_folder import refuse_if_in_use, write_whole_folder

CAUTION = (
    "Jack chain is not for lifting, for hanging loads over people or for any load whose fall could "
    "hurt someone; a computed force is no rating, and the forming of the eye makes it likely lower."
)
DEFAULTS: Mapping[str, float] = {
    "gap_mm": 0.0,
    "hardening_exponent": 0.15,
    "prestrain": 0.3,
    "elastic_modulus_GPa": 205.0,
}
"""What is taken where nothing is given: drawn wire; the prestrain is an assumption."""
_NEEDED = ("wire_diameter_mm", "eye_inner_diameter_mm", "tensile_strength_MPa")
_ACCEPTED = Accepted(may_be_zero=frozenset({"gap_mm"}))


@dataclass(frozen=True)
class EyeAnswer:
    """What was asked and what came out."""

    given: Mapping[str, float]
    fineness: str
    pull: EyePull
    thin_bar_force_N: float
    """Opening force of the thin curved bar, for comparison."""
    files: tuple[Path, ...] = ()

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        pull = self.pull
        return {
            "schema_version": SCHEMA_VERSION,
            "given": dict(self.given),
            "fineness": self.fineness,
            "opening_force_N": pull.opening_force_N,
            "thin_bar_force_N": self.thin_bar_force_N,
            "opened": pull.opened,
            "ended": pull.ended,
            "factorisations": pull.factorisations,
            "readings": {
                name: [float(getattr(reading, name)) for reading in pull.readings]
                for name in EyeReading._fields
            },
            "caution": CAUTION,
            "files": [str(path) for path in self.files],
        }


def eye_under_load(
    values: Mapping[str, str | float | None],
    *,
    fineness: str = "medium",
    out: Path | None = None,
    force: bool = False,
    progress: Callable[[str], None] | None = None,
) -> EyeAnswer:
    """Pull an open eye until its neighbour can leave.

    ``values`` are texts with units or numbers in the unit of their key. ``out`` is a folder for
    pictures and the answer as JSON.

    Raises `InputErrors` with all wrong values at once, `ArgumentError` for sizes that make no
    eye, `EyeNotOpened` where no equilibrium was found, `FolderInUse`.
    """
    if fineness not in FINENESS:
        raise UnknownName("fineness", fineness, FINENESS)
    if out is not None:
        refuse_if_in_use(out, force=force)
    given = _read(values)
    wire = given["wire_diameter_mm"]
    mean = given["eye_inner_diameter_mm"] + wire
    curve = SwiftCurve.of_strength(
        given["tensile_strength_MPa"], given["hardening_exponent"], given["prestrain"],
        given["elastic_modulus_GPa"],
    )  # fmt: skip
    (progress or (lambda text: None))("pulling the eye open")
    pull = pull_eye(Eye(wire, mean, given["gap_mm"]), curve, fineness=fineness)
    thin = eye_opening_force(
        wire_diameter_mm=wire,
        eye_mean_diameter_mm=mean,
        gap_mm=given["gap_mm"],
        K_MPa=float(np.ravel(curve.strength_coefficient_MPa)[0]),
        E_MPa=1e3 * given["elastic_modulus_GPa"],
        n=given["hardening_exponent"],
        prestrain=given["prestrain"],
    )
    answer = EyeAnswer(given, fineness, pull, float(thin.opening_force_N))
    return answer if out is None else _written(answer, out, force=force)


def _read(values: Mapping[str, str | float | None]) -> dict[str, float]:
    """All values as numbers in the units of their keys, with the defaults."""
    made, problems = read_numbers(
        values, (*_NEEDED, *DEFAULTS), needed=_NEEDED, defaults=DEFAULTS, accepted=_ACCEPTED
    )
    if problems:
        raise InputErrors(problems)
    return made


def _written(answer: EyeAnswer, out: Path, *, force: bool) -> EyeAnswer:
    """The answer with its files: pictures, and what ``--json`` prints."""
    content = {**_pictures(answer), "eye.json": answer.to_dict()}
    return replace(answer, files=tuple(write_whole_folder(out, content, force=force)))


def _pictures(answer: EyeAnswer) -> dict[str, str]:
    pull, display = answer.pull, Display()
    force = display.text("force_N", pull.opening_force_N)
    note = "Cut in its own plane at the end of the pull; dashed: before it."
    picture = field_picture(eye_cut(pull), f"Open eye, greatest force {force}", note)
    gaps = [reading.gap_mm for reading in pull.readings]
    chart = opening_chart(gaps, [reading.force_N for reading in pull.readings], display)
    drawn = {"eye-opened.svg": picture.text()}
    if chart is not None:
        drawn["force-gap.svg"] = chart.text()
    return drawn
