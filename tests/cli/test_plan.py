"""`linkwright plan`, `demo` and `open` as a user meets them, and when things go wrong."""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from linkwright.cli.main import app
from linkwright.works import demo_bytes, demo_line_bytes

LINKWRIGHT = [sys.executable, "-m", "linkwright"]


@pytest.fixture
def order(tmp_path: Path) -> Path:
    """The demo order as a file, its name with a space and an umlaut."""
    path = tmp_path / "bestellung für 8 mm.toml"
    path.write_bytes(demo_line_bytes())
    return path


def called(
    *words: str, cwd: Path, before: Callable[[], None] | None = None, stdin: bytes = b""
) -> subprocess.CompletedProcess[bytes]:
    """Run a command line in a folder of its own."""
    return subprocess.run(  # noqa: S603
        [*LINKWRIGHT, *words], cwd=cwd, input=stdin, capture_output=True, preexec_fn=before,
        check=False,
    )  # fmt: skip


def folders(where: Path) -> list[str]:
    """Names that lie in a folder, hidden ones too."""
    return sorted(path.name for path in where.iterdir())


def test_the_summary_tells_verdict_chance_settings_time_and_energy(order: Path) -> None:
    """What the issue of a plan promises stands on standard output."""
    done = called("plan", str(order), "--no-papers", cwd=order.parent)
    text = done.stdout.decode()
    assert done.returncode == 0
    for words in ("Verdict:", "Chance that a lot passes:", "breaking force", "Settings: welding",
                  "secondary current", "electricity", "kWh", "only after the tests"):  # fmt: skip
        assert words in text
    assert b"invented demo works" in done.stderr


def test_json_is_the_content_of_the_file_and_nothing_else(order: Path) -> None:
    """Standard output parses and equals plan.json."""
    done = called("plan", str(order), "--no-papers", "--json", "--out", "out", cwd=order.parent)
    assert json.loads(done.stdout) == json.loads((order.parent / "out" / "plan.json").read_text())


def test_order_and_works_lie_beside_their_plan(order: Path) -> None:
    """Copies to the byte, so that a later comparison finds them."""
    (order.parent / "own.toml").write_bytes(demo_bytes("works.toml") + b"\n# ours\n")
    words = ("plan", str(order), "--works", "own.toml", "--no-papers", "--out", "out", "--quiet")
    assert called(*words, cwd=order.parent).returncode == 0
    out = order.parent / "out"
    assert (out / "order.toml").read_bytes() == order.read_bytes()
    assert (out / "works.toml").read_bytes() == (order.parent / "own.toml").read_bytes()


def test_the_order_may_come_from_standard_input(tmp_path: Path) -> None:
    """A dash is standard input."""
    done = called("plan", "-", "--no-papers", "--quiet", cwd=tmp_path, stdin=demo_line_bytes())
    assert done.returncode == 0
    assert done.stderr == b""


def test_a_file_name_may_begin_with_a_dash(tmp_path: Path) -> None:
    """Two dashes end the options."""
    (tmp_path / "-order.toml").write_bytes(demo_line_bytes())
    done = called("plan", "--no-papers", "--", "-order.toml", cwd=tmp_path)
    assert done.returncode == 0


def test_a_folder_in_use_is_left_alone_unless_forced(order: Path) -> None:
    """Exit 1 and nothing changed; with --force the folder is replaced whole."""
    out = order.parent / "out"
    out.mkdir()
    (out / "mine.txt").write_text("keep")
    done = called("plan", str(order), "--no-papers", "--out", "out", cwd=order.parent)
    assert done.returncode == 1
    assert b"--force" in done.stderr
    assert folders(out) == ["mine.txt"]
    done = called("plan", str(order), "--no-papers", "--out", "out", "--force", cwd=order.parent)
    assert done.returncode == 0
    assert folders(out) == ["members.parquet", "order.toml", "plan.json", "works.toml"]
    assert folders(order.parent) == [order.name, "out"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"a" * 10_000_000, "larger than 1 MB"),
        ("[order]\nnumber = 'Ä'".encode("utf-16"), "UTF"),
        (b"[order]\nnumber = 'x'\n[[line]]\nsize = nan\n", "line.size"),
        (b"", "order"),
    ],
)
def test_a_bad_file_ends_with_2_and_writes_nothing(
    tmp_path: Path, content: bytes, says: str
) -> None:
    """Ten megabytes, UTF-16, NaN and nothing at all: a sentence each, no folder."""
    (tmp_path / "order.toml").write_bytes(content)
    done = called("plan", "order.toml", "--out", "out", cwd=tmp_path)
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert says.lower() in done.stderr.decode().lower()
    assert folders(tmp_path) == ["order.toml"]


def test_errors_as_json_have_the_common_shape(tmp_path: Path) -> None:
    """Code, message, file, line, key, accepted."""
    (tmp_path / "order.toml").write_bytes(demo_line_bytes().replace(b"8 mm", b"8,5 mm"))
    done = called("plan", "order.toml", "--json", cwd=tmp_path)
    error = json.loads(done.stdout)["errors"][0]
    assert done.returncode == 2
    assert set(error) == {"code", "message", "file", "line", "key", "accepted"}
    assert (error["file"], error["key"]) == ("order.toml", "line.size")


def test_must_pass_turns_a_failing_verdict_into_1(tmp_path: Path) -> None:
    """A plan was made, so it is 0; asked to pass, it is 1."""
    hot = demo_line_bytes() + b"\n[line.settings]\nhardening.temperature_degC = 830.0\n"
    (tmp_path / "order.toml").write_bytes(hot)
    plain = called("plan", "order.toml", "--no-papers", cwd=tmp_path)
    strict = called("plan", "order.toml", "--no-papers", "--must-pass", cwd=tmp_path)
    assert (plain.returncode, strict.returncode) == (0, 1)
    assert b"would fail" in plain.stdout


def test_a_line_that_cannot_be_planned_ends_with_1_and_the_nearest_that_would_work(
    tmp_path: Path,
) -> None:
    """A heat below the standard's limits: which limit, and which rod instead."""
    lean = demo_line_bytes().replace(b'"rod 8.5"', b'"rod 8.5 lean"')
    (tmp_path / "order.toml").write_bytes(lean)
    done = called("plan", "order.toml", "--no-papers", "--quiet", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (1, b"")
    text = done.stderr.decode()
    assert "refused by the standard" in text
    assert "nearest that would work: steel: 'rod 8.5'" in text


def test_the_summary_tells_the_trial_worth_making(order: Path) -> None:
    """Model doubt is told as unreduced, and the trials that narrow it by name."""
    text = called("plan", str(order), "--no-papers", "--quiet", cwd=order.parent).stdout.decode()
    assert "model doubt unreduced" in text
    assert "break 3 samples of one lot" in text
    assert "3 pieces narrow" in text


@pytest.mark.skipif(sys.platform == "win32", reason="file-size limits are POSIX")
def test_a_full_disk_is_told_and_leaves_the_old_folder(order: Path) -> None:
    """With no room for the files: exit 1, a sentence, the old plan unharmed."""
    assert (
        called("plan", str(order), "--no-papers", "--out", "out", cwd=order.parent).returncode == 0
    )
    old = (order.parent / "out" / "plan.json").read_bytes()

    def little_room() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))

    done = called(
        "plan", str(order), "--no-papers", "--out", "out", "--force", cwd=order.parent,
        before=little_room,
    )  # fmt: skip
    assert done.returncode == 1
    assert b"Traceback" not in done.stderr
    assert (order.parent / "out" / "plan.json").read_bytes() == old
    assert folders(order.parent) == [order.name, "out"]


@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX")
@pytest.mark.parametrize("wait_s", [0.3, 0.9, 1.5])
def test_an_interrupt_ends_with_130_and_nothing_half(order: Path, wait_s: float) -> None:
    """Ctrl-C at some moment: the folder is whole or absent, no leftover beside it."""
    process = subprocess.Popen(  # noqa: S603
        [*LINKWRIGHT, "plan", str(order), "--out", "out"], cwd=order.parent,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    time.sleep(wait_s)
    process.send_signal(signal.SIGINT)
    _, errors = process.communicate(timeout=30)
    assert process.returncode in (0, 130, -signal.SIGINT)
    assert b"Traceback" not in errors
    left = folders(order.parent)
    assert left in ([order.name], [order.name, "out"])
    if "out" in left:
        json.loads((order.parent / "out" / "plan.json").read_text("utf-8"))


@pytest.mark.skipif(sys.platform == "win32", reason="signals are POSIX")
def test_a_killed_plan_leaves_the_old_folder_or_the_new_one(order: Path) -> None:
    """SIGKILL while writing: what stands under the name is always a whole plan."""
    assert (
        called("plan", str(order), "--no-papers", "--out", "out", cwd=order.parent).returncode == 0
    )
    process = subprocess.Popen(  # noqa: S603
        [*LINKWRIGHT, "plan", str(order), "--no-papers", "--out", "out", "--force"],
        cwd=order.parent, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    for _ in range(400):
        if any(name.startswith(".out-") for name in folders(order.parent)):
            break
        time.sleep(0.01)
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    document = json.loads((order.parent / "out" / "plan.json").read_text("utf-8"))
    assert document["order"]["number"] == "Q-1042"


def test_a_number_opens_from_the_command_line(order: Path) -> None:
    """`open` shows a tree that ends in lines of files and rows of tables."""
    called("plan", str(order), "--no-papers", "--out", "out", cwd=order.parent)
    done = CliRunner().invoke(
        app, ["open", str(order.parent / "out" / "plan.json"), "breaking_force_kN"]
    )
    assert done.exit_code == 0
    assert "works.toml:" in done.output
    assert "EN 818-2" in done.output
    wrong = CliRunner().invoke(
        app, ["open", str(order.parent / "out" / "plan.json"), "braking_force_kN"]
    )
    assert wrong.exit_code != 0
