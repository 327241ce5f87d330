"""Run the solid link over shapes and steels, one file a run, and hold the beam model against it.

    OPENBLAS_NUM_THREADS=1 python scripts/run_solid_links.py --count 150
    OPENBLAS_NUM_THREADS=1 python scripts/run_solid_links.py --count 20 --fineness medium

Places of a seeded Sobol sequence in the ratios of a link. A run that is there already is not
made again, so a stopped one goes on where it was; two may work side by side on the same folder.
At the end the ratio of solid to beam, of all runs that passed their maximum, is printed: mean,
spread, and the farthest. Runs that did not pass it are listed with their reason.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path

import numpy as np
from scipy.stats import qmc

from linkwright.mechanics.link_beam import pull_link
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import pull_solid_link
from linkwright.quantities import LinkwrightError

AXES = (
    ("pitch over wire diameter", 2.6, 5.0),
    ("outer width over wire diameter", 3.1, 3.8),
    ("tensile strength over Young's modulus", 350 / 205e3, 1600 / 205e3),
    ("hardening_exponent", 0.03, 0.25),
    ("prestrain", 0.001, 0.03),
)
SEED = 11
WIRE_MM, MODULUS_GPA = 8.0, 205.0


def main() -> int:
    """Make the runs that are missing and print what all of them say."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--count", type=int, default=150)
    asked.add_argument("--fineness", default="coarse")
    asked.add_argument("--folder", type=Path, default=Path("build/solid_links"))
    given = asked.parse_args()
    folder = given.folder / given.fineness
    folder.mkdir(parents=True, exist_ok=True)
    for number, place in enumerate(design(given.count)):
        path = folder / f"{number:04d}.json"
        if not path.exists():
            made = run(place, given.fineness)
            part = path.with_suffix(f".{os.getpid()}.part")
            part.write_text(json.dumps(made, indent=1) + "\n", encoding="utf-8")
            part.rename(path)
            print(f"{path}: {made['ended']}", file=sys.stderr, flush=True)
    return told([json.loads(path.read_text()) for path in sorted(folder.glob("*.json"))])


def design(count: int) -> list[list[float]]:
    """Values of the axes; strength and prestrain evenly in their logarithms."""
    power = max(1, int(np.ceil(np.log2(count))))
    shares = qmc.Sobol(len(AXES), seed=SEED).random_base2(power)[:count]
    columns = []
    for share, (name, low, high) in zip(shares.T, AXES, strict=True):
        even = name in {"tensile strength over Young's modulus", "prestrain"}
        columns.append(low * (high / low) ** share if even else low + (high - low) * share)
    return np.stack(columns, axis=1).tolist()


def run(place: list[float], fineness: str) -> dict[str, object]:
    """One link by both models, forces over twice the wire's strength, lengths over its diameter."""
    pitch, width, ratio, exponent, prestrain = place
    geometry = LinkGeometry(WIRE_MM, pitch * WIRE_MM, width * WIRE_MM)
    strength = ratio * MODULUS_GPA * 1e3
    curve = SwiftCurve.of_strength(strength, exponent, prestrain, MODULUS_GPA)
    beam = pull_link(geometry, curve)
    made: dict[str, object] = {
        "place": place,
        "fineness": fineness,
        "beam_efficiency": float(np.ravel(beam.efficiency)[0]),
    }
    start = time.process_time()
    try:
        solid = pull_solid_link(geometry, curve, fineness=fineness)
    except LinkwrightError as error:
        return made | {"passed": False, "ended": str(error)}
    return made | {
        "passed": solid.passed,
        "ended": solid.ended,
        "efficiency": solid.efficiency,
        "extension_at_maximum": solid.extension_at_maximum_mm / WIRE_MM,
        "extension": (solid.extension_mm / WIRE_MM).tolist(),
        "force": (solid.force_kN * solid.efficiency / solid.maximum_force_kN).tolist(),
        "unbalanced_work_percent": solid.unbalanced_work_percent,
        "factorisations": solid.factorisations,
        "processor_s": time.process_time() - start,
    }


def told(runs: list[dict[str, object]]) -> int:
    """Print the ratio of solid to beam; exit code 1 if no run passed its maximum."""
    good = [one for one in runs if one["passed"]]
    for one in runs:
        if not one["passed"]:
            print(f"not passed: {one['place']}: {one['ended']}")
    if not good:
        return 1
    ratio = np.array([float(one["efficiency"]) / float(one["beam_efficiency"]) for one in good])
    far = good[int(np.argmax(np.abs(ratio - 1)))]
    print(f"{len(good)} of {len(runs)} runs passed their maximum")
    print(f"solid over beam: mean {ratio.mean():.4f}, spread {ratio.std():.4f}, "
          f"from {ratio.min():.4f} to {ratio.max():.4f}, farthest at {far['place']}")  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main())
