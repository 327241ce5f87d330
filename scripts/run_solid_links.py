"""Run the solid link over the range of the link response, one file a run.

    OPENBLAS_NUM_THREADS=1 python scripts/run_solid_links.py               all that is missing
    OPENBLAS_NUM_THREADS=1 python scripts/run_solid_links.py medium 12     some of one level

Places of a seeded Sobol sequence, crowded at the edges of the range as least squares wants them;
the finer meshes take the first of the same places, so that every fine run has its medium and its
coarse one. A run that is there already is not made again: a stopped build goes on where it was, and
two may work side by side. Runs without a maximum are tried again with more steps and
listed, with their reason, at the end. What scripts/build_link_response.py needs of all runs is
gathered in levels/solid.json; delete that and build/solid_links after a change of the solid
model that moves its results.
"""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from run_beam_links import AXES, MODULUS_GPA
from scipy.stats import qmc

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.section import Floats
from linkwright.mechanics.solid_sets import PullAndSets, pull_and_unload
from linkwright.quantities import LinkwrightError

RUNS = Path("build/solid_links")
GATHERED = Path("scripts/levels/solid.json")
SEED, POWER = 11, 8
RATIOS = 5
"""The axes without friction: the solid link is run without it."""
SHARES = (0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.92)
"""Shares of the maximum force from which links are unloaded."""
WIRE_MM = 8.0
KEPT = ("place", "maximum_force", "extension_at_maximum", "share", "set")
PATIENCE = (600, 2000)
"""Factorisations allowed for a pull, and for the second trial in half steps."""


class Level(NamedTuple):
    """Runs of one mesh."""

    fineness: str
    step: float
    """Longest step of the extension, in wire diameters."""
    count: int
    shares: tuple[float, ...] = SHARES
    friction_coefficient: float = 0.0


LEVELS = {
    "coarse": Level("coarse", 1 / 40, 160),
    "coarse-half-steps": Level("coarse", 1 / 80, 36),
    "medium": Level("medium", 1 / 80, 24),
    "fine": Level("fine", 1 / 80, 1, SHARES[1::2]),
    "friction": Level("coarse", 1 / 40, 24, SHARES[1::2], friction_coefficient=0.15),
}


def solid_design(count: int) -> Floats:
    """Places of the first runs (runs, ratios): -1 and 1 are the ends of an axis."""
    even = qmc.Sobol(RATIOS, seed=SEED).random_base2(POWER)[:count]
    return np.asarray(-np.cos(np.pi * even))


def link_at(place: Floats) -> tuple[LinkGeometry, SwiftCurve]:
    """The link of a run."""
    pitch, width, ratio, exponent, prestrain = (
        float(axis.value(at)) for axis, at in zip(AXES, place, strict=False)
    )
    curve = SwiftCurve.of_strength(ratio * 1e3 * MODULUS_GPA, exponent, prestrain, MODULUS_GPA)
    return LinkGeometry(WIRE_MM, pitch * WIRE_MM, width * WIRE_MM), curve


def solid_run(place: Floats, level: Level) -> dict[str, object]:
    """One run; a pull that did not pass its maximum is made again with smaller steps."""
    made: dict[str, object] = {"place": place.tolist()}
    for halvings, allowed in enumerate(PATIENCE):
        begun, step = time.process_time(), level.step / 2**halvings
        try:
            found = pull_and_unload(
                *link_at(place), level.shares, fineness=level.fineness,
                friction_coefficient=level.friction_coefficient, factorisations=allowed,
                longest_step=step,
            )  # fmt: skip
        except LinkwrightError as error:
            made |= {"passed": False, "ended": str(error), "troubles": []}
            continue
        made |= as_kept(found) | {"step": step, "processor_s": time.process_time() - begun}
        if found.pull.passed:
            break
    return made


def as_kept(found: PullAndSets) -> dict[str, object]:
    """Lengths over the wire's diameter, forces over d^2 Rm."""
    pull = found.pull
    unit = WIRE_MM**2 * pull.model.tensile_strength_MPa / 1e3
    return {
        "passed": pull.passed,
        "ended": pull.ended,
        "maximum_force": pull.maximum_force_kN / unit,
        "extension_at_maximum": pull.extension_at_maximum_mm / WIRE_MM,
        "share": found.share.tolist(),
        "set": (found.permanent_set_mm / WIRE_MM).tolist(),
        "troubles": found.troubles,
        "extension": (pull.extension_mm / WIRE_MM).tolist(),
        "force": (pull.force_kN / unit).tolist(),
        "unbalanced_work_percent": pull.unbalanced_work_percent,
        "negative_pivots": pull.negative_pivots,
        "factorisations": found.factorisations,
    }


def made_runs(name: str) -> dict[int, dict[str, Any]]:
    """Runs of a level that are there, by their number."""
    files = sorted((RUNS / name).glob("*.json"))
    return {int(file.stem): json.loads(file.read_text("utf-8")) for file in files}


def make(name: str, count: int) -> None:
    """Make the runs of a level that are missing."""
    folder = RUNS / name
    folder.mkdir(parents=True, exist_ok=True)
    known = {number for (level, number), row in gathered().items()
             if level == name and "failed" not in row}  # fmt: skip
    for number, place in enumerate(solid_design(count)):
        file = folder / f"{number:04d}.json"
        if number in known or file.exists():
            continue
        made = solid_run(place, LEVELS[name])
        half = file.with_suffix(f".{os.getpid()}.half")
        half.write_text(json.dumps(made) + "\n", encoding="utf-8")
        half.replace(file)
        print(f"{file}: {made.get('processor_s', 0):.0f} s, {made['ended']}", flush=True)


def gathered() -> dict[tuple[str, int], dict[str, Any]]:
    """What is kept of all runs, by level and number."""
    if not GATHERED.exists():
        return {}
    rows = json.loads(GATHERED.read_text("utf-8"))
    return {(row["level"], row["run"]): row for row in rows}


def gather() -> None:
    """Put what the response needs of the runs that are there to what is kept; failures as such."""
    rows = gathered()
    for name in LEVELS:
        for number, run in made_runs(name).items():
            row: dict[str, Any] = {"level": name, "run": number}
            if run["passed"]:
                row |= {key: rounded(run[key]) for key in KEPT}
            else:
                row |= {"place": rounded(run["place"]), "failed": run["ended"]}
            rows[name, number] = row
    order = list(LEVELS)
    lines = [json.dumps(rows[key]) for key in sorted(rows, key=lambda k: (order.index(k[0]), k[1]))]
    GATHERED.write_text("[\n" + ",\n".join(lines) + "\n]\n", "utf-8")


def rounded(value: Any) -> Any:
    """Numbers as they are kept."""
    if isinstance(value, list):
        return [rounded(one) for one in value]
    return float(f"{value:.6g}")


def main() -> int:
    """Make what is asked for, or all, and list what has no maximum."""
    words = sys.argv[1:]
    wanted = dict(zip(words[::2], map(int, words[1::2]), strict=True))
    for name, count in (wanted or {name: level.count for name, level in LEVELS.items()}).items():
        make(name, count)
    gather()
    bad = 0
    for name in wanted or LEVELS:
        for number, run in made_runs(name).items():
            if not run["passed"] or run["troubles"]:
                bad += 1
                print(f"{name} {number}: {run['ended']}; {run['troubles']}")
    return int(bad > 0)


if __name__ == "__main__":
    raise SystemExit(main())
