"""Drawings of roller chain parts: read, checked, and put before standard and rule."""

import pytest

from linkwright.catalogue import recording
from linkwright.quantities import InputErrors
from linkwright.standards.roller_parts import COTTER_SIZES, roller_part_sizes, roller_parts
from linkwright.works.part_drawings import DrawingTable, part_drawings_of_bytes

DRAWING = """
[[drawing]]
chain_number = "16B"
source = "invented drawing 31, rev B"
inner_plate_thickness = "4.1 mm"
pin_diameter_mm = 8.27
inner_hole_diameter_mm = 11.25

[[drawing]]
chain_number = "08B"
source = "invented drawing 12"
bushing_outside_mm = 6.1
"""


def _read(text=DRAWING):
    return part_drawings_of_bytes(text.encode())


def test_sizes_of_a_drawing_go_before_standard_and_rule():
    drawing = _read().of("ISO 606 16B-2")
    with recording() as book:
        parts = roller_parts("16B-2", drawing=drawing)
    assert parts.inner_plate.plate_thickness_mm == 4.1
    assert parts.pin.pin_diameter_mm == 8.27
    assert parts.inner_plate.hole_diameter_mm == 11.25
    entry = book.entries[parts.inner_plate.plate_thickness_mm.entry]
    assert entry.source.startswith("part_drawings.toml:5 [[drawing]]")
    assert "inner_plate.plate_thickness_mm" not in parts.derived
    assert [one.id for one in book.entries.values() if one.kind == "bare"] == []


def test_a_chain_without_a_drawing_has_none():
    assert _read().of("20B") is None


def test_every_size_of_a_drawing_is_one_that_parts_have():
    """A key that `roller_parts` would refuse must not stand in the file's model."""
    words = {"chain_number", "source", "carbonitrided", "pin_work"}
    sizes = set(DrawingTable.model_fields) - words
    assert sizes > COTTER_SIZES
    sizes -= COTTER_SIZES
    flat = roller_part_sizes(chain_number="16B")
    parts = roller_parts("16B", drawing={name: float(getattr(flat, name)) for name in sizes})
    assert parts.roller is not None
    # what follows from other sizes stays derived
    assert parts.derived == {
        "bushing.bushing_wall_mm", "bushing.bushing_length_mm", "pin.rivet_projection_mm",
        "roller.roller_wall_mm",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"16B"', '"sixteen"', "is no chain number"),
        ("pin_diameter_mm = 8.27", "pin_diameter_mm = 8.27\nbushing_bore_mm = 8.2", "not below"),
        ('"08B"', '"16B-1"', "stands twice"),
        ("pin_diameter_mm", "pin_diametre_mm", "pin_diameter"),
    ],
)
def test_mistakes_are_told_with_their_line(old, new, told):
    with pytest.raises(InputErrors) as raised:
        _read(DRAWING.replace(old, new))
    text = str(raised.value)
    assert told in text
    assert "part_drawings.toml:" in text


def test_a_drawing_says_how_pins_are_made():
    """Words, and the sizes that only a cottered pin has, which know their lines."""
    text = (
        'format = 1\n[[drawing]]\nchain_number = "16B"\nsource = "drawing 7"\n'
        'pin_work = ["shearing", "cotters"]\ncotter_hole_mm = 2.5\nhole_from_end_mm = 4.0\n'
    )
    drawings = part_drawings_of_bytes(text.encode(), "part_drawings.toml")
    assert drawings.pin_work("16B-2") == ("shearing", "cotters")
    assert drawings.pin_work("20B") == ()
    sizes = drawings.of("16B")
    assert sizes is not None
    assert sizes["hole_from_end_mm"] == 4.0
    both = text.replace('"shearing"', '"shearing", "sawing"')
    with pytest.raises(InputErrors, match="exclude each other"):
        part_drawings_of_bytes(both.encode(), "part_drawings.toml")
