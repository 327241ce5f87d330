"""The pages over the invented works, with few lots: once a worker."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from linkwright.web.app import create_app
from linkwright.web.server import site_of_works

HOST = "127.0.0.1"


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A client that asks as a browser does that has our own page open."""
    folder: Path = tmp_path_factory.mktemp("drafts")
    site = site_of_works(None, drafts=folder, lots=64, seed=1)
    headers = {"sec-fetch-site": "same-origin"}
    with TestClient(create_app(site), base_url=f"http://{HOST}", headers=headers) as client:
        yield client


@pytest.fixture(scope="session")
def demo(pages: TestClient) -> str:
    """The address of the invented order."""
    return str(pages.post("/orders/demo", follow_redirects=False).headers["location"])
