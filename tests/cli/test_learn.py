"""`linkwright learn` and `linkwright causes`, on a small made-up plan."""

import json
import tomllib
from pathlib import Path

import numpy as np
import pytest
from json_page import described, keys_of
from scipy import stats

from linkwright.planning.draws import Ensemble
from linkwright.planning.members import read_members, write_members
from linkwright.route import Conditions, Factor

NAME = "factor/inspection/breaking_force"
LOTS = 512


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    """Force 90 kN (1 + 0.03 z) and 2 kN a tenth of a mm of wire."""
    rng = np.random.default_rng(1)
    z = stats.norm.ppf((rng.permutation(LOTS) + 0.5) / LOTS)[:, None]
    half = rng.standard_normal((LOTS, 4))
    wire = 8.0 + 0.05 * np.hstack([half, -half])
    force = 90.0 * np.exp(0.03 * z) + 20.0 * (wire - 8.0)
    force = force + 0.5 * rng.standard_normal((LOTS, 1))
    factor = Factor(NAME, 1.0, 0.03, "made up")
    where = tmp_path / "plan"
    where.mkdir()
    write_members(where / "members.parquet", Ensemble(lots=LOTS, seed=1),
                  Conditions(factors={NAME: factor}, draws={NAME: z}),
                  {"breaking_force_kN": force, "wire_diameter_mm": wire})  # fmt: skip
    told = {"name": NAME, "median": 1.0, "spread": 0.03, "source": "works.toml:1", "trial": ""}
    document = {"schema_version": 1, "lines": [{"id": "1", "factors": [told]}]}
    (where / "plan.json").write_text(json.dumps(document))
    (where / "works.toml").write_text(f'[[factor]]\nname = "{NAME}"\nversion = 3\n')
    return where


def test_members_are_read_as_they_were_written(plan: Path) -> None:
    """Columns by name as (lots, links), and what each is."""
    columns, kinds = read_members(plan / "members.parquet")
    assert kinds[NAME] == "factor"
    assert columns["wire_diameter_mm"].shape == (LOTS, 8)
    assert np.allclose(columns["wire_diameter_mm"].mean(axis=1), 8.0)


def test_learning_writes_the_next_version(command, plan: Path, tmp_path: Path) -> None:
    """Tests 2 % above the plan move the factor by about 2 %; keys are as described."""
    tests, out = tmp_path / "tests.csv", tmp_path / "factors.toml"
    rows = [f"L{lot};{91.8 + off}".replace(".", ",") for lot in range(3) for off in (-1, 0, 1)]
    tests.write_text("lot;breaking_force_kN\n" + "\n".join(rows))
    ended = command("learn", str(plan), str(tests), "--out", str(out), "--json")
    assert ended.code == 0, ended.err
    data = json.loads(ended.out)
    assert keys_of(data) == described("learn")
    assert data["factors"][0]["new_median"] == pytest.approx(1.02, abs=0.003)
    held = tomllib.loads(out.read_text())["factor"][0]
    assert (held["name"], held["version"]) == (NAME, 4)
    assert held["spread"] < 0.02
    assert command("learn", str(plan), str(tests), "--out", str(out)).code == 1
    inches = tmp_path / "other.csv"
    inches.write_text("lot,breaking_force_N\n" + "\n".join(f"L{k},91800" for k in range(3)))
    other = json.loads(command("learn", str(plan), str(inches), "--json").out)
    assert other["expected"][0]["after"] == pytest.approx(91.7, abs=0.4)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("lot,breaking_force\nA,90\n", "no unit in its head"),
        ("lot,nothing_kN\nA,90\n", "no result of the plan"),
        ("breaking_force_kN\n90\n", "no column 'lot'"),
        ("lot,breaking_force_kN\n,90\n", "has no lot"),
        ("lot,breaking_force_kN\nA,x\n", "is not a number"),
    ],
)
def test_tests_that_cannot_be_read(command, plan, tmp_path: Path, text: str, said: str) -> None:
    """Exit code 2 with the place."""
    tests = tmp_path / "tests.csv"
    tests.write_text(text)
    ended = command("learn", str(plan), str(tests))
    assert ended.code == 2
    assert said in ended.err


def test_a_folder_without_a_plan_is_told(command, tmp_path: Path) -> None:
    """So is a table that is none."""
    (tmp_path / "t.csv").write_text("lot,a\n1,2\n")
    assert "plan.json" in command("learn", str(tmp_path), str(tmp_path / "t.csv")).err
    (tmp_path / "plan.json").write_text('{"lines": [{"id": "1", "factors": []}]}')
    (tmp_path / "members.parquet").write_bytes(b"PAR1")
    ended = command("learn", str(tmp_path), str(tmp_path / "t.csv"))
    assert ended.code == 2
    assert "no table of members" in ended.err


def test_causes_with_and_without_a_plan(command, plan: Path, tmp_path: Path) -> None:
    """Thin wire broke; the plan's slope is that of the fixture, 20 kN/mm, in the file's units."""
    rng = np.random.default_rng(8)
    wire = 8.0 + 0.05 * rng.standard_normal(60)
    force = 90.0 + 20.0 * (wire - 8.0) + 0.1 * rng.standard_normal(60)
    links = tmp_path / "links.csv"
    links.write_text("link,breaking_force_N,wire_diameter_mm,shift\n" + "\n".join(
        f"K{at},{1000 * f:.0f},{w:.4f},{at % 3}"
        for at, (f, w) in enumerate(zip(force, wire, strict=True))))  # fmt: skip
    words = ("causes", str(links), "--result", "breaking_force_N", "--least", "89kN", "--link",
             "link", "--json")  # fmt: skip
    alone = json.loads(command(*words).out)
    assert keys_of(alone) == described("causes")
    assert alone["causes"][0]["variable"] == "wire_diameter"
    assert alone["causes"][0]["of_physics"] is None
    assert set(alone["failed"]) == {f"K{at}" for at in np.flatnonzero(force < 89.0)}
    joined = json.loads(command(*words, "--plan", str(plan)).out)
    assert joined["causes"][0]["of_physics"] == pytest.approx(20000.0, rel=0.05)
    assert not joined["causes"][0]["disagrees"]
    told = command("causes", str(links), "--result", "breaking_force_N", "--least", "89kN")
    assert "1. wire_diameter" in told.out
    assert "line " in told.out
    none = command("causes", str(links), "--result", "breaking_force_N")
    assert none.code == 2
