"""Promises of the whole program that no single room can keep."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path

import pytest

from linkwright.works import demo_bytes, demo_line_bytes

NOT_WANTED = {"scipy.stats", "pint", "matplotlib", "sqlalchemy", "typst", "fastapi", "hypothesis"}
RUN = "from linkwright.cli.main import run; run({words!r})"


def ended(code: str, where: Path, **surroundings: str) -> subprocess.CompletedProcess[bytes]:
    """A program run in a process and folder of its own."""
    return subprocess.run(  # noqa: S603
        [sys.executable, "-c", code], cwd=where, env=os.environ | surroundings,
        capture_output=True, check=False,
    )  # fmt: skip


def planned(where: Path, **surroundings: str) -> dict[str, str]:
    """Plan the demo in a folder; SHA-256 of each file."""
    where.mkdir(parents=True)
    (where / "order.toml").write_bytes(demo_line_bytes())
    (where / "works.toml").write_bytes(demo_bytes("works.toml"))
    words = ["plan", "order.toml", "--works", "works.toml", "--out", "out", "--no-papers"]
    done = ended(RUN.format(words=words), where, **surroundings)
    assert done.returncode == 0, done.stderr
    made = {path.name: path.read_bytes() for path in sorted((where / "out").iterdir())}
    made["printed"] = done.stdout
    return {name: hashlib.sha256(content).hexdigest() for name, content in made.items()}


def test_surroundings_do_not_enter_a_plan(tmp_path: Path) -> None:
    """Hash seed, language, zone, folder and threads: same inputs, same bytes, same words."""
    first = planned(tmp_path / "a", PYTHONHASHSEED="1", LC_ALL="C", TZ="UTC",
                    OMP_NUM_THREADS="2", OPENBLAS_NUM_THREADS="2")  # fmt: skip
    second = planned(
        tmp_path / "b" / "ordner mit ü", PYTHONHASHSEED="4711", LC_ALL="de_DE.UTF-8",
        LANG="de_DE.UTF-8", TZ="Pacific/Chatham", COLUMNS="40", PYTHONUTF8="1",
        OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1",
    )  # fmt: skip
    assert first == second
    files = {"plan.json", "members.parquet", "order.toml", "works.toml"}
    assert set(first) == {*files, "printed"}


def test_a_cold_plan_loads_only_what_it_needs(tmp_path: Path) -> None:
    """`linkwright plan --no-papers --out` with all its writing leaves the heavy ones alone."""
    (tmp_path / "order.toml").write_bytes(demo_line_bytes())
    words = ["plan", "order.toml", "--no-papers", "--out", "out", "--quiet"]
    code = (
        f"import sys\ntry:\n    {RUN.format(words=words)}\n"
        "except SystemExit as end:\n    assert not end.code\n"
        "print('LOADED', *sys.modules)"
    )
    done = ended(code, tmp_path)
    loaded = set(done.stdout.decode().rpartition("LOADED")[2].split())
    assert {"numpy", "linkwright.planning.plan"} <= loaded, done.stderr
    assert sorted(loaded & NOT_WANTED) == []


@pytest.mark.parametrize("words", [["--help"], ["plan", "--help"], ["open", "--help"]])
def test_help_loads_no_numpy(tmp_path: Path, words: list[str]) -> None:
    """Help of a command is there without the physics."""
    code = (
        f"import sys\ntry:\n    {RUN.format(words=words)}\n"
        "except SystemExit as end:\n    assert not end.code\n"
        "print('LOADED', *sys.modules)"
    )
    loaded = set(ended(code, tmp_path).stdout.decode().rpartition("LOADED")[2].split())
    assert loaded
    assert not loaded & {"numpy", "scipy", "pyarrow"}


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    """Exit code 1, a sentence, no traceback, nothing left behind."""
    (tmp_path / "order.toml").write_bytes(demo_line_bytes())
    (tmp_path / "file").write_text("mine")
    words = ["plan", "order.toml", "--no-papers", "--out", "file/out", "--lots", "32"]
    done = ended(RUN.format(words=words), tmp_path)
    assert (done.returncode, done.stdout) == (1, b"")
    assert b"error: " in done.stderr
    assert b"Traceback" not in done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "order.toml"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_a_folder_without_rights_is_told(tmp_path: Path) -> None:
    """The system's refusal as a sentence."""
    (tmp_path / "order.toml").write_bytes(demo_line_bytes())
    (tmp_path / "closed").mkdir(mode=0o555)
    words = ["plan", "order.toml", "--no-papers", "--out", "closed/out", "--lots", "32"]
    done = ended(RUN.format(words=words), tmp_path)
    assert done.returncode == 1
    assert b"permission denied" in done.stderr


def test_an_order_in_the_folder_that_would_be_replaced_is_safe(tmp_path: Path) -> None:
    """`demo --out d`, edit d/order.toml, `plan d/order.toml --out d --force`: refused."""
    (tmp_path / "d").mkdir()
    (tmp_path / "d" / "order.toml").write_bytes(demo_line_bytes())
    words = ["plan", "d/order.toml", "--no-papers", "--out", "d", "--force", "--lots", "32"]
    done = ended(RUN.format(words=words), tmp_path)
    assert done.returncode == 1
    assert b"would be replaced" in done.stderr
    assert (tmp_path / "d" / "order.toml").read_bytes() == demo_line_bytes()
