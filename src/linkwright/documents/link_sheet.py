"""The sheet about the link under load: what breaks it, where, and how much room there is.

Offers `link_sheet`, or None for a line whose links are not broken on a bench.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from linkwright.documents.display import Display, tolerance_mark
from linkwright.documents.force_extension import force_extension
from linkwright.documents.link_drawing import link_drawing
from linkwright.documents.numbering import Numbering
from linkwright.documents.words import source_text, words

CAUTION = (
    "A computed force is no rating. Chain is fit for lifting only after the tests of its standard "
    "and a competent person's judgement. A chain that breaks on a test bed flies: bed closed, "
    "nobody in line with the chain."
)
_ROWS = (
    ("calibrating", "proof_force_kN"),
    ("calibrating", "force_over_breaking_ratio"),
    ("calibrating", "set_percent"),
    ("inspection", "pitch_mm"),
    ("inspection", "breaking_force_kN"),
    ("inspection", "weakest_link_in_sample_kN"),
    ("inspection", "total_elongation_percent"),
    ("inspection", "damage_at_maximum"),
    ("inspection", "bend_damage"),
)
"""What decides about a link, in the order in which it happens to it."""
_PLACES = {
    "crown_outside_damage": "the outside of the crown",
    "crown_inside_damage": "the inside of the crown, beside the contact",
    "leg_damage": "the inside of the leg",
    "weld_damage": "the weld",
}


def link_sheet(
    line: Mapping[str, Any], numbers: Numbering, display: Display
) -> dict[str, Any] | None:
    """Everything on the sheet of one line."""
    steps = {str(step["operation"]): step for step in line["steps"]}
    bench = steps.get("inspection")
    found = {row["subject"]: row for row in bench["findings"]} if bench else {}
    if bench is None or "damage_at_maximum" not in found:
        return None
    rows = list(_judged(steps))
    chart = force_extension(bench, line["steps"], display)
    return {
        "operations": [name for name in ("calibrating", "inspection") if name in steps],
        "picture": _picture(bench, found, display),
        "chart": chart.text() if chart else "",
        "breaking": _breaking(found, display),
        "proved": _proved(steps, display),
        "bent": _bent(found, display),
        "deciding": _deciding(rows, display),
        "rows": [_row(row, numbers, display) for row in rows],
        "caution": CAUTION,
    }


def _judged(steps: Mapping[str, Mapping[str, Any]]) -> Iterator[Mapping[str, Any]]:
    for operation, subject in _ROWS:
        for row in steps.get(operation, {"findings": ()})["findings"]:
            if row["subject"] == subject and (row["least"], row["greatest"]) != (None, None):
                yield row


def _picture(bench: Mapping[str, Any], found: Mapping[str, Any], display: Display) -> str:
    shape = bench["stock"]["shape"]
    damage = {name: float(found[name]["value"]) for name in _PLACES}
    wire, pitch, width = (
        float(shape[name]) for name in ("wire_diameter_mm", "pitch_mm", "outer_width_mm")
    )
    return link_drawing(wire, pitch, width, damage, display).text()


def _breaking(found: Mapping[str, Any], display: Display) -> list[str]:
    """What comes first, at what force and elongation, and where it would tear."""
    worst = max(_PLACES, key=lambda name: float(found[name]["value"]))
    share = float(found[worst]["value"])
    force, elongation = (
        display.text(name, found[name]["value"])
        for name in ("breaking_force_kN", "total_elongation_percent")
    )
    at = f"{force} and {elongation} of total elongation"
    if share < 1.0:
        first = f"The force passes its maximum before anything tears (instability), at {at}."
        near = (
            f"Nearest to tearing then is {_PLACES[worst]}, with {_percent(share)} of what its "
            "steel bears; the link tears later, at a lower force."
        )
    else:
        first = f"The link tears before its greatest force, which would be {at} (fracture)."
        near = f"It tears at {_PLACES[worst]}: strain there reaches {_percent(share)} of its limit."
    return [first, near]


def _proved(steps: Mapping[str, Any], display: Display) -> str:
    rows = {row["subject"]: row for row in steps.get("calibrating", {"findings": ()})["findings"]}
    names = ("proof_force_kN", "pitch_before_mm", "permanent_set_mm")
    if any(name not in rows for name in names):
        return ""
    # the model's set is not known to a hundredth of a millimetre
    force, before, grown = (
        display.text(name, round(float(rows[name]["value"]), 2)) for name in names
    )
    after = display.text("pitch_mm", steps["calibrating"]["stock"]["shape"]["pitch_mm"])
    return (
        f"The calibrator pulls to {force}: the pitch grows from {before} by {grown} to {after} and "
        "stays so. The crown's inside keeps tension, its outside compression: a second, equal pull "
        "leaves next to no set."
    )


def _bent(found: Mapping[str, Any], display: Display) -> str:
    names = ("bend_deflection_mm", "bend_force_kN", "bend_damage")
    if any(name not in found for name in names):
        return ""
    deflection, force = (display.text(name, found[name]["value"]) for name in names[:2])
    share = float(found["bend_damage"]["value"])
    word = "holds" if share < 1.0 else "cracks"
    return (
        f"Bent by {deflection} the weld {word}: the strain of its surface is {_percent(share)} of "
        f"what it bears; the bench presses with {force}. Half of the steel's ductility is assumed "
        "to be left at the weld."
    )


def _deciding(rows: list[Mapping[str, Any]], display: Display) -> str:
    """The finding with the least room to its limit; the proof force was set to its own."""
    rows = [row for row in rows if row["subject"] != "proof_force_kN"]
    if not rows:
        return ""
    least = min(rows, key=_room)
    name, room = words(least["subject"]), _room(least)
    value = display.text(least["subject"], least["value"])
    limit = display.limits(least["subject"], least["least"], least["greatest"])
    word = f"{_percent(room)} from it" if room >= 0 else f"{_percent(-room)} beyond it"
    return f"What decides is the {name}: {value}, {limit}, {word}."


def _room(row: Mapping[str, Any]) -> float:
    """Distance from the limit over the limit, or over half the band; negative beyond."""
    value, least, greatest = float(row["value"]), row["least"], row["greatest"]
    if least is not None and greatest is not None:
        return float(min(value - least, greatest - value) / ((greatest - least) / 2 or 1.0))
    if least is not None:
        return float((value - least) / (abs(least) or 1.0))
    return float((greatest - value) / (abs(greatest) or 1.0))


def _row(row: Mapping[str, Any], numbers: Numbering, display: Display) -> dict[str, Any]:
    subject, least, greatest = row["subject"], row["least"], row["greatest"]
    sides = [numbers.limit(row["source"], side, subject) for side in ("least", "greatest")]
    return {
        "name": words(subject),
        "value": display.text_beside(subject, row["value"], least, greatest),
        "limit": display.limits(subject, least, greatest),
        "mark": tolerance_mark(row["value"], least, greatest, row["verdict"]),
        "room": _percent(_room(row)),
        "source": source_text(row["source"]),
        "refs": [number for number in sides if number],
        "memory": numbers.basis(row["source"]) == "memory",
    }


def _percent(share: float) -> str:
    r"""A share in per cent, as on paper.

    >>> _percent(0.2345), _percent(-0.031)
    ('23\xa0%', '−3.1\xa0%')
    """
    digits = 0 if abs(share) >= 0.1 else 1
    return f"{100 * share:.{digits}f}\u00a0%".replace("-", "−")
