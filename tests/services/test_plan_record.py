"""Recorded plans from a process of their own."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
from collections.abc import Iterator

import pytest

from linkwright.planning.draws import Ensemble
from linkwright.quantities import CannotPlan
from linkwright.services.opening import open_in_document
from linkwright.services.plan_record import Recorder
from linkwright.works import demo_bytes

WORKS = demo_bytes("works.toml")
ORDER = """[order]
number = "E-1"
customer = "invented"
due = 2027-01-07
[[line]]
product = "jack"
size = 12
length = "200 m"
"""


@pytest.fixture(scope="module")
def recorder() -> Iterator[Recorder]:
    made = Recorder(WORKS, "works.toml", Ensemble(lots=64))
    yield made
    made.close()


def test_a_recorded_number_opens_to_its_files(recorder: Recorder) -> None:
    document = asyncio.run(recorder.document(ORDER, "1"))
    sources = [str(one["source"]) for one in document["lines"][0]["derivation"]]
    assert any(source.startswith("works.toml:") for source in sources)
    assert any(source.startswith("order.toml:") for source in sources)
    assert open_in_document(document, "wire_diameter_mm").sources


def test_what_cannot_be_planned_is_told(recorder: Recorder) -> None:
    with pytest.raises(CannotPlan):
        asyncio.run(recorder.document(ORDER.replace("size = 12", "size = 99"), "1"))


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system knows no SIGKILL")
def test_a_killed_process_is_told_and_begun_again() -> None:
    made = Recorder(WORKS, "works.toml", Ensemble(lots=64))
    asyncio.run(made.document(ORDER, "1"))
    for child in multiprocessing.active_children():
        if child.name == "recorder" and child.pid:
            os.kill(child.pid, signal.SIGKILL)
            child.join(5)
    with pytest.raises(CannotPlan, match="ask again"):
        asyncio.run(made.document(ORDER.replace("200 m", "300 m"), "1"))
    assert asyncio.run(made.document(ORDER.replace("200 m", "300 m"), "1"))["lines"]
    made.close()
