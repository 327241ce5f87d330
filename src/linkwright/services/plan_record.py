"""Plans with the derivation of every number, and their papers, made in a process of its own.

What is recorded takes longer than what somebody waits for when a setting changes, so a `Recorder`
makes it beside the work at the desk: the same plan as `linkwright plan` makes of the same files.
"""

from __future__ import annotations

import multiprocessing
import signal
import tempfile
from collections import OrderedDict
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from linkwright.planning.draws import Ensemble
from linkwright.quantities import CannotPlan
from linkwright.works import Works, order_of_bytes, works_of_bytes

_HELD = 4


class Recorder:
    """Recorded plans of orders in one works. Close it when it is done with."""

    def __init__(self, works: bytes, works_name: str, ensemble: Ensemble | None = None) -> None:
        self._works = (works, works_name, ensemble or Ensemble())
        self._pool: ProcessPoolExecutor | None = None
        self._plans: OrderedDict[tuple[str, str], Future[dict[str, Any]]] = OrderedDict()

    def document(self, text: str, ident: str) -> dict[str, Any]:
        """The content of plan.json for one line of an order. Raises as `plan_order`."""
        key = (text, ident)
        if key not in self._plans:
            self._plans[key] = self._submit(_document, text, ident)
            while len(self._plans) > _HELD:
                self._plans.popitem(last=False)[1].cancel()
        try:
            return self._plans[key].result()
        except BrokenProcessPool:
            self.close()
            raise CannotPlan("the process that records plans ended; ask again") from None
        except CancelledError:
            raise CannotPlan("other plans were asked for since; ask again") from None

    def papers(self, text: str, units: str) -> bytes:
        """papers.pdf of an order. Raises as `plan_order`, `PapersFailed`."""
        made: bytes = self._submit(_papers, text, units).result()
        return made

    def close(self) -> None:
        """End the process."""
        if self._pool is not None:
            self._pool.shutdown(wait=False, cancel_futures=True)
        self._pool = None
        self._plans.clear()

    def _submit(self, work: Any, *more: Any) -> Future[Any]:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                1, mp_context=multiprocessing.get_context("spawn"), initializer=_leave_interrupts
            )
        return self._pool.submit(work, *(*self._works, *more))


def _leave_interrupts() -> None:
    """Ctrl-C goes to the whole group; the process that owns this one ends it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _document(
    works: bytes, name: str, ensemble: Ensemble, text: str, ident: str = ""
) -> dict[str, Any]:
    """The plan of one line, or of all."""
    from linkwright.services.planning import plan_order  # noqa: PLC0415 - only in the process

    order = order_of_bytes(text.encode())
    lines = (order.line(ident),) if ident else order.lines
    own = replace(order, lines=lines)
    return plan_order(own, _works(works, name), ensemble=ensemble).document()


@lru_cache(maxsize=1)
def _works(raw: bytes, name: str) -> Works:
    return works_of_bytes(raw, name)


def _papers(works: bytes, name: str, ensemble: Ensemble, text: str, units: str) -> bytes:
    from linkwright.documents.papers import write_papers  # noqa: PLC0415 - only in the process

    document = _document(works, name, ensemble, text)
    with tempfile.TemporaryDirectory() as folder:
        return write_papers(document, Path(folder), units=units)[0].read_bytes()
