"""Drawing: both sprockets of a chain drive with the chain round them, to scale.

- `DriveShape`: what a drive looks like from the side
- `drive_joints`, `sprocket_outline`: where the joints of the chain and the teeth lie
- `drive_drawing`: the picture
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

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
from linkwright.mechanics.chain_path import tangent_angle
from linkwright.mechanics.sprocket import iso606_sprocket_diameters, iso606_tooth_gap, pitch_circle

_WIDTH, _MOST_HEIGHT, _HEAD, _FOOT, _MARGIN = 174.0, 95.0, 8.0, 17.0, 2.0
_SIZE, _SMALL = 2.8, 2.4
_FINE, _CENTRE = Pen(BLACK, 0.14), Pen(MIDDLE, 0.12, "3 0.7 0.5 0.7")
_PLAIN = Display()


@dataclass(frozen=True)
class DriveShape:
    """What a drive looks like from the side; ``pitches`` is even."""

    pitch_mm: float
    roller_diameter_mm: float
    pin_diameter_mm: float
    plate_height_mm: float
    teeth_small: int
    teeth_large: int
    pitches: int
    centre_distance_mm: float


def drive_joints(shape: DriveShape) -> np.ndarray:
    """Joints of the chain in mm, one row (x, y) each, going round; the small sprocket at (0, 0).

    Joints on a sprocket lie in its gaps, symmetric to the line of centres; the rest divides both
    strands evenly, straight where a real slack strand sags. For the centre distance that belongs
    to the chain the strands then miss the pitch by less than 1 %.
    """
    small, large, strand = _shared(shape)
    pitch, z1, z2 = shape.pitch_mm, shape.teeth_small, shape.teeth_large
    # half a turn for the small sprocket, whose chain lies on the side away from the large one
    left = _arc(pitch_circle(pitch, z1) / 2, np.pi, small, z1)
    right = _arc(pitch_circle(pitch, z2) / 2, 0.0, large, z2)
    right[:, 0] += shape.centre_distance_mm
    inner = np.arange(1, strand)[:, None] / strand
    lower = left[-1] + inner * (right[0] - left[-1])
    upper = right[-1] + inner * (left[0] - right[-1])
    return np.vstack([left, lower, right, upper])


def _shared(shape: DriveShape) -> tuple[int, int, int]:
    """Pitches on the small sprocket, on the large one and in each strand."""
    z1, z2 = shape.teeth_small, shape.teeth_large
    half = tangent_angle(z1, z2, shape.centre_distance_mm / shape.pitch_mm)
    small = int((np.pi - 2.0 * half) / (2.0 * np.pi) * z1 + 1e-9)
    large = int((np.pi + 2.0 * half) / (2.0 * np.pi) * z2 + 1e-9)
    if (shape.pitches - small - large) % 2:
        large -= 1
    return small, large, (shape.pitches - small - large) // 2


def _arc(radius: float, middle: float, pitches: int, teeth: int) -> np.ndarray:
    """Joints in the gaps of one sprocket, counter-clockwise, symmetric about an angle."""
    angles = middle + (np.arange(pitches + 1) - pitches / 2) * 2.0 * np.pi / teeth
    return radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def sprocket_outline(shape: DriveShape, teeth: int, first_gap: float) -> np.ndarray:
    """Outline of a sprocket by ISO 606 about (0, 0) in mm, with the narrowest gaps.

    One gap lies at the angle ``first_gap``; the tips stand midway between their limits.
    """
    d1 = shape.roller_diameter_mm
    gap = iso606_tooth_gap(roller_diameter_mm=d1, teeth=teeth)
    sizes = iso606_sprocket_diameters(pitch_mm=shape.pitch_mm, roller_diameter_mm=d1, teeth=teeth)
    seat = float(gap.least_roller_seating_radius_mm)
    reach = float(np.radians(gap.greatest_seating_angle_deg)) / 2
    flank = float(gap.flank_radius_for_least_gap_mm)
    tip = float(sizes.greatest_tip_diameter_mm + sizes.least_tip_diameter_mm) / 4
    middle = np.array([float(sizes.pitch_diameter_mm) / 2, 0.0])
    # the seat is a hollow round the roller, the flank a bulge that goes on without a kink
    turn = np.pi - np.linspace(0.0, reach, 6)
    hollow = middle + seat * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    away = np.array([np.cos(np.pi - reach), np.sin(np.pi - reach)])
    start = np.arctan2(-away[1], -away[0])
    bend = start + np.linspace(0.0, np.pi / 2, 60)[1:]
    bulge = middle + (seat + flank) * away + flank * np.stack([np.cos(bend), np.sin(bend)], axis=1)
    angle = np.arctan2(bulge[:, 1], bulge[:, 0])
    kept = (np.hypot(bulge[:, 0], bulge[:, 1]) <= tip) & (angle < np.pi / teeth)
    ends = len(kept) if kept.all() else int(np.argmin(kept))
    side = np.vstack([hollow, bulge[:ends]])
    one = np.vstack([side[::-1] * (1.0, -1.0), side[1:]])
    angles = first_gap + np.arange(teeth) * 2.0 * np.pi / teeth
    turned = [_turned(one, angle) for angle in angles]
    return np.vstack(turned)


def _turned(points: np.ndarray, angle: float) -> np.ndarray:
    cosine, sine = np.cos(angle), np.sin(angle)
    turned: np.ndarray = points @ np.array([[cosine, sine], [-sine, cosine]])
    return turned


def drive_drawing(shape: DriveShape, title: str, display: Display = _PLAIN) -> Drawing:
    """Sprockets and chain from the side, with teeth, tip diameters and centre distance."""
    tips = [_tip(shape, teeth) for teeth in (shape.teeth_small, shape.teeth_large)]
    span = shape.centre_distance_mm + (tips[0] + tips[1]) / 2 + shape.plate_height_mm
    tall = max(tips) + shape.plate_height_mm
    scale = min((_WIDTH - 2 * _MARGIN) / span, _MOST_HEIGHT / tall)
    height = _HEAD + scale * tall + _FOOT
    said = "Seen along the shafts, drawn to scale; strands drawn straight, hubs and bores left out."
    drawing = Drawing(_WIDTH, height, title, said)
    drawing.label(0.0, 3.0, title, _SIZE, bold=True)
    from_left = (_WIDTH - scale * span) / 2 + scale * (tips[0] + shape.plate_height_mm) / 2
    origin = (from_left, _HEAD + scale * tall / 2)
    _draw_sprockets(drawing, shape, origin, scale)
    _draw_chain(drawing, shape, origin, scale)
    _draw_sizes(drawing, shape, (origin, scale, tips), display)
    return drawing


def _tip(shape: DriveShape, teeth: int) -> float:
    sizes = iso606_sprocket_diameters(
        pitch_mm=shape.pitch_mm, roller_diameter_mm=shape.roller_diameter_mm, teeth=teeth
    )
    return float(sizes.greatest_tip_diameter_mm)


def _on_paper(
    points: np.ndarray, origin: tuple[float, float], scale: float
) -> list[tuple[float, float]]:
    return [(origin[0] + scale * float(x), origin[1] + scale * float(y)) for x, y in points]


def _draw_sprockets(
    drawing: Drawing, shape: DriveShape, origin: tuple[float, float], scale: float
) -> None:
    on_small, on_large, _ = _shared(shape)
    placed = (
        (shape.teeth_small, on_small, np.pi, 0.0),
        (shape.teeth_large, on_large, 0.0, shape.centre_distance_mm),
    )
    for teeth, on_it, middle, x in placed:
        first = middle - on_it / 2 * 2.0 * np.pi / teeth
        outline = sprocket_outline(shape, teeth, first) + np.array([x, 0.0])
        joined = "L".join(f"{num(a)} {num(b)}" for a, b in _on_paper(outline, origin, scale))
        drawing.path(f"M{joined}Z", _FINE, fill=WHITE)
        centre, radius = origin[0] + scale * x, scale * pitch_circle(shape.pitch_mm, teeth) / 2
        drawing.path(_ring(centre, origin[1], radius), _CENTRE)
        for across, along in ((radius, 0.0), (0.0, radius)):
            drawing.line(
                centre - across, origin[1] - along, centre + across, origin[1] + along, _CENTRE
            )


def _ring(x: float, y: float, radius: float) -> str:
    r = num(radius)
    left, right = f"{num(x - radius)} {num(y)}", f"{num(x + radius)} {num(y)}"
    return f"M{left}A{r} {r} 0 0 1 {right}A{r} {r} 0 0 1 {left}Z"


def _draw_chain(
    drawing: Drawing, shape: DriveShape, origin: tuple[float, float], scale: float
) -> None:
    """Inner links, then the outer ones over them, then pins: as the chain lies."""
    joints = _on_paper(drive_joints(shape), origin, scale)
    links = list(pairwise([*joints, joints[0]]))
    high = scale * shape.plate_height_mm
    edge = min(0.16, 0.2 * high)
    for start, fill in ((0, STEEL), (1, STEEL_LIGHT)):
        for link in links[start::2]:
            drawing.polyline(link, Pen(BLACK, high))
            drawing.polyline(link, Pen(fill, high - 2 * edge))
    for x, y in joints:
        drawing.dot(x, y, scale * shape.pin_diameter_mm / 2, DARK)


def _draw_sizes(
    drawing: Drawing,
    shape: DriveShape,
    placed: tuple[tuple[float, float], float, list[float]],
    display: Display,
) -> None:
    """Distance of the shafts below, teeth and tip diameter of each sprocket below that."""
    (left, middle), scale, tips = placed
    right = left + scale * shape.centre_distance_mm
    y = drawing.height - _FOOT + 4.5
    for x in (left, right):
        drawing.line(x, middle, x, y + 1.0, _CENTRE)
        drawing.line(x - 0.8, y + 0.8, x + 0.8, y - 0.8, _FINE)
    drawing.line(left, y, right, y, _FINE)
    apart = display.text("centre_distance_mm", shape.centre_distance_mm)
    drawing.label((left + right) / 2, y - 0.9, apart, _SMALL, anchor="middle")
    chain = display.say("chain of {1} pitches", str(shape.pitches))
    drawing.label((left + right) / 2, y + 3.3, chain, _SMALL, anchor="middle")
    teeth = (shape.teeth_small, shape.teeth_large)
    for end, count, tip in zip(("start", "end"), teeth, tips, strict=True):
        said = display.say(
            "{1} teeth, tips at most Ø {2}", str(count), display.text("tip_diameter_mm", tip)
        )
        x = 0.0 if end == "start" else _WIDTH
        drawing.label(x, y + 8.0, said, _SMALL, anchor=end)
