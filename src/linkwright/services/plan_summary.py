"""A plan's line told in short: verdict, chances, what moves them, settings, time, energy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linkwright.planning.advice import chance_text, nearest_rows, trial_rows
from linkwright.planning.document import place_of
from linkwright.quantities import significant, split, unit_text, value_text
from linkwright.quantities.unit_systems import shown_in

_VERDICTS = {
    "within": "passes; every finding is within its limits",
    "close": "passes; the findings named below lie close to a limit",
    "outside": "would fail; the findings named below lie outside their limits",
}
_MOST_INFLUENCES = 5


@dataclass(frozen=True, slots=True)
class LineSummary:
    """What the terminal shows of a line."""

    title: str
    word: str
    verdict: str
    chance: str
    tables: tuple[tuple[str, list[tuple[str, str]]], ...]


def line_summary(line: Mapping[str, Any], units: str | None) -> LineSummary:
    """Tell a line of a plan document in short."""
    chance = line["chance"]
    title = (
        f"{significant(line['length_m'])} m of {chain_words(line)}; steel "
        f"{line['steel']['grade']}, heat {line['steel']['heat']}"
    )
    told = (
        f"{chance_text(chance['value'])} (sampling error {chance_text(chance['error'])}); "
        f"{chance_text(chance['at_factors'])} with every model factor at its median"
    )
    tables = [
        ("Findings at their limits", _findings(line, units)),
        ("The nearest thing that would work", nearest_rows(line["nearest"], units)),
        ("Requirements", [_requirement(part, units) for part in chance["parts"]]),
        ("What moves the least certain requirement", _influences(line)),
        ("The trial worth making", trial_rows(line["trials"])),
        *[(f"Settings: {place_of(step)} ({step['machine']})", _settings(step, units))
          for step in line["steps"] if step["settings"]],
        ("Time, energy, cost", _totals(line["totals"])),
    ]  # fmt: skip
    return LineSummary(
        title, line["verdict"], _VERDICTS[line["verdict"]], told,
        tuple((name, rows) for name, rows in tables if rows),
    )  # fmt: skip


def chain_words(line: Mapping[str, Any]) -> str:
    """``8 mm welded chain, EN 818-2, grade 8`` or ``jack chain no. 12``."""
    if line["size_mm"] is None:
        words = f"{line['product']} chain no. {line['size']}"
    else:
        words = f"{significant(line['size_mm'])} mm {line['product']} chain"
    named = [line["standard"], line["grade"] and f"grade {line['grade']}"]
    if line["chain_type"] not in (None, line["grade"]):
        named.append(f"type {line['chain_type']}")
    if line["not_for_lifting"]:
        named.append("not for lifting")
    return ", ".join([words, *(one for one in named if one)])


def _name(subject: str) -> str:
    return split(subject)[0].replace("_", " ")


def _shown(name: str, value: float | None, units: str | None) -> str:
    if value is None:
        return "–"
    shown, shown_unit = shown_in(units, name, value)
    return value_text(shown, shown_unit)


def _limits(name: str, least: float | None, greatest: float | None, units: str | None) -> str:
    if least is not None and greatest is not None:
        return f"{_shown(name, least, units)} to {_shown(name, greatest, units)}"
    if least is not None:
        return f"at least {_shown(name, least, units)}"
    return f"at most {_shown(name, greatest, units)}" if greatest is not None else "no limit"


def _findings(line: Mapping[str, Any], units: str | None) -> list[tuple[str, str]]:
    rows = []
    for step in line["steps"]:
        for found in step["findings"]:
            if found["verdict"] in ("close", "outside"):
                limits = _limits(found["subject"], found["least"], found["greatest"], units)
                text = f"{_shown(found['subject'], found['value'], units)}, {limits}"
                rows.append(
                    (
                        f"{place_of(step)}: {_name(found['subject'])}",
                        f"{found['verdict']}: {text} ({found['source']})",
                    )
                )
    return rows  # fmt: skip


def _requirement(part: Mapping[str, Any], units: str | None) -> tuple[str, str]:
    limits = _limits(part["subject"], part["least"], part["greatest"], units)
    return (
        _name(part["subject"]),
        f"{chance_text(part['chance'])}  mean {_shown(part['subject'], part['mean'], units)}, "
        f"{limits}, {part['pieces']:g} pieces ({part['source']})",
    )


def _influences(line: Mapping[str, Any]) -> list[tuple[str, str]]:
    parts = line["chance"]["parts"]
    least = min(range(len(parts)), key=lambda index: parts[index]["chance"])
    found = line["influence"][least]
    rows = [
        (
            share["name"],
            f"{100 * share['share']:.0f} % of the variance of {_name(found['subject'])}",
        )
        for share in found["shares"][:_MOST_INFLUENCES]
        if share["share"] > 0.005
    ]
    return rows


def _settings(step: Mapping[str, Any], units: str | None) -> list[tuple[str, str]]:
    rows = []
    for setting in step["settings"]:
        join = ": " if setting["how"] == "follows" else " for "
        aim = f"{join}{setting['aim']}" if setting["aim"] else ""
        value = setting["text"] or _shown(setting["name"], setting["value"], units)
        rows.append((_name(setting["name"]), f"{value}  ({setting['how']}{aim})"))
    return rows


def _totals(totals: Mapping[str, float | None]) -> list[tuple[str, str]]:
    return [
        (_name(name), f"{significant(value)} {unit_text(split(name)[1])}")
        for name, value in totals.items()
        if value is not None
    ]
