"""The solid link against CalculiX: the same links, meshes refined alike, one thread each.

    OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 python benchmarks/solid_link.py
    python benchmarks/solid_link.py --quick        first link, two meshes

Both curves are extrapolated over three meshes (with two, the finer ones are taken as they are) and
held against each other at 2, 5, 10 and 20 per cent extension and at the maximum; then the
processor time of the cheapest run of each whose greatest error against its own extrapolation is
below a bound. `--meshes 2` leaves the third mesh out. Every run is kept below
build/solid_link_peer, so that a stopped benchmark goes on where it was; `--again` runs anew.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path
from typing import NamedTuple

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is loaded

import numpy as np
from two_octants import CASES, Case, peer

from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_link import pull_solid_link
from linkwright.mechanics.solid_model import link_model
from linkwright.mechanics.solid_octant import FINENESS, Fineness

RUNS = Path("build/solid_link_peer")
MESHES = {**FINENESS, "between": Fineness(2, 1, 6, 4, 0.42)}
THREE = ("coarse", "between", "medium")
STATIONS = (0.02, 0.05, 0.10, 0.20)
STEP = 0.00625
"""Longest step over the wire diameter, in the pull of each leg middle."""
BOUNDS = (1.5, 1.0, 0.5)
"""Errors in per cent at which times are compared."""


class Curve(NamedTuple):
    """Force at the stations and at the maximum, kN, with what it cost."""

    forces: Floats
    processor_s: float


def curve(case: Case, program: str, mesh: str) -> Curve:
    """A run of one program, made or read."""
    path = RUNS / f"{CASES.index(case)}-{program}-{mesh}.json"
    if not path.exists():
        RUNS.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(".part")
        part.write_text(json.dumps(_run(case, program, mesh)), encoding="utf-8")
        part.replace(path)
        print(path, file=sys.stderr, flush=True)
    kept = json.loads(path.read_text(encoding="utf-8"))
    extension, force = np.array(kept["extension_mm"]), np.array(kept["force_kN"])
    at = np.interp(np.array(STATIONS) * case.pitch_mm, extension, force, right=np.nan)
    return Curve(np.append(at, _crest(extension, force)), kept["processor_s"])


def _run(case: Case, program: str, mesh: str) -> dict[str, object]:
    if program == "ccx":
        made = peer(case, MESHES[mesh], longest=STEP)
        return {
            "extension_mm": made.extension_mm.tolist(), "force_kN": made.force_kN.tolist(),
            "processor_s": made.processor_s, "ended": made.ended, "solutions": made.iterations,
        }  # fmt: skip
    start = time.process_time()
    own = pull_solid_link(
        case.geometry, case.curve, fineness=MESHES[mesh], longest_step=2 * STEP, factorisations=400
    )
    return {
        "extension_mm": own.extension_mm.tolist(), "force_kN": own.force_kN.tolist(),
        "processor_s": time.process_time() - start, "ended": own.ended,
        "solutions": own.factorisations,
    }  # fmt: skip


def _crest(extension: Floats, force: Floats) -> float:
    """Top of the parabola through the greatest reading and its neighbours."""
    peak = int(np.argmax(force))
    if peak in (0, len(force) - 1):
        return float("nan")
    near = slice(peak - 1, peak + 2)
    a, b, c = np.polyfit(extension[near] - extension[peak], force[near], 2)
    return float(c - b**2 / (4 * a))


def extrapolated(curves: list[Curve], nodes: list[float]) -> Floats:
    """Forces at vanishing cells: the last two of three meshes, with the error falling as h^2.

    Contact points come to bear one by one, so that the order cannot be read off three meshes;
    h^2 is the cautious one of what bending (4) and contact (1 to 2) give. Two meshes, of which the
    first is the coarsest, bear no extrapolation: it would double the coarse mesh's own noise.
    """
    if len(curves) < 3:
        return curves[-1].forces
    coarse, fine = curves[-2].forces, curves[-1].forces
    ratio = (nodes[-2] / nodes[-1]) ** (-2.0 / 3.0)
    return np.asarray(fine + (fine - coarse) / (ratio - 1))


def compare(case: Case, meshes: tuple[str, ...]) -> tuple[Floats, str]:
    """Differences of the extrapolated curves in per cent, and the case in words."""
    nodes = [
        float(len(link_model(case.geometry, case.curve, MESHES[m]).part.mesh.nodes)) for m in meshes
    ]
    curves = {p: [curve(case, p, m) for m in meshes] for p in ("own", "ccx")}
    ends = {p: extrapolated(found, nodes) for p, found in curves.items()}
    apart = 100 * (ends["own"] / ends["ccx"] - 1)
    lines = [f"{case.name}: force in kN at {', '.join(f'{100 * s:.0f}' for s in STATIONS)} % "
             f"extension and the maximum"]  # fmt: skip
    for program, found in curves.items():
        for mesh, count, one in zip(meshes, nodes, found, strict=True):
            lines.append(f"  {program:4} {mesh:8} {count:6.0f} nodes  {_row(one.forces)}  "
                         f"{one.processor_s:7.1f} s")  # fmt: skip
        word = "extrapolated" if len(meshes) > 2 else "taken       "
        lines.append(f"  {program:4} {word}           {_row(ends[program])}")
    lines.append(f"  apart, per cent            {_row(apart, 2)}")
    for bound in BOUNDS if len(meshes) > 2 else ():
        spent = {p: _cheapest(found, ends[p], bound) for p, found in curves.items()}
        if all(np.isfinite(value) for value in spent.values()):
            ratio = spent["own"] / spent["ccx"]
            lines.append(f"  within {bound} %: own {spent['own']:.1f} s, ccx {spent['ccx']:.1f} s, "
                         f"ratio {ratio:.2f}")  # fmt: skip
    return apart, "\n".join(lines)


def _cheapest(found: list[Curve], end: Floats, bound: float) -> float:
    """Least time of a run that lies within a bound of the extrapolated curve everywhere."""
    good = [
        one.processor_s for one in found if np.nanmax(np.abs(100 * (one.forces / end - 1))) <= bound
    ]
    return min(good, default=float("nan"))


def _row(values: Floats, digits: int = 2) -> str:
    return " ".join(f"{value:8.{digits}f}" for value in values)


def main() -> int:
    """All cases; exit code 1 if any lies more than one per cent apart."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--quick", action="store_true")
    asked.add_argument("--again", action="store_true")
    asked.add_argument("--meshes", type=int, choices=(2, 3), default=3)
    given = asked.parse_args()
    if given.again:
        for path in RUNS.glob("*.json"):
            path.unlink()
    worst = 0.0
    for case in CASES[:1] if given.quick else CASES:
        meshes = THREE[::2] if given.quick else THREE[: given.meshes]
        apart, told = compare(case, meshes)
        print(told, flush=True)
        worst = max(worst, float(np.nanmax(np.abs(apart))))
    print(f"greatest difference {worst:.2f} per cent")
    return int(worst > 1)


if __name__ == "__main__":
    sys.exit(main())
