"""From an order line to a job: every product and standard that is reached, and machines by wire."""

from __future__ import annotations

import pytest
from planned import FEW, demo, works

from linkwright.quantities import CannotPlan, InputErrors
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.planning import plan_order
from linkwright.standards.chain_requirements import CARBURISE, FURNACE, INDUCTION, NORMALISE
from linkwright.works import Line, demo_bytes, order_of_bytes, works_of_bytes


def line_of(text: str) -> Line:
    """One line of an order, named in full."""
    head = '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
    return order_of_bytes((head + text).encode()).lines[0]


def welded(standard: str, grade: str, size: str, more: str = "") -> Line:
    """A line of welded chain."""
    return line_of(
        f'product = "welded"\nstandard = "{standard}"\ngrade = "{grade}"\nsize = "{size}"\n'
        f'length = "100 m"\n{more}'
    )


@pytest.mark.parametrize(
    ("line", "treatment"),
    [
        (welded("EN 818-2", "8", "8 mm"), INDUCTION),
        (welded("EN 818-3", "4", "8 mm"), NORMALISE),
        (welded("DIN 766", "3", "8 mm"), FURNACE),
        (welded("EN 818-7", "T", "8 mm", 'chain_type = "T"'), INDUCTION),
        (welded("EN 818-7", "T", "8 mm", 'chain_type = "DT"'), CARBURISE),
    ],
    ids=lambda value: getattr(value, "standard", value),
)
def test_the_first_treatment_that_the_standard_admits_is_taken(line: Line, treatment: str) -> None:
    """The usual one first, as far as the works has its machines."""
    job = chain_job(line, works(), machines_of(line, works()))
    assert job.treatment == treatment
    assert not job.not_for_lifting
    assert job.open or line.standard == "EN 818-2"


def test_another_admitted_treatment_stands_in_where_the_works_lacks_the_usual_one() -> None:
    """Without a normalising furnace grade 4 is hardened and tempered in a furnace."""
    text = demo_bytes("works.toml").decode()
    lean = works_of_bytes(
        text.replace('operation       = "normalising"', 'operation       = "assembly"').encode()
    )
    line = welded("EN 818-3", "4", "8 mm")
    assert chain_job(line, lean, machines_of(line, lean)).treatment == FURNACE


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (welded("ISO 1704", "2", "30 mm"), "flash-butt welding"),
        (welded("DIN 22252", "C", "18 mm"), "proof_force_kN"),
        (welded("EN 818-2", "8", "22 mm"), "hot bending"),
    ],
    ids=["stud", "no proof force held", "too thick to bend cold"],
)
def test_a_chain_that_needs_what_is_not_modelled_names_it(line: Line, says: str) -> None:
    """Exit code 1, with the missing operation or number."""
    with pytest.raises(CannotPlan, match=says):
        chain_job(line, works(), machines_of(line, works()))


@pytest.mark.parametrize(
    ("line", "says"),
    [
        (
            welded("DIN 766", "3", "8.3 mm"),
            r"order\.toml:9: line\.size_mm: 8\.3 mm .*; accepted: 4",
        ),
        (line_of('product = "jack"\nsize = 99\nlength = "9 m"'), r"order\.toml:7: line\.size"),
    ],
    ids=["welded", "jack"],
)
def test_a_size_that_is_not_listed_is_told_with_its_place(line: Line, says: str) -> None:
    """Exit code 2, with what the table lists."""
    with pytest.raises(InputErrors, match=says):
        chain_job(line, works(), machines_of(line, works()))


def test_the_machine_is_the_first_that_takes_the_wire() -> None:
    """A range of wire_diameter_mm says what a machine takes; without it any wire."""
    bench = '[[machine]]\noperation = "drawing"\nname = "{}"\n{}\n'
    text = demo_bytes("works.toml").decode().partition("[[machine]]")[0]
    steel = (
        '[[steel]]\nname = "rod"\ngrade = "g"\nheat = 1\ndiameter = "9 mm"\n'
        "tensile_strength_MPa = 500\nanalysis = { C_percent = 0.2 }\n"
    )
    small = bench.format("small", "[machine.range]\nwire_diameter_mm = [1, 11]")
    made = works_of_bytes((text + small + bench.format("any", "") + steel).encode())
    names = [
        machines_of(welded("EN 818-2", "8", size), made)["drawing"].name
        for size in ("4 mm", "10 mm", "13 mm")
    ]
    assert names == ["small", "small", "any"]


def test_jack_chain_is_planned_from_its_number() -> None:
    """A plan from rod to package, never for lifting."""
    jack = 'product = "jack"\nsize = 12\nlength = "200 m"'
    head = '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
    plan = plan_order(order_of_bytes((head + jack).encode()), works(), ensemble=FEW)
    line = plan.document()["lines"][0]
    assert (line["size"], line["size_mm"], line["standard"]) == ("12", None, None)
    assert line["not_for_lifting"]
    assert line["verdict"] == "within"


def test_where_the_usual_choice_fails_the_next_that_does_not_is_planned() -> None:
    """The cheapest thin rod is too soft for DIN 766: it is tried, said, and passed over."""
    text = 'product = "welded"\nstandard = "DIN 766"\ngrade = 3\nsize = "8 mm"\nlength = "50 m"'
    head = '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
    planned = plan_order(order_of_bytes((head + text).encode()), works(), ensemble=FEW).lines[0]
    assert planned.tried[0].verdict == "outside"
    assert "least_martensite_fraction" in planned.tried[0].failing
    assert planned.plan.verdict != "outside"
    assert planned.job.rod.name == planned.tried[-1].choice.rod
    assert planned.job.treatment == planned.tried[-1].choice.treatment


def test_a_choice_that_passes_is_planned_at_once() -> None:
    """The usual choice costs no trial."""
    assert demo().lines[0].tried == ()
