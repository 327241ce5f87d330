"""Pictures across the round section of a link: temperature and hardness by radius."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linkwright.documents.chart import Axis, Curve, Limit, chart
from linkwright.documents.display import Display
from linkwright.documents.steps import title_said
from linkwright.documents.svg import Drawing
from linkwright.documents.words import words
from linkwright.quantities import split

_KINDS = {
    "degC": ("temperature", "temperature-section"),
    "HV": ("hardness", "hardness-section"),
    "K_per_s": ("cooling rate", "cooling-section"),
}
_LIMITS = {"HV": ("hardness_HV",), "degC": (), "K_per_s": ()}


def across_section(step: Mapping[str, Any], display: Display) -> list[tuple[str, Drawing]]:
    """One picture for each kind of quantity that a step has over ``radius_mm`` or the ratio."""
    curves = step["curves"]
    radius = next((name for name in ("radius_mm", "radius_ratio") if name in curves), None)
    if radius is None:
        return []
    x = [display.shown(radius, value)[0] for value in curves[radius]]
    unit = display.unit(radius)
    say = display.say
    axis = Axis(say("radius" if unit else "radius over radius of the surface"), unit)
    found = []
    for suffix, (quantity, file) in _KINDS.items():
        names = [name for name in curves if name != radius and split(name)[1] == suffix]
        lines = [
            Curve(say(_place(name)), x, _values(curves[name], name, display)) for name in names
        ]
        if lines:
            title = f"{title_said(step, say)}: {say(f'{quantity} across the section')}"
            axes = (axis, Axis(say(quantity), display.unit(names[0])))
            drawing = chart(title, axes, lines, _limits(step, suffix, display), display)
            if drawing:
                found.append((file, drawing))
    return found


def _place(name: str) -> str:
    """``straight_HV`` is the straight of the link; the quantity stands on the axis."""
    stem = split(name)[0].replace("_hardness", "").replace("_temperature", "")
    return words(stem.replace("_rate", "").replace("_cooling", ""))


def _values(values: list[float | None], name: str, display: Display) -> list[float | None]:
    return [None if value is None else display.shown(name, value)[0] for value in values]


def _limits(step: Mapping[str, Any], suffix: str, display: Display) -> list[Limit]:
    limits: list[Limit] = []
    for row in step["findings"]:
        if row["subject"] in _LIMITS[suffix]:
            for side in ("least", "greatest"):
                if row[side] is not None:
                    text = display.say(f"{side} {{1}}", display.text(row["subject"], row[side]))
                    source = "" if limits else display.source(row["source"])
                    limits.append(Limit(display.shown(row["subject"], row[side])[0], text, source))
    return limits
