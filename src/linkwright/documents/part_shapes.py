"""Parts of roller chain as outlines: strip edge-on, plate, bushing, roller, pin, and the strand.

Offers `Part`, `part_of`, `draw_part`, `Strand`, `strand_of` and `draw_strand`. Sizes come from
the stock that a step hands on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from linkwright.documents.steps import size_of
from linkwright.documents.svg import BLACK, STEEL, STEEL_LIGHT, WHITE, Drawing, Pen, num
from linkwright.processes.models.plate_contour import contour_points

_LINE = Pen(BLACK, 0.15)
_HIDDEN = Pen(BLACK, 0.1, "0.8 0.5")
_BAR_LENGTHS = 6.0
"""A bar or strip goes on; it is drawn as long as a plate would be."""


@dataclass(frozen=True)
class Part:
    """One piece: its kind and its size as drawn, in millimetres of metal."""

    kind: str
    long_mm: float
    tall_mm: float
    sizes: Mapping[str, float]


@dataclass(frozen=True)
class Strand:
    """What the picture of an assembled strand needs."""

    pitch_mm: float
    height_mm: float
    outer_height_mm: float
    waist_mm: float
    outer_waist_mm: float
    turning_mm: float
    pin_mm: float


def part_of(step: Mapping[str, Any]) -> Part | None:
    """The part that a step hands on; None for what is no single part."""
    form = str(step["stock"]["form"])
    maker = {"coil": _strip, "strip": _strip, "plate": _plate, "bushing": _tube, "roller": _tube,
             "pin": _pin, "bar": _bar, "wire": _bar}.get(form)  # fmt: skip
    return maker(step, form) if maker else None


def _sizes(step: Mapping[str, Any], *names: str) -> list[float] | None:
    found = [size_of(step, name) for name in names]
    return None if None in found else [float(one) for one in found if one is not None]


def _strip(step: Mapping[str, Any], _: str) -> Part | None:
    sizes = _sizes(step, "plate_thickness_mm")
    return Part("strip", _BAR_LENGTHS * sizes[0], sizes[0], {}) if sizes else None


def _bar(step: Mapping[str, Any], _: str) -> Part | None:
    sizes = _sizes(step, "diameter_mm") or _sizes(step, "wire_diameter_mm")
    return Part("bar", 3.0 * sizes[0], sizes[0], {}) if sizes else None


def _plate(step: Mapping[str, Any], _: str) -> Part | None:
    names = ("hole_spacing_mm", "plate_height_mm", "waist_height_mm", "hole_diameter_mm")
    sizes = _sizes(step, *names)
    if sizes is None:
        return None
    return Part("plate", sizes[0] + sizes[1], sizes[1], dict(zip(names, sizes, strict=True)))


def _tube(step: Mapping[str, Any], form: str) -> Part | None:
    sizes = _sizes(step, f"{form}_outside_mm", f"{form}_bore_mm")
    length = size_of(step, f"{form}_length_mm") or size_of(step, "strip_width_mm")
    if sizes is None or length is None:
        return None
    return Part("tube", length, sizes[0], {"bore_mm": sizes[1]})


def _pin(step: Mapping[str, Any], _: str) -> Part | None:
    diameter = size_of(step, "pin_diameter_mm") or size_of(step, "diameter_mm")
    length = size_of(step, "pin_length_mm") or size_of(step, "cut_length_mm")
    if diameter is None or length is None:
        return None
    chamfer = 0.1 * diameter if size_of(step, "pin_length_mm") else 0.0
    hole, place = size_of(step, "cotter_hole_mm"), size_of(step, "hole_from_end_mm")
    drilled = {} if hole is None or place is None else {"hole_mm": hole, "from_end_mm": place}
    return Part("pin", length, diameter, {"chamfer_mm": chamfer, **drilled})


def draw_part(
    drawing: Drawing, part: Part, x: float, y: float, scale: float, paint: str = STEEL
) -> None:
    """A part with its middle at (x, y)."""
    if part.kind == "plate":
        _draw_plate(drawing, part.sizes, x, y, scale, paint)
        return
    long, tall = scale * part.long_mm / 2, scale * part.tall_mm / 2
    cut = scale * part.sizes.get("chamfer_mm", 0.0)
    points = [(x - long + cut, y - tall), (x + long - cut, y - tall), (x + long, y - tall + cut),
              (x + long, y + tall - cut), (x + long - cut, y + tall), (x - long + cut, y + tall),
              (x - long, y + tall - cut), (x - long, y - tall + cut)]  # fmt: skip
    drawing.path(_closed(points), _LINE, paint)
    if "hole_mm" in part.sizes:
        place = x + long - scale * part.sizes["from_end_mm"]
        drawing.path(_circle(place, y, scale * part.sizes["hole_mm"] / 2), _LINE, WHITE)
    if part.kind == "tube":
        bore = scale * part.sizes["bore_mm"] / 2
        for side in (-bore, bore):
            drawing.line(x - long, y + side, x + long, y + side, _HIDDEN)


def _draw_plate(
    drawing: Drawing, sizes: Mapping[str, float], x: float, y: float, scale: float, paint: str
) -> None:
    spacing, hole = sizes["hole_spacing_mm"], sizes["hole_diameter_mm"]
    drawing.path(_plate_path(sizes, x, y, scale), _LINE, paint)
    for side in (-0.5, 0.5):
        drawing.path(_circle(x + side * scale * spacing, y, scale * hole / 2), _LINE, WHITE)


def _plate_path(sizes: Mapping[str, float], x: float, y: float, scale: float) -> str:
    points = contour_points(
        hole_spacing_mm=sizes["hole_spacing_mm"],
        plate_height_mm=sizes["plate_height_mm"],
        waist_height_mm=sizes["waist_height_mm"],
    )
    return _closed([(x + scale * float(px), y + scale * float(py)) for px, py in points])


def _closed(points: list[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{num(px)} {num(py)}" for px, py in points) + "Z"


def _circle(x: float, y: float, radius: float) -> str:
    r = num(radius)
    return (
        f"M{num(x - radius)} {num(y)}a{r} {r} 0 1 0 {num(2 * radius)} 0"
        f"a{r} {r} 0 1 0 {num(-2 * radius)} 0Z"
    )


def strand_of(step: Mapping[str, Any]) -> Strand | None:
    """The strand that a step hands on, as it is seen from the side."""
    sizes = _sizes(
        step, "pitch_mm", "inner_plate_height_mm", "outer_plate_height_mm",
        "inner_waist_height_mm", "outer_waist_height_mm", "turning_diameter_mm", "pin_diameter_mm",
    )  # fmt: skip
    return Strand(*sizes) if sizes else None


def draw_strand(
    drawing: Drawing, strand: Strand, ends: tuple[float, float], y: float, scale: float
) -> None:
    """As many whole links as lie between two ends, outer plates in front."""
    pitch = scale * strand.pitch_mm
    room = ends[1] - ends[0] - scale * strand.height_mm
    count = max(int(room / pitch), 1)
    first = ends[0] + scale * strand.height_mm / 2 + (room - count * pitch) / 2
    for outer in (False, True):
        height = strand.outer_height_mm if outer else strand.height_mm
        waist = strand.outer_waist_mm if outer else strand.waist_mm
        sizes = {"hole_spacing_mm": strand.pitch_mm, "plate_height_mm": height,
                 "waist_height_mm": waist}  # fmt: skip
        for index in range(int(outer), count, 2):
            x = first + (index + 0.5) * pitch
            paint = STEEL if outer else STEEL_LIGHT
            drawing.path(_plate_path(sizes, x, y, scale), _LINE, paint)
    for index in range(count + 1):
        x = first + index * pitch
        inside = count % 2 == 1 and index in (0, count)
        if not inside:
            drawing.path(_circle(x, y, scale * strand.pin_mm / 2), _LINE, WHITE)
