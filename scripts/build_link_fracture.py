"""Fit how near a link is to tearing at its maximum force, from runs of the solid link.

    OPENBLAS_NUM_THREADS=1 python scripts/build_link_fracture.py --coarse 96 --medium 32
    OPENBLAS_NUM_THREADS=1 python scripts/build_link_fracture.py --fit

Runs lie in build/link_fracture, one file a run; one that is there is not made again. With --fit
they become src/linkwright/processes/models/data/link_fracture.json: for each place the logarithm
of the void strain (`mechanics.solid_damage`) at the greatest force, a polynomial of degree two in
the five ratios of a link by the coarse mesh, and of degree one for medium over coarse. Errors
are printed by leaving out one run in turn.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import numpy as np
from scipy.stats import qmc

from linkwright.mechanics.link_fracture import AXES, terms_of
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import pull_solid_link
from linkwright.quantities import LinkwrightError

SEED, WIRE_MM, MODULUS_GPA = 23, 8.0, 205.0
RUNS = Path("build/link_fracture")
FITTED = {
    "weld": ("weld",),
    "leg": ("weld", "leg inside", "leg outside"),
    "crown inside": ("crown inside",),
    "crown outside": ("crown outside",),
}
"""A leg that is all weld has no place of its own, so that the weld counts as leg too."""
TABLE = Path("src/linkwright/processes/models/data/link_fracture.json")


def main() -> int:
    """Make the missing runs, or fit those that are there."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--coarse", type=int, default=0)
    asked.add_argument("--medium", type=int, default=0)
    asked.add_argument("--fit", action="store_true")
    given = asked.parse_args()
    for fineness, count in (("coarse", given.coarse), ("medium", given.medium)):
        make(fineness, count)
    if given.fit:
        fit()
    return 0


def make(fineness: str, count: int) -> None:
    """The runs of one fineness that are not there."""
    folder = RUNS / fineness
    folder.mkdir(parents=True, exist_ok=True)
    for number, place in enumerate(design(max(count, 1))[:count]):
        path = folder / f"{number:04d}.json"
        if not path.exists():
            made = run(place, fineness)
            part = path.with_suffix(f".{os.getpid()}.part")
            part.write_text(json.dumps(made, indent=1) + "\n", encoding="utf-8")
            part.rename(path)
            print(f"{path}: {made['ended']}", file=sys.stderr, flush=True)


def design(count: int) -> list[list[float]]:
    """Values of the axes; a longer design begins with the shorter one."""
    power = max(1, int(np.ceil(np.log2(count))))
    shares = qmc.Sobol(len(AXES), seed=SEED).random_base2(power)[:count]
    columns = [axis.value(2 * share - 1) for axis, share in zip(AXES, shares.T, strict=True)]
    return np.stack(columns, axis=1).tolist()


def run(place: list[float], fineness: str) -> dict[str, object]:
    """One link: void strain by place at its greatest force."""
    pitch, width, ratio, exponent, prestrain = place
    geometry = LinkGeometry(WIRE_MM, pitch * WIRE_MM, width * WIRE_MM)
    curve = SwiftCurve.of_strength(ratio * MODULUS_GPA * 1e3, exponent, prestrain, MODULUS_GPA)
    try:
        pull = pull_solid_link(geometry, curve, fineness=fineness, factorisations=300)
    except LinkwrightError as error:
        return {"place": place, "passed": False, "ended": str(error)}
    void, tension = (
        {name: float(rows[pull.peak]) for name, rows in pull.damage.at_places(values).items()}
        for values in (pull.damage.void_strain, pull.damage.tension_strain)
    )
    return {
        "place": place,
        "passed": pull.passed,
        "ended": pull.ended,
        "elongation_at_maximum_percent": pull.elongation_at_maximum_percent,
        "void_strain": void,
        "tension_strain": tension,
    }


def fit() -> None:
    """Write the table and print its errors."""
    coarse, medium = (read(fineness) for fineness in ("coarse", "medium"))
    both = sorted(medium.keys() & coarse.keys())
    rows = {}
    for name in FITTED:
        rough = np.log([greatest(one, name) for one in coarse.values()])
        step = np.log([greatest(medium[n], name) / greatest(coarse[n], name) for n in both])
        whole, error = solved(places_of(coarse.values(), 2), rough)
        more, error_of_step = solved(places_of([medium[n] for n in both], 1), step)
        whole[: len(more)] += more
        rows[name] = [round(float(value), 5) for value in whole]
        told = f"{len(coarse)} coarse runs, rms error {100 * error:.1f} %; medium over coarse"
        over = f"{np.exp(step.mean()):.3f}, {len(both)} runs, {100 * error_of_step:.1f} %"
        print(f"{name}: {told} {over}")
    TABLE.write_text(json.dumps({"log_void_strain": rows}, indent=1) + "\n", encoding="utf-8")


def greatest(run: Mapping[str, Any], name: str) -> float:
    """Void strain of a run at a fitted place."""
    return max(float(run["void_strain"][place]) for place in FITTED[name])


def places_of(runs: Iterable[Mapping[str, Any]], degree: int) -> np.ndarray:
    """The polynomials at the places of runs, (runs, terms)."""
    return terms_of(np.array([run["place"] for run in runs]).T, degree).T


def read(fineness: str) -> dict[str, dict[str, Any]]:
    """Runs that passed their maximum, by number."""
    found = {path.stem: json.loads(path.read_text()) for path in (RUNS / fineness).glob("*.json")}
    return {name: one for name, one in sorted(found.items()) if one["passed"]}


def solved(terms: np.ndarray, values: np.ndarray) -> tuple[np.ndarray, float]:
    """Least squares, and the rms error of every run by the fit without it."""
    found, *_ = np.linalg.lstsq(terms, values, rcond=None)
    hat = terms @ np.linalg.pinv(terms)
    left_out = (values - terms @ found) / (1 - np.diag(hat))
    return found, float(np.sqrt(np.mean(np.square(left_out))))


if __name__ == "__main__":
    sys.exit(main())
