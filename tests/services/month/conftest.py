"""The first night of the invented month, made once a worker; tests write beside it, not into it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from linkwright.services.month import MonthRequest, make_month

NIGHT = 39_000


@pytest.fixture(scope="session")
def night(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The first night: 39 000 links."""
    folder = tmp_path_factory.mktemp("month") / "night"
    make_month(MonthRequest(folder, NIGHT))
    return folder


@pytest.fixture(scope="session")
def truth(night: Path) -> dict:
    return json.loads((night / "truth.json").read_text("utf-8"))
