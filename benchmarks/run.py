"""Run all benchmarks and print their figures beside the targets.

    python benchmarks/run.py
    python benchmarks/run.py plan_times units --json figures.json
    python benchmarks/run.py --short

``--short`` takes the least counts, to see that everything runs; its figures mean little.
"""

from __future__ import annotations

import argparse
import contextlib
import importlib
import io
import json
import re
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from measured import Figure, table

# how the printed lines of radial_heat.py are read
_HEAT = (
    (r"centre and surface: march ([\d.]+) K", "quench, greatest error of march", "K"),
    (r"march [\d.]+ K, BDF ([\d.]+) K", "quench, greatest error of BDF", "K"),
    (r"BDF \(rtol .*\): ([\d.]+) ms", "one quench by BDF", "ms"),
    (r"\n +512 members.*?: ([\d.]+) s", "quench of 512 members by march", "s"),
    (r"\n +4096 members.*?: ([\d.]+) s", "quench of 4096 members by march", "s"),
    (r"\n +4096 members.*ratio (\d+)", "4096 members: time of BDF over march, a member", ""),
    (r"together ([\d.]+) s", "coil, quench and temper of 1536 members", "s"),
)


def radial_heat(*, short: bool) -> list[Figure]:
    """The figures that radial_heat.py prints; the short run leaves the comparison out."""
    bench = importlib.import_module("radial_heat")
    told = io.StringIO()
    with contextlib.redirect_stdout(told):
        if not short:
            bench.compare()
        bench.line()
    found = []
    for pattern, name, unit in _HEAT:
        match = re.search(pattern, told.getvalue())
        if match:
            found.append(Figure(name, float(match[1]), unit))
    return found


def _of(name: str, **least: object) -> Callable[..., list[Figure]]:
    def measured(*, short: bool) -> list[Figure]:
        bench = importlib.import_module(name)
        found: list[Figure] = bench.figures(**least) if short else bench.figures()
        return found

    return measured


BENCHMARKS: dict[str, Callable[..., list[Figure]]] = {
    "plan_times": _of("plan_times", repeats=1),
    "quantiles": _of("quantiles", sizes=(64,), seeds=2, reference_lots=128),
    "radial_heat": radial_heat,
    "calculations": _of("calculations", length=1000, repeats=2),
    "units": _of("units", times=5, repeats=2),
    "changed_setting": lambda *, short: importlib.import_module("changed_setting").figures(
        short=short, lots=64 if short else 512
    ),
    "drive_choice": _of("drive_choice", repeats=1, looped=3),
}
"""Every benchmark, in the order in which they run."""


def main(words: Sequence[str] | None = None) -> int:
    """Run what is asked for; exit code 1 if a figure misses its target."""
    parser = argparse.ArgumentParser(description="Run the benchmarks and print their figures.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(BENCHMARKS))
    parser.add_argument("--json", metavar="FILE", type=Path, help="also write the figures here")
    parser.add_argument("--short", action="store_true", help="least counts, to see that it runs")
    asked = parser.parse_args(words)
    unknown = [name for name in asked.names if name not in BENCHMARKS]
    if unknown:
        parser.error(f"no benchmark {unknown[0]}; there are {', '.join(BENCHMARKS)}")
    found: dict[str, list[Figure]] = {}
    for name in asked.names or BENCHMARKS:
        begun = time.perf_counter()
        found[name] = BENCHMARKS[name](short=asked.short)
        print(f"{name} ({time.perf_counter() - begun:.1f} s)")
        print(table(found[name]), flush=True)
        print()
    if asked.json:
        data = {name: [one.to_dict() for one in figures] for name, figures in found.items()}
        asked.json.write_text(json.dumps(data, indent=2) + "\n", encoding="utf-8")
    missed = [one.name for figures in found.values() for one in figures if one.verdict == "missed"]
    if missed:
        print(f"missed: {', '.join(missed)}", file=sys.stderr)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
