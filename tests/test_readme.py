"""The README is what a newcomer runs: its examples run here, its commands exist."""

import doctest
import re
import shlex
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from linkwright.cli.main import app

README = Path(__file__).parent.parent / "README.md"
COMMANDS = re.findall(
    r"^    \.venv/bin/linkwright ((?:.*\\\n)*.*)$", README.read_text("utf-8"), re.M
)


EXPORTS = dict(
    re.findall(
        r'([A-Z_]+)="([^"]+)"',
        "".join(
            line
            for line in README.read_text("utf-8").splitlines()
            if line.startswith("    export ")
        ),
    )
)


def test_python_examples_print_what_the_readme_says() -> None:
    """The Python lines of the README run and print what stands there."""
    failed, tried = doctest.testfile(str(README), module_relative=False)
    assert (failed, tried > 0) == (0, True)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which `make demo` has left its files."""
    where = tmp_path_factory.mktemp("readme")
    done = CliRunner().invoke(app, ["demo", "--out", str(where / "demo-plan"), "--no-papers"])
    assert done.exit_code == 0
    for name in ("order.toml", "works.toml"):
        (where / name).write_bytes((where / "demo-plan" / name).read_bytes())
    shutil.copytree(README.parent / "examples", where / "examples")
    return where


@pytest.mark.parametrize("command", COMMANDS, ids=lambda text: text.split()[0])
def test_each_command_of_the_readme_runs(
    command: str, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every command line of the README ends with exit code 0."""
    monkeypatch.chdir(folder)
    for name, value in EXPORTS.items():
        monkeypatch.setenv(name, value)
    words = shlex.split(command.replace("\\\n", " "))
    if words[0] == "plan":
        words.append("--no-papers")
    if words[0] == "serve":
        words.append("--help")  # it would serve for ever; the tests of the pages start it
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 0, done.output
