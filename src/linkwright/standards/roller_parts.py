"""Sizes of every part of a roller chain, by its number.

`roller_parts` gives a `RollerParts`: what ISO 606 or ASME B29.1 prints, and by stated rules what
they do not (plate thickness of series B, bushing, roller bore, waist, holes). Its field `derived`
names each size that no table prints, so that whoever uses one can say so. A works' own drawing
goes before both.

`roller_part_sizes` is the same as a flat calculation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, NamedTuple

from linkwright.catalogue import Values, calculation, sourced
from linkwright.quantities import ArgumentError, UnknownName, convert
from linkwright.standards import roller_part_rules as rules
from linkwright.standards.reader import Row
from linkwright.standards.roller_chain import (
    ansi_row,
    iso606_row,
    read_chain_number,
    roller_chain_strength,
)

_TOO_CLOSE = 0.85
"""Strands of series B stand too close for two middle plates where the room for one is below this
share of the thickness that the pin leaves: 05B, 06B and 08B."""
COTTER_SIZES = frozenset({"cotter_hole_mm", "hole_from_end_mm", "hole_clearance_mm"})
"""Sizes of a drawing that only a cottered pin has; `linkwright.products.pin_ways` reads them."""
Drawing = Mapping[str, Any]
"""Sizes of the works' own drawing by ``part_size``: ``inner_plate_thickness_mm``."""


@dataclass(frozen=True)
class PlateSizes:
    """A link plate; the hole is that before pressing, height and waist across the length."""

    plate_thickness_mm: Any
    plate_height_mm: Any
    greatest_plate_height_mm: Any
    waist_height_mm: Any
    hole_diameter_mm: Any
    hole_spacing_mm: Any


@dataclass(frozen=True)
class BushingSizes:
    """A bushing; the bore is the least of the standard."""

    bushing_outside_mm: Any
    bushing_bore_mm: Any
    bushing_wall_mm: Any
    bushing_length_mm: Any


@dataclass(frozen=True)
class PinSizes:
    """A riveted pin; diameter and length are the greatest of the standard."""

    pin_diameter_mm: Any
    pin_length_mm: Any
    rivet_projection_mm: Any


@dataclass(frozen=True)
class RollerSizes:
    """A roller; the outside is the greatest of the standard."""

    roller_outside_mm: Any
    roller_bore_mm: Any
    roller_wall_mm: Any
    roller_length_mm: Any


@dataclass(frozen=True)
class RollerParts:
    """All parts of a chain; ``roller`` is None for bush chain (04C, 06C).

    derived: sizes that no table prints, as ``part.size`` ("bushing.bushing_wall_mm").
    """

    chain_number: str
    strands: int
    pitch_mm: Any
    transverse_pitch_mm: Any
    inner_width_mm: Any
    inner_link_width_mm: Any
    least_outer_link_opening_mm: Any
    inner_plate: PlateSizes
    outer_plate: PlateSizes
    bushing: BushingSizes
    pin: PinSizes
    roller: RollerSizes | None
    derived: frozenset[str]


def roller_parts(
    chain_number: str, strands: int | None = None, drawing: Drawing | None = None
) -> RollerParts:
    """Sizes of all parts of a chain of either standard, 1 to 6 strands.

    ``drawing`` overrules any size by its name (``inner_plate_thickness_mm``,
    ``bushing_outside_mm``, ``outer_hole_diameter_mm`` ...). Raises `UnknownName` for a chain
    that is not held or a size that no part has, `ArgumentError` for strands that cannot be.

    >>> parts = roller_parts("16B")
    >>> parts.inner_plate.plate_thickness_mm, parts.outer_plate.plate_thickness_mm
    (4.0, 3.05)
    >>> "inner_plate.plate_thickness_mm" in parts.derived
    True
    """
    number = read_chain_number(chain_number)
    count = number.strands if strands is None else strands
    return _Maker(iso606_row(number.chain), count, drawing or {}).made()


class PartSizes(NamedTuple):
    """Results of `roller_part_sizes`; a bush chain has no roller (nan)."""

    inner_plate_thickness_mm: Values
    outer_plate_thickness_mm: Values
    inner_plate_height_mm: Values
    outer_plate_height_mm: Values
    inner_waist_height_mm: Values
    outer_waist_height_mm: Values
    inner_hole_diameter_mm: Values
    outer_hole_diameter_mm: Values
    inner_width_mm: Values
    inner_link_width_mm: Values
    bushing_outside_mm: Values
    bushing_bore_mm: Values
    bushing_wall_mm: Values
    bushing_length_mm: Values
    pin_diameter_mm: Values
    pin_length_mm: Values
    rivet_projection_mm: Values
    roller_outside_mm: Values
    roller_bore_mm: Values
    roller_wall_mm: Values
    roller_length_mm: Values
    derived: tuple[str, ...]


@calculation(
    source="ISO 606:2004, Table 1, and ASME B29.1 for what they print; the rest derived by the "
    "rules of `linkwright.standards.roller_part_rules`, each with its source",
    basis="computed",
)
def roller_part_sizes(*, chain_number: str, strands: int | None = None) -> PartSizes:
    """Sizes of plates, bushing, pin and roller of a chain by its number.

    ``derived`` lists the sizes that no table prints: they are proposals for a drawing, not limits
    of a standard.

    Raises:
        UnknownName: a number that is not held; ArgumentError: strands that cannot be.

    References: as the source.

    Example:
        >>> sizes = roller_part_sizes(chain_number="80")
        >>> print(sizes.inner_plate_thickness_mm, round(sizes.bushing_outside_mm, 2))
        3.175 11.04
    """
    parts = roller_parts(chain_number, strands)
    found: dict[str, Any] = {}
    for side, plate in (("inner", parts.inner_plate), ("outer", parts.outer_plate)):
        for size in fields(plate):
            # a plate's own names say plate; in the flat list the side comes before
            found[f"{side}_{size.name}"] = getattr(plate, size.name)
    for part in (parts, parts.bushing, parts.pin, parts.roller):
        for size in fields(part) if part is not None else ():
            found[size.name] = getattr(part, size.name)
    found["derived"] = tuple(sorted(parts.derived))
    return PartSizes(**{name: found.get(name, float("nan")) for name in PartSizes._fields})


class _Maker:
    """Takes each size from the drawing, the standard or a rule, and notes which are derived."""

    def __init__(self, row: Row, strands: int, drawing: Drawing) -> None:
        self.row, self.strands, self.drawing = row, strands, dict(drawing)
        self.derived: set[str] = set()
        self.used: set[str] = set()

    def made(self) -> RollerParts:
        printed = self.printed
        inner_t, outer_t = self._thicknesses()
        pin = printed("greatest_pin_diameter_mm", "pin_diameter_mm")
        bushing_outside = self._bushing()
        inner_width = self.ruled(
            "inner_width_mm", "", rules.plate_inner_width,
            least_inner_width_mm=printed("least_inner_width_mm"),
            greatest_inner_link_width_mm=printed("greatest_inner_link_width_mm"),
            plate_thickness_mm=inner_t,
        )  # fmt: skip
        over = self.ruled(
            "inner_link_width_mm", "", rules.inner_link_width,
            inner_width_mm=inner_width, plate_thickness_mm=inner_t,
        )  # fmt: skip
        parts = RollerParts(
            chain_number=str(self.row.cells["chain_number"]),
            strands=self.strands,
            pitch_mm=printed("pitch_mm"),
            transverse_pitch_mm=self._spacing(),
            inner_width_mm=inner_width,
            inner_link_width_mm=over,
            least_outer_link_opening_mm=printed("least_outer_link_opening_mm"),
            inner_plate=self._plate("inner", inner_t, bushing_outside),
            outer_plate=self._plate("outer", outer_t, pin),
            bushing=self._bushing_sizes(bushing_outside, over),
            pin=self._pin(pin, outer_t),
            roller=self._roller(bushing_outside),
            derived=frozenset(self.derived),
        )
        unknown = set(self.drawing) - self.used - COTTER_SIZES
        if unknown:
            raise UnknownName("size of a part", min(unknown), sorted(self.used))
        return parts

    def printed(self, column: str, name: str | None = None) -> Any:
        """A size of the standard's row, or of the drawing."""
        size = name or column
        self.used.add(size)
        if size in self.drawing:
            return self.drawing[size]
        return self.row.number(column, called=size)

    def ruled(self, size: str, part: str, rule: Any, called: str = "", **inputs: Any) -> Any:
        """A size of the drawing, or by a rule and then noted as derived."""
        key = called or size
        self.used.add(key)
        if key in self.drawing:
            return self.drawing[key]
        self.derived.add(f"{part}.{size}" if part else size)
        return rule(**inputs)

    def _thicknesses(self) -> tuple[Any, Any]:
        """Of inner and outer plates: printed by ASME B29.1 for series A, C, H, 41; else derived."""
        size, asme = "plate_thickness_mm", self._asme_thickness()
        found = []
        for side, rule in (("inner", self._inner_by_rule), ("outer", self._outer_by_rule)):
            key = f"{side}_{size}"
            self.used.add(key)
            if key in self.drawing:
                found.append(self.drawing[key])
            elif asme is not None:
                found.append(asme)
            else:
                self.derived.add(f"{side}_plate.{size}")
                found.append(rule())
        return found[0], found[1]

    def _asme_thickness(self) -> Any:
        if "ansi_number" not in self.row.cells:
            return None
        row = ansi_row(str(self.row.cells["ansi_number"]))
        value = float(convert(float(row.cells["plate_thickness_in"]), "in", "mm"))
        return sourced("plate_thickness_mm", round(value, 4), "table", row.source, row.basis)

    def _inner_by_rule(self) -> Any:
        return rules.inner_plate_thickness(
            least_inner_width_mm=self.printed("least_inner_width_mm"),
            greatest_inner_link_width_mm=self.printed("greatest_inner_link_width_mm"),
        )

    def _outer_by_rule(self) -> Any:
        opening = self.printed("least_outer_link_opening_mm")
        by_pin = rules.outer_plate_thickness_by_pin(
            greatest_pin_length_mm=self.row.number("greatest_pin_length_simplex_mm"),
            least_outer_link_opening_mm=opening,
            pin_diameter_mm=self.printed("greatest_pin_diameter_mm", "pin_diameter_mm"),
            inner_plate_thickness_mm=self._inner_by_rule(),
        )
        if "transverse_pitch_mm" not in self.row.cells:
            return by_pin
        between = rules.outer_plate_thickness(
            transverse_pitch_mm=self.row.number("transverse_pitch_mm"),
            least_outer_link_opening_mm=opening,
        )
        return between if float(between) >= _TOO_CLOSE * float(by_pin) else by_pin

    def _plate(self, side: str, thickness: Any, member: Any) -> PlateSizes:
        part = f"{side}_plate"
        column = {"inner": "greatest_plate_height_mm", "outer": "greatest_outer_plate_height_mm"}
        greatest = self.printed(column[side])
        height = self.ruled(
            "plate_height_mm", part, rules.link_plate_height, f"{part}_height_mm",
            greatest_height_mm=greatest,
        )  # fmt: skip
        waist = self.ruled(
            "waist_height_mm", part, rules.plate_waist, f"{side}_waist_height_mm",
            plate_height_mm=height,
        )  # fmt: skip
        hole = self.ruled(
            "hole_diameter_mm", part, rules.pressed_hole, f"{side}_hole_diameter_mm",
            member_diameter_mm=member,
        )  # fmt: skip
        return PlateSizes(thickness, height, greatest, waist, hole, self.printed("pitch_mm"))

    def _bushing(self) -> Any:
        """Outside of the bushing; on bush chain it is what the sprocket meets."""
        roller = self.printed("greatest_roller_diameter_mm", "roller_outside_mm")
        if self._bush_chain():
            return roller
        return self.ruled(
            "bushing_outside_mm", "bushing", rules.bushing_outside,
            pin_diameter_mm=self.printed("greatest_pin_diameter_mm", "pin_diameter_mm"),
            roller_diameter_mm=roller,
        )  # fmt: skip

    def _bushing_sizes(self, outside: Any, length: Any) -> BushingSizes:
        bore = self.printed("least_bushing_bore_mm", "bushing_bore_mm")
        wall = rules.bushing_wall(outside_mm=outside, bore_mm=bore)
        self.derived |= {"bushing.bushing_wall_mm", "bushing.bushing_length_mm"}
        return BushingSizes(outside, bore, wall, length)

    def _pin(self, diameter: Any, outer_t: Any) -> PinSizes:
        self.used.add("pin_length_mm")
        length = self.drawing.get("pin_length_mm")
        if length is None:
            length = roller_chain_strength(
                chain_number=str(self.row.cells["chain_number"]), strands=self._strands()
            ).greatest_pin_length_mm
        self.derived.add("pin.rivet_projection_mm")
        head = rules.rivet_projection(
            greatest_pin_length_mm=length,
            least_outer_link_opening_mm=self.printed("least_outer_link_opening_mm"),
            plate_thickness_mm=outer_t,
            transverse_pitch_mm=self._spacing(),
            strands=self._strands(),
        )
        if float(head) < 0.0:
            raise ArgumentError("pin_length_mm", length, "mm", "as long as link and plates need")
        return PinSizes(diameter, length, head)

    def _roller(self, bushing_outside: Any) -> RollerSizes | None:
        if self._bush_chain():
            self.used |= {"roller_bore_mm", "roller_length_mm"}
            return None
        outside = self.printed("greatest_roller_diameter_mm", "roller_outside_mm")
        bore = self.ruled(
            "roller_bore_mm", "roller", rules.roller_bore, bushing_outside_mm=bushing_outside
        )
        length = self.ruled(
            "roller_length_mm", "roller", rules.roller_length,
            least_inner_width_mm=self.printed("least_inner_width_mm"),
        )  # fmt: skip
        self.derived.add("roller.roller_wall_mm")
        wall = rules.bushing_wall(outside_mm=outside, bore_mm=bore)
        return RollerSizes(outside, bore, wall, length)

    def _spacing(self) -> Any:
        """Spacing of strands; nothing for a chain that has only one."""
        if "transverse_pitch_mm" not in self.row.cells:
            return 0.0
        return self.printed("transverse_pitch_mm")

    def _strands(self) -> Any:
        """Their number, known to the derivation as what the chain number says."""
        return sourced("strands", float(self.strands), "choice", "strands of the chain ordered")

    def _bush_chain(self) -> bool:
        return bool(self.row.cells["series"] == "C")
