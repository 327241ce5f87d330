"""How quickly the program is there, and what it does not load."""

import subprocess
import sys
import time

from linkwright.services.calculations import calculations, describe

HEAVY = {"numpy", "scipy", "pydantic", "pyarrow", "matplotlib", "typst", "tree_sitter", "rich"}


def loaded(program: str) -> set[str]:
    """The top-level packages that a program has loaded at its end."""
    text = f"import sys\n{program}\nprint(*{{name.split('.')[0] for name in sys.modules}})"
    ended = subprocess.run(  # noqa: S603
        [sys.executable, "-c", text], capture_output=True, text=True, check=True
    )
    return set(ended.stdout.splitlines()[-1].split())


def best_seconds(*words: str, tries: int = 7) -> float:
    """The shortest of several runs: what the program takes when nothing else is in the way."""
    best = float("inf")
    for _ in range(tries):
        begun = time.perf_counter()
        subprocess.run(  # noqa: S603
            [sys.executable, *words], capture_output=True, check=True
        )
        best = min(best, time.perf_counter() - begun)
    return best


def test_importing_the_package_loads_nothing_heavy() -> None:
    """`import linkwright` leaves numpy and everything like it alone."""
    assert not loaded("import linkwright") & HEAVY


def test_the_help_loads_nothing_heavy() -> None:
    """`linkwright --help` is printed without numpy."""
    program = "from linkwright.cli.main import app\napp(['--help'], standalone_mode=False)"
    assert not loaded(program) & HEAVY


def test_the_package_is_imported_in_time() -> None:
    """`import linkwright` takes at most 0.15 s, the interpreter's own start included."""
    assert best_seconds("-c", "import linkwright") <= 0.15


def test_the_help_is_there_in_time() -> None:
    """`linkwright --help` takes at most 0.3 s from a cold start."""
    assert best_seconds("-c", "from linkwright.cli.main import run; run(['--help'])") <= 0.3


def test_one_calculation_is_there_in_time() -> None:
    """`linkwright calc NAME` takes at most 1.2 s from a cold start, whatever the room."""
    of_room = {entry.room: entry.name for entry in calculations()}
    for name in of_room.values():
        program = f"from linkwright.cli.main import run; run(['calc', {describe(name).name!r}])"
        assert best_seconds("-c", program, tries=3) <= 1.2, name
