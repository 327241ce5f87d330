"""A strip with a hole, pulled into flow: here and by CalculiX on the same mesh.

    OPENBLAS_NUM_THREADS=1 PYTHONPATH=src:. python benchmarks/solid_plate.py

No contact: what is compared is mesh, elements, steel and steps. Elements of the peer are C3D20R.
Exit code 1 if the forces lie more than half a per cent apart. Only this and `two_octants` need
ccx (Debian's package calculix-ccx).
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from benchmarks.two_octants import _ORDER, _STRAINS, _read
from linkwright.mechanics.solid_newton import Body, Count, at_rest
from linkwright.mechanics.solid_path import follow
from linkwright.mechanics.solid_plasticity import steel_of
from linkwright.mechanics.solid_plate_mesh import PLATE_CELLS, PlatePart, Star, part_of, star_mesh

PULL, STEP = 0.06, 0.002
K_MPA, EXPONENT, PRESTRAIN, YOUNG_MPA = 1500.0, 0.06, 0.005, 206e3


def strip() -> tuple[PlatePart, np.ndarray]:
    """A quarter of a strip 2 wide, hole 0.8, 0.3 thick; and the side that symmetry holds."""

    def reach(angle: float) -> float:
        return min(3.0 / max(np.cos(angle), 1e-12), 1.0 / max(np.sin(angle), 1e-12))

    star = Star(0.4, 0.3, reach, (0.0, np.arctan2(1.0, 3.0), np.pi / 2))
    part = part_of(star_mesh(star, PLATE_CELLS["medium"]), 3.0)
    return part, np.flatnonzero(np.abs(part.mesh.nodes[:, 0]) < 1e-9)


def own() -> tuple[np.ndarray, np.ndarray]:
    """Pull and force of the quarter."""
    part, side = strip()
    steel = steel_of(YOUNG_MPA, 0.3, K_MPA, EXPONENT, PRESTRAIN)
    fixed = np.union1d(part.fixed, 3 * side)
    body = Body.of(part.mesh, steel, fixed, 3 * part.pulled, np.ones(len(part.pulled)))
    path = follow(body, at_rest(body), PULL, Count(400), first=STEP, longest=STEP)
    return np.array([s.pull for s in path.states]), np.array([s.force for s in path.states])


def peer() -> tuple[np.ndarray, np.ndarray]:
    """The same by ccx."""
    part, side = strip()
    mesh, lines = part.mesh, ["*NODE, NSET=ALL"]
    lines += [f"{k + 1}, " + ", ".join(f"{x:.12g}" for x in n) for k, n in enumerate(mesh.nodes)]
    lines.append("*ELEMENT, TYPE=C3D20R, ELSET=ONE")
    for k, element in enumerate(mesh.elements):
        numbers = [str(n + 1) for n in element[_ORDER]]
        lines += [f"{k + 1}, " + ", ".join(numbers[:10]) + ",", ", ".join(numbers[10:])]
    lines.append("*NSET, NSET=END")
    lines += [f"{n + 1}," for n in part.pulled]
    stress = K_MPA * (PRESTRAIN + _STRAINS) ** EXPONENT
    lines += ["*MATERIAL, NAME=STEEL", "*ELASTIC", f"{YOUNG_MPA}, 0.3", "*PLASTIC"]
    lines += [f"{s:.8g}, {p:.8g}" for s, p in zip(stress, _STRAINS, strict=True)]
    lines += ["*SOLID SECTION, ELSET=ONE, MATERIAL=STEEL", "*BOUNDARY"]
    lines += [f"{dof // 3 + 1}, {dof % 3 + 1}, {dof % 3 + 1}" for dof in part.fixed]
    lines += [f"{n + 1}, 1, 1" for n in side]
    step = STEP / PULL
    lines += ["*STEP, NLGEOM, INC=1000", "*STATIC", f"{step:.6g}, 1., 1e-7, {step:.6g}"]
    lines += ["*BOUNDARY", f"END, 1, 1, {PULL}", "*NODE PRINT, NSET=END, TOTALS=ONLY", "RF"]
    program = shutil.which("ccx")
    if program is None:
        raise SystemExit("ccx is missing: install Debian's package calculix-ccx")
    with tempfile.TemporaryDirectory() as folder:
        deck = "\n".join([*lines, "*END STEP"]) + "\n"
        Path(folder, "strip.inp").write_text(deck, encoding="ascii")
        subprocess.run([program, "-i", "strip"], cwd=folder, capture_output=True, check=True)
        share, force = _read(Path(folder, "strip.dat"))
    return PULL * share, np.abs(force)


def main() -> int:
    """Force here over that of the peer at a few pulls."""
    (pull, force), (there, other) = own(), peer()
    at = np.array([0.002, 0.01, 0.03, 0.06])
    ratio = np.interp(at, pull, force) / np.interp(at, there, other)
    for one, share in zip(at, ratio, strict=True):
        print(f"pull {one:.3f}: here over ccx {share:.4f}")
    return int(np.abs(ratio - 1).max() > 0.005)


if __name__ == "__main__":
    sys.exit(main())
