"""Trial: the solid link against a general-purpose finite-element code, where that is installed.

The first link of `benchmarks/solid_link.py` on its two smaller meshes, run anew; and the
factorisations that pulls of our own take. The other links and meshes are the benchmark's.
"""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import solid_link as bench
from measured import Figure
from two_octants import CASES

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_link import pull_solid_link
from linkwright.mechanics.solid_model import link_model
from trials.outcome import Counts, Outcome

APART_PERCENT, RATIO, MOST = 1.0, 1.0 / 3.0, 200
MESHES = ("coarse", "between")


def run(counts: Counts, _: Path) -> Outcome:
    """Differences on the same mesh, ratio of processor times, factorisations."""
    figures = _factorisations("coarse" if counts.short else "medium")
    if counts.short or shutil.which("ccx") is None:
        why = (
            "ccx is left out of the least counts"
            if counts.short
            else "Not held against ccx: Debian's calculix-ccx is not installed here."
        )
        return Outcome(tuple(figures), (), (why,))
    return Outcome((*_against_ccx(), *figures), (), ("One thread each, processor time.",))


def _against_ccx() -> list[Figure]:
    case = CASES[0]
    with tempfile.TemporaryDirectory() as folder:
        bench.RUNS = Path(folder)
        curves = {p: [bench.curve(case, p, m) for m in MESHES] for p in ("own", "ccx")}
    nodes = [
        float(len(link_model(case.geometry, case.curve, bench.MESHES[m]).part.mesh.nodes))
        for m in MESHES
    ]
    ends = {p: bench.extrapolated(found, nodes) for p, found in curves.items()}
    apart = 100 * (ends["own"] / ends["ccx"] - 1)
    named = [f"at {100 * s:.0f} % extension" for s in bench.STATIONS] + ["at the maximum"]
    figures = [
        Figure(f"force over that of ccx, {name}, same mesh", float(value), "%",
               least=-APART_PERCENT, greatest=APART_PERCENT)
        for name, value in zip(named, apart, strict=True)
    ]  # fmt: skip
    spent = {p: found[-1].processor_s for p, found in curves.items()}
    ratio = spent["own"] / spent["ccx"]
    return [
        *figures,
        *(Figure(f"{p}, {MESHES[-1]}: processor time", spent[p], "s") for p in spent),
        Figure("time over that of ccx on the same mesh", ratio, greatest=RATIO),
    ]  # fmt: skip


def _factorisations(fineness: str) -> list[Figure]:
    figures = []
    for name, curve in (
        ("n = 0.06", SwiftCurve(1476.0, 0.06, 0.005)),
        ("n = 0.22, 500 MPa", SwiftCurve.of_strength(500.0, 0.22, 0.005)),
    ):
        pull = pull_solid_link(LinkGeometry(8.0, 24.0, 26.8), curve, fineness=fineness)
        said = "past its maximum" if pull.passed else f"not past its maximum: {pull.ended}"
        figures.append(
            Figure(f"{fineness} mesh, {name}: factorisations", pull.factorisations,
                   greatest=MOST, remark=said)
        )  # fmt: skip
    return figures
