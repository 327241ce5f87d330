"""Plans with the derivation of every number, and their papers, made in a process of its own.

What is recorded takes longer than what somebody waits for when a setting changes, so a `Recorder`
makes it beside the work at the desk: the same plan as `linkwright plan` makes of the same files.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import signal
import tempfile
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from functools import lru_cache
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from linkwright.catalogue import Held
from linkwright.planning.draws import Ensemble
from linkwright.quantities import CannotPlan, LinkwrightError
from linkwright.works import Works, order_of_bytes, works_of_bytes

_HELD = 4
Work = Callable[..., Any]


class Recorder:
    """Recorded plans of orders in one works. Close it when it is done with.

    The process ends by itself when the one that asks it is gone, however that came.
    """

    def __init__(self, works: bytes, works_name: str, ensemble: Ensemble | None = None) -> None:
        self._works = (works, works_name, ensemble or Ensemble())
        self._asking = ThreadPoolExecutor(1, thread_name_prefix="recorder")
        self._line: Connection | None = None
        self._plans = Held(_HELD)

    async def document(self, text: str, ident: str) -> dict[str, Any]:
        """The content of plan.json for one line of an order. Raises `CannotPlan`."""
        key = (text, ident)
        plan = self._plans.of(key, lambda: self._asking.submit(self._ask, _document, text, ident))
        try:
            made: dict[str, Any] = await asyncio.wrap_future(plan)
        except CannotPlan:
            self._plans.drop(key)
            raise
        return made

    async def papers(self, text: str, units: str) -> bytes:
        """papers.pdf of an order. Raises `CannotPlan`."""
        asked = self._asking.submit(self._ask, _papers, text, units)
        made: bytes = await asyncio.wrap_future(asked)
        return made

    def warm(self) -> None:
        """Begin the process, so that the first number opens sooner."""
        self._asking.submit(self._ask, _read_works)

    def close(self) -> None:
        """End the process."""
        self._asking.shutdown(wait=False, cancel_futures=True)
        if self._line is not None:
            self._line.close()

    def _ask(self, work: Work, *more: Any) -> Any:
        """Have the process do something; one thing at a time. Raises `CannotPlan`."""
        if self._line is None:
            self._line = _begun()
        try:
            self._line.send((work, (*self._works, *more)))
            done, answer = self._line.recv()
        except (EOFError, OSError):
            self._line = None
            raise CannotPlan("the process that records plans ended; ask again") from None
        if not done:
            raise CannotPlan(answer)
        return answer


def _begun() -> Connection:
    """A new process, and the line to it."""
    fresh = multiprocessing.get_context("spawn")
    ours, theirs = fresh.Pipe()
    fresh.Process(target=_serve, args=(theirs,), daemon=True, name="recorder").start()
    theirs.close()
    return ours


def _serve(line: Connection) -> None:
    """Do what is asked until the line is cut."""
    # Ctrl-C goes to the whole group; the process that owns this one ends it
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    while True:
        try:
            work, arguments = line.recv()
        except (EOFError, OSError):
            return
        try:
            answer: tuple[bool, Any] = (True, work(*arguments))
        except LinkwrightError as error:
            answer = (False, str(error))
        try:
            line.send(answer)
        except OSError:
            return


def _read_works(works: bytes, name: str, _: Ensemble) -> None:
    """Load what every plan needs."""
    import linkwright.services.planning  # noqa: F401, PLC0415 - only in the process

    _works(works, name)


def _document(
    works: bytes, name: str, ensemble: Ensemble, text: str, ident: str = ""
) -> dict[str, Any]:
    """The plan of one line, or of all."""
    from linkwright.services.planning import plan_order  # noqa: PLC0415 - only in the process

    order = order_of_bytes(text.encode())
    lines = (order.line(ident),) if ident else order.lines
    return plan_order(
        replace(order, lines=lines), _works(works, name), ensemble=ensemble
    ).document()


def _papers(works: bytes, name: str, ensemble: Ensemble, text: str, units: str) -> bytes:
    from linkwright.documents.papers import write_papers  # noqa: PLC0415 - only in the process

    document = _document(works, name, ensemble, text)
    with tempfile.TemporaryDirectory() as folder:
        return write_papers(document, Path(folder), units=units)[0].read_bytes()


@lru_cache(maxsize=1)
def _works(raw: bytes, name: str) -> Works:
    return works_of_bytes(raw, name)
