"""Drawing: a link between its neighbours, to scale, with the places where it may tear.

Offers `link_drawing`.
"""

from __future__ import annotations

from collections.abc import Mapping

from linkwright.documents.display import Display
from linkwright.documents.svg import (
    BLACK,
    DARK,
    MIDDLE,
    STEEL,
    STEEL_LIGHT,
    WHITE,
    Drawing,
    Pen,
    num,
)

_WIDTH, _HEIGHT = 86.0, 58.0
_SMALL = 2.3
_MIDDLE_Y, _MOST = 29.5, 52.0
_EDGE = Pen(BLACK, 0.3)


def link_drawing(
    wire_mm: float,
    pitch_mm: float,
    outer_width_mm: float,
    damage: Mapping[str, float],
    display: Display,
) -> Drawing:
    """A link of semicircular crowns; ``damage`` by place, 1 tears, printed beside the places."""
    scale = min(_MOST / (pitch_mm + 2 * wire_mm), 27.0 / outer_width_mm)
    wire, pitch, width = (scale * size for size in (wire_mm, pitch_mm, outer_width_mm))
    title = "The link, and how near its places are to tearing"
    said = "Share of what the steel bears when the force is greatest; drawn to scale."
    drawing = Drawing(_WIDTH, _HEIGHT, title, said)
    drawing.label(0.0, 3.0, title, 2.8, bold=True)
    centre, half = _WIDTH / 2, (pitch + 2 * wire) / 2
    outer = _oval(centre, half, width / 2)
    inner = _oval(centre, pitch / 2, width / 2 - wire)
    drawing.path(outer + inner, _EDGE, fill=STEEL_LIGHT)
    for side in (-1, 1):
        drawing.path(_circle(centre + side * (pitch - wire) / 2, wire / 2), _EDGE, fill=STEEL)
    _centre_lines(drawing, centre, half, width)
    _places(drawing, (centre, half, width, wire, pitch), damage)
    _sizes(
        drawing, (centre, half, width, wire, pitch), (wire_mm, pitch_mm, outer_width_mm), display
    )
    return drawing


def _oval(centre: float, half: float, radius: float) -> str:
    """A closed line of two half circles and two straights; the crowns end at ``half``."""
    left, right = centre - half + radius, centre + half - radius
    top, foot = _MIDDLE_Y - radius, _MIDDLE_Y + radius
    r = num(radius)
    return (
        f"M{num(left)} {num(top)}L{num(right)} {num(top)}"
        f"A{r} {r} 0 0 1 {num(right)} {num(foot)}L{num(left)} {num(foot)}"
        f"A{r} {r} 0 0 1 {num(left)} {num(top)}Z"
    )


def _circle(x: float, radius: float) -> str:
    r = num(radius)
    return (
        f"M{num(x - radius)} {num(_MIDDLE_Y)}a{r} {r} 0 1 0 {num(2 * radius)} 0"
        f"a{r} {r} 0 1 0 {num(-2 * radius)} 0Z"
    )


def _centre_lines(drawing: Drawing, centre: float, half: float, width: float) -> None:
    pen = Pen(MIDDLE, 0.12, "3 0.8 0.6 0.8")
    drawing.line(centre - half - 2, _MIDDLE_Y, centre + half + 2, _MIDDLE_Y, pen)
    drawing.line(centre, _MIDDLE_Y - width / 2 - 2, centre, _MIDDLE_Y + width / 2 + 2, pen)


def _places(
    drawing: Drawing,
    link: tuple[float, float, float, float, float],
    damage: Mapping[str, float],
) -> None:
    """A dot at each place; its share stands outside at the end of a fine line."""
    centre, half, width, wire, pitch = link
    straight = pitch / 2 - (width / 2 - wire)
    beside = centre + pitch / 2 - wire * 0.45
    lift = _crown_height(beside - centre, pitch / 2, width / 2 - wire)
    rows = (
        ("weld_damage", centre, _MIDDLE_Y - width / 2 + wire / 2, centre - 17.0, 9.2, "weld"),
        ("leg_damage", centre + straight * 0.6, _MIDDLE_Y - width / 2 + wire, centre + 10.0, 9.2,
         "leg"),
        ("crown_inside_damage", beside, _MIDDLE_Y + lift, _WIDTH - 0.5, 49.0,
         "crown, beside the contact"),
        ("crown_outside_damage", centre + half, _MIDDLE_Y,
         min(centre + half + 3.0, _WIDTH - 16.5), 22.0,
         "crown, outside"),
    )  # fmt: skip
    worst = max(damage, key=lambda name: damage[name])
    for name, x, y, to_x, to_y, word in rows:
        above = to_y < y
        end = to_x - 6.0 if to_x > _WIDTH - 1.0 else to_x
        drawing.line(x, y, end, to_y + (0.8 if above else -2.4), Pen(DARK, 0.15))
        drawing.dot(x, y, 1.0, BLACK)
        drawing.dot(x, y, 0.55, BLACK if name == worst else WHITE)
        text = f"{100 * damage[name]:.0f}\u00a0%"
        anchor = "start" if name == "crown_outside_damage" else "middle"
        if to_x > _WIDTH - 1.0:  # a long word, kept on the paper
            anchor = "end"
        drawing.label(to_x, to_y, text, 2.8, anchor=anchor, bold=name == worst)
        drawing.label(to_x, to_y + 2.6 if not above else to_y - 2.9, word, _SMALL, anchor=anchor,
                      fill=DARK)  # fmt: skip


def _crown_height(along: float, half: float, radius: float) -> float:
    """Half opening of the inside of the link at a distance from its middle."""
    beyond = max(along - (half - radius), 0.0)
    return float((radius**2 - min(beyond, radius) ** 2) ** 0.5)


def _sizes(
    drawing: Drawing,
    link: tuple[float, float, float, float, float],
    sizes: tuple[float, float, float],
    display: Display,
) -> None:
    """Pitch inside the link, width to the left, wire at the crown."""
    centre, half, width, _, pitch = link
    pen = Pen(DARK, 0.15)
    y = _MIDDLE_Y + width / 2 + 4.6
    _arrow(drawing, centre - pitch / 2, y, centre + pitch / 2, y)
    for side in (-1, 1):
        drawing.line(centre + side * pitch / 2, _MIDDLE_Y, centre + side * pitch / 2, y + 1, pen)
    text = f"pitch {display.text('pitch_mm', sizes[1])}"
    drawing.label(centre, y + 3.2, text, _SMALL, anchor="middle")
    x = centre - half - 4.0
    _arrow(drawing, x, _MIDDLE_Y - width / 2, x, _MIDDLE_Y + width / 2)
    straight = centre - half + width / 2
    for side in (-1, 1):
        y = _MIDDLE_Y + side * width / 2
        drawing.line(straight, y, x - 1, y, pen)
    drawing.label(x - 1.2, _MIDDLE_Y, display.text("outer_width_mm", sizes[2]), _SMALL,
                  anchor="middle", turned=True)  # fmt: skip
    wire = f"wire {display.text('wire_diameter_mm', sizes[0])}"
    drawing.label(0.0, _HEIGHT - 1.0, wire, _SMALL)


def _arrow(drawing: Drawing, x1: float, y1: float, x2: float, y2: float) -> None:
    """A line with small heads at both ends, along one of the axes."""
    drawing.line(x1, y1, x2, y2, Pen(DARK, 0.18))
    long, wide = 1.4, 0.45
    for x, y, way in ((x1, y1, 1.0), (x2, y2, -1.0)):
        if y1 == y2:
            tips = [(x + way * long, y - wide), (x + way * long, y + wide)]
        else:
            tips = [(x - wide, y + way * long), (x + wide, y + way * long)]
        data = f"M{num(x)} {num(y)}" + "".join(f"L{num(a)} {num(b)}" for a, b in tips) + "Z"
        drawing.path(data, Pen(DARK, 0.05), fill=DARK)
