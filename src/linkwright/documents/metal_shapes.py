"""Shapes of round bar in a drawing: bars, cut pieces, links with one eye or two, runs of chain.

Sizes come in mm of metal and are drawn at a scale; a shape looks round by a dark edge and a
light line along its middle. Offers `Bar`, `Link`, `EyedLink`, `draw_bar`, `draw_link`,
`draw_joint`, `draw_edge_link`, `draw_eye`, `draw_neck`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, pi, sin

from linkwright.documents.svg import DARK, STEEL, Drawing, Pen, lighter, num

_EDGE_MM = 0.13
_FACE = 0.22
_LIGHT = 0.26


@dataclass(frozen=True)
class Link:
    """Sizes of one link in mm; the gap is 0 for a closed link.

    The centre line has two half circles of the radius (outer width - diameter)/2 and two
    straights.
    """

    diameter_mm: float
    outer_width_mm: float
    straight_mm: float
    gap_mm: float = 0.0

    @classmethod
    def closed(cls, diameter_mm: float, outer_width_mm: float, pitch_mm: float) -> Link:
        """A closed link: the centre line is one diameter longer than the pitch."""
        straight = pitch_mm + diameter_mm - (outer_width_mm - diameter_mm)
        return cls(diameter_mm, outer_width_mm, max(straight, 0.0))

    @classmethod
    def open(
        cls, diameter_mm: float, outer_width_mm: float, cut_length_mm: float, gap_mm: float
    ) -> Link:
        """A link bent from a piece, its ends a gap apart in the middle of one straight."""
        round_part = pi * (outer_width_mm - diameter_mm)
        straight = (cut_length_mm + gap_mm - round_part) / 2
        return cls(diameter_mm, outer_width_mm, max(straight, gap_mm), gap_mm)

    @property
    def length_mm(self) -> float:
        """Outer length."""
        return self.straight_mm + self.outer_width_mm

    @property
    def pitch_mm(self) -> float:
        """Inner length."""
        return self.length_mm - 2 * self.diameter_mm


@dataclass(frozen=True)
class EyedLink:
    """A link of two open eyes at right angles on the ends of a neck; sizes in mm.

    Eyes by the mean diameter of their wire's centre line; the gap is the free way between the
    end of the wire and the neck.
    """

    diameter_mm: float
    first_eye_mm: float
    second_eye_mm: float
    neck_mm: float
    gap_mm: float

    @property
    def outer_width_mm(self) -> float:
        """Over the broader eye."""
        return max(self.first_eye_mm, self.second_eye_mm) + self.diameter_mm

    @property
    def length_mm(self) -> float:
        """Outer length."""
        return self.first_eye_mm + self.neck_mm + self.second_eye_mm + self.diameter_mm

    @property
    def pitch_mm(self) -> float:
        """Inner length, eye to eye."""
        return self.length_mm - 2 * self.diameter_mm


@dataclass(frozen=True)
class Bar:
    """A straight piece of round bar from x1 to x2 on paper."""

    x1: float
    x2: float
    diameter: float


def _tube(drawing: Drawing, path: str, diameter: float, fill: str, cap: str = "butt") -> None:
    inside = max(diameter - 2 * _EDGE_MM, 0.6 * diameter)
    drawing.path(path, Pen(DARK, diameter, cap=cap))
    drawing.path(path, Pen(fill, inside, cap=cap))
    shine = fill if fill.startswith("url") else lighter(fill)
    drawing.path(path, Pen(shine, _LIGHT * diameter, cap=cap))


def draw_bar(drawing: Drawing, bar: Bar, y: float, fill: str = STEEL, *, face: bool) -> None:
    """A bar lying along the page; ``face`` shows its round section at the left end."""
    _tube(drawing, f"M{num(bar.x1)} {num(y)}L{num(bar.x2)} {num(y)}", bar.diameter, fill)
    edge = Pen(DARK, _EDGE_MM)
    half = bar.diameter / 2
    drawing.line(bar.x2, y - half, bar.x2, y + half, edge)
    if face:
        across = _FACE * bar.diameter
        data = (
            f"M{num(bar.x1)} {num(y - half)}"
            f"a{num(across)} {num(half)} 0 0 1 0 {num(2 * half)}"
            f"a{num(across)} {num(half)} 0 0 1 0 {num(-2 * half)}z"
        )
        drawing.path(data, edge, lighter(fill))


def draw_link(
    drawing: Drawing, link: Link, left: float, y: float, scale: float, fill: str = STEEL
) -> None:
    """A link seen from the broad side, its outer left end at ``left``."""
    radius = scale * (link.outer_width_mm - link.diameter_mm) / 2
    x1 = left + scale * link.outer_width_mm / 2
    x2 = x1 + scale * link.straight_mm
    middle, half_gap = (x1 + x2) / 2, scale * link.gap_mm / 2
    arc = f"A{num(radius)} {num(radius)} 0 0 1 "
    start, end = middle + half_gap, middle - half_gap
    data = (
        f"M{num(start)} {num(y - radius)}L{num(x2)} {num(y - radius)}"
        f"{arc}{num(x2)} {num(y + radius)}L{num(x1)} {num(y + radius)}"
        f"{arc}{num(x1)} {num(y - radius)}L{num(end)} {num(y - radius)}"
    )
    _tube(drawing, data + ("" if link.gap_mm else "z"), scale * link.diameter_mm, fill)


def draw_joint(
    drawing: Drawing,
    link: Link,
    left: float,
    y: float,
    scale: float,
    joint: tuple[float, float, str],
) -> None:
    """The welded joint in the middle of the upper straight: diameter, length, paint."""
    diameter_mm, length_mm, fill = joint
    middle = left + scale * link.length_mm / 2
    top = y - scale * (link.outer_width_mm - link.diameter_mm) / 2
    half = scale * length_mm / 2
    path = f"M{num(middle - half)} {num(top)}L{num(middle + half)} {num(top)}"
    _tube(drawing, path, scale * diameter_mm, fill)


def draw_edge_link(
    drawing: Drawing, link: Link, left: float, y: float, scale: float, fill: str = STEEL
) -> None:
    """A link seen from its narrow side, its outer left end at ``left``."""
    half = scale * link.diameter_mm / 2
    x1, x2 = left + half, left + scale * link.length_mm - half
    path = f"M{num(x1)} {num(y)}L{num(x2)} {num(y)}"
    _tube(drawing, path, scale * link.diameter_mm, fill, "round")


def draw_eye(
    drawing: Drawing, link: EyedLink, left: float, y: float, scale: float, fill: str = STEEL
) -> None:
    """The first eye of a link from its broad side: an arc from the neck round to the gap."""
    radius = scale * link.first_eye_mm / 2
    middle = left + scale * link.diameter_mm / 2 + radius
    across = min((link.gap_mm + link.diameter_mm / 2) / link.first_eye_mm, 1.0)
    open_angle = 2 * asin(across)
    end_x, end_y = middle + radius * cos(open_angle), y + radius * sin(open_angle)
    path = (
        f"M{num(middle + radius)} {num(y)}"
        f"A{num(radius)} {num(radius)} 0 1 0 {num(end_x)} {num(end_y)}"
    )
    _tube(drawing, path, scale * link.diameter_mm, fill)


def draw_neck(
    drawing: Drawing, link: EyedLink, left: float, y: float, scale: float, fill: str = STEEL
) -> None:
    """Neck and second eye of a link; that eye is seen from its narrow side."""
    x1 = left + scale * (link.diameter_mm / 2 + link.first_eye_mm)
    x2 = x1 + scale * (link.neck_mm + link.second_eye_mm)
    _tube(drawing, f"M{num(x1)} {num(y)}L{num(x2)} {num(y)}", scale * link.diameter_mm, fill,
          "round")  # fmt: skip
