"""Results of costly calculations, held while the same thing is reckoned again and again.

Inside `keeping` a calculation that is marked ``costly`` gives the result of before for the same
arguments, to the bit. For passes without a recording: a result from here has no derivation.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

import numpy as np

MOST_RESULTS, LONGEST = 400, 64
"""Results held at most, the oldest goes first; longest array that is worth comparing."""


class Results:
    """Results by calculation and arguments."""

    def __init__(self) -> None:
        self._held: OrderedDict[Any, Any] = OrderedDict()

    def of(self, name: str, arguments: Mapping[str, Any], make: Callable[[], Any]) -> Any:
        """The result held for these arguments, or the one that is made now."""
        key = _key(name, arguments)
        if key is None:
            return make()
        if key in self._held:
            self._held.move_to_end(key)
            return self._held[key]
        result = self._held[key] = make()
        if len(self._held) > MOST_RESULTS:
            self._held.popitem(last=False)
        return result


_ACTIVE: ContextVar[Results | None] = ContextVar("results", default=None)


@contextmanager
def keeping(results: Results) -> Iterator[None]:
    """Use and fill ``results`` inside."""
    token = _ACTIVE.set(results)
    try:
        yield
    finally:
        _ACTIVE.reset(token)


def kept_results() -> Results | None:
    """What is held, if anything."""
    return _ACTIVE.get()


def _key(name: str, arguments: Mapping[str, Any]) -> Any:
    """What stands for the arguments; None where one of them cannot be compared cheaply."""
    parts: list[Any] = [name]
    for argument in sorted(arguments):
        value = arguments[argument]
        if isinstance(value, np.ndarray):
            if value.size > LONGEST:
                return None
            value = (value.shape, value.tobytes())
        parts.append((argument, value))
    try:
        hash(key := tuple(parts))
    except TypeError:
        return None
    return key
