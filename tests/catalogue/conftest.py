"""Calculations of these tests stand in the catalogue only while a test runs."""

from collections.abc import Iterator

import pytest

from linkwright.catalogue import CATALOGUE


@pytest.fixture(autouse=True)
def catalogue_as_before() -> Iterator[None]:
    """Take out of the catalogue what a test put in."""
    before = dict(CATALOGUE)
    yield
    CATALOGUE.clear()
    CATALOGUE.update(before)
