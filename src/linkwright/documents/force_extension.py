"""Picture: force against extension of one link up to the break, with the forces asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.documents.chart import Axis, Curve, Limit, Mark, chart
from linkwright.documents.display import Display
from linkwright.documents.svg import Drawing

NAME = "force-extension"


def force_extension(
    step: Mapping[str, Any], steps: Sequence[Mapping[str, Any]], display: Display
) -> Drawing | None:
    """Drawn where a step has ``extension_mm`` and ``force_kN``."""
    curves = step["curves"]
    if "extension_mm" not in curves or "force_kN" not in curves:
        return None
    x = [_shown(display, "extension_mm", value) for value in curves["extension_mm"]]
    y = [_shown(display, "force_kN", value) for value in curves["force_kN"]]
    say = display.say
    axes = (Axis(say("extension of one link"), display.unit("extension_mm")),
            Axis(say("force"), display.unit("force_kN")))  # fmt: skip
    curves = [Curve(say("link"), x, y)]
    title = say("Force against extension")
    return chart(title, axes, curves, _limits(steps, display), display, _maximum(x, y, display))


def _maximum(x: Sequence[float | None], y: Sequence[float | None], display: Display) -> list[Mark]:
    """The greatest force, where the curve falls again behind it."""
    known = [(force, at) for at, force in zip(x, y, strict=True) if None not in (at, force)]
    force, at = max(known, default=(None, None))
    if force is None or at is None or force == known[-1][0]:
        return []
    return [Mark(at, force, display.say("maximum"))]


def _limits(steps: Sequence[Mapping[str, Any]], display: Display) -> list[Limit]:
    """The least breaking force and the least proof force, wherever a step tests them."""
    found: dict[str, Limit] = {}
    for step in steps:
        for row in step["findings"]:
            if row["subject"] in {"breaking_force_kN", "proof_force_kN"} and row["least"]:
                what = "breaking" if row["subject"].startswith("breaking") else "proof"
                value = display.shown(row["subject"], row["least"])[0]
                text = display.text(row["subject"], row["least"])
                name = display.say(f"least {what} force {{1}}", text)
                found[what] = Limit(value, name, display.source(row["source"]))
    return list(found.values())


def _shown(display: Display, name: str, value: float | None) -> float | None:
    return None if value is None else display.shown(name, value)[0]
