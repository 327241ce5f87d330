"""Fixtures of the services' tests."""

from collections.abc import Iterator

import pytest
from tiny_calculations import in_catalogue


@pytest.fixture
def tiny() -> Iterator[None]:
    """The tiny calculations, in the catalogue for one test."""
    with in_catalogue():
        yield
