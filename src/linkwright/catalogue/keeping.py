"""Results of costly calculations, held while the same thing is reckoned again and again.

Inside `keeping` a calculation that is marked ``costly`` gives the result of before for the same
arguments, to the bit. For passes without a recording: a result from here has no derivation.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, TypeVar

import numpy as np

MOST_RESULTS, LONGEST = 400, 64
"""Results held at most; longest array that is worth comparing."""
T = TypeVar("T")


class Held:
    """The last answers by key; where there are too many, what was longest not asked for goes."""

    def __init__(self, most: int) -> None:
        self.most = most
        self._held: OrderedDict[Hashable, Any] = OrderedDict()

    def of(self, key: Hashable, make: Callable[[], T]) -> T:
        """The answer held under the key, or the one that is made now."""
        if key not in self._held:
            self._held[key] = make()
            if len(self._held) > self.most:
                self._held.popitem(last=False)
        else:
            self._held.move_to_end(key)
        answer: T = self._held[key]
        return answer

    def drop(self, key: Hashable) -> None:
        """Forget the answer held under the key, if there is one."""
        self._held.pop(key, None)


class Results:
    """Results by calculation and arguments."""

    def __init__(self) -> None:
        self._held = Held(MOST_RESULTS)

    def of(self, name: str, arguments: Mapping[str, Any], make: Callable[[], Any]) -> Any:
        """The result held for these arguments, or the one that is made now."""
        key = _key(name, arguments)
        if key is None:
            return make()
        return self._held.of(key, make)


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
