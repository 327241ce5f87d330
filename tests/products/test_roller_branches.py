"""Branches of roller chain: which way bushings and rollers are made, in the demo works."""

from typing import Any

import pytest

from linkwright.processes.models.roller_strand import parts_of_strand
from linkwright.processes.strand import Strand
from linkwright.products.roller_branches import Branch, branches
from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Conditions, Place, Route, settle, walk
from linkwright.standards.reader import published_table
from linkwright.standards.roller_parts import roller_parts
from linkwright.works import demo_works

CHAINS = [str(row.cells["chain_number"]) for row in published_table("iso606_chain")]
THIN = {"24B", "28B", "32B", "40B", "48B", "56B", "64B", "72B"}
WORKS = demo_works()
MACHINES: dict[str, Any] = {}
for _machine in WORKS.machines:
    for _name in _machine.operations:
        MACHINES.setdefault(_name, _machine)
STEELS = [one for one in WORKS.steels if one.parts]


def _made(chain: str, steels: Any = STEELS, plate_work: Any = ()) -> dict[str, Branch]:
    parts: Any = roller_parts(chain)
    strand = Strand(parts, None, None, 1.0, 1000.0, 1.0, {})  # type: ignore[arg-type]
    counts = parts_of_strand(pitches=1000.0, strands=1.0)
    found = branches(strand, counts, steels, MACHINES, WORKS.aim, plate_work)
    return {branch.part: branch for branch in found}


def _settled(branch: Branch, wanted: Any) -> Any:
    """Steps of a branch up to its hardening, whose sizes are those wanted."""
    places: list[Place] = []
    work = branch.operations[:-1]
    for operation in work:
        feeds = {MAIN: places[-1].key} if places else {}
        places.append(Place(operation, branch.part, MACHINES[operation.name], feeds))
    route = Route(tuple(places), {places[0].key: branch.entering})
    conditions = Conditions({one.name: one for operation in work for one in operation.scatter}, {})
    return walk(route, settle(route, wanted, conditions, {}).set_ups, conditions)[places[-1].key]


@pytest.mark.parametrize("chain", CHAINS)
def test_bushings_and_rollers_of_every_chain_come_out_as_drawn(chain):
    """The forming step keeps every limit of the demo works."""
    parts, made = roller_parts(chain), _made(chain)
    assert ("roller" in made) == (parts.roller is not None)
    for part in ("bushing", "roller"):
        if part not in made:
            continue
        names = [f"{part}_{size}_mm" for size in ("outside", "bore", "length")]
        wanted = {name: getattr(getattr(parts, part), name) for name in names}
        step = _settled(made[part], wanted)
        assert step.stock[names[0]] == pytest.approx(float(wanted[names[0]]), rel=1e-9)
        assert step.stock[names[1]] == pytest.approx(float(wanted[names[1]]), rel=6e-3)
        assert [one.subject for one in step.findings if one.verdict == "outside"] == []


@pytest.mark.parametrize("chain", CHAINS)
def test_thick_rollers_are_extruded_and_thin_ones_curled(chain):
    made = _made(chain)
    assert [one.name for one in made["bushing"].operations] == [
        "receiving",
        "strip_slitting",
        "curling",
        "case_hardening",
    ]
    if "roller" in made:
        last = made["roller"].operations[-2].name
        assert last == ("curling" if chain in THIN else "roller_extrusion")


def test_the_store_decides_where_it_has_only_one_way():
    no_wire = [one for one in STEELS if one.form == "strip" or "pin" in one.parts]
    assert _made("16B", no_wire)["roller"].operations[-2].name == "curling"
    only_plates = [one for one in STEELS if "plate" in one.parts]
    with pytest.raises(CannotPlan):
        _made("16B", only_plates)


def test_counts_and_the_bushing_under_the_roller():
    made = _made("16B")
    assert made["bushing"].entering["pieces"] == 1000.0
    assert made["roller"].entering["pieces"] == 1000.0
    bushing = roller_parts("16B").bushing.bushing_outside_mm
    assert made["roller"].entering["bushing_outside_mm"] == bushing


def test_plates_are_peened_and_then_sized_where_the_order_says_so():
    plain, worked = _made("16B"), _made("16B", plate_work=("ball sizing", "shot peening"))
    for side in ("inner_plate", "outer_plate"):
        names = [[one.name for one in made[side].operations] for made in (plain, worked)]
        assert names[1] == [*names[0], "shot_peening", "ball_sizing"]
        scatter = {one.name for work in worked[side].operations[-2:] for one in work.scatter}
        assert all(name.split("/")[1] == side for name in scatter)


def test_every_branch_begins_at_goods_in_and_one_heat_scatters_once():
    """Plates are of one heat, bushings of another: its columns bear the first branch's name."""
    made = _made("16B")
    assert all(one.operations[0].name == "receiving" for one in made.values())
    inner, outer, bushing = (
        {source.name for source in made[part].operations[0].scatter}
        for part in ("inner_plate", "outer_plate", "bushing")
    )
    assert inner == outer
    assert not inner & bushing
    assert "heat/inner_plate/receiving/C_percent" in inner
