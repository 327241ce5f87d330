"""Build the response of the link plate from runs of the solid plate on its coarse mesh.

    OPENBLAS_NUM_THREADS=1 python scripts/build_plate_response.py --runs 64   what is missing
    python scripts/build_plate_response.py                                    fits, writes the table

Runs lie in build/plate_response, one file a run, at places of a seeded Sobol sequence. Each gives
the force factor F/(t (h - d) Rm) of a plate with a neat pin and the elastic peak; both logarithms
are polynomials of degree two in the ratios of a plate by least squares. Errors by leaving out one
run in turn go into the table. The force hardly feels the fit (docs/models/plate.md), so that
interference is no axis.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import numpy as np
from run_beam_links import row, spread, write_table
from scipy.stats import qmc

from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.plate_response import AXES, plate_terms
from linkwright.mechanics.section import Floats
from linkwright.mechanics.solid_plate import plate_concentration, pull_plate
from linkwright.mechanics.solid_plate_mesh import PlateShape
from linkwright.processes.models.plate_contour import link_plate_contour
from linkwright.quantities import LinkwrightError

RUNS = Path("build/plate_response")
TABLE = Path("src/linkwright/processes/models/data/plate_response.json")
SEED, POWER = 17, 7
HEIGHT_MM, THICKNESS_MM, STRENGTH_MPA, PRESTRAIN = 20.0, 3.2, 1200.0, 0.005


def design(count: int) -> Floats:
    """Values of the axes (runs, axes), crowded at the edges as least squares wants them."""
    even = qmc.Sobol(len(AXES), seed=SEED).random_base2(POWER)[:count]
    places = -np.cos(np.pi * even)
    return np.stack([axis.value(p) for axis, p in zip(AXES, places.T, strict=True)], axis=1)


def run(values: Floats) -> dict[str, object]:
    """One plate."""
    hole, waist, spacing, exponent = (float(value) for value in values)
    made: dict[str, object] = {"values": values.tolist()}
    try:
        contour = link_plate_contour(
            hole_spacing_mm=spacing * HEIGHT_MM, plate_height_mm=HEIGHT_MM,
            waist_height_mm=waist * HEIGHT_MM,
        )  # fmt: skip
        shape = PlateShape(
            spacing * HEIGHT_MM, hole * HEIGHT_MM, THICKNESS_MM,
            *(float(value) for value in contour[:3]),
        )  # fmt: skip
        curve = SwiftCurve.of_strength(STRENGTH_MPA, exponent, PRESTRAIN)
        pull = pull_plate(shape, curve, fineness="coarse")
        peak = plate_concentration(shape, fineness="medium").net_stress_factor
    except LinkwrightError as error:
        return made | {"passed": False, "ended": str(error)}
    return made | {
        "passed": pull.passed, "ended": pull.ended, "place": pull.place,
        "force_factor": pull.force_factor, "net_stress_factor": peak,
    }  # fmt: skip


def make(count: int) -> None:
    """The runs that are missing."""
    RUNS.mkdir(parents=True, exist_ok=True)
    for number, values in enumerate(design(count)):
        file = RUNS / f"{number:04d}.json"
        if not file.exists():
            made = run(values)
            file.write_text(json.dumps(made) + "\n", encoding="utf-8")
            print(file, made["ended"] if not made["passed"] else made["force_factor"], flush=True)


def fitted(terms: Floats, values: Floats) -> tuple[Floats, Floats]:
    """Coefficients, and every value less what a fit without it says."""
    found = np.linalg.lstsq(terms, values, rcond=None)[0]
    hat = np.einsum("ij,ji->i", terms, np.linalg.pinv(terms))
    return found, (values - terms @ found) / (1 - hat)


def main() -> int:
    """Make runs, or fit those that are there."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--runs", type=int, default=0)
    count = asked.parse_args().runs
    if count:
        make(count)
        return 0
    runs = [json.loads(file.read_text("utf-8")) for file in sorted(RUNS.glob("*.json"))]
    good = [one for one in runs if one["passed"]]
    terms = plate_terms(np.array([one["values"] for one in good]).T).T
    made: dict[str, object] = {
        "meaning": "mechanics/plate_response.py: logarithms of force factor and elastic peak; made "
        "by scripts/build_plate_response.py",
        "axes": [list(axis) for axis in AXES],
        "runs": len(good),
        "without_maximum": len(runs) - len(good),
    }
    errors = {}
    for name in ("force_factor", "net_stress_factor"):
        found, left = fitted(terms, np.log([one[name] for one in good]))
        made[name], errors[f"{name}, left out"] = row(found), spread(left)
    made["errors_percent"] = errors
    write_table(TABLE, made)
    print(json.dumps({key: made[key] for key in ("runs", "without_maximum", "errors_percent")}))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
