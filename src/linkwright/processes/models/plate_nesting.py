"""Link plates on a strip: webs, the angle and rows that use most of it.

- `strip_webs`: metal that must stay between plates and at the edges
- `nested_plates`: the best layout for one, two or three rows
- `layout_of`: the layout at a given angle, for a tool that exists

All plates of a layout lie at one angle; rows may be shifted along the strip. A plate has two axes
of symmetry, so turning every second plate by half a turn would change nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.processes.models.plate_contour import link_plate_contour

Array = NDArray[np.float64]
_TOOL_DESIGN = "C. Donaldson, G. H. LeCain & V. C. Goold, Tool Design, 3rd ed., scrap strip layout"
_LONG_FEED_MM = 64.0
_ROWS = (1.0, 3.0)
_NEAR = 2
"""Neighbours looked at along a row on either side; further ones are more than a length away."""
_HAIR = 1e-9
_FIRST = (46, 3, 16)
"""Angles, feeds and shifts of the first grid; the later ones are about its best."""
_LATER = (11, 3, 9)
_ROUNDS = 4


class StripWebs(NamedTuple):
    """Results of `strip_webs`."""

    bridge_mm: Values
    edge_mm: Values


@calculation(
    source=_TOOL_DESIGN,
    basis="memory",
    needs={"plate_thickness_mm": POSITIVE, "feed_mm": POSITIVE},
    valid={"plate_thickness_mm": (0.8, None)},
)
def strip_webs(*, plate_thickness_mm: Values, feed_mm: Values) -> StripWebs:
    """Metal that stays between blanks and at the edges of the strip: 1.25 t, or 1.5 t.

    1.5 t where the feed of a stroke is 64 mm or more. Below 0.8 mm of thickness the rule gives too
    little and 1.3 mm is kept at least, as for strip to 75 mm.

    References: C. Donaldson, G. H. LeCain & V. C. Goold, Tool Design, 3rd ed.; its rule was read in
    a public training text on press tools (section on scrap strip layout).

    Example:
        >>> print(strip_webs(plate_thickness_mm=1.5, feed_mm=11.9).bridge_mm)
        1.875
    """
    factor = np.where(np.asarray(feed_mm) >= _LONG_FEED_MM, 1.5, 1.25)
    thin = np.asarray(plate_thickness_mm) < 0.8
    web = factor * plate_thickness_mm
    web = np.where(thin, np.maximum(web, 1.3), web)[()]
    return StripWebs(web, web)


class StripLayout(NamedTuple):
    """Results of `nested_plates` and `layout_of`."""

    angle_deg: Values
    """Between the plate's long axis and the feed."""
    feed_mm: Values
    strip_width_mm: Values
    row_distance_mm: Values
    row_shift_mm: Values
    """Of a row against the one before it, along the feed."""
    utilisation_percent: Values
    """Area within the contours over area of the strip; the pierced holes count as used."""
    plates_per_m: Values


_ARGUMENTS: dict[str, tuple[float | None, float | None]] = {
    "hole_spacing_mm": POSITIVE,
    "plate_height_mm": POSITIVE,
    "waist_height_mm": POSITIVE,
    "bridge_mm": NOT_NEGATIVE,
    "edge_mm": NOT_NEGATIVE,
    "rows": _ROWS,
}


@calculation(
    source="plane geometry: greatest share of a strip for contours of circles that keep a distance",
    basis="computed",
    needs=_ARGUMENTS,
)
def nested_plates(
    *,
    hole_spacing_mm: float,
    plate_height_mm: float,
    waist_height_mm: float,
    bridge_mm: float,
    edge_mm: float,
    rows: float = 1.0,
) -> StripLayout:
    """Angle, feed and rows with which figure-eight plates use most of a strip.

    No two contours come nearer than ``bridge_mm``, none nearer to an edge than ``edge_mm``. An
    eye may lie in the waist of a neighbour. Searched over the angle, the feed and the shift of the
    rows by grids that close in about the best; no sweep of polygons finds more than
    0.3 % above it (tested). One size at a time.

    References: plane geometry.

    Example:
        >>> one = nested_plates(hole_spacing_mm=25.4, plate_height_mm=20.87, waist_height_mm=15.65,
        ...                     bridge_mm=5.0, edge_mm=5.0)
        >>> print(round(one.utilisation_percent, 1), round(one.angle_deg))
        57.1 65
    """
    shape = _Shape.of(hole_spacing_mm, plate_height_mm, waist_height_mm, bridge_mm)
    return _best(shape, float(edge_mm), round(float(rows)), (0.0, np.pi / 2.0))


@calculation(
    source="plane geometry: layout of contours of circles that keep a distance",
    basis="computed",
    needs={**_ARGUMENTS, "angle_deg": (0.0, 90.0)},
)
def layout_of(
    *,
    hole_spacing_mm: float,
    plate_height_mm: float,
    waist_height_mm: float,
    bridge_mm: float,
    edge_mm: float,
    angle_deg: float,
    rows: float = 1.0,
) -> StripLayout:
    """Layout of plates at a given angle: least feed, best shift of the rows, use of the strip.

    As `nested_plates` with the angle held.

    References: plane geometry.

    Example:
        >>> side = layout_of(hole_spacing_mm=25.4, plate_height_mm=20.87, waist_height_mm=15.65,
        ...                  bridge_mm=5.0, edge_mm=5.0, angle_deg=90.0)
        >>> print(round(side.feed_mm, 2), round(side.strip_width_mm, 2))
        25.87 56.27
    """
    shape = _Shape.of(hole_spacing_mm, plate_height_mm, waist_height_mm, bridge_mm)
    angle = float(np.radians(angle_deg))
    return _best(shape, float(edge_mm), round(float(rows)), (angle, angle))


@dataclass(frozen=True)
class _Shape:
    """Half spacing of the eyes, their keep-off circle, the waist's pocket, and the area.

    A plate moved by v keeps its distance from another where v lies outside three circles of
    radius ``keep`` about the other's middle and its eyes a spacing away, and where an eye that
    looks into the waist lies within the circle of radius ``pocket`` about the waist's centre.
    """

    half_mm: float
    radius_mm: float
    keep_mm: float
    waist_mm: float
    pocket_mm: float
    area_mm2: float

    @classmethod
    def of(cls, p: float, h: float, w: float, bridge: float) -> _Shape:
        found = link_plate_contour(hole_spacing_mm=p, plate_height_mm=h, waist_height_mm=w)
        R, Rw = float(found.end_radius_mm), float(found.waist_radius_mm)
        return cls(
            float(p) / 2.0, R, 2.0 * R + float(bridge), float(found.waist_centre_mm),
            Rw - R - float(bridge), float(found.area_mm2),
        )  # fmt: skip

    def free(self, along: Any, across: Any) -> Any:
        """Whether a plate moved by (along, across) its own axes keeps its distance."""
        x, y = np.abs(along), np.abs(across)
        eye = np.abs(x - self.half_mm)
        apart = (np.hypot(x, y) >= self.keep_mm - _HAIR) & (
            np.hypot(x - 2.0 * self.half_mm, y) >= self.keep_mm - _HAIR
        )
        facing = (y <= self.waist_mm) & (
            eye * self.waist_mm <= (self.waist_mm - y) * self.half_mm + _HAIR
        )
        return apart & (~facing | (np.hypot(eye, self.waist_mm - y) <= self.pocket_mm + _HAIR))


@lru_cache(maxsize=64)
def _best(shape: _Shape, edge: float, rows: int, angles: tuple[float, float]) -> StripLayout:
    """Grids over angle, feed over its least, and shift, that close in about the best."""
    ends = np.array([angles, (1.0, 1.4 if rows > 1 else 1.0), (0.0, 1.0 if rows > 1 else 0.0)])
    (low, high), counts = ends.T, _FIRST
    best: tuple[float, ...] = (0.0,)
    for _ in range(_ROUNDS):
        axes = [
            np.linspace(a, b, count if b > a else 1)
            for a, b, count in zip(low, high, counts, strict=True)
        ]
        trial = [part.ravel() for part in np.meshgrid(*axes, indexing="ij")]
        found = _laid(shape, edge, rows, *trial)
        at = int(np.argmax(found[0]))
        if found[0][at] > best[0]:
            best = tuple(float(part[at]) for part in (*found, *trial))
        step = 1.2 * (high - low) / (np.array(counts) - 1)
        low = np.maximum(best[-3:] - step, ends[:, 0])
        high = np.minimum(best[-3:] + step, ends[:, 1])
        counts = _LATER
    use, feed, width, distance, shift, angle = best[:6]
    return StripLayout(
        float(np.degrees(angle)), feed, width, distance, shift, 100.0 * use, rows * 1000.0 / feed
    )


def _laid(
    shape: _Shape, edge: float, rows: int, angle: Array, stretch: Array, shift: Array
) -> tuple[Array, ...]:
    """Use of the strip, feed, width, distance and shift of rows, over trials."""
    feed = _least_feed(shape, angle) * stretch
    offset = shift * feed
    over = 2.0 * shape.half_mm * np.abs(np.sin(angle)) + 2.0 * shape.radius_mm + 2.0 * edge
    distance = np.zeros_like(feed)
    if rows > 1:
        distance = _row_distance(shape, angle, feed, offset)
    if rows > 2:  # the third row follows the shift again, or goes back under the first
        further = _row_distance(shape, angle, feed, 2.0 * offset)
        back = _row_distance(shape, angle, feed, 0.0 * offset)
        distance = np.maximum(distance, np.minimum(further, back) / 2.0)
    width = over + (rows - 1) * distance
    use = rows * shape.area_mm2 / (feed * width)
    return use, feed, width, distance, offset, angle


def _least_feed(shape: _Shape, angle: Array) -> Array:
    """Least step along the strip at which no plate of the row comes too near to another."""
    cos, sin = np.cos(angle), np.sin(angle)
    roots = []
    for x, y, radius, signs in _circles(shape):
        along, across = x * cos - y * sin, x * sin + y * cos
        inside = radius**2 - across**2
        root = np.sqrt(np.maximum(inside, 0.0))
        roots += [np.where(inside >= 0.0, along + sign * root, np.nan) for sign in signs]
    steps = np.sort(np.where(np.array(roots) > 0.0, np.array(roots), np.nan), axis=0)
    steps = steps * (1.0 + 1e-12)
    fit = np.ones(steps.shape, dtype=bool)
    for count in range(1, _NEAR + 2):
        fit &= shape.free(count * steps * cos, -count * steps * sin)
    # beyond the outermost circle every step is free, so one of them always fits
    return np.asarray(np.nanmin(np.where(fit & np.isfinite(steps), steps, np.inf), axis=0))


def _row_distance(shape: _Shape, angle: Array, feed: Array, offset: Array) -> Array:
    """Least distance of a row that is shifted by ``offset`` against the one before it."""
    cos, sin = np.cos(angle), np.sin(angle)
    ahead = offset - np.round(offset / feed) * feed
    least = np.zeros_like(feed)
    for count in range(-_NEAR, _NEAR + 1):
        x = ahead + count * feed
        for cx, cy, radius, signs in _circles(shape):
            mx, my = cx * cos - cy * sin, cx * sin + cy * cos
            inside = radius**2 - (x - mx) ** 2
            root = np.sqrt(np.maximum(inside, 0.0))
            if len(signs) == 1:  # an eye to keep off: free above its circle
                least = np.where(inside > 0.0, np.maximum(least, my + root), least)
                continue
            y = my - root  # the floor of a pocket: blocked below it, where the waist faces
            below = ~shape.free(x * cos + (y - 1e-6) * sin, -x * sin + (y - 1e-6) * cos)
            least = np.where((inside > 0.0) & below, np.maximum(least, y), least)
    return least


def _circles(shape: _Shape) -> list[tuple[float, float, float, tuple[float, ...]]]:
    """Circles whose crossing may end what is blocked: centre in the plate's axes, radius, roots."""
    p = 2.0 * shape.half_mm
    kept: list[tuple[float, float, float, tuple[float, ...]]] = [
        (x, 0.0, shape.keep_mm, (1.0,)) for x in (-p, 0.0, p)
    ]
    if shape.pocket_mm <= 0.0:
        return kept
    half, waist, pocket = shape.half_mm, shape.waist_mm, shape.pocket_mm
    pockets = [(x, y, pocket, (-1.0, 1.0)) for x in (-half, half) for y in (-waist, waist)]
    return [*kept, *pockets]
