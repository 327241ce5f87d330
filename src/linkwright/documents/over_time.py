"""Pictures over time: temperature and current, in the weld, a coil, the quench or the soak."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.documents.chart import Axis, Curve, Limit, chart
from linkwright.documents.display import Display
from linkwright.documents.steps import title_said
from linkwright.documents.svg import Drawing
from linkwright.documents.weld_window import WINDOW
from linkwright.quantities import split

_KINDS = {"degC": ("temperature", "temperature-time"), "kA": ("current", "current-time")}


def over_time(step: Mapping[str, Any], display: Display) -> list[tuple[str, Drawing]]:
    """One picture for each kind of quantity that a step has over ``time_s``."""
    curves = step["curves"]
    times = curves.get("time_s")
    if not isinstance(times, list):
        return []
    found = []
    for suffix, (quantity, file) in _KINDS.items():
        names = [name for name in curves if split(name)[1] == suffix and not _elsewhere(name)]
        lines = [
            Curve(display.name(name), times, _values(curves[name], name, display)) for name in names
        ]
        if lines:
            say = display.say
            axes = (Axis(say("time"), "s"), Axis(say(quantity), display.unit(names[0])))
            title = f"{title_said(step, say)}: {say(f'{quantity} against time')}"
            limits = _limits(step, display) if suffix == "degC" else []
            drawing = chart(title, axes, lines, limits, display)
            if drawing:
                found.append((file, drawing))
    return found


def _elsewhere(name: str) -> bool:
    """Whether a curve belongs to the weld window, which has a picture of its own."""
    return name.startswith(WINDOW)


def _values(values: list[float | None], name: str, display: Display) -> list[float | None]:
    return [None if value is None else display.shown(name, value)[0] for value in values]


def _limits(step: Mapping[str, Any], display: Display) -> list[Limit]:
    """Limits of the joint's temperature, where the step has them."""
    limits: list[Limit] = []
    for row in step["findings"]:
        if row["subject"] == "joint_temperature_degC":
            for side in ("least", "greatest"):
                if row[side] is not None:
                    value = display.shown(row["subject"], row[side])[0]
                    text = display.say(f"{side} {{1}}", display.text(row["subject"], row[side]))
                    source = "" if limits else display.source(row["source"])
                    limits.append(Limit(value, text, source))
    return limits
