"""The collector killed in the middle: nothing that was confirmed is lost."""

import importlib
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from broker import program

ROOT = Path(__file__).parents[3]


@pytest.mark.skipif(program() is None, reason="there is no mosquitto")
def test_killed_while_messages_come(tmp_path, monkeypatch) -> None:
    """The trial with three kills meets its targets."""
    monkeypatch.setattr(sys, "path", [*sys.path, str(ROOT / "scripts")])
    outcome = importlib.import_module("trials.outcome")
    trial = importlib.import_module("trials.collect_kills")
    made = trial.run(replace(outcome.TINY, kills=3), tmp_path)
    assert made.missed == []
