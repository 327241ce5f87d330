"""Picture: temperature against time, in the weld, a coil, the quench or the soak."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.documents.chart import Axis, Curve, Limit, chart
from linkwright.documents.display import Display
from linkwright.documents.steps import title_of_operation
from linkwright.documents.svg import Drawing
from linkwright.documents.words import words
from linkwright.quantities import split

NAME = "temperature-time"


def heat_course(step: Mapping[str, Any], display: Display) -> Drawing | None:
    """Drawn where a step has ``time_s`` and at least one temperature over it."""
    curves = step["curves"]
    times = curves.get("time_s")
    names = [name for name in curves if split(name)[1] == "degC"]
    if not isinstance(times, list) or not names:
        return None
    lines = []
    for name in names:
        values = [None if y is None else display.shown(name, y)[0] for y in curves[name]]
        lines.append(Curve(words(name), times, values))
    axes = (Axis("time", "s"), Axis("temperature", display.unit(names[0])))
    title = f"{title_of_operation(step)}: temperature against time"
    return chart(title, axes, lines, _limits(step, display))


def _limits(step: Mapping[str, Any], display: Display) -> list[Limit]:
    """Limits of the joint's temperature, where the step has them."""
    limits = []
    for row in step["findings"]:
        if row["subject"] == "joint_temperature_degC":
            for side in ("least", "greatest"):
                if row[side] is not None:
                    value = display.shown(row["subject"], row[side])[0]
                    text = f"{side} {display.text(row['subject'], row[side])}"
                    limits.append(Limit(value, text, row["source"] if not limits else ""))
    return limits
