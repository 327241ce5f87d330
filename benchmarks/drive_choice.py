"""The ranking of all chain drives as arrays against a plain loop over the same calculations.

The loop evaluates some of the same drives one by one (`one_drive`) and is scaled to all of them.

    python benchmarks/drive_choice.py
"""

from __future__ import annotations

import time
from functools import partial

from measured import Figure, best_and_median, table

from linkwright.mechanics.drive_evaluation import DriveDuty
from linkwright.mechanics.drive_ranking import one_drive, ranked_drives

DUTIES = {
    "30 kW, 96 to 16 rpm": DriveDuty(30.0, 96.0, driven_speed_rpm=16.0, shock="heavy shocks"),
    "30 kW, 960 rpm, ratio 1": DriveDuty(30.0, 960.0, ratio=1.0),
}
TARGET_S = 0.2


def figures(repeats: int = 9, looped: int = 40) -> list[Figure]:
    """Warm times of the ranking, and the loop's time over ours for as many drives."""
    found = []
    for name, duty in DUTIES.items():
        ranking = ranked_drives(duty)
        best, middle = best_and_median(partial(ranked_drives, duty), repeats)
        rows = ranking.rows[:looped]
        begun = time.perf_counter()
        for row in rows:
            one_drive(duty, row)
        each = (time.perf_counter() - begun) / len(rows)
        found += [
            Figure(f"{name}: ranking of {ranking.candidates} drives", middle, "s", TARGET_S),
            Figure(f"{name}: loop over one drive at a time, its time over ours",
                   each * ranking.candidates / best, least=10.0),
        ]  # fmt: skip
    return found


if __name__ == "__main__":
    print(table(figures()))
