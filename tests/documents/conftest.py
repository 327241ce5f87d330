"""A real plan of the invented demo order, made once, as plain data."""

from __future__ import annotations

import copy
import json
import shutil
import subprocess
import warnings
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture(scope="session")
def planned() -> str:
    """The plan document as JSON, so that nobody changes it for others."""
    from linkwright.planning.draws import Ensemble
    from linkwright.services.planning import plan_order
    from linkwright.works import demo_line_order, demo_works

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        plan = plan_order(demo_line_order(), demo_works(), ensemble=Ensemble(lots=128))
    return json.dumps(plan.document())


@pytest.fixture
def document(planned: str) -> dict[str, Any]:
    """A fresh copy of the plan document."""
    read: dict[str, Any] = json.loads(planned)
    return read


@pytest.fixture
def line(document: dict[str, Any]) -> dict[str, Any]:
    """The only line of the demo order."""
    return copy.deepcopy(document["lines"][0])


@pytest.fixture
def pages_of(tmp_path: Path) -> Callable[[Mapping[str, Any]], list[str]]:
    """The text of each page of the papers, read by an independent program."""
    reader = shutil.which("pdftotext")
    if reader is None:
        pytest.skip("pdftotext is not installed: the text of the PDF cannot be read back")

    def read(document: Mapping[str, Any], units: str = "metric") -> list[str]:
        from linkwright.documents.papers import write_papers

        write_papers(document, tmp_path, units=units)
        command = [reader, "-layout", str(tmp_path / "papers.pdf"), "-"]
        done = subprocess.run(command, capture_output=True, check=True)  # noqa: S603
        text = done.stdout.decode().replace("\u00a0", " ")
        return text.split("\f")[:-1]

    return read
