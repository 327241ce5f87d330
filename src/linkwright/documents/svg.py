"""A small writer of vector pictures: lengths in mm, the same bytes at every run.

Offers `Drawing`, `heat_colour` and the greys of the papers. Every drawing has a title and a
description for readers who cannot see it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from linkwright.documents.words import plain_text

BLACK, DARK, MIDDLE, PALE, WHITE = "#000000", "#3c3c3c", "#8c8c8c", "#d0d0d0", "#ffffff"
STEEL, STEEL_LIGHT = "#b9bdc1", "#e9ebed"
FONTS = "'Source Sans Pro','DejaVu Sans',sans-serif"
_LETTER_WIDTH = 0.46

# Colour of steel by its glow in a dark room: common practice, no source. Below the first row
# nothing is seen; the temperature always stands beside it as a number.
_HEAT = (
    (520.0, (0xB9, 0xBD, 0xC1)), (560.0, (0x9C, 0x80, 0x7C)), (600.0, (0x8E, 0x4A, 0x42)),
    (680.0, (0x97, 0x26, 0x1E)), (760.0, (0xB8, 0x22, 0x16)), (850.0, (0xD8, 0x3A, 0x14)),
    (940.0, (0xEC, 0x62, 0x1A)), (1050.0, (0xF5, 0x93, 0x2B)), (1150.0, (0xFA, 0xC0, 0x4E)),
    (1280.0, (0xFD, 0xE6, 0x9A)), (1400.0, (0xFF, 0xF8, 0xE0)),
)  # fmt: skip


def heat_colour(temperature_degC: float) -> str:
    """The colour of steel at this temperature; plain steel below 520 °C.

    >>> heat_colour(20.0) == STEEL, heat_colour(940.0)
    (True, '#ec621a')
    """
    if temperature_degC <= _HEAT[0][0]:
        return STEEL
    for (low, cooler), (high, hotter) in pairwise(_HEAT):
        if temperature_degC <= high:
            share = (temperature_degC - low) / (high - low)
            return _hex([a + share * (b - a) for a, b in zip(cooler, hotter, strict=True)])
    return _hex(list(_HEAT[-1][1]))


def lighter(colour: str, share: float = 0.6) -> str:
    """The colour mixed with white."""
    parts = [int(colour[place : place + 2], 16) for place in (1, 3, 5)]
    return _hex([part + share * (255 - part) for part in parts])


def text_width(text: str, size: float) -> float:
    """About how wide a text stands, in mm."""
    return _LETTER_WIDTH * size * len(text)


class Pen(NamedTuple):
    """How a line is drawn: colour, width in mm, dashes, round or flat ends."""

    colour: str = BLACK
    width: float = 0.2
    dash: str = ""
    cap: str = "butt"


Area = tuple[float, float, float, float]
"""Left, top, width and height of a rectangle."""


@dataclass
class Drawing:
    """Shapes collected in order; `text` gives the file.

    With links it is for a page that holds it among its own elements, not for a file.
    """

    width: float
    height: float
    title: str
    description: str = ""
    _shapes: list[str] = field(default_factory=list)
    _gradients: list[str] = field(default_factory=list)
    _linked: bool = False

    def path(self, data: str, pen: Pen, fill: str = "none") -> None:
        """A path of SVG commands."""
        dash = f' stroke-dasharray="{pen.dash}"' if pen.dash else ""
        cap = f' stroke-linecap="{pen.cap}"' if pen.cap != "butt" else ""
        self._shapes.append(
            f'<path d="{data}" fill="{fill}" stroke="{pen.colour}"'
            f' stroke-width="{num(pen.width)}"{dash}{cap}/>'
        )

    def line(self, x1: float, y1: float, x2: float, y2: float, pen: Pen) -> None:
        """A straight line."""
        self.path(f"M{num(x1)} {num(y1)}L{num(x2)} {num(y2)}", pen)

    def polyline(self, points: Sequence[tuple[float, float]], pen: Pen) -> None:
        """Straight lines through points."""
        joined = "L".join(f"{num(x)} {num(y)}" for x, y in points)
        self.path(f"M{joined}", pen._replace(cap="round"))

    def rectangle(self, x: float, y: float, width: float, height: float, fill: str) -> None:
        """A filled rectangle without outline."""
        self._shapes.append(
            f'<rect x="{num(x)}" y="{num(y)}" width="{num(width)}" height="{num(height)}"'
            f' fill="{fill}"/>'
        )

    def dot(self, x: float, y: float, radius: float, fill: str = BLACK) -> None:
        """A filled circle."""
        self._shapes.append(
            f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(radius)}" fill="{fill}"/>'
        )

    def label(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        *,
        anchor: str = "start",
        bold: bool = False,
        turned: bool = False,
        fill: str = BLACK,
    ) -> None:
        """A text whose base line starts, is centred or ends at (x, y); turned reads upwards."""
        weight = ' font-weight="600"' if bold else ""
        turn = f' transform="rotate(-90 {num(x)} {num(y)})"' if turned else ""
        self._shapes.append(
            f'<text x="{num(x)}" y="{num(y)}" font-size="{num(size)}" fill="{fill}"'
            f' text-anchor="{anchor}"{weight}{turn}>{escape(plain_text(text))}</text>'
        )

    def along(self, x1: float, x2: float, colours: Sequence[str]) -> str:
        """A gradient from x1 to x2 through evenly spaced colours, as a paint."""
        name = f"g{len(self._gradients) + 1}"
        last = len(colours) - 1
        stops = "".join(
            f'<stop offset="{num(index / last)}" stop-color="{colour}"/>'
            for index, colour in enumerate(colours)
        )
        self._gradients.append(
            f'<linearGradient id="{name}" gradientUnits="userSpaceOnUse" x1="{num(x1)}" y1="0"'
            f' x2="{num(x2)}" y2="0">{stops}</linearGradient>'
        )
        return f"url(#{name})"

    def link(self, areas: Sequence[Area], target: str, label: str, *, here: bool = False) -> None:
        """Areas over the shapes that lead to another page; ``here`` is the page shown now."""
        self._linked = True
        boxes = "".join(
            f'<rect x="{num(x)}" y="{num(y)}" width="{num(width)}" height="{num(height)}"'
            f' fill="transparent"/>'
            for x, y, width, height in areas
        )
        current = ' aria-current="true"' if here else ""
        self._shapes.append(
            f"<a href={quoteattr(target)} aria-label={quoteattr(plain_text(label))}{current}>"
            f"{boxes}</a>"
        )

    def text(self) -> str:
        """The picture as an SVG file."""
        size = f'width="{num(self.width)}mm" height="{num(self.height)}mm"'
        box = f'viewBox="0 0 {num(self.width)} {num(self.height)}"'
        role = "group" if self._linked else "img"
        gradients = f"<defs>{''.join(self._gradients)}</defs>\n" if self._gradients else ""
        shapes = "\n".join(self._shapes)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="{role}"'
            f" font-family={quoteattr(FONTS)}>\n"
            f"<title>{escape(plain_text(self.title))}</title>\n"
            f"<desc>{escape(plain_text(self.description))}</desc>\n"
            f"{gradients}{shapes}\n</svg>\n"
        )


def num(value: float) -> str:
    """A coordinate with at most three decimals.

    >>> num(2.0), num(-0.00001), num(1.23456)
    ('2', '0', '1.235')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _hex(parts: Sequence[float]) -> str:
    return "#" + "".join(f"{round(part):02x}" for part in parts)
