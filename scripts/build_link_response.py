"""Build the response of the link, which planning asks, from its levels; or check what ships.

    python scripts/build_link_response.py            fits levels/*.json and writes the table
    python scripts/build_link_response.py --check    fresh links; exits 1 if the table is off

Levels, each a factor on the one before, so a sum of logarithms:

1. the solid link on its coarse mesh, 160 runs: a Gaussian process in the five ratios without
   friction; for the set also in the share of the maximum force and in that force over the
   one at which steel of that curve begins to flow, where the set takes off;
2. the medium mesh over the coarse one: linear in the ratios, for the set in the share too;
3. the fine mesh over the medium one, and an endless mesh and endless steps over those: constants;
4. friction: the beam model's own effect times a factor, and what coarse runs of the solid with
   friction 0.15 leave over that: linear in the ratios and in the coefficient.

All are put into one table of polynomials (`mechanics/link_response.py`). No run is made for the
table: scripts/run_solid_links.py and scripts/run_beam_links.py make them and write the levels.

References: M. C. Kennedy and A. O'Hagan, Predicting the output from a complex computer code when
fast approximations are available, Biometrika 87, 2000 (levels as factors; from memory).
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np
from link_levels import BEAM, Levels, Rubbed, friction_of
from numpy.typing import NDArray
from run_beam_links import (
    AXES,
    DEGREE,
    MODULUS_GPA,
    NODES,
    SHARE,
    links_at,
    row,
    spread,
    write_table,
)
from run_solid_links import LEVELS, RATIOS, link_at, solid_run
from scipy.stats import qmc

from linkwright.mechanics.link_response import LinkResponse, design_terms, term_degrees
from linkwright.mechanics.section import Floats

TABLE = Path("src/linkwright/processes/models/data/link_response.json")
WIDE, POINTS, POWER = 1.1, 3072, 12
"""Half range of the places that are projected, their number."""
FRESH, FRESH_SEED, OFF_PERCENT = 4, 21, 2.5
SMOOTH = 5
"""Degree of the set in the share: the coarse mesh makes the set waver by some per cent over it."""


def table() -> dict[str, object]:
    """All levels in one table."""
    levels = Levels()
    place = WIDE * -np.cos(np.pi * qmc.Sobol(RATIOS, seed=3).random_base2(POWER)[:POINTS])
    force, extension, grown = levels.at(place)
    degrees = term_degrees(DEGREE)
    free = degrees[:, -1] == 0
    terms = design_terms(np.column_stack([place, -np.ones(len(place))]), DEGREE)[:, free]
    smooth = np.polynomial.chebyshev.chebfit(NODES, grown.T, SMOOTH)
    series = np.zeros((len(place), len(NODES)))
    series[:, : SMOOTH + 1] = smooth.T
    values = np.column_stack([force, extension, series])
    fitted = np.linalg.lstsq(terms, values, rcond=None)[0]
    rubbed = friction_of(levels)
    made = with_friction(rubbed, degrees)
    made[:, free] += fitted.T
    written: dict[str, object] = {
        "meaning": "the response of mechanics/link_response.py: coefficients of the logarithms of "
        "maximum force over d^2 Rm, extension over d, and set over d (a series in the share) of "
        "the solid link; made by scripts/build_link_response.py",
        "elastic_modulus_GPa": MODULUS_GPA,
        "axes": [list(axis) for axis in AXES],
        "share": list(SHARE),
        "degree": DEGREE,
        "force": row(made[0]),
        "extension": row(made[1]),
        "set": [row(one) for one in made[2:]],
        "runs": {name: len(runs.number) for name, runs in levels.runs.items()},
        "friction_factors": {name: round(one.factor, 3) for name, one in rubbed.items()},
        "rest_percent": {name: round(100 * value, 3) for name, value in levels.rest().items()},
    }
    errors = {f"friction 0.15, {name}, left out": spread(one.left_out)
              for name, one in rubbed.items()}  # fmt: skip
    written["errors_percent"] = measured(levels, LinkResponse.of_table(written)) | errors
    return written


def with_friction(rubbed: dict[str, Rubbed], degrees: NDArray[np.intp]) -> Floats:
    """Rows of the table that are nothing without friction.

    The trend grows in proportion to the coefficient, which is half of 1 + place over its axis
    times the greatest one.
    """
    beam = json.loads(BEAM.read_text("utf-8"))
    column = {tuple(degree): index for index, degree in enumerate(degrees.tolist())}
    rows = np.array([beam["force"], beam["extension"], *beam["set"]])
    made = np.array([of_friction(one, degrees) for one in rows])
    per_half = AXES[-1].high / 2 / LEVELS["friction"].friction_coefficient
    for index, name in ((0, "force"), (1, "extension"), (slice(2, None), "set")):
        made[index] *= rubbed[name].factor
    for index, name in ((0, "force"), (1, "extension"), (2, "set")):
        for axis, value in enumerate(rubbed[name].trend[: RATIOS + 1]):
            degree = [0] * (RATIOS + 1)
            if axis:
                degree[axis - 1] = 1
            made[index, column[tuple(degree)]] += per_half * value
            degree[-1] = 1
            made[index, column[tuple(degree)]] += per_half * value
    alone, rubbing = [0] * (RATIOS + 1), [0] * RATIOS + [1]
    for degree in (alone, rubbing):
        made[3, column[tuple(degree)]] += per_half * rubbed["set"].trend[-1]
    return made


def of_friction(row_: Floats, degrees: NDArray[np.intp]) -> Floats:
    """A row of the beam's less its value without friction, where T_k(-1) = (-1)^k."""
    column = {tuple(degree): index for index, degree in enumerate(degrees.tolist())}
    found = row_.copy()
    for value, degree in zip(row_, degrees.tolist(), strict=True):
        found[column[(*degree[:-1], 0)]] -= value * (-1) ** degree[-1]
    return found


def measured(levels: Levels, response: LinkResponse) -> dict[str, dict[str, float]]:
    """Errors: runs left out of their level, and the table against the levels."""
    coarse, more = levels.runs["coarse"], levels.medium
    force = levels.force.left_out(np.arange(len(coarse.number)))
    grown = levels.set.left_out(coarse.of)
    at = coarse.place[coarse.of]
    pitch = AXES[0].value(at[:, 0])
    lost = np.expm1(grown) * np.exp(coarse.grown - grown)
    found = {
        "coarse force, left out": spread(force),
        "coarse extension, left out": spread(levels.extension.left_out(
            np.arange(len(coarse.number)))),
        "coarse set, left out": spread(grown),
        "coarse set from half the force, left out": spread(grown[coarse.share > 0.5]),
        "coarse set over a hundredth of the pitch, left out": spread(
            grown[np.exp(coarse.grown) > 0.01 * pitch]),
        "coarse set as share of the pitch, left out": spread(lost / pitch),
        "medium over coarse force, left out": spread(
            levels.more_force.left_out(np.arange(len(more.number)))),
        "medium over coarse set, left out": spread(levels.more_set.left_out(more.of)),
        "medium over coarse set from half the force, left out": spread(
            levels.more_set.left_out(more.of)[more.share > 0.5]),
    }  # fmt: skip
    here = [int(np.flatnonzero(coarse.number == number)[0]) for number in more.number]
    found["medium force, left out of both levels"] = spread(
        levels.more_force.left_out(np.arange(len(more.number))) + force[here]
    )
    if len(levels.fine.number):
        found["fine over medium force, about the mean"] = spread(
            levels.fine.force - levels.fine.force.mean()
        )
        found["fine over medium set, about the mean"] = spread(
            levels.fine.grown - levels.fine.grown.mean()
        )
    return found | projected(levels, response)


def projected(levels: Levels, response: LinkResponse) -> dict[str, dict[str, float]]:
    """The table against the levels at other places, without friction."""
    place = 2 * qmc.Sobol(RATIOS, seed=5).random_base2(9) - 1
    links = links_at(np.column_stack([place, -np.ones(len(place))]))
    force, extension, grown = levels.at(place)
    top, there = response.peak(links)
    unit = np.asarray(links.tensile_strength_MPa) / 1e3
    sets = np.column_stack([
        response.permanent_set_mm(links, float(SHARE.value(node)) * top) for node in NODES
    ])  # fmt: skip
    upper = SHARE.value(NODES) > 0.5
    return {
        "table against levels, force": spread(np.log(top / unit) - force),
        "table against levels, extension": spread(np.log(there) - extension),
        "table against levels, set": spread(np.log(sets) - grown),
        "table against levels, set from half the force": spread(
            (np.log(sets) - grown)[:, upper]),
    }  # fmt: skip


def check() -> int:
    """The shipped table against fresh coarse runs of a few links, with what finer ones add."""
    response = LinkResponse.of_table(json.loads(TABLE.read_text("utf-8")))
    levels = Levels()
    place = 2 * qmc.Sobol(RATIOS, seed=FRESH_SEED).random_base2(2)[:FRESH] - 1
    links = links_at(np.column_stack([place, -np.ones(FRESH)]))
    added = sum(v for k, v in levels.rest().items() if k.startswith("force"))
    added = added + levels.more_force.at(place)
    unit = np.asarray(links.tensile_strength_MPa) / 1e3
    worst = 0.0
    for index, one in enumerate(place):
        run = solid_run(one, LEVELS["coarse"])
        wanted = np.log(float(str(run["maximum_force"]))) + added[index]
        found = np.log(response.maximum_force_kN(links)[index] / unit[index])
        print(f"{link_at(one)[0]}: table over run {100 * (found - wanted):+.2f} %")
        worst = max(worst, 100 * abs(float(found - wanted)))
    print(f"farthest force {worst:.2f} %")
    return int(worst > OFF_PERCENT)


def main() -> int:
    """Write the table, or compare it with ``--check``."""
    if "--check" in sys.argv[1:]:
        return check()
    made = table()
    write_table(TABLE, made)
    print(
        json.dumps({key: made[key] for key in ("runs", "rest_percent", "errors_percent")}, indent=1)
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
