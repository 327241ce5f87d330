"""Ways to make pins: the order goes before the drawing, the drawing before the works."""

from __future__ import annotations

from typing import Any

import pytest

from linkwright.products.pin_ways import PIN_WORK, PinWay, cottered_end, pin_way
from linkwright.quantities import CannotPlan
from linkwright.standards.roller_parts import roller_parts
from linkwright.works import demo_works
from linkwright.works.pin_work import PAIRS

MACHINES: dict[str, Any] = {}
for _machine in demo_works().machines:
    for _name in _machine.operations:
        MACHINES.setdefault(_name, _machine)


def _without(*names: str) -> dict[str, Any]:
    return {key: one for key, one in MACHINES.items() if key not in names}


def test_the_words_of_files_are_the_words_of_products():
    assert PAIRS == PIN_WORK


def test_the_demo_works_saws_pastes_and_rivets_unless_it_is_told():
    assert pin_way((), (), MACHINES) == PinWay()
    told = pin_way(("shearing", "cotters"), (), MACHINES)
    assert told == PinWay(sheared=True, cottered=True)


def test_the_order_goes_before_the_drawing_word_by_word():
    drawn = ("shearing", "end annealing")
    assert pin_way((), drawn, MACHINES) == PinWay(sheared=True, annealed=True)
    assert pin_way(("sawing",), drawn, MACHINES) == PinWay(annealed=True)
    assert pin_way(("stop-off paste", "cotters"), drawn, MACHINES) == PinWay(
        sheared=True, cottered=True
    )


def test_the_machine_that_the_works_has_decides():
    assert pin_way((), (), _without("pin_cutting")).sheared
    assert not pin_way((), (), _without("pin_shearing")).sheared
    first = {"pin_shearing": MACHINES["pin_shearing"], **MACHINES}
    assert pin_way((), (), first).sheared


@pytest.mark.parametrize(
    ("word", "lacks"),
    [("shearing", "pin_shearing"), ("sawing", "pin_cutting"), ("end annealing", "end_annealing"),
     ("cotters", "pin_drilling"), ("cotters", "cottering")],
)  # fmt: skip
def test_what_the_works_lacks_is_named(word, lacks):
    with pytest.raises(CannotPlan, match=lacks.replace("_", " ")):
        pin_way((word,), (), _without(lacks))


def test_a_drawing_overrules_cotter_and_distances():
    parts = roller_parts("16B")
    usual = cottered_end(parts, None, MACHINES)
    drawn = cottered_end(
        parts,
        {"cotter_hole_mm": 2.0, "hole_from_end_mm": 3.0, "hole_clearance_mm": 0.5},
        MACHINES,
    )
    assert (usual.cotter.cotter_hole_mm, drawn.cotter.cotter_hole_mm) == (2.5, 2.0)
    assert drawn.projection_mm == pytest.approx(0.5 + 1.0 + 3.0)
    assert drawn.hole_from_end_mm == 3.0
