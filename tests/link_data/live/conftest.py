"""A broker for each test that asks for one."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from broker import Broker, program


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    """A running broker of its own."""
    if program() is None:
        pytest.skip("there is no mosquitto: install the package mosquitto (.ci/run does)")
    folder = tmp_path / "broker"
    folder.mkdir()
    running = Broker(folder)
    yield running
    running.stop()
