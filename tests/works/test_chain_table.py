"""A works' own table of a chain: read, checked, named by an order, planned like a standard."""

from __future__ import annotations

from pathlib import Path

import pytest
from planned import FEW, works

from linkwright.catalogue import recording
from linkwright.quantities import ArgumentError, InputErrors
from linkwright.services.planning import plan_order
from linkwright.standards.own_chain import own_chain_standard
from linkwright.works.chain_table import chain_table_of_bytes, read_chain_table
from linkwright.works.order import read_order

FILE = Path(__file__).with_name("own_chain.toml")
LINE = 'product = "welded"\ntable = "own_chain.toml"\nsize = "8 mm"\nlength = "100 m"\n'


def ordered(folder: Path, line: str = LINE, table: bool = True) -> Path:
    """An order in a folder, with the table beside it."""
    order = folder / "order.toml"
    head = '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
    order.write_text(head + line, encoding="utf-8")
    if table:
        (folder / "own_chain.toml").write_bytes(FILE.read_bytes())
    return order


def test_every_number_knows_its_line() -> None:
    """Requirements, limits of the steel and the least temper open to a line of the file."""
    chain = own_chain_standard(read_chain_table(FILE), FILE.name)
    with recording():
        needs = chain.requirements(8.0)
        force = needs["breaking_force_kN"].least
    assert needs["breaking_force_kN"].source.startswith("own_chain.toml:25 [[size]]")
    assert getattr(force, "entry", None)
    assert needs["pitch_mm"].nominal == 24.0
    assert chain.heat_treatment()["tempering_temperature_degC"].least == 400.0
    assert chain.lot()["lot_length_m"].greatest == 150.0
    assert [one.element for one in chain.unmet_material_limits({"Ni": 0.3, "P": 0.01})] == ["Ni"]
    assert chain.not_for_lifting
    assert chain.sizes == (8.0, 9.0)


def test_a_size_that_the_table_does_not_list_is_told_with_those_it_does() -> None:
    """As with a printed standard."""
    chain = own_chain_standard(read_chain_table(FILE), FILE.name)
    with pytest.raises(ArgumentError, match="8, 9 mm"):
        chain.requirements(8.5)


def test_an_order_plans_by_the_table(tmp_path: Path) -> None:
    """The forces and sizes of the file decide; name and grade come from it."""
    order = read_order(ordered(tmp_path))
    line = order.lines[0]
    assert (line.standard, line.grade) == ("Quarry bucket chain", "Q7")
    planned = plan_order(order, works(), ensemble=FEW).lines[0].plan
    found = planned.steps["chain/inspection"].finding("breaking_force_kN")
    assert found.least == 75.0
    assert found.verdict == "within"
    assert planned.settled.set_ups["chain/marking"]["grade_mark"] == "Q7"
    assert all(entry.kind != "bare" for entry in planned.derivation.entries.values())


def test_the_table_enters_the_hash_of_the_order(tmp_path: Path) -> None:
    """Another force is another order."""
    before = read_order(ordered(tmp_path)).content_hash()
    table = tmp_path / "own_chain.toml"
    table.write_text(table.read_text().replace("75.0", "76.0"))
    assert read_order(tmp_path / "order.toml").content_hash() != before


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (LINE.replace("own_chain", "lost"), r"order\.toml:7: line\.table: .*no file lost\.toml"),
        (LINE.replace("own_chain", "../own_chain"), r"order\.toml:7: .*not the name of a file"),
        (LINE + 'standard = "EN 818-2"\n', r"order\.toml:10: .*stands in the table already"),
        (LINE.replace("welded", "jack").replace('"8 mm"', "12"), r"belongs to welded chain"),
    ],
    ids=["no file", "another folder", "standard too", "jack chain"],
)
def test_a_wrong_table_is_told_with_its_place(tmp_path: Path, line: str, says: str) -> None:
    """File, line and key, exit code 2."""
    with pytest.raises(InputErrors, match=says) as error:
        read_order(ordered(tmp_path, line))
    assert error.value.exit_code == 2


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("least_pitch_mm = 23.3", "least_pitch_mm = 25.3", r":19: size\.least_pitch_mm"),
        ("least_proof_force_kN = 44.0", "least_proof_force_kN = 80.0", r":24: .*above"),
        ("tempering_time_h = 1.0\n", "", r"tempering_time_h: is missing"),
        ('element = "Ni"', 'element = "Xx"', r":36: limit\.element"),
        ("least_percent = 0.4\n", "", r"has no limit"),
        ("nominal_diameter_mm = 9.0", "nominal_diameter_mm = -9.0", r":30: .*nominal_diameter_mm"),
        ('"induction harden and temper"', '"forge"', r"routes"),
        ("pitch_mm = 27.0\n", "", r":29: size\.pitch_mm: is missing"),
        ("pitch_mm = 27.0", 'pitch = "27 kg"', r":31: "),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_table_is_told_with_its_place(old: str, new: str, says: str) -> None:
    """File, line and key, and what would be accepted."""
    text = FILE.read_text(encoding="utf-8")
    assert old in text
    with pytest.raises(InputErrors, match=says):
        chain_table_of_bytes(text.replace(old, new, 1).encode())
