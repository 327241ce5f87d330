"""The link of two metals as a plan uses it: reckoned once at set-up, then moved with each link.

- `CasedResponse`, `cased_response`: the nominal link with its case, and by what power its results
  move with size, strength, depth and crack strain
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import not_recording, sourced
from linkwright.processes.models.cased_link import (
    at_link,
    cased_proof,
    cased_pull,
)
from linkwright.quantities import CannotPlan

_STEPS = {
    "wire_diameter_mm": 0.03, "pitch_mm": 0.03, "outer_width_mm": 0.01,
    "tensile_strength_MPa": 0.05, "case_depth_mm": 0.15, "case_strength_ratio": 0.05,
    "case_crack_strain": 0.2,
}  # fmt: skip
"""By which share each input is moved to find its power; wide, for the models waver a little."""
_Rounded = tuple[tuple[str, float], ...]
_POWER = "power of the force over 4 per cent about the proof force, by the beam model"


class CasedResponse(NamedTuple):
    """Results at the nominal link, and what moves them."""

    nominal: Mapping[str, Any]
    link: Mapping[str, Any]
    powers: Mapping[str, np.ndarray]
    proof_force_kN: Any
    force_power: Any

    def fields(self, link: Mapping[str, Any] | None = None) -> dict[str, Any]:
        """What the chain carries on: of the nominal link, or of members that are off it."""
        found = dict(self.nominal)
        if link is not None:
            ratios = np.stack(
                np.broadcast_arrays(*(link[name] / float(self.link[name]) for name in _STEPS))
            )
            found = {
                name: at_link(value=float(value), exponents=self.powers[name], ratios=ratios)
                for name, value in self.nominal.items()
            }
        return {
            **found,
            "proved_force_kN": self.proof_force_kN,
            "proved_strain_exponent": self.force_power,
        }


def cased_response(
    link: Mapping[str, Any],
    shape: Mapping[str, Any],
    curve: Mapping[str, Any],
    proof_force_kN: Any,
) -> CasedResponse:
    """The response about a link: sizes, core strength and case by name, shape of the case, curve.

    Raises `CannotPlan` where the nominal link does not bear the proof force or its case so alters
    the link that the beam model finds no maximum.
    """
    pull = cased_pull(**link, **shape, **curve)
    proof = cased_proof(**link, **shape, **curve, proof_force_kN=proof_force_kN)
    nominal = {**pull._asdict(), **proof._asdict()}
    for name, value in nominal.items():
        if not np.isfinite(float(value)) or float(value) <= 0.0:
            raise CannotPlan(f"the link with its case has no {name.replace('_', ' ')}: {value}")
    with not_recording():
        powers, force_power = _powers(
            _rounded({name: link[name] for name in _STEPS}),
            _rounded(curve),
            tuple((name, tuple(_two_digits(one) for one in values)) for name, values in
                  shape.items()),
            _two_digits(proof_force_kN),
        )  # fmt: skip
    exponent = sourced("proved_strain_exponent", force_power, "table", _POWER)
    return CasedResponse(nominal, link, powers, proof_force_kN, exponent)


@lru_cache(maxsize=32)
def _powers(
    link: _Rounded, curve: _Rounded, shape: tuple[tuple[str, tuple[float, ...]], ...], force: float
) -> tuple[dict[str, np.ndarray], float]:
    """Powers of all inputs by differences either way, and that of the proof force.

    At a rounded place, so that the same powers serve while a plan settles.
    """
    count = len(_STEPS)
    trial = {name: np.full(2 * count + 2, value) for name, value in link}
    for index, (name, step) in enumerate(_STEPS.items()):
        trial[name][2 * index] *= 1.0 - step
        trial[name][2 * index + 1] *= 1.0 + step
    forces = np.full(2 * count + 2, force)
    forces[-2:] *= (0.96, 1.04)
    fixed = {**dict(shape), **dict(curve)}
    pull = cased_pull(**trial, **fixed)
    proof = cased_proof(**trial, **fixed, proof_force_kN=forces)
    steps = np.array(list(_STEPS.values()))
    width = np.log((1.0 + steps) / (1.0 - steps))
    powers = {}
    for name, values in {**pull._asdict(), **proof._asdict()}.items():
        level = np.log(np.maximum(np.asarray(values, float), 1e-9))
        slope = (level[1 : 2 * count : 2] - level[0 : 2 * count : 2]) / width
        # a link that the model could not follow moves nothing
        powers[name] = np.where(np.isfinite(slope), slope, 0.0)
    low, high = np.log(np.asarray(proof.proved_strain, float)[-2:])
    power = (high - low) / np.log(1.04 / 0.96)
    return powers, float(power if np.isfinite(power) else 1.0)


def _two_digits(value: Any) -> float:
    return float(f"{float(value):.2g}")


def _rounded(values: Mapping[str, Any]) -> _Rounded:
    return tuple((name, _two_digits(value)) for name, value in values.items())
