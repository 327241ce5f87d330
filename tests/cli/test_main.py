"""The frame of the command line: help, errors, exit codes, channels."""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from linkwright.cli.main import app

Command = Callable[..., Any]


def linkwright(*words: str, **options: Any) -> subprocess.CompletedProcess[str]:
    """The real program in a process of its own."""
    program = [sys.executable, "-c", "from linkwright.cli.main import run; run()", *words]
    return subprocess.run(  # noqa: S603
        program, text=True, check=False, **{"capture_output": True, **options}
    )


def test_the_help_lists_commands_and_exit_codes(command: Command) -> None:
    """`--help` and the bare name print the same, with every exit code."""
    ended = command("--help")
    assert ended.code == 0
    for said in ("calc", "checks", "0    done", "1    could not be done", "2    wrong input"):
        assert said in ended.out
    assert "130  interrupted" in ended.out
    assert command().out.strip() == ended.out.strip()


def test_every_command_has_an_example(command: Command) -> None:
    """The help of each command shows how it is used."""
    for registered in app.registered_commands:
        assert f"linkwright {registered.name}" in command(str(registered.name), "--help").out
        assert "Example" in command(str(registered.name), "--help").out


def test_the_version_is_one_line(command: Command) -> None:
    """`--version` prints name and version."""
    assert command("--version").out == "linkwright 0.1.0\n"


def test_an_unknown_command_names_the_nearest(command: Command) -> None:
    """A slip in a command is wrong input and is answered with the right one."""
    ended = command("clac")
    assert (ended.code, ended.out) == (2, "")
    assert "Did you mean 'calc'" in ended.err


def test_an_unknown_option_is_wrong_input(command: Command) -> None:
    """Options are checked too, with the nearest one named."""
    ended = command("calc", "--jsn")
    assert ended.code == 2
    assert "--json" in ended.err


@pytest.mark.usefixtures("tiny")
@pytest.mark.parametrize(
    ("kind", "code", "said"),
    [
        ("value", 1, "has no value for these arguments"),
        ("system", 1, "the system refused: no space left on device"),
        ("memory", 1, "not enough memory"),
        ("stop", 130, "interrupted"),
        ("key", 1, "incident: KeyError at catalogue/calculation.py:"),
    ],
)
def test_whatever_goes_wrong_ends_in_a_sentence(
    command: Command, kind: str, code: int, said: str
) -> None:
    """No failure shows a traceback, and none shows what was in the error of a mistake."""
    ended = command("calc", "tiny_failure", f"kind={kind}")
    assert (ended.code, ended.out) == (code, "")
    assert said in ended.err
    assert "Traceback" not in ended.err
    assert "secret" not in ended.err


@pytest.mark.usefixtures("tiny")
@pytest.mark.parametrize(
    "words",
    [
        ["calc", "tiny_pull", "x=1"],
        ["calc", "tiny_pul"],
        ["calc", "tiny_failure", "kind=key"],
        ["calc", "--jsn"],
        ["nothing"],
        ["checks", "--book", "none.toml"],
    ],
)
def test_errors_have_one_shape_in_json(command: Command, words: list[str]) -> None:
    """With `--json` standard output is JSON also where a command fails."""
    ended = command(*words, "--json")
    data = json.loads(ended.out)
    assert ended.code in (1, 2)
    assert list(data) == ["schema_version", "errors"]
    for error in data["errors"]:
        assert list(error) == ["code", "message", "file", "line", "key", "accepted"]
    assert ended.err.startswith("error: ")


def ended_after_the_end(*words: str) -> str:
    """Standard error of a command whose output is written only as it leaves."""
    with Path("/dev/full").open("w") as full:
        return linkwright(
            *words, stdout=full, stderr=subprocess.PIPE, capture_output=False
        ).stderr.split("\n", 1)[1]


def test_a_full_disk_is_a_sentence() -> None:
    """Output that cannot be written ends with 1 and says why."""
    if not Path("/dev/full").exists():
        pytest.skip("this system has no device that is always full")
    with Path("/dev/full").open("w") as full:
        ended = linkwright("--help", stdout=full, stderr=subprocess.PIPE, capture_output=False)
    assert ended.returncode == 1
    assert ended.stderr == "error: the system refused: no space left on device\n"
    assert ended_after_the_end("calc", "--find", "nothing at all", "--json").startswith(
        "error: the output could not be written: No space left on device"
    )


def test_a_reader_that_goes_away_is_no_mistake() -> None:
    """A closed pipe ends the program without a word."""
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "w") as closed:
        ended = linkwright("calc", stdout=closed, stderr=subprocess.PIPE, capture_output=False)
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    assert "Exception" not in ended.stderr


def test_letters_that_the_terminal_lacks_do_no_harm() -> None:
    """On a terminal of plain ASCII units are shown as escapes; broken bytes pass too."""
    name = os.fsdecode(b"\xff\xfe.toml")
    ended = linkwright(
        "checks", "--book", name, "--json", env={**os.environ, "PYTHONIOENCODING": "ascii"}
    )
    assert ended.returncode == 2
    assert json.loads(ended.stdout)["errors"][0]["file"] == name
    assert ended.stderr.startswith("error: ")


def test_two_dashes_end_the_options(command: Command) -> None:
    """After `--` a word is no option, not even `--json`."""
    ended = command("calc", "--", "--json")
    assert (ended.code, ended.out) == (2, "")
