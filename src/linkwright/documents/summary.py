"""The first sheet: what is ordered, the verdict, the chance of a lot, what moves it, the use.

Offers `summary`, and its `verdict_view` alone, as texts and marks ready to be set.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linkwright.documents.annex import warnings_in_words
from linkwright.documents.display import Display, percent, tolerance_mark
from linkwright.documents.numbering import Numbering
from linkwright.documents.steps import operation_words
from linkwright.documents.words import plain_text, source_in_words, source_text, words
from linkwright.planning.advice import nearest_rows, trial_rows
from linkwright.planning.document import place_of

_VERDICTS = {
    "within": "Within all limits",
    "close": "Within all limits, but close to one",
    "outside": "Outside a limit",
}
_SHOWN_SHARES = 8
_LEAST_SHARE = 0.005
_USES = ("machine_time_h", "electricity_kWh")
_TOTALS = ("machine_time_h", "electricity_kWh", "water_m3", "steel_kg", "carbon_kg")
_TOTAL_WORDS = {
    "machine_time_h": "time on machines",
    "electricity_kWh": "electricity",
    "water_m3": "water",
    "steel_kg": "steel",
    "carbon_kg": "carbon dioxide of the electricity",
}


def product_words(line: Mapping[str, Any], display: Display) -> str:
    """The product in a phrase: ``welded chain 8 mm, EN 818-2, grade 8``, ``jack chain no. 12``."""
    parts = [display.say(f"{plain_text(line['product'])} chain")]
    if line.get("size_mm") is None and line.get("size") is not None:
        parts[0] += f" {display.say('no. {1}', plain_text(line['size']))}"
    if line.get("size_mm") is not None:
        parts[0] += f" {display.text('size_mm', line['size_mm'])}"
    if line.get("standard"):
        parts.append(plain_text(line["standard"]))
    if line.get("grade"):
        parts.append(display.say("grade\u00a0{1}", plain_text(line["grade"])))
    if line.get("chain_type") not in {None, line.get("grade")}:
        parts.append(display.say("type\u00a0{1}", plain_text(line["chain_type"])))
    return ", ".join(parts)


def summary(
    document: Mapping[str, Any], line: Mapping[str, Any], numbers: Numbering, display: Display
) -> dict[str, Any]:
    """Everything on the first sheet of a line."""
    return {
        "ordered": _ordered(document, line, display),
        "verdict": verdict_view(line, display),
        "chance": _chance(line),
        "requirements": [_requirement(part, numbers, display) for part in line["chance"]["parts"]],
        "influence": _influence(line, display),
        "use": _use(line, display),
        "beyond": _beyond(numbers),
        "nearest": _rows(nearest_rows(line.get("nearest"), display.units)),
        "trials": _rows(trial_rows(line.get("trials"))),
    }


def _rows(rows: Sequence[tuple[str, str]]) -> list[list[str]]:
    return [[plain_text(name), plain_text(text)] for name, text in rows]


def _beyond(numbers: Numbering) -> list[dict[str, Any]]:
    """Where a formula was used outside the range of its source."""
    return [
        {
            "calculation": group.calculation,
            "text": text,
            "ref": numbers.number[str(group.first["id"])],
        }
        for _, groups in numbers.parts
        for group in groups
        for text in warnings_in_words(group)
    ]


def _ordered(
    document: Mapping[str, Any], line: Mapping[str, Any], display: Display
) -> list[list[str]]:
    order, works = document["order"], document["works"]
    invented = " (invented demo works)" if works.get("invented") else ""
    rows = [
        ["product", product_words(line, display)],
        ["length", display.text("length_m", line.get("length_m"))],
        ["customer", order["customer"]],
        ["due", order["due"]],
        *_duty(line, display),
        *_steels(line),
        ["works", f"{works['name']}, {works['place']}{invented}"],
    ]
    if lot := document.get("lot"):
        rows.append(["made from", f"lot {lot['number']} as it lies after {lot['after']}"])
    return [[label, plain_text(text)] for label, text in rows]


def _duty(line: Mapping[str, Any], display: Display) -> list[list[str]]:
    """The duty that the chain was chosen for, and its sprockets; nothing for a named chain."""
    drive = line.get("drive")
    if not drive:
        return []
    duty, best = drive["duty"], drive["rows"][0]
    power, speed = (display.text(name, duty[name]) for name in ("power_kW", "driver_speed_rpm"))
    text = (
        f"{power} at {speed}, {duty['shock']}; sprockets of "
        f"{best['teeth_small']} and {best['teeth_large']} teeth, {best['pitches']} pitches "
        "(page of the drive)"
    )
    return [["chosen for", text]]


def _steels(line: Mapping[str, Any]) -> list[list[str]]:
    """The steel, or each steel with the parts that are made of it."""
    rows: dict[str, list[str]] = {}
    for one in line.get("steels") or [line["steel"]]:
        rows.setdefault(_steel(one), []).append(str(one.get("branch", "")).replace("_", " "))
    if len(rows) == 1:
        return [["steel", next(iter(rows))]]
    return [
        ["steel" if index == 0 else "", f"{steel}: {', '.join(parts)}"]
        for index, (steel, parts) in enumerate(rows.items())
    ]


def _steel(steel: Mapping[str, Any]) -> str:
    parts = [str(steel.get("name", "")), str(steel.get("grade", ""))]
    if steel.get("heat"):
        parts.append(f"heat {steel['heat']}")
    return ", ".join(part for part in parts if part)


def verdict_view(line: Mapping[str, Any], display: Display) -> dict[str, Any]:
    """The verdict, and every finding that is outside or close, the outside ones first."""
    found = [
        (row["verdict"] != "outside", place_of(step), row)
        for step in line["steps"]
        for row in step["findings"]
        if row["verdict"] in {"outside", "close"}
    ]
    points: list[dict[str, Any]] = [
        {
            "operation": operation_words({"operation": operation}),
            "text": _point(row, display),
            "source": source_text(row["source"]),
            "mark": tolerance_mark(row["value"], row["least"], row["greatest"], row["verdict"]),
        }
        for _, operation, row in sorted(found, key=lambda item: item[0])
    ]
    worst: Mapping[str, Any] = (
        points[0]["mark"] if points else tolerance_mark(0.5, 0.0, 1.0, "within")
    )
    return {
        "word": _VERDICTS.get(line["verdict"], plain_text(line["verdict"])),
        "mark": {**worst, "word": line["verdict"]},
        "points": points,
    }


def _point(row: Mapping[str, Any], display: Display) -> str:
    subject, least, greatest = row["subject"], row["least"], row["greatest"]
    value = display.text_beside(subject, row["value"], least, greatest)
    return f"{words(subject)} {value}, {display.limits(subject, least, greatest)}"


def _chance(line: Mapping[str, Any]) -> dict[str, str]:
    chance = line["chance"]
    error = 100 * chance["error"]
    return {
        "value": percent(chance["value"]),
        "error": f"±\u00a0{error:.1f}\u00a0%" if error >= 0.05 else "±\u00a0<\u00a00.1\u00a0%",
        "at_factors": percent(chance["at_factors"]),
    }


def _requirement(part: Mapping[str, Any], numbers: Numbering, display: Display) -> dict[str, Any]:
    subject = part["subject"]
    sides = [numbers.limit(part["source"], side, subject) for side in ("least", "greatest")]
    spread = (part["sd_between"] ** 2 + part["sd_within"] ** 2) ** 0.5
    return {
        "name": words(subject),
        "limit": display.limits(subject, part["least"], part["greatest"]),
        "mean": display.text(subject, part["mean"]),
        "spread": display.text(subject, spread, 2, difference=True),
        "mark": tolerance_mark(part["mean"], part["least"], part["greatest"]),
        "chance": percent(part["chance"]),
        "at_factors": percent(part["at_factors"]),
        "source": source_text(part["source"]),
        "refs": [number for number in sides if number],
        "memory": numbers.basis(part["source"]) == "memory",
    }


def _influence(line: Mapping[str, Any], display: Display) -> dict[str, Any] | None:
    """The sources of scatter of the requirement with the least chance."""
    parts = {part["subject"]: part["chance"] for part in line["chance"]["parts"]}
    known = [item for item in line["influence"] if item["subject"] in parts]
    if not known:
        return None
    item = min(known, key=lambda one: parts[one["subject"]])
    shares = [share for share in item["shares"] if share["share"] >= _LEAST_SHARE]
    unknown = sum(row["share"] for row in item["shares"] if row["name"].startswith("factor/"))
    return {
        "subject": words(item["subject"]),
        "factors": percent(unknown, 2),
        "rows": [
            {
                "name": source_in_words(row["name"]),
                "share": row["share"],
                "percent": percent(row["share"], 2),
                "slope": ("+" if row["slope"] > 0 else "")
                + display.text(item["subject"], row["slope"], 2, difference=True),
            }
            for row in shares[:_SHOWN_SHARES]
        ],
    }


def _use(line: Mapping[str, Any], display: Display) -> dict[str, Any]:
    largest = {
        name: max((float(step["use"].get(name) or 0.0) for step in line["steps"]), default=0.0)
        for name in _USES
    }
    rows = [_use_row(step, largest, display) for step in line["steps"] if step["use"]]
    totals = [
        [_TOTAL_WORDS[name], display.text(name, line["totals"][name], 3)]
        for name in _TOTALS
        if line["totals"].get(name)
    ]
    return {"rows": rows, "totals": totals}


def _use_row(
    step: Mapping[str, Any], largest: Mapping[str, float], display: Display
) -> dict[str, Any]:
    bars: list[Mapping[str, Any]] = [
        {
            "text": display.text(name, step["use"].get(name), 3),
            "share": float(step["use"].get(name) or 0.0) / (largest[name] or 1.0),
        }
        for name in _USES
    ]
    others: Sequence[str] = [
        f"{words(name)} {display.text(name, value, 3)}"
        for name, value in step["use"].items()
        if name not in _USES and value
    ]
    return {
        "operation": operation_words(step),
        "machine": plain_text(step["machine"]),
        "bars": bars,
        "other": ", ".join(others),
    }
