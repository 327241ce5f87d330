"""Picture: force against the gap of an open eye that is pulled, with the least opening force."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.documents.chart import Axis, Curve, Limit, chart
from linkwright.documents.display import Display
from linkwright.documents.svg import Drawing

NAME = "force-gap"


def pull_open(step: Mapping[str, Any], display: Display) -> Drawing | None:
    """Drawn where a step has ``gap_mm`` and ``force_N``."""
    curves, say = step["curves"], display.say
    if "gap_mm" not in curves or "force_N" not in curves:
        return None
    x, y = ([None if value is None else display.shown(name, value)[0] for value in curves[name]]
            for name in ("gap_mm", "force_N"))  # fmt: skip
    axes = (Axis(say("gap of the eye"), display.unit("gap_mm")),
            Axis(say("force"), display.unit("force_N")))  # fmt: skip
    limits = [
        Limit(
            display.shown("opening_force_N", row["least"])[0],
            say("least opening force {1}", display.text("opening_force_N", row["least"])),
            display.source(row["source"]),
        )
        for row in step["findings"]
        if row["subject"] == "opening_force_N" and row["least"] is not None
    ]
    title = say("Force that opens an eye against its gap")
    return chart(title, axes, [Curve(say("eye"), x, y)], limits, display)
