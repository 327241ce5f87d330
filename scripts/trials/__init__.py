"""The trials: what the program promises, tried in full counts; `scripts/trial.py` runs them.

One module a trial, each with a function ``run(counts, folder)`` that gives an `Outcome`.
"""

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
"""The project's folder."""

# the figures of trials and benchmarks are of one kind, defined beside the benchmarks
if str(ROOT / "benchmarks") not in sys.path:
    sys.path.append(str(ROOT / "benchmarks"))
