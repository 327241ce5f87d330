"""Run the beam model over the range of the link response and fit it, or check the fit.

    python scripts/run_beam_links.py            runs what is missing, fits, writes levels/beam.json
    python scripts/run_beam_links.py --check    48 fresh links; exits 1 if the fit is off

Of this level the response that ships takes the friction only (scripts/build_link_response.py).

The design is seeded: points of a Sobol sequence in the six ratios of a link, crowded at the edges
of the range as least squares wants them. Finished runs are kept below build/beam_links,
so that a stopped build goes on where it was; delete them after a change of the beam model. The
errors in the table come from a second design of other links, which no fit has seen.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.stats import qmc

from linkwright.mechanics.link_beam import ensemble, prove_link, pull_link, touched, unloaded
from linkwright.mechanics.link_response import Axis, LinkMembers, LinkResponse, design_terms
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.link_solver import march
from linkwright.mechanics.link_state import some_of_link, stacked
from linkwright.mechanics.section import Floats

TABLE = Path("scripts/levels/beam.json")
RUNS = Path("build/beam_links")
MODULUS_GPA = 205.0
AXES = (
    Axis("pitch over wire diameter", 2.5, 5.0),
    Axis("outer width over wire diameter", 3.1, 3.8),
    Axis("tensile strength over Young's modulus", 350 / 205e3, 1600 / 205e3, logarithmic=True),
    Axis("hardening_exponent", 0.03, 0.25),
    Axis("prestrain", 0.001, 0.03, logarithmic=True),
    Axis("friction_coefficient", 0.0, 0.3),
)
SHARE = Axis("share of the maximum force", 0.2, 0.9)
DEGREE, SERIES = 5, 9
FITTED, CHECKED, FRESH = (7, 3072), (8, 768), (9, 48)
"""Seed and number of links."""
PROVED = 3072
"""Links of the design that are loaded for their set, which wavers less than the force."""
STEP, FIRST_STEPS = 0.0125, 24
"""Share of the greatest force in one step of loading, steps to the first force."""
COLUMNS = (0, 1, 4, 2, 3, 5)
"""Column of the sequence for each axis."""
CHUNK = 256
OFF_PERCENT = 3.0
NODES = -np.cos(np.pi * (np.arange(SERIES) + 0.5) / SERIES)


def fit_design() -> Floats:
    """Places of the links that are fitted, crowded at the edges."""
    seed, count = FITTED
    return -np.cos(np.pi * qmc.Sobol(len(AXES), seed=seed).random_base2(12)[:count, COLUMNS])


def check_design(seed: int, count: int) -> Floats:
    """Places of other links, evenly spread."""
    return 2 * qmc.Sobol(len(AXES), seed=seed).random_base2(10)[:count, COLUMNS] - 1


def links_at(places: Floats) -> LinkMembers:
    """Links of one millimetre wire at places of the axes."""
    pitch, width, strength, *rest = (
        axis.value(place) for axis, place in zip(AXES, places.T, strict=True)
    )
    return LinkMembers(1.0, pitch, width, strength * 1000 * MODULUS_GPA, *rest)


def pulled(links: LinkMembers) -> Floats:
    """Maximum force, extension there, and whether the force fell again."""
    *_, friction = links
    peak = pull_link(*model(links), friction_coefficient=friction).peak
    return np.column_stack([peak.force_kN, peak.extension_mm, peak.passed])


def model(links: LinkMembers) -> tuple[LinkGeometry, SwiftCurve]:
    """The links as the beam model takes them."""
    wire, pitch, width, strength, exponent, prestrain, _ = links
    curve = SwiftCurve.of_strength(strength, exponent, prestrain, MODULUS_GPA)
    return LinkGeometry(wire, pitch, width), curve


def sets(links: LinkMembers, forces: Floats) -> Floats:
    """Set after each of the rising forces (links, forces): one loading, unloaded from each."""
    members = ensemble(*model(links), links.friction_coefficient)
    targets = forces.T / members.unit_force
    state, before, reached = touched(members.link, targets[0]), 0 * targets[0], []
    for index, target in enumerate(targets):
        count = max(1, round(float(np.max((target - before) / targets[-1])) / STEP))
        steps = count if index else FIRST_STEPS
        for step in range(1, steps + 1):
            to = before + (target - before) * step / steps
            state = march(members.link, state, to=to, by_force=True)
        reached.append(state)
        before = target
    many = some_of_link(members.link, np.tile(np.arange(len(forces)), len(targets)))
    last = unloaded(many, stacked(reached), targets.ravel())[-1]
    return np.where(last.well, last.extension, np.nan).reshape(targets.shape).T


def kept(name: str, count: int, run: Callable[[slice], Floats]) -> Floats:
    """Results of runs chunk by chunk, each read if it was done before."""
    RUNS.mkdir(parents=True, exist_ok=True)
    parts = []
    for start in range(0, count, CHUNK):
        path = RUNS / f"{name}-{start:05d}.npy"
        if not path.exists():
            np.save(path, run(slice(start, start + CHUNK)))
            print(path, flush=True)
        parts.append(np.load(path))
    return np.concatenate(parts)


def fitted(places: Floats, values: Floats) -> Floats:
    """Coefficients (terms, columns) of the logarithms of values; links without a value left out."""
    terms, columns = design_terms(places, DEGREE), []
    for column in np.log(values).T:
        known = np.isfinite(column)
        columns.append(np.linalg.lstsq(terms[known], column[known], rcond=None)[0])
    return np.column_stack(columns)


def row(coefficients: Floats) -> list[float]:
    """Coefficients as they are written."""
    return [round(float(value), 6) for value in coefficients]


def table() -> dict[str, object]:
    """Run what is missing and fit it."""
    places = fit_design()
    pulls = kept("pull", len(places), lambda part: pulled(links_at(places[part])))
    strength = np.asarray(links_at(places).tensile_strength_MPa) / 1000
    force = fitted(places, np.column_stack([pulls[:, 0] / strength, pulls[:, 1]]))
    # the shares are of the fitted force, which does not waver as that of one pull does
    greatest = np.exp(design_terms(places, DEGREE) @ force[:, 0]) * strength
    forces = greatest[:, None] * SHARE.value(NODES)
    grown = kept("set", PROVED, lambda part: sets(links_at(places[part]), forces[part]))
    series = fitted(places[:PROVED], grown) @ to_series()
    made = {
        "meaning": "the response of mechanics/link_response.py: coefficients of the logarithms of "
        "maximum force over d^2 Rm, extension over d, and set over d (a series in the share); "
        "of the beam model; made by scripts/run_beam_links.py",
        "links_pulled": len(places),
        "links_proved": PROVED,
        "elastic_modulus_GPa": MODULUS_GPA,
        "axes": [list(axis) for axis in AXES],
        "share": list(SHARE),
        "degree": DEGREE,
        "force": row(force[:, 0]),
        "extension": row(force[:, 1]),
        "set": [row(column) for column in series.T],
    }
    made["errors_percent"] = measured(LinkResponse.of_table(made))
    return made


def to_series() -> Floats:
    """From values at the nodes to coefficients of a Chebyshev series (nodes, coefficients)."""
    basis = np.polynomial.chebyshev.chebvander(NODES, SERIES - 1)
    return np.linalg.inv(basis).T


def measured(response: LinkResponse) -> dict[str, dict[str, float]]:
    """Errors over links that were not fitted; the set at a random share of the force."""
    places = check_design(*CHECKED)
    pulls = kept("check-pull", len(places), lambda part: pulled(links_at(places[part])))
    links = links_at(places)
    greatest = np.asarray(response.maximum_force_kN(links))
    share = np.random.default_rng(CHECKED[0]).uniform(SHARE.low, SHARE.high, (len(places), 1))
    forces = greatest[:, None] * share

    def proved(part: slice) -> Floats:
        some = links_at(places[part])
        return np.column_stack([
            prove_link(
                *model(some), force, friction_coefficient=some.friction_coefficient
            ).permanent_set_mm
            for force in forces[part].T
        ])  # fmt: skip

    grown = kept("check-set", len(places), proved)
    guessed = np.column_stack([response.permanent_set_mm(links, force) for force in forces.T])
    usual = (np.asarray(links.tensile_strength_MPa) > 600) | (
        np.asarray(links.hardening_exponent) > 0.1
    )
    apart = (guessed - grown) / np.asarray(links.pitch_mm)[:, None]
    return {
        "force": spread(greatest / pulls[:, 0] - 1),
        "force, over 600 MPa or exponent over 0.1": spread((greatest / pulls[:, 0] - 1)[usual]),
        "extension": spread(response.peak(links)[1] / pulls[:, 1] - 1),
        "set": spread(guessed / grown - 1),
        "set, over 600 MPa or exponent over 0.1": spread((guessed / grown - 1)[usual]),
        "set, as share of the pitch": spread(apart),
    }


def spread(errors: Floats) -> dict[str, float]:
    """Root mean square, 95th of a hundred and worst, in per cent."""
    known = 100 * np.abs(errors[np.isfinite(errors)])
    return {
        "rms": round(float(np.sqrt(np.mean(known**2))), 3),
        "95 of 100 below": round(float(np.percentile(known, 95)), 3),
        "worst": round(float(known.max()), 3),
    }


def check() -> int:
    """The fit against fresh runs of a few links."""
    response = LinkResponse.of_table(json.loads(TABLE.read_text("utf-8")))
    links = links_at(check_design(*FRESH))
    error = np.asarray(response.maximum_force_kN(links)) / pulled(links)[:, 0] - 1
    worst = spread(error)["95 of 100 below"]
    print(f"95 of 100 forces within {worst:.2f} %")
    return int(worst > OFF_PERCENT)


def write_table(path: Path, made: dict[str, object]) -> None:
    """A table as JSON, one key a line."""
    lines = ",\n".join(f" {json.dumps(key)}: {json.dumps(value)}" for key, value in made.items())
    path.write_text("{\n" + lines + "\n}\n", "utf-8")


def main() -> int:
    """Write the table, or compare it with ``--check``."""
    if "--check" in sys.argv[1:]:
        return check()
    made = table()
    write_table(TABLE, made)
    print(json.dumps(made["errors_percent"], indent=1))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
