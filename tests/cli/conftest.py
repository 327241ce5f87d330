"""Fixtures of the command line's tests."""

from collections.abc import Callable, Iterator
from typing import NamedTuple

import pytest
from tiny_calculations import in_catalogue

from linkwright.cli.main import run


class Ended(NamedTuple):
    """How a command ended: exit code, standard output, standard error."""

    code: int
    out: str
    err: str


@pytest.fixture
def tiny() -> Iterator[None]:
    """The tiny calculations, in the catalogue for one test."""
    with in_catalogue():
        yield


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Callable[..., Ended]:
    """Carry out a command line in this process."""

    def carry_out(*words: str) -> Ended:
        capsys.readouterr()
        with pytest.raises(SystemExit) as ended:
            run(words)
        out, err = capsys.readouterr()
        return Ended(int(ended.value.code or 0), out, err)

    return carry_out
