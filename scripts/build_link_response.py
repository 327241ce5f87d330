"""Build the shipped responses of the usual link from the beam model, or check them.

    python scripts/build_link_response.py            writes the table
    python scripts/build_link_response.py --check    exits 1 if it is not what would be written

The table lets a plan start without running the design of 27 links. Rows are added here for
the flow curves (exponent, prestrain) and frictions that works commonly hold.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import numpy as np

from linkwright.processes.models.link_strength import built_response

TABLE = Path("src/linkwright/processes/models/data/link_response.json")
CURVES = [(0.06, 0.005, 0.0), (0.06, 0.005, 0.1), (0.06, 0.005, 0.15)]
SAME = 1e-6


def table() -> dict[str, object]:
    """The content of the table, made anew."""
    rows = []
    for exponent, prestrain, friction in CURVES:
        made = built_response(exponent, prestrain, friction)
        rows.append({
            "exponent": exponent,
            "prestrain": prestrain,
            "friction": friction,
            "elastic_modulus_GPa": made.elastic_modulus_GPa,
            "centre": made.centre.tolist(),
            "shares": made.shares.tolist(),
            "coefficients": made.coefficients.tolist(),
        })  # fmt: skip
    return {
        "meaning": "fitted logarithms of a link's maximum force, extension and set; see "
        "mechanics/link_response.py; made by scripts/build_link_response.py",
        "responses": rows,
    }


def differs(one: dict, other: dict) -> bool:
    """Whether two tables differ by more than rounding between machines."""
    for here, there in zip(one["responses"], other["responses"], strict=True):
        for key in ("centre", "shares", "coefficients"):
            if not np.allclose(here[key], there[key], rtol=SAME, atol=SAME):
                return True
    return False


def main() -> int:
    """Write the table, or compare it with ``--check``."""
    made = table()
    if "--check" in sys.argv[1:]:
        wrong = differs(made, json.loads(TABLE.read_text("utf-8")))
        print("differs from the model: build it anew" if wrong else "up to date")
        return int(wrong)
    TABLE.write_text(json.dumps(made, indent=1) + "\n", "utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
