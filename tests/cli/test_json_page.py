"""The page about JSON shows what the program prints."""

import json
import re
import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

PAGE = (Path(__file__).parents[2] / "docs" / "json.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(
    r"```console\n\$ linkwright ([^\n]*)\n```\n```json\n(.*?)```", PAGE, re.DOTALL
)


def test_the_page_has_an_example_of_each_shape() -> None:
    """Errors, list, description, result and checks are all shown."""
    assert len(EXAMPLES) >= 5


@pytest.mark.parametrize(("words", "printed"), EXAMPLES, ids=[words for words, _ in EXAMPLES])
def test_an_example_is_what_the_program_prints(
    command: Callable[..., Any], words: str, printed: str
) -> None:
    """Same keys in the same order, same texts, same numbers up to their last digits."""
    obtained = json.loads(command(*shlex.split(words)).out)
    assert shape(obtained) == shape(json.loads(printed))


def shape(value: Any) -> Any:
    """A value in which order counts and the last digits of numbers do not."""
    if isinstance(value, dict):
        return [(key, shape(item)) for key, item in value.items()]
    if isinstance(value, list):
        return [shape(item) for item in value]
    if isinstance(value, float):
        return float(f"{value:.9g}") if abs(value) > 1e-12 else 0.0
    return value
