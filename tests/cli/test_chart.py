"""`linkwright chart`, `learn` and `causes`."""

import json
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from json_page import described, keys_of

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def weld(tmp_path: Path) -> Path:
    """Energies of 80 welds: one burst at 34, a lasting step after 50."""
    rng = np.random.default_rng(5)
    x = 10.0 + 0.25 * rng.standard_normal(80)
    x[50:] += 0.55
    x[33] = 11.2
    rows = [f"{at + 1};{value:.3f};{at % 7}".replace(".", ",") for at, value in enumerate(x)]
    path = tmp_path / "weld.csv"
    path.write_text("nr;energy [kJ];tap\n" + "\n".join(rows) + "\n", encoding="utf-8-sig")
    return path


def test_json_is_what_the_page_describes(command, weld: Path, tmp_path: Path) -> None:
    """Every key is described and every described key is there; the picture holds the signals."""
    out = tmp_path / "weld.svg"
    ended = command("chart", str(weld), "--column", "energy", "--baseline", "30", "--out", str(out),
                    "--json")  # fmt: skip
    assert ended.code == 0
    data = json.loads(ended.out)
    assert keys_of(data) == described("chart")
    assert data["unit"] == "kJ"
    assert {one["point"] for one in data["signals"]} >= {34, 35, 51}
    assert data["unanswered"] == len(data["signals"])
    drawn = ElementTree.fromstring(out.read_text())  # noqa: S314 - our own file
    words = " ".join(one.text or "" for one in drawn.iter(f"{SVG}text"))
    for word in ("energy, kJ", "UCL", "LCL", "from points 1 to 30", "square", "Montgomery"):
        assert word in words, word
    shapes = [one for one in drawn.iter(f"{SVG}path") if one.get("d", "").endswith("Z")]
    assert len(shapes) >= len({(one["point"], one["value"]) for one in data["signals"]})


def test_limits_are_frozen_numbered_and_kept(command, weld: Path, tmp_path: Path) -> None:
    """Frozen limits judge later readings alike; freezing again gives the next version."""
    frozen = tmp_path / "limits.json"
    words = ("chart", str(weld), "--column", "energy", "--baseline", "30")
    first = json.loads(command(*words, "--freeze", str(frozen), "--json").out)
    later = json.loads(command("chart", str(weld), "--column", "energy", "--limits", str(frozen),
                               "--json").out)  # fmt: skip
    assert later["limits"]["figures"] == first["limits"]["figures"]
    assert [one["point"] for one in later["signals"]] == [one["point"] for one in first["signals"]]
    assert command(*words, "--freeze", str(frozen)).code == 1
    again = command("chart", str(weld), "--column", "energy", "--baseline", "40", "--limits",
                    str(frozen), "--freeze", str(frozen), "--json")  # fmt: skip
    held = json.loads(frozen.read_text())
    assert again.code == 0
    assert (held["version"], held["earlier"][0]["version"]) == (2, 1)
    other = command("chart", str(weld), "--column", "tap", "--limits", str(frozen))
    assert other.code == 2
    assert "as the limits are" in other.err


def test_causes_and_actions_answer_signals(command, weld: Path, tmp_path: Path) -> None:
    """A signal without both is unanswered, and --must-hold says so by the exit code."""
    words = ("chart", str(weld), "--column", "energy", "--baseline", "30", "--rules", "1")
    points = sorted({one["point"] for one in json.loads(command(*words, "--json").out)["signals"]})
    notes = tmp_path / "notes.csv"
    notes.write_text("point,cause,action\n" + "\n".join(f"{p},tap moved,tap set" for p in points))
    assert command(*words, "--must-hold").code == 1
    ended = command(*words, "--must-hold", "--causes", str(notes))
    assert ended.code == 0
    assert "0 without cause or action" in ended.out
    notes.write_text("point,cause,action\n2,x,y\n")
    assert "gives no signal" in command(*words, "--causes", str(notes)).err


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("xbar-r", ["--subgroup", "5"]), ("xbar-s", ["--subgroup", "4"]), ("ewma", []),
        ("cusum", []), ("individuals", ["--target", "10", "--sigma", "0.25"]),
    ],
)  # fmt: skip
def test_every_kind_of_measured_chart(command, weld: Path, tmp_path, kind, words) -> None:
    """Draws, and sees the step."""
    out = tmp_path / "x.svg"
    first = "8" if kind.startswith("xbar") else "30"
    ended = command("chart", str(weld), "--column", "energy", "--kind", kind, *words,
                    "--baseline", first, "--out", str(out), "--json")  # fmt: skip
    assert ended.code == 0, ended.err
    assert json.loads(ended.out)["signals"]
    ElementTree.fromstring(out.read_text())  # noqa: S314


@pytest.mark.parametrize("kind", ["p", "np", "c", "u"])
def test_every_kind_of_counted_chart(command, tmp_path: Path, kind: str) -> None:
    """A sample with far too many stands out."""
    path = tmp_path / "seen.csv"
    bad = [3, 2, 4, 3, 1, 2, 3, 4, 2, 3, 30, 2, 3, 1, 4, 2, 3, 2, 1, 3]
    path.write_text("seen,bad\n" + "\n".join(f"100,{one}" for one in bad))
    words = [] if kind == "c" else ["--size", "seen" if kind in ("p", "u") else "100"]
    ended = command("chart", str(path), "--column", "bad", "--kind", kind, *words, "--out",
                    str(tmp_path / "s.svg"), "--json")  # fmt: skip
    assert ended.code == 0, ended.err
    assert 11 in {one["point"] for one in json.loads(ended.out)["signals"]}


def test_t2_names_the_variable(command, weld: Path) -> None:
    """Two columns; the burst is one of energy."""
    ended = command("chart", str(weld), "--column", "energy", "--column", "tap", "--kind", "t2",
                    "--baseline", "30")  # fmt: skip
    assert "point 34" in ended.out
    assert "energy [kJ] adds most" in ended.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--column", "nix"], "there is no column"),
        ([], "which column?"),
        (["--column", "energy", "--kind", "xbar-r"], "several readings a point"),
        (["--column", "energy", "--rules", "9"], "1 to 8"),
        (["--column", "energy", "--baseline", "2"], "3 to 80"),
        (["--column", "tap", "--kind", "p"], "is needed"),
        (["--column", "energy", "--sigma", "-1"], "more than 0"),
    ],
)
def test_mistakes_are_sentences(command, weld: Path, words: list[str], said: str) -> None:
    """Exit code 2 and what would be accepted."""
    ended = command("chart", str(weld), *words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err


def test_the_picture_is_the_same_bytes_twice(command, weld: Path, tmp_path: Path) -> None:
    """No time, path or chance in it."""
    for name in ("a.svg", "b.svg"):
        command("chart", str(weld), "--column", "energy", "--out", str(tmp_path / name))
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()
    assert command("chart", str(weld), "--column", "energy", "--out", str(weld)).code == 1
