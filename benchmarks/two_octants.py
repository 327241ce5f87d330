"""Two octants of links in contact as a deck of CalculiX, run and read back.

    Case, CASES      a link and its steel
    peer             force over extension of a mesh, by the general-purpose program ccx
    PeerPull         what it gives

The mesh is the one that `linkwright.mechanics.solid_octant` makes; the second body is the
first one turned half round about x = 0, y = z. Elements are C3D20R (20 nodes, reduced
integration), the steel a table of the Swift curve, contact surface to surface with the same
linear penalty as ours, without friction unless asked. The leg middles are pulled apart; the
force is four times the reaction of one of them. Only this benchmark needs ccx (Debian's
package calculix-ccx).
"""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_element import Floats, Ints
from linkwright.mechanics.solid_octant import Fineness, LinkPart, Outline, octant_mesh

# ours: bottom corners, bottom middles, top corners, top middles, uprights
_ORDER = [0, 1, 2, 3, 8, 9, 10, 11, 4, 5, 6, 7, 12, 13, 14, 15, 16, 17, 18, 19]
_EDGES = {(0, 1): "S3", (1, 2): "S4", (2, 3): "S5", (3, 0): "S6"}
_TURN = np.array([[-1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]])
_PENALTY = 3500.0
_STRAINS = np.concatenate([[0.0], np.geomspace(1e-4, 2.5, 60)])


class Case(NamedTuple):
    """A link, in mm and MPa; the Swift curve K (e0 + p)^n."""

    name: str
    wire_mm: float
    pitch_mm: float
    inner_width_mm: float
    coefficient_MPa: float
    exponent: float
    prestrain: float
    elastic_GPa: float = 205.0
    reach: float = 0.27
    """Greatest extension as a share of the pitch; beyond that of the maximum force."""

    @property
    def geometry(self) -> LinkGeometry:
        """As the solid link takes it."""
        return LinkGeometry(self.wire_mm, self.pitch_mm, self.inner_width_mm + 2 * self.wire_mm)

    @property
    def curve(self) -> SwiftCurve:
        """As the solid link takes it."""
        return SwiftCurve(self.coefficient_MPa, self.exponent, self.prestrain, self.elastic_GPa)


CASES = (
    Case("8 x 24 grade 8", 8.0, 24.0, 10.8, 1476.0, 0.06, 0.005),
    Case("8 x 21 hardens much", 8.0, 21.0, 9.2, 900.0, 0.18, 0.003, reach=0.42),
    Case("8 x 36 long, hard", 8.0, 36.0, 11.2, 1900.0, 0.045, 0.01, reach=0.16),
    Case("8 x 28 wide, soft", 8.0, 28.0, 14.0, 650.0, 0.12, 0.002, reach=0.36),
)


class PeerPull(NamedTuple):
    """The peer's curve."""

    extension_mm: Floats
    force_kN: Floats
    processor_s: float
    iterations: int
    ended: str


def peer(
    case: Case, fineness: Fineness, *, friction: float = 0.0, longest: float = 0.0125,
    penalty: float = 1.0, limit_s: float = 3600.0,
) -> PeerPull:  # fmt: skip
    """Pull two octants by ccx, one thread; ``longest`` is the longest step over the wire."""
    program = shutil.which("ccx")
    if program is None:
        raise SystemExit("ccx is missing: install Debian's package calculix-ccx")
    with tempfile.TemporaryDirectory() as folder:
        deck = _deck(case, fineness, friction, longest, penalty)
        Path(folder, "link.inp").write_text(deck, encoding="ascii")
        single = {**os.environ, "OMP_NUM_THREADS": "1", "CCX_NPROC_EQUATION_SOLVER": "1"}
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        try:
            done = subprocess.run(
                [program, "-i", "link"], cwd=folder, env=single, text=True,
                capture_output=True, check=False, timeout=limit_s,
            )  # fmt: skip
            ended, told = f"exit code {done.returncode}", done.stdout
        except subprocess.TimeoutExpired as late:
            ended = f"stopped after {limit_s:.0f} s"
            told = late.stdout.decode() if isinstance(late.stdout, bytes) else ""
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        share, reaction = _read(Path(folder, "link.dat"))
    whole = case.reach * case.pitch_mm
    return PeerPull(
        share * whole, 4 * np.abs(reaction) / 1e3, spent, told.count(" iteration "), ended
    )


def _deck(case: Case, fineness: Fineness, friction: float, longest: float, penalty: float) -> str:
    width = case.inner_width_mm + 2 * case.wire_mm
    geometry = LinkGeometry(case.wire_mm, case.pitch_mm, width)
    crown = case.wire_mm * float(geometry.ratios()[2])
    octant = octant_mesh(Outline(case.wire_mm, case.pitch_mm, width, crown), fineness)
    count = len(octant.mesh.nodes)
    lines = ["*NODE, NSET=ALL"]
    for first, turn in ((1, np.eye(3)), (1 + count, _TURN)):
        lines += [
            f"{first + k}, " + ", ".join(f"{x:.12g}" for x in node)
            for k, node in enumerate(octant.mesh.nodes @ turn)
        ]
    cells = len(octant.mesh.elements)
    for body, (shift, offset) in (("ONE", (1, 1)), ("TWO", (1 + count, 1 + cells))):
        lines.append(f"*ELEMENT, TYPE=C3D20R, ELSET={body}")
        for k, element in enumerate(octant.mesh.elements):
            numbers = [str(shift + n) for n in element[_ORDER]]
            lines += [f"{offset + k}, " + ", ".join(numbers[:10]) + ",", ", ".join(numbers[10:])]
    lines += _sets(octant, count)
    for body, offset in (("ONE", 1), ("TWO", 1 + cells)):
        lines.append(f"*SURFACE, NAME=SKIN{body}, TYPE=ELEMENT")
        lines += [f"{offset + cell}, {face}" for cell, face in _skin(octant)]
    lines += _steel(case) + _contact(case, friction, penalty) + _step(case, longest)
    return "\n".join(lines) + "\n"


def _sets(octant: LinkPart, count: int) -> list[str]:
    """Node sets of the planes of symmetry; y and z change places on the second body."""
    flat = octant.fixed[octant.fixed % 3 == 2] // 3
    apex = octant.fixed[octant.fixed % 3 == 1] // 3
    named = {
        "FLATONE": flat + 1, "APEXONE": apex + 1, "LEGONE": octant.pulled + 1,
        "FLATTWO": flat + 1 + count, "APEXTWO": apex + 1 + count,
        "LEGTWO": octant.pulled + 1 + count,
    }  # fmt: skip
    lines = []
    for name, nodes in named.items():
        lines.append(f"*NSET, NSET={name}")
        lines += [", ".join(str(n) for n in nodes[k : k + 10]) for k in range(0, len(nodes), 10)]
    return lines


def _skin(octant: LinkPart) -> Iterator[tuple[int, str]]:
    """Outer faces of the inner three quarters of the rim, all along."""
    section = octant.mesh.section
    rim: Ints = section.rim[: 3 * (len(section.rim) - 1) // 4 + 1]
    for slice_ in range(octant.mesh.slices):
        for k, cell in enumerate(section.cells):
            for (a, b), face in _EDGES.items():
                if np.isin(cell[[a, b]], rim).all():
                    yield slice_ * len(section.cells) + k, face


def _steel(case: Case) -> list[str]:
    stress = case.coefficient_MPa * (case.prestrain + _STRAINS) ** case.exponent
    table = [f"{s:.8g}, {p:.8g}" for s, p in zip(stress, _STRAINS, strict=True)]
    return [
        "*MATERIAL, NAME=STEEL", "*ELASTIC", f"{1e3 * case.elastic_GPa:.8g}, 0.3",
        "*PLASTIC", *table,
        "*SOLID SECTION, ELSET=ONE, MATERIAL=STEEL", "*SOLID SECTION, ELSET=TWO, MATERIAL=STEEL",
    ]  # fmt: skip


def _contact(case: Case, friction: float, penalty: float) -> list[str]:
    strength = float(np.ravel(case.curve.tensile_strength_MPa)[0])
    k = penalty * _PENALTY * strength / case.wire_mm
    lines = [
        "*SURFACE INTERACTION, NAME=BEARING",
        "*SURFACE BEHAVIOR, PRESSURE-OVERCLOSURE=LINEAR", f"{k:.8g}, {strength / 1e4:.6g}",
    ]  # fmt: skip
    if friction:
        lines += ["*FRICTION", f"{friction:.6g}, {k:.8g}"]
    return [*lines, "*CONTACT PAIR, INTERACTION=BEARING, TYPE=SURFACE TO SURFACE",
            "SKINONE, SKINTWO"]  # fmt: skip


def _step(case: Case, longest: float) -> list[str]:
    whole = case.reach * case.pitch_mm
    step = 2 * longest * case.wire_mm / whole
    return [
        "*BOUNDARY", "FLATONE, 3, 3", "APEXONE, 2, 2", "FLATTWO, 2, 2", "APEXTWO, 3, 3",
        "*STEP, NLGEOM, INC=5000", "*STATIC", f"{step / 10:.6g}, 1., 1e-7, {step:.6g}",
        "*BOUNDARY", f"LEGONE, 1, 1, {-whole / 2:.8g}", f"LEGTWO, 1, 1, {whole / 2:.8g}",
        "*NODE PRINT, NSET=LEGONE, TOTALS=ONLY", "RF", "*END STEP",
    ]  # fmt: skip


def _read(path: Path) -> tuple[Floats, Floats]:
    """Share of the step and total reaction along x at every increment, from nought."""
    rows = [(0.0, 0.0)]
    time = 0.0
    for line in path.read_text(encoding="ascii").splitlines():
        if "time" in line:
            time = float(line.rsplit(maxsplit=1)[-1])
        elif line.strip():
            rows.append((time, float(line.split()[0])))
    found = np.array(rows)
    return found[:, 0], found[:, 1]
