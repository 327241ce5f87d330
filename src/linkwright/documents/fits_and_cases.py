"""Pictures of roller chain: a press fit, what a case holds and how hard it is, soft ends of pins.

Offers `press_fit`, `case_profiles` and `soft_end`; each is drawn only where a step has the numbers.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.documents.chart import Axis, Curve, Limit, chart
from linkwright.documents.display import Display
from linkwright.documents.steps import title_said
from linkwright.documents.svg import Drawing

PRESS_FIT = "force-travel"
_MEMBERS = ("bushing", "pin")
_DEPTH = "case_depth_below_mm"
_NITROGEN = "case_nitrogen_percent"
_PROFILES = (
    ("case_hardness_HV", "hardness", "hardness-depth"),
    ("case_carbon_percent", "carbon", "carbon-depth"),
)
_LIMITED_BY = {
    "case_hardness_HV": ("surface_hardness_HV", "least"),
    "case_carbon_percent": ("surface_carbon_percent", "greatest"),
}
"""The finding whose limit is drawn into a profile, and its side."""
SOFT_END = "hardness-along"
_ALONG = "end_distance_mm"
_ENDS = (("end_case_HV", "case"), ("end_core_HV", "core"))


def press_fit(step: Mapping[str, Any], display: Display) -> Drawing | None:
    """Force over travel while a member is pressed into its plate, with what presses it out."""
    say, curves = display.say, step["curves"]
    for member in _MEMBERS:
        travel, force = f"{member}_travel_mm", f"{member}_force_kN"
        if travel not in curves or force not in curves:
            continue
        axes = (Axis(say("travel"), display.unit(travel)), Axis(say("force"), display.unit(force)))
        curve = Curve(say(member), *(_shown(curves[name], name, display)
                                     for name in (travel, force)))  # fmt: skip
        limits = []
        for row in step["findings"]:
            if row["subject"] == f"{member}_push_out_force_kN":
                value = display.shown(row["subject"], row["value"])[0]
                words = say("pushed out at {1}", display.text(row["subject"], row["value"], 3))
                limits.append(Limit(value, words, ""))
        title = f"{title_said(step, say)}: {say('force against travel, one end')}"
        return chart(title, axes, [curve], limits, display)
    return None


def case_profiles(step: Mapping[str, Any], display: Display) -> list[tuple[str, Drawing]]:
    """Hardness over the depth below the surface, and carbon, with nitrogen where it went in too."""
    say, curves = display.say, step["curves"]
    if _DEPTH not in curves:
        return []
    depth = _shown(curves[_DEPTH], _DEPTH, display)
    found = []
    for name, what, file in _PROFILES:
        if name not in curves:
            continue
        axes = (Axis(say("depth below the surface"), display.unit(_DEPTH)),
                Axis(say(what), display.unit(name)))  # fmt: skip
        title = f"{title_said(step, say)}: {say(f'{what} over the depth')}"
        lines = [Curve(say(what), depth, _shown(curves[name], name, display))]
        if what == "carbon" and _NITROGEN in curves:
            axes = (axes[0], Axis(say("carbon and nitrogen"), display.unit(name)))
            title = f"{title_said(step, say)}: {say('carbon and nitrogen over the depth')}"
            lines.append(
                Curve(say("nitrogen"), depth, _shown(curves[_NITROGEN], _NITROGEN, display))
            )
        drawing = chart(title, axes, lines, _limits(step, name, display), display)
        if drawing:
            found.append((file, drawing))
    return found


def soft_end(step: Mapping[str, Any], display: Display) -> Drawing | None:
    """Hardness of case and core along a pin from its annealed end, and where the case begins."""
    say, curves = display.say, step["curves"]
    if _ALONG not in curves:
        return None
    axes = (Axis(say("distance from the end"), display.unit(_ALONG)),
            Axis(say("hardness"), display.unit(_ENDS[0][0])))  # fmt: skip
    along = _shown(curves[_ALONG], _ALONG, display)
    lines = [Curve(say(what), along, _shown(curves[name], name, display)) for name, what in _ENDS]
    plate = (_shown(curves[name], name, display) for name in ("plate_distance_mm",
                                                              "plate_limit_HV"))  # fmt: skip
    lines.append(Curve(say("outer plate"), *plate))
    limits = []
    for row in step["findings"]:
        if row["subject"] == "end_case_hardness_HV" and row["greatest"] is not None:
            value = display.shown(row["subject"], row["greatest"])[0]
            word = say("greatest {1}", display.text(row["subject"], row["greatest"]))
            limits.append(Limit(value, word, display.source(row["source"])))
    title = f"{title_said(step, say)}: {say('hardness along the pin')}"
    return chart(title, axes, lines, limits, display)


def _limits(step: Mapping[str, Any], name: str, display: Display) -> list[Limit]:
    subject, side = _LIMITED_BY[name]
    limits = []
    for row in step["findings"]:
        if row["subject"] == subject and row[side] is not None:
            value = display.shown(subject, row[side])[0]
            word = display.say(f"{side} {{1}}", display.text(subject, row[side]))
            limits.append(Limit(value, word, display.source(row["source"])))
    return limits


def _shown(values: Sequence[float | None], name: str, display: Display) -> list[float | None]:
    return [None if value is None else display.shown(name, value)[0] for value in values]
