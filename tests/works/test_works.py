"""works.toml: machines, steels, shifts, tariff, factors, and what can be wrong with them."""

import pickle
from typing import get_args

import pytest

from linkwright.catalogue import Sourced, recording
from linkwright.quantities import InputErrors, Problem, UnknownName, split
from linkwright.route.operation import Machine
from linkwright.works import NumberMissing, Works, demo_bytes, demo_works, works_of_bytes
from linkwright.works.names import PURE_NUMBERS
from linkwright.works.works_file import Operation

SMALL = """[works]
name = "Quarry Lane works"

[[machine]]
operation = "drawing"
name = "bench"
[machine.range]
wire_diameter_mm = [5, 15]
[machine.held]
die_half_angle_deg = 6.0
[machine.spread]
temperature_K = 5

[[steel]]
name = "rod"
grade = "23MnNiCrMo5-2"
heat = 7
diameter = "9 mm"
tensile_strength_MPa = 585
[steel.analysis]
C_percent = 0.23
"""


def read(old: str = "", new: str = "") -> Works:
    assert old in SMALL
    return works_of_bytes(SMALL.replace(old, new, 1).encode())


def problems(old: str, new: str) -> dict[str, Problem]:
    with pytest.raises(InputErrors) as caught:
        read(old, new)
    return {problem.key or "": problem for problem in caught.value.found}


def test_demo_works_can_make_the_demo_order() -> None:
    """Every operation of the welded route has a machine; the works is labelled invented."""
    works = demo_works()
    makes = {name for name in get_args(Operation) if works.machines_for(name)}
    assert set(get_args(Operation)) - makes <= {"notching", "assembly"}
    assert works.machines_for("forming")[0].count == 12
    assert works.machines_for("welding")[0].count == 8
    assert works.invented
    assert b"made up" in demo_bytes("works.toml")[:200]


def test_demo_numbers_lie_in_the_ranges_of_their_machines() -> None:
    """A held value is one that the machine can hold."""
    for machine in demo_works().machines:
        for name, value in machine.held.items():
            low, high = machine.limits(name)
            assert low is None or low <= value
            assert high is None or value <= high


def test_demo_steels_are_rich_rich_lean_and_8620() -> None:
    """The lean heat has less nickel, chromium and molybdenum than the rich one."""
    works = demo_works()
    rich, lean = works.steel("rod 8.5"), works.steel("rod 8.5 lean")
    assert (rich.diameter_mm, works.steel("rod 9.0").diameter_mm) == (8.5, 9.0)
    for element in ("Ni_percent", "Cr_percent", "Mo_percent"):
        assert lean.analysis[element] < rich.analysis[element]
    assert works.steel("rod 8.5 8620").grade == "SAE 8620"


def test_every_number_of_the_demo_names_its_own_line() -> None:
    """The source of each number leads to a line of the file that holds its key."""
    rows = demo_bytes("works.toml").decode().splitlines()
    with recording() as book:
        for record in (*demo_works().machines, *demo_works().steels):
            for table in ("numbers", "spread", "held"):
                dict(getattr(record, table, {}))
    assert len(book.entries) > 80
    for entry in book.entries.values():
        place, _, key = entry.source.rpartition(" ")
        line = int(place.removeprefix("works.toml:").split(" ")[0])
        assert rows[line - 1].split("=")[0].strip() == key
        assert float(rows[line - 1].split("=")[1].split("#")[0]) == entry.value


def test_ranges_are_limits_with_a_source() -> None:
    """A machine gives least and greatest, or None for what is not in its ranges."""
    machine = read().machines[0]
    assert machine.limits("wire_diameter_mm") == (5.0, 15.0)
    assert machine.limits("speed_m_per_s") == (None, None)
    assert machine.range.place("wire_diameter_mm") == "works.toml:8"
    with recording() as book:
        low, _ = machine.limits("wire_diameter_mm")
    assert isinstance(low, Sourced)
    assert [entry.name for entry in book.entries.values()] == [
        "least_wire_diameter_mm",
        "greatest_wire_diameter_mm",
    ]


def test_numbers_may_be_asked_for_in_another_unit() -> None:
    """Lengths convert; deviations of temperature convert without the zero of the scale."""
    machine = read().machines[0]
    assert machine.limits("wire_diameter_in") == pytest.approx((5 / 25.4, 15 / 25.4))
    assert machine.spread["temperature_degF"] == pytest.approx(9.0)
    assert machine.spread["temperature_degC"] == 5.0
    assert "temperature_degC" in machine.spread
    assert machine.held.get("die_half_angle_mm") is None


def test_missing_number_is_told_with_its_place() -> None:
    """What an operation needs and the file does not give ends as an error of the file."""
    held = read().machines[0].held
    with pytest.raises(NumberMissing) as caught:
        held["friction_coefficient"]
    assert str(caught.value).startswith("works.toml:9: machine.held.friction_coefficient:")
    assert caught.value.exit_code == 2
    assert isinstance(caught.value, KeyError)
    again = pickle.loads(pickle.dumps(caught.value))  # noqa: S301
    assert str(again) == str(caught.value)


def test_machine_is_what_a_route_needs() -> None:
    """The record of a machine fits the protocol of the route (held by the type checker)."""
    machine: Machine = read().machines[0]
    assert (machine.name, machine.count) == ("bench", 1)
    assert machine.held["die_half_angle_deg"] == 6.0
    assert dict(read().machines[0].rate) == {}


def test_units_in_texts_move_into_the_name() -> None:
    """A free quantity may be a text; a range may be two texts."""
    machine = read("die_half_angle_deg = 6.0", 'coil_gap = "0.25 in"').machines[0]
    assert machine.held["coil_gap_mm"] == 6.35
    assert dict(machine.held) == {"coil_gap_in": 0.25}
    ranges = read("wire_diameter_mm = [5, 15]", 'wire_diameter = ["5 mm", "1.5 cm"]')
    assert ranges.machines[0].limits("wire_diameter_mm") == (5.0, 15.0)


@pytest.mark.parametrize(
    ("old", "new", "key", "words", "accepted"),
    [
        ("angle_deg", "angle_dge", "machine.held.die_half_angle_dge", "ends in 'dge'", "angle_deg"),
        ("angle_deg", "angle_rad", "machine.held.die_half_angle_rad", "'rad'", "angle_deg"),
        ("angle_deg", "angle", "machine.held.die_half_angle", "carries no unit", "mm, m, kN"),
        ("6.0", '"6.0"', "machine.held.die_half_angle_deg", "is a text", "without quotes"),
        ("6.0", "inf", "machine.held.die_half_angle_deg", "not a finite", "a number"),
        ("[5, 15]", "[15, 5]", "machine.range.wire_diameter_mm", "greater value", "[least, "),
        ("[5, 15]", "[5]", "machine.range.wire_diameter_mm", "too few", "at least 2"),
        ("[5, 15]", "5", "machine.range.wire_diameter_mm", "cannot be used", "an array"),
        ("K = 5", "K = -5", "machine.spread.temperature_K", "outside", "at least 0 K"),
        ("die_half_angle_deg = 6", "t_degC = -300", "machine.held.t_degC", "absolute zero", "-273"),
        ('"drawing"', '"drawin"', "machine.operation", 'nearest is "drawing"', "welding"),
        ("C_percent", "Cc_percent", "steel.analysis.Cc_percent", "not known", "C_percent"),
        ("C_percent = ", "C = ", "steel.analysis.C", "carries no unit", "C_percent"),
        ("0.23", "101", "steel.analysis.C_percent", "outside", ""),
        ("0.23", "0.23\nMn_percent = 60", "steel.analysis", "adds up to 60.23", "at most 50"),
        ("C_percent", "Mn_percent", "steel.analysis.C_percent", "missing", "C_percent = "),
        ('"9 mm"', '"9"', "steel.diameter", "carries no unit", 'diameter = "9 mm"'),
        ("= 585", "= 5.85", "steel.tensile_strength_MPa", "outside", "100 to 3000 MPa"),
        ("heat = 7\n", "", "steel.heat", "missing", "H-2107"),
        ("[works]", '[works]\ncurrency = "USD"', "works.currency", "not known", '"EUR"'),
        ("[machine.held]", "[machine.holds]", "machine.holds", "nearest is held", "range"),
    ],
)
def test_wrong_works_file(old: str, new: str, key: str, words: str, accepted: str) -> None:
    """The problem names the key, what is wrong, and what would be accepted."""
    problem = problems(old, new)[key]
    assert words in problem.message
    assert accepted in (problem.accepted or "")
    assert problem.line


def test_the_same_quantity_twice_in_two_units() -> None:
    """Two keys of one stem in a table of free quantities contradict each other."""
    found = problems("die_half_angle_deg = 6.0", "gap_mm = 6.0\ngap_in = 0.2")
    assert "given twice" in found["machine.held.gap_in"].message


def test_names_are_given_once() -> None:
    """Two steels of one name cannot be told apart by an order."""
    head, _, tail = SMALL.partition("[[steel]]")
    with pytest.raises(InputErrors, match="'rod' is taken"):
        works_of_bytes(f"{head}[[steel]]{tail}[[steel]]{tail}".encode())


def test_unknown_steel_offers_the_nearest() -> None:
    """An order that asks for a steel that is not in stock is told which are."""
    with pytest.raises(UnknownName, match=r"rod 8\.5"):
        demo_works().steel("rod 8.6")


def test_factor_is_found_by_name() -> None:
    """A works' own factor has median, spread and what it was learned from; others are None."""
    factor = demo_works().factor("factor/drawing/force")
    assert factor is not None
    assert (factor.median, factor.spread, factor.version) == (1.03, 0.03, 2)
    assert factor.place("median").startswith("works.toml:")
    assert demo_works().factor("nothing") is None


def test_hash_moves_with_any_number() -> None:
    """Content decides the hash, the way it is written does not."""
    first = read().content_hash()
    assert read('"9 mm"', '"0.9 cm"').content_hash() == first
    assert read("6.0", "6.1").content_hash() != first
    assert read("[5, 15]", "[5, 16]").content_hash() != first


def test_all_names_of_the_demo_split_into_stem_and_unit() -> None:
    """Every free quantity but the pure numbers carries a unit of the table."""
    names = {
        name
        for machine in demo_works().machines
        for table in (machine.range, machine.held, machine.spread, machine.rate)
        for name in table
    }
    pure = {name.rsplit("_", 1)[-1] for name in names if not split(name)[1]}
    assert pure <= PURE_NUMBERS
    assert "friction_coefficient" in names


CARD = """
[[machine]]
operation = "welding"
name = "welder"
card = [
  {{ name = "electrode_alloy", value = "CuCrZr", check = "stamp" }},
  {row},
]
"""


@pytest.mark.parametrize(
    ("row", "key", "accepted"),
    [
        ('{ name = "dress_count", value = 3000, check = "counter" }', "tolerance", "tolerance ="),
        ('{ name = "dress", value = 3, tolerance = 1, check = "c" }', "name", "unit"),
        ('{ name = "oil", value = "thin", tolerance = 1, check = "c" }', "tolerance", "words"),
        ('{ name = "electrode_alloy", value = "Cu", check = "c" }', "name", "name of its own"),
    ],
)
def test_a_row_of_a_card_that_is_wrong_is_told_with_its_place(row: str, key: str, accepted: str):
    with pytest.raises(InputErrors) as caught:
        works_of_bytes(CARD.format(row=row).encode(), "works.toml")
    told = {str(one.key).rpartition(".")[2]: one.accepted or "" for one in caught.value.found}
    assert accepted in told[key]
