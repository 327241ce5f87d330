"""Picture: force against the gap of an open eye that is pulled, with the least opening force."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.documents.chart import Axis, Curve, Limit, chart
from linkwright.documents.display import Display
from linkwright.documents.svg import Drawing

NAME = "force-gap"
_TITLE = "Force that opens an eye against its gap"


def pull_open(step: Mapping[str, Any], display: Display) -> Drawing | None:
    """Drawn where a step has ``gap_mm`` and ``force_N``."""
    curves, say = step["curves"], display.say
    if "gap_mm" not in curves or "force_N" not in curves:
        return None
    x, y = ([None if value is None else display.shown(name, value)[0] for value in curves[name]]
            for name in ("gap_mm", "force_N"))  # fmt: skip
    axes = _axes(display)
    limits = [
        Limit(
            display.shown("opening_force_N", row["least"])[0],
            say("least opening force {1}", display.text("opening_force_N", row["least"])),
            display.source(row["source"]),
        )
        for row in step["findings"]
        if row["subject"] == "opening_force_N" and row["least"] is not None
    ]
    return chart(say(_TITLE), axes, [Curve(say("eye"), x, y)], limits, display)


def opening_chart(
    gap_mm: Sequence[float], force_N: Sequence[float], display: Display
) -> Drawing | None:
    """The same of a pull by itself, without a limit."""
    x, y = ([display.shown(name, value)[0] for value in values]
            for name, values in (("gap_mm", gap_mm), ("force_N", force_N)))  # fmt: skip
    curve = Curve(display.say("eye"), x, y)
    return chart(display.say(_TITLE), _axes(display), [curve], [], display)


def _axes(display: Display) -> tuple[Axis, Axis]:
    say = display.say
    return (Axis(say("gap of the eye"), display.unit("gap_mm")),
            Axis(say("force"), display.unit("force_N")))  # fmt: skip
