"""Reading both files costs little, and brings no array library in."""

import subprocess
import sys
import time

from linkwright.works import demo_order, demo_works


def test_both_files_are_read_within_90_ms() -> None:
    """The best of ten readings, after import: some 2,200 lines of works and order."""
    best = 1.0
    for _ in range(10):
        begin = time.process_time()
        demo_order()
        demo_works()
        best = min(best, time.process_time() - begin)
    assert best < 0.090


def test_reading_imports_neither_numpy_nor_scipy() -> None:
    """The door of the program opens before the heavy parts are loaded."""
    code = (
        "import sys; from linkwright.works import demo_works;"
        "demo_works().machine('drawing bench').held['die_half_angle_deg'];"
        "print(sorted({'numpy', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603
    assert done.stdout.strip() == "[]"
