"""Trial: the fitted link response, which the route uses, against the beam model itself.

Random links about the usual one of lifting chain: as near as the links of one plan, over the
range for which the fit was made, and as far as the response is said to be usable.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from measured import Figure

from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.processes.models.link_strength import link_set, link_strength
from trials.outcome import Counts, Listing, Outcome

SEED = 23
WIRE_MM, PITCH_RATIO, WIDTH_RATIO, STRENGTH_MPA = 8.0, 3.0, 3.35, 1230.0
EXPONENT, PRESTRAIN, FRICTION = 0.06, 0.005, 0.1
MEAN_STRESS_MPA, STRESS_SHARE = 500.0, 0.03
FORCE_PERCENT, SET_PERCENT = 1.0, 3.0
RANGES: dict[str, tuple[tuple[float, float, float, float], float | None]] = {
    "links of a plan": ((0.01, 0.01, 0.01, 0.05), SET_PERCENT),
    "range of the fit": ((0.04, 0.03, 0.03, 0.10), SET_PERCENT),
    "widest range": ((0.04, 0.08, 0.07, 0.10), None),
}
"""Shares of wire diameter, pitch, outer width, strength; the target of the set's error."""


def run(counts: Counts, _: Path) -> Outcome:
    """Worst and rms errors of breaking force, set and extension, in per cent of the beam's."""
    figures: list[Figure] = []
    rows = []
    for name, (shares, target) in RANGES.items():
        errors, unknown = _errors(counts.links, shares)
        figures += [
            Figure(f"{name}: links", counts.links),
            Figure(f"{name}: worst error of the breaking force",
                   float(np.abs(errors["breaking force"]).max()), "%", greatest=FORCE_PERCENT),
            Figure(f"{name}: worst error of the set",
                   float(np.nanmax(np.abs(errors["set"]))), "%", greatest=target),
            Figure(f"{name}: links without a value", unknown, greatest=0),
        ]  # fmt: skip
        rows += [(name, what, *_row(values)) for what, values in errors.items()]
    listing = Listing(
        "Errors in per cent of the beam's value",
        ("range", "quantity", "worst", "95 % within", "rms", "mean"),
        tuple(rows),
    )
    ranges = "; ".join(
        f"{name}: wire {100 * a:g}, pitch {100 * b:g}, outer width {100 * c:g}, strength "
        f"{100 * d:g} % either side"
        for name, ((a, b, c, d), _) in RANGES.items()
    )
    remark = (
        f"{ranges}. Flow curve K (e0 + p)^n with n = {EXPONENT:g}, e0 = {PRESTRAIN:g}, friction "
        f"{FRICTION:g}; proof force {MEAN_STRESS_MPA:g} MPa on two sections of 8 mm, 3 % either "
        f"side. This holds the response against our own model: it proves the fit, not the model."
    )
    return Outcome(tuple(figures), (listing,), (remark,))


def _errors(
    count: int, shares: tuple[float, float, float, float]
) -> tuple[dict[str, np.ndarray], int]:
    rng = np.random.default_rng(SEED)

    def near(value: float, share: float) -> np.ndarray:
        return value * (1.0 + share * rng.uniform(-1.0, 1.0, count))

    wire = near(WIRE_MM, shares[0])
    pitch = near(PITCH_RATIO * WIRE_MM, shares[1])
    width = near(WIDTH_RATIO * WIRE_MM, shares[2])
    strength = near(STRENGTH_MPA, shares[3])
    proof = near(MEAN_STRESS_MPA * np.pi / 2.0 * WIRE_MM**2 / 1000.0, STRESS_SHARE)
    geometry = LinkGeometry(wire, pitch, width)
    curve = SwiftCurve.of_strength(strength, EXPONENT, PRESTRAIN)
    pulled = pull_link(geometry, curve, friction_coefficient=FRICTION)
    proved = prove_link(geometry, curve, proof, friction_coefficient=FRICTION)
    link = {
        "wire_diameter_mm": wire, "pitch_mm": pitch, "outer_width_mm": width,
        "tensile_strength_MPa": strength, "hardening_exponent": EXPONENT,
        "prestrain": PRESTRAIN, "friction_coefficient": FRICTION,
    }  # fmt: skip
    fitted = link_strength(**link)
    lengthened = link_set(proof_force_kN=proof, **link)
    errors = {
        "breaking force": _percent(fitted.breaking_force_kN, pulled.peak.force_kN),
        "set": _percent(lengthened, proved.permanent_set_mm),
        "extension at maximum": _percent(fitted.extension_at_maximum_mm, pulled.peak.extension_mm),
    }
    unknown = sum(int(np.sum(~np.isfinite(values))) for values in errors.values())
    return errors, unknown


def _percent(fitted: np.ndarray, beam: np.ndarray) -> np.ndarray:
    return np.asarray(100.0 * (fitted / beam - 1.0))


def _row(values: np.ndarray) -> tuple[str, ...]:
    known = values[np.isfinite(values)]
    middle = np.percentile(np.abs(known), 95.0)
    numbers = (np.abs(known).max(), middle, np.sqrt(np.mean(known**2)), known.mean())
    return tuple(f"{value:.3f}" for value in numbers)
