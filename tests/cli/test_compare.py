"""`linkwright compare` as a person and as a program use it."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from linkwright.cli.compare import EPILOG, compare
from linkwright.cli.main import app
from linkwright.planning.draws import Ensemble
from linkwright.services.plan_folder import write_plan
from linkwright.services.planning import plan_order
from linkwright.works import demo_bytes, demo_line_bytes, demo_line_order, works_of_bytes

ENSEMBLE = Ensemble(lots=128)
Command = Callable[..., Any]


@pytest.fixture(autouse=True)
def registered() -> None:
    """The command is there even where the frame does not list it."""
    if not any(one.callback is compare for one in app.registered_commands):
        app.command("compare", epilog=EPILOG)(compare)


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """The demo, and the demo with a smaller margin on the breaking force."""
    base, folders = tmp_path_factory.mktemp("plans"), []
    for name, margin in (("a", b"8.5"), ("b", b"-2.0")):
        raw = demo_bytes("works.toml").replace(
            b"breaking_force_margin_percent = 8.5", b"breaking_force_margin_percent = " + margin
        )
        made = plan_order(demo_line_order(), works_of_bytes(raw), ensemble=ENSEMBLE)
        beside = {"order.toml": demo_line_bytes(), "works.toml": raw}
        write_plan(made, base / name, papers=False, beside=beside)
        folders.append(str(base / name))
    return folders[0], folders[1]


def test_a_person_reads_what_changed_and_what_moved_the_chance(
    command: Command, plans: tuple[str, str]
) -> None:
    """Chance, its cause, input, settings, findings with their verdicts, totals."""
    ended = command("compare", *plans)
    assert ended.code == 0
    assert ended.err == ""
    rows = [line.strip() for line in ended.out.splitlines()]
    assert "Differs: works" in rows
    assert "Line 1: close -> outside" in rows
    assert any(row.startswith("works aim.breaking_force_margin") for row in rows)
    assert any(row.startswith("[aim]: breaking force margin") and "8.5 % -> -2 %" in row
               for row in rows)  # fmt: skip
    assert any(row.startswith("inspection: breaking force") and "(within -> outside)" in row
               for row in rows)  # fmt: skip
    assert any(row.startswith("tempering: coil current") for row in rows)
    assert "planned again 2 times" in ended.out


def test_a_program_reads_the_same_as_json(command: Command, plans: tuple[str, str]) -> None:
    """One object with a version; the shares of the line add up to the difference."""
    made = json.loads(command("compare", *plans, "--json").out)
    assert list(made) == [
        "schema_version", "a", "b", "hashes", "members", "only_in_a", "only_in_b", "lines",
    ]  # fmt: skip
    (line,) = made["lines"]
    whole = line["chances"][0]
    assert whole["subject"] == "all requirements together"
    moves = [one["moves"]["all requirements together"] for one in line["attribution"]["changes"]]
    assert sum(moves) == pytest.approx(whole["difference"], abs=1e-9)
    changed = {row["name"]: row for row in line["inputs"]}
    assert changed["breaking_force_margin_percent"]["difference"] == -10.5
    assert line["verdict"] == {"a": "close", "b": "outside"}


def test_slopes_can_be_asked_for(command: Command, plans: tuple[str, str]) -> None:
    """--by slopes plans nothing and says how it was done."""
    ended = command("compare", *plans, "--by", "slopes")
    assert "by the influence slopes of A" in ended.out
    assert "planned again" not in ended.out


def test_units_change_what_is_shown_only(command: Command, plans: tuple[str, str]) -> None:
    """Inches for people, the units of the keys for programs."""
    words = ("compare", *plans, "--by", "slopes", "--units", "inch")
    assert "°F" in command(*words).out
    assert command(*words, "--json").out == command(*words[:-2], "--json").out


def test_a_plan_with_itself_changes_nothing(command: Command, plans: tuple[str, str]) -> None:
    """No change, and nothing is planned again."""
    ended = command("compare", plans[0], plans[0])
    assert ended.code == 0
    assert "Order, works, tables and factors are the same" in ended.out
    assert "Nothing changed" in ended.out


@pytest.mark.parametrize(
    ("content", "code", "words"),
    [(None, 1, "no such file"), (b"{}", 2, "is not a plan of this program")],
)
def test_what_is_no_plan_ends_in_a_sentence(
    command: Command, plans: tuple[str, str], tmp_path: Path, content: bytes | None, code: int,
    words: str,
) -> None:  # fmt: skip
    """Missing files could not be read (1); files that are no plan are wrong input (2)."""
    if content is not None:
        (tmp_path / "plan.json").write_bytes(content)
    ended = command("compare", plans[0], str(tmp_path / "plan.json"), "--json")
    assert ended.code == code
    assert words in ended.err
    assert json.loads(ended.out)["errors"]


def test_a_named_file_of_another_plan_is_wrong_input(
    command: Command, plans: tuple[str, str]
) -> None:
    """--works-a with the works of B."""
    ended = command("compare", *plans, "--works-a", f"{plans[1]}/works.toml")
    assert ended.code == 2
    assert "is not the file that the plan was made from" in ended.err
