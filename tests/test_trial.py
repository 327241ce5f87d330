"""The trials and benchmarks run, keep what they found, and can find what is wrong."""

import importlib
import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import planned
import pytest

ROOT = Path(__file__).parents[1]
SLOW = ("same_bytes", "kills", "collect_kills", "engines", "speed")


@pytest.fixture(scope="module")
def script():
    """The modules of the folder scripts, by name."""
    sys.path.append(str(ROOT / "scripts"))
    names = ("book", "members", "toy", "bad_input", "kills", "links", "peer", "arrays",
             "other_works")  # fmt: skip
    modules = {name: importlib.import_module(f"trials.{name}") for name in names}
    top = {name: importlib.import_module(name) for name in ("trial", "measured")}
    kinds = {name: importlib.import_module(f"trials.{name}") for name in ("outcome", "page")}
    yield SimpleNamespace(**modules, **top, **kinds)
    sys.path.remove(str(ROOT / "scripts"))


@pytest.fixture(scope="module")
def small(script):
    """Counts that take seconds."""
    return replace(script.outcome.TINY, commands=0, numbers=300, kills=0)


def made(script, name, *figures):
    """A trial that gives these figures without any work."""
    module = SimpleNamespace(run=lambda *_: script.outcome.Outcome(tuple(figures)))
    sys.modules[f"trials.{name}"] = module
    return script.trial.Trial(name, name.title(), "Is it so?")


@pytest.fixture
def places(tmp_path):
    """Where state and page of a run go."""
    return {"state": tmp_path / "state", "path": tmp_path / "docs" / "trials.md"}


def test_the_quick_trials_meet_their_targets(script, small, places) -> None:
    """With the least counts every trial that takes no process of its own meets its targets."""
    chosen = [trial for trial in script.trial.TRIALS if trial.name not in SLOW]
    assert script.trial.run_all(chosen, small, **places, again=False) == []
    text = places["path"].read_text(encoding="utf-8")
    assert all(f"## {trial.title}\n" in text for trial in chosen)
    assert "cores" in text
    assert str(ROOT) not in text


def test_a_finished_trial_is_not_run_again_unless_asked(script, small, places) -> None:
    """The kept file decides, as long as the counts are the same."""
    trial = made(script, "one", script.measured.Figure("found", 1.0))
    script.trial.run_all([trial], small, **places, again=False)
    made(script, "one", script.measured.Figure("found", 2.0))

    def value():
        data = json.loads((places["state"] / "one.json").read_text(encoding="utf-8"))
        return data["outcome"]["figures"][0]["value"]

    script.trial.run_all([trial], small, **places, again=False)
    assert value() == 1.0
    script.trial.run_all([trial], small, **places, again=True)
    assert value() == 2.0
    assert not script.trial.finished(trial, replace(small, seeds=99), places["state"])


def test_a_missed_target_is_told_and_printed(script, small, places, monkeypatch) -> None:
    """A figure beyond its target ends in a sentence and stands in the page as missed."""
    trial = made(script, "two", script.measured.Figure("error", 3.0, "%", greatest=1.0))
    monkeypatch.setattr(script.trial, "TRIALS", (trial,))
    wrong = script.trial.run_all([trial], small, **places, again=False)
    assert wrong == ["two: error missed its target"]
    text = places["path"].read_text(encoding="utf-8")
    assert "| error | 3 % | at most 1 % | **missed** |" in text
    assert "0 of 1 targets met" in text


def test_a_trial_that_fails_is_told_and_not_kept(script, small, places) -> None:
    """An error of one trial is a sentence; the others run."""
    broken = script.trial.Trial("no_such_trial", "None", "?")
    good = made(script, "three", script.measured.Figure("found", 1.0))
    (sentence,) = script.trial.run_all([broken, good], small, **places, again=False)
    assert sentence.startswith("no_such_trial was not finished")
    assert [file.name for file in places["state"].iterdir()] == ["three.json"]


def test_a_page_says_when_the_program_has_changed(script) -> None:
    """Figures of another state of the program are marked."""
    outcome = script.outcome.Outcome((script.measured.Figure("found", 1.0),))
    one = script.page.Finished("Title", "Is it so?", "2026-01-02", 3.0, "abc", outcome)
    assert "has changed since" not in script.page.page([one], "abc", "2026-01-03")
    assert "has changed since" in script.page.page([one], "abd", "2026-01-03")


def test_an_outcome_survives_being_kept(script) -> None:
    """What is read back from plain data equals what was written."""
    listing = script.outcome.Listing("Rows", ("a", "b"), (("1", "2"),))
    figure = script.measured.Figure("error", 0.5, "mm", greatest=1.0, remark="at 8 mm")
    outcome = script.outcome.Outcome((figure,), (listing,), ("said",))
    data = json.loads(json.dumps(outcome.to_dict()))
    assert script.outcome.Outcome.of(data) == outcome


@pytest.mark.parametrize(
    ("value", "bounds", "verdict"),
    [
        (1.0, {"greatest": 1.0}, "met"),
        (1.1, {"greatest": 1.0}, "missed"),
        (0.9, {"least": 1.0}, "missed"),
        (None, {"least": 1.0}, "not measured"),
        (1.0, {}, ""),
    ],
)
def test_verdict_of_a_figure(script, value, bounds, verdict) -> None:
    """A figure is held against its bounds, a missing one is never taken as met."""
    assert script.measured.Figure("x", value, **bounds).verdict == verdict


def test_members_that_differ_would_be_seen(script) -> None:
    """A deviation is relative, and a value that is not there on one side is infinite."""
    assert script.members._deviation(1.0, 1.0 + 1e-6) == pytest.approx(1e-6, rel=1e-3)
    assert script.members._deviation(float("nan"), 1.0) == float("inf")
    assert script.members._deviation(float("nan"), float("nan")) == 0.0


def test_arrays_that_differ_would_be_seen(script) -> None:
    """A wrong element of an array, a wrong text and a missing value are deviations."""
    drill = script.arrays.Drill()
    script.arrays._note(drill, "array", "number", 2.0, 2.0002)
    assert drill.worst["array"] == (pytest.approx(1e-4, rel=1e-3), "number")
    script.arrays._note(drill, "list", "text", "a", "b")
    script.arrays._note(drill, "unit", "missing", float("nan"), 1.0)
    assert drill.worst["list"][0] == drill.worst["unit"][0] == float("inf")


def test_a_number_taken_wrongly_would_be_seen(script) -> None:
    """What a text means is found without the program's own grammar."""
    assert script.bad_input._meant("1 1/4 in", 1.25)
    assert script.bad_input._meant("-8.50mm", -8.5)
    assert not script.bad_input._meant("8,5 mm", 85.0)
    assert not script.bad_input._meant("1 1/4 in", 0.25)


def test_every_other_ending_of_a_damaged_file_is_counted(script) -> None:
    """An error that is no refusal is counted and told."""
    tally = script.bad_input.Tally(1.0)
    tally.note(lambda raw: raw.decode("utf-8"), b"\xff")
    assert tally.counts["unexpected"] == 1
    assert tally.unexpected[0].startswith("UnicodeDecodeError")


def test_a_writing_that_is_cut_early_leaves_the_old_plan(script, tmp_path) -> None:
    """Cut at its first file events, the writing has not touched the folder."""
    copy = script.outcome.frozen(tmp_path)
    assert script.kills._cut(tmp_path / "cut", 3, copy) == {"old": 3}


def test_a_folder_that_lost_a_byte_would_be_seen(script, tmp_path) -> None:
    """The digest of a folder holds names and bytes of all its files."""
    (tmp_path / "plan.json").write_text("{}", encoding="utf-8")
    before = script.kills.digests(tmp_path)
    (tmp_path / "plan.json").write_text("{", encoding="utf-8")
    assert script.kills.digests(tmp_path) != before
    assert script.kills.digests(tmp_path / "nothing") == ""


def test_another_works_is_another_only_where_it_says_so(script) -> None:
    """Heavy tails keep the spread, medians still the factors, a drift ends where it is said to."""
    other = script.other_works
    stated = planned.demo().lines[0].plan.members
    draws = {name: np.random.default_rng(1).standard_normal((20000, 1)) for name in stated.draws}
    heavy = other.heavy_tails(draws, stated)
    name = "lot/chain/tempering/coil_current_A"
    assert np.std(heavy[name]) == pytest.approx(1.0, abs=0.05)
    assert np.mean(heavy[name] ** 4) > 4.0  # a normal law has 3
    assert all(heavy[factor] is draws[factor] for factor in stated.factors)
    still = other.at_medians(draws, stated)
    assert all(not still[factor].any() for factor in stated.factors)
    crept = other.drifting(draws, stated)[name] - draws[name]
    assert (crept[0, 0], crept[-1, 0]) == pytest.approx((0.0, 3.0))


def test_a_works_with_another_temper_makes_another_chain(script) -> None:
    """The law's hardness comes out, and its strength; nothing of the program is changed."""
    line = planned.demo().lines[0]
    other = script.other_works
    worlds = {world.name: world for world in other.worlds(line)}
    plain = other.simulated(line, worlds["median factors"], 16)
    spies = other.simulated(line, worlds["temper by Spies"], 16)
    assert spies.force_kN.mean() > 1.05 * plain.force_kN.mean()
    again = other.simulated(line, worlds["median factors"], 16)
    assert again.force_kN == pytest.approx(plain.force_kN, rel=1e-12)


def test_benchmarks_give_figures_as_data(tmp_path) -> None:
    """The runner prints a table and writes the same figures as JSON."""
    answer = tmp_path / "figures.json"
    words = [str(ROOT / "benchmarks" / "run.py"), "units", "calculations", "--short"]
    ended = subprocess.run(  # noqa: S603
        [sys.executable, *words, "--json", str(answer)], capture_output=True, check=False
    )
    found = json.loads(answer.read_text(encoding="utf-8"))
    assert list(found) == ["units", "calculations"]
    assert ended.returncode in (0, 1)
    assert b"pint" in ended.stdout
    exact = [one for group in found.values() for one in group if "difference" in one["name"]]
    assert [one["value"] <= one["greatest"] for one in exact] == [True, True]
