"""Charts of link data against limits that the books hold, their signals noted there.

The first chart of a machine and quantity freezes its limits in the books; later ones are held
against the newest frozen ones. Every signal becomes a record that stays open until somebody says
cause and action. Charting the same readings again notes nothing twice. Offers `chart_in_books`.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from linkwright.quality.chart_limits import limits_of
from linkwright.quantities import ArgumentError
from linkwright.records.kinds import ChartLimits
from linkwright.records.people import Signed, sign_in
from linkwright.records.store import Store
from linkwright.records.writing import latest
from linkwright.services.link_charts import LinkChartAnswer, LinkChartRequest, chart_of_links
from linkwright.services.recording import act_of, done_as
from linkwright.works.canonical import content_hash


@dataclass(frozen=True)
class ChartInBooks:
    """The chart, the frozen limits it was held against, and the signals noted now."""

    chart: LinkChartAnswer
    limits: str
    limits_version: int
    noted: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        of = {"limits_in_books": self.limits, "limits_version": self.limits_version}
        return {**self.chart.to_dict(), **of, "noted": list(self.noted)}


def chart_in_books(
    request: LinkChartRequest, store: Store, person: str, pass_phrase: str, *, why: str
) -> ChartInBooks:
    """Chart and note as a person. Raises as `chart_of_links`, `NotAllowed`, `CannotRecord`."""
    if request.machine is None:
        raise ArgumentError("machine", "", "", "the machine's name in the books", "is needed")
    signed = sign_in(store, person, pass_phrase)
    name = f"{request.machine}/{request.quantity}"
    frozen = _frozen(store, name)
    if frozen is None:
        answer = chart_of_links(request)
        _freeze(store, signed, request, answer, why)
        frozen = _frozen(store, name)
        assert frozen is not None  # noqa: S101 - it was written a moment ago
    else:
        answer = _against(request, frozen)
    noted = tuple(_noted(store, signed, frozen, answer, why))
    return ChartInBooks(answer, frozen.name, frozen.version, noted)


def _frozen(store: Store, name: str) -> ChartLimits | None:
    with store.reading() as session:
        held = latest(session, f"chart_limits:{name}")
    return held if isinstance(held, ChartLimits) else None


def _freeze(
    store: Store, signed: Signed, request: LinkChartRequest, answer: LinkChartAnswer, why: str
) -> None:
    limits = json.dumps(answer.chart.chart.limits.to_dict())
    given = {"machine": request.machine, "quantity": request.quantity, "limits": limits}
    done_as(store, signed, act_of("freeze_limits"), given, why=why)


def _against(request: LinkChartRequest, frozen: ChartLimits) -> LinkChartAnswer:
    limits = limits_of(json.loads(frozen.limits), frozen.id)
    return chart_of_links(replace(request, chart=replace(request.chart, limits=limits)))


def _noted(
    store: Store, signed: Signed, frozen: ChartLimits, answer: LinkChartAnswer, why: str
) -> list[str]:
    links = {one.point: one for one in answer.links}
    noted = []
    for signal in answer.chart.signals:
        at = links[signal.point]
        point = f"{at.first_clock[:19]}Z counter {at.first_counter}-{at.last_counter}"
        given = {"limits": frozen.id, "point": point.replace(":", "."), "rule": str(signal.rule)}
        key = f"signal {content_hash({**given, 'version': frozen.version})}"
        done = done_as(store, signed, act_of("note_signal"), given, why=why, key=key)
        if done.new:
            noted.append(str(done.rows[0]["id"]))
    return noted
