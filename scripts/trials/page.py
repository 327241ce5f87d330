"""The page of trials: figures against targets, with date and machine, as docs/trials.md."""

from __future__ import annotations

import os
import platform
from collections.abc import Mapping, Sequence
from importlib import metadata
from typing import Any, NamedTuple

from measured import Figure, shown

from trials.outcome import Listing, Outcome

HEAD = """# Trials

Written by `make trial` ({date}); do not edit. Each trial runs in full counts with fixed
seeds; its figures stand beside the targets. A missed target is printed as such.

Machine: {machine}.
Times, and at what moment a kill comes, depend on the machine and on what else it does.

{totals}
"""


class Finished(NamedTuple):
    """One finished trial as it was kept."""

    title: str
    question: str
    date: str
    seconds: float
    program: str
    outcome: Outcome


def machine() -> str:
    """Cores and versions; no names of hosts or folders."""
    versions = [f"{name} {metadata.version(name)}" for name in ("numpy", "scipy")]
    system = f"{platform.system()} on {platform.machine()}"
    python = f"Python {platform.python_version()}"
    return ", ".join([f"{os.cpu_count()} cores", system, python, *versions])


def page(trials: Sequence[Finished], program: str, date: str) -> str:
    """The whole page; ``program`` is the digest of the program as it is now."""
    missed = [(one.title, name) for one in trials for name in one.outcome.missed]
    figures = [figure for one in trials for figure in one.outcome.figures]
    held = sum(figure.verdict == "met" for figure in figures)
    totals = f"{held} of {held + len(missed)} targets met."
    if missed:
        totals += " Not met:\n\n" + "\n".join(f"- {title}: {name}" for title, name in missed)
    parts = [HEAD.format(date=date, machine=machine(), totals=totals)]
    parts += [_section(one, program) for one in trials]
    return "\n".join(parts).rstrip() + "\n"


def _section(one: Finished, program: str) -> str:
    when = f"{one.date}, {one.seconds:.0f} s"
    if one.program != program:
        when += "; the program has changed since"
    lines = [f"## {one.title}", "", one.question, "", f"*{when}*", ""]
    lines += _rows(
        ("figure", "value", "target", ""),
        [_figure_row(figure) for figure in one.outcome.figures],
        right={1},
    )
    for listing in one.outcome.listings:
        lines += ["", f"{listing.title}:", "", *_rows(listing.head, listing.rows, _right(listing))]
    for remark in one.outcome.remarks:
        lines += ["", _plain(remark)]
    return "\n".join([*lines, ""])


def _figure_row(figure: Figure) -> tuple[str, ...]:
    name = f"{figure.name} ({figure.remark})" if figure.remark else figure.name
    value = f"{shown(figure.value)} {figure.unit}".strip()
    verdict = f"**{figure.verdict}**" if figure.verdict in ("missed", "not measured") else ""
    return (name, value, figure.target, verdict or figure.verdict)


def _right(listing: Listing) -> set[int]:
    """Columns of numbers stand to the right."""
    return {
        index
        for index in range(1, len(listing.head))
        if all(row[index][:1].isdigit() or row[index][:1] in "-–" for row in listing.rows)
    }


def _rows(head: Sequence[str], rows: Sequence[Sequence[str]], right: set[int]) -> list[str]:
    marks = ["---:" if index in right else "---" for index in range(len(head))]
    return ["| " + " | ".join(map(_plain, row)) + " |" for row in (head, marks, *rows)]


def _plain(text: str) -> str:
    """Text that Markdown leaves as it is."""
    return " ".join(text.replace("|", "\\|").replace("<", "&lt;").split())


def kept(data: Mapping[str, Any]) -> Finished:
    """A finished trial from its file."""
    return Finished(
        data["title"], data["question"], data["date"], data["seconds"], data["program"],
        Outcome.of(data["outcome"]),
    )  # fmt: skip
