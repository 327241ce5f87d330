"""The pictures of a line: the line of metal, and a chart for each curve that its steps have.

Offers `pictures_of` and `step_pictures`. A picture is drawn only where its curve is there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from linkwright.documents import force_extension, pull_open, strip_layout
from linkwright.documents.across_section import across_section
from linkwright.documents.display import Display
from linkwright.documents.fits_and_cases import (
    PRESS_FIT,
    SOFT_END,
    case_profiles,
    press_fit,
    soft_end,
)
from linkwright.documents.line_of_metal import line_of_metal
from linkwright.documents.over_time import over_time
from linkwright.documents.svg import Drawing
from linkwright.documents.weld_window import weld_windows
from linkwright.planning.document import place_of

LINE_OF_METAL = "line-of-metal"


class Picture(NamedTuple):
    """A picture of one line: file stem, the operation it belongs to (empty: the whole line)."""

    name: str
    operation: str
    drawing: Drawing


def pictures_of(line: Mapping[str, Any], display: Display) -> list[Picture]:
    """All pictures of an order line, in the order of the route."""
    pictures = [Picture(LINE_OF_METAL, "", line_of_metal(line, display))]
    for step in line["steps"]:
        pictures += step_pictures(step, line["steps"], display)
    return pictures


def step_pictures(
    step: Mapping[str, Any], steps: Sequence[Mapping[str, Any]], display: Display
) -> list[Picture]:
    """The pictures of one step; ``steps`` are all of its line."""
    operation = place_of(step)
    drawn: list[tuple[str, Drawing | None]] = [
        *over_time(step, display),
        *across_section(step, display),
        (pull_open.NAME, pull_open.pull_open(step, display)),
        (strip_layout.NAME, strip_layout.strip_layout(step, display)),
        *weld_windows(step, display),
        (PRESS_FIT, press_fit(step, display)),
        *case_profiles(step, display),
        (SOFT_END, soft_end(step, display)),
        (force_extension.NAME, force_extension.force_extension(step, steps, display)),
    ]
    return [
        Picture(f"{_file_word(operation)}-{name}", operation, drawing)
        for name, drawing in drawn
        if drawing
    ]


def _file_word(text: str) -> str:
    """Letters of an operation's name that are safe in a file name."""
    return "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in text)
