"""Welded chain: which chains are planned, of which rod, and what a lot must show."""

from __future__ import annotations

import itertools
import re

import planned
import pytest
from planned import FEW, demo, finding, order, works

from linkwright.products.welded import ChainJob
from linkwright.quantities import CannotPlan, InputErrors, LinkwrightError
from linkwright.services.planning import OrderPlan, plan_order
from linkwright.standards import en818_2

STEEL = 'steel    = "rod 8.5"\n'


def job() -> ChainJob:
    """The job of the demo line."""
    return demo().lines[0].job


def planned_with(*replaced: tuple[str, str], **more: str) -> OrderPlan:
    """The demo order with texts replaced, few lots."""
    return plan_order(order(*replaced, **more), works(), ensemble=FEW)


def test_the_route_is_a_line_from_rod_to_inspection() -> None:
    """Each place is fed by the one before; only the first is fed from the store."""
    places = job().route.places
    assert [place.key for place in places] == [
        "wire/receiving", "wire/drawing", "wire/straightening", "wire/cutting", "wire/forming",
        "chain/welding", "chain/hardening", "chain/quenching", "chain/tempering",
        "chain/calibrating", "chain/marking", "chain/inspection", "chain/packing",
    ]  # fmt: skip
    assert not places[0].feeds
    for before, place in itertools.pairwise(places):
        assert dict(place.feeds) == {"main": before.key}
    assert list(job().route.entering) == ["wire/receiving"]


def test_forms_follow_each_other() -> None:
    """Rod, wire, piece, open link, closed link, chain: never back."""
    order_of_forms = ["rod", "wire", "piece", "open link", "closed link", "chain"]
    forms = [step.stock.form for step in demo().lines[0].plan.steps.values()]
    ranks = [order_of_forms.index(form) for form in forms]
    assert ranks == sorted(ranks)
    assert set(forms) == set(order_of_forms)


@pytest.mark.parametrize(
    ("subject", "standard"),
    [
        ("breaking_force_kN", "breaking_force_kN"),
        ("bearable_force_kN", "proof_force_kN"),
        ("total_elongation_percent", "total_elongation_percent"),
        ("pitch_mm", "pitch_mm"),
        ("material_diameter_mm", "material_diameter_mm"),
        ("inner_width_mm", "inner_width_mm"),
        ("outer_width_mm", "outer_width_mm"),
        ("weld_diameter_mm", "weld_diameter_mm"),
    ],
)
def test_a_requirement_has_the_limits_and_clause_of_the_standard(
    subject: str, standard: str
) -> None:
    """What decides a lot is the standard's, not ours."""
    need = next(one for one in job().requirements if one.subject == subject)
    row = en818_2.requirements(8.0)[standard]
    assert (need.least, need.greatest, need.source) == (row.least, row.greatest, row.source)
    assert need.source.startswith("EN 818-2")
    assert float(need.pieces) >= 1
    assert need.how


def test_a_finding_of_the_inspection_has_the_same_limits_as_the_requirement() -> None:
    """The verdict of the nominal value and the chance speak of one limit."""
    step = demo().lines[0].plan.steps["chain/inspection"]
    for need in job().requirements:
        found = step.finding(need.subject)
        assert (found.least, found.greatest) == (need.least, need.greatest)


def test_every_link_of_a_lot_bears_the_proof_force() -> None:
    """The manufacturing proof force is on every link: as many pieces as links in the lot."""
    need = next(one for one in job().requirements if one.subject == "bearable_force_kN")
    assert float(need.pieces) == pytest.approx(200.0 / 0.024, abs=1)


def test_the_metal_of_order_and_test_pieces_is_enough() -> None:
    """Links times pitch is the length with its share for tests; mass is that of the wire."""
    entering = job().route.entering["wire/receiving"]
    assert float(entering["length_m"]) == pytest.approx(300.0 * 1.02)
    assert float(entering["links"]) * 0.024 >= float(entering["length_m"]) - 1e-9
    cut = finding(demo(), "cutting", "cut_length_mm")
    wire = float(entering["wire_length_m"])
    assert wire == pytest.approx(float(entering["links"]) * cut / 1e3, rel=0.03)


def test_without_a_steel_the_thinnest_rod_that_fits_is_taken() -> None:
    """Of the rods that can be drawn, the one that needs least drawing; of equals the cheapest."""
    free = planned_with((STEEL, "")).lines[0]
    assert free.tried[0].choice.rod == "rod 8.5 8620"  # the cheapest, which fails
    assert free.job.rod.name == "rod 8.5"
    dear = works(("price_EUR_per_kg     = 1.22", "price_EUR_per_kg     = 1.52"))
    at_once = plan_order(order((STEEL, "")), dear, ensemble=FEW).lines[0]
    assert (at_once.job.rod.name, at_once.tried) == ("rod 8.5", ())


def test_a_named_rod_is_taken() -> None:
    """The order's choice stands; a thicker rod is drawn farther."""
    thick = planned_with(('"rod 8.5"', '"rod 9.0"'))
    assert thick.lines[0].job.rod.name == "rod 9.0"
    assert finding(thick, "drawing", "reduction") > finding(demo(), "drawing", "reduction")


def test_a_lean_steel_is_refused_element_by_element() -> None:
    """Every element that misses its limit is named with value, limit and clause; exit code 1."""
    with pytest.raises(CannotPlan) as refused:
        planned_with(('"rod 8.5"', '"rod 8.5 lean"'))
    text = str(refused.value)
    assert refused.value.exit_code == 1
    for part in (
        "rod 8.5 lean (heat H-1988)",
        "Ni 0.28 %, at least 0.4 % asked",
        "Cr 0.26 %, at least",
        "Mo 0.08 %, at least",
        "EN 818-2:1996+A1:2008, 5.3.1",
    ):
        assert part in text


def test_too_much_phosphorus_is_refused() -> None:
    """A greatest limit works as a least one does."""
    dirty = works(("P_percent  = 0.012", "P_percent  = 0.035"))
    with pytest.raises(CannotPlan, match=r"P 0\.035 %, at most 0\.025 % asked"):
        plan_order(order(), dirty, ensemble=FEW)


@pytest.mark.parametrize(
    ("replaced", "error", "code", "says"),
    [
        ([('"8 mm"', '"26 mm"')], CannotPlan, 1, "hot bending, flash-butt welding"),
        ([('"8 mm"', '"16 mm"')], CannotPlan, 1, "no rod in stock is thick enough"),
        ([('"8 mm"', '"8.3 mm"')], InputErrors, 2, "8.3 mm is not listed in EN 818-2"),
        ([('"EN 818-2"', '"EN 818-22"')], InputErrors, 2, 'nearest is "EN 818-2"'),
        ([('"rod 8.5"', '"rod 8,5"')], LinkwrightError, 2, "rod 8.5"),
        ([('"EN 818-2"', '"EN 818-7"'), ("= 8\n", '= "T"\nchain_type = "DT"\n')], CannotPlan, 1,
         "EN 818-7"),
    ],
)  # fmt: skip
def test_what_cannot_be_planned_says_why(
    replaced: list[tuple[str, str]], error: type[LinkwrightError], code: int, says: str
) -> None:
    """Missing operation, missing rod, unknown size, unknown names."""
    with pytest.raises(error, match=re.escape(says)) as refused:
        planned_with(*replaced)
    assert refused.value.exit_code == code


WELDED = 'product  = "welded"\nstandard = "EN 818-2"\ngrade    = 8\nsize     = "8 mm"\n'


@pytest.mark.parametrize(
    ("replaced", "says"),
    [
        (((WELDED, 'working_load = "2 t"\nlegs = 1\n'), (STEEL, "")),
         "lifting duty cannot be planned yet"),
    ],
)  # fmt: skip
def test_other_lines_are_named_and_refused(
    replaced: tuple[tuple[str, str], ...], says: str
) -> None:
    """A lifting duty ends with exit code 1 and its name."""
    with pytest.raises(CannotPlan, match=says) as refused:
        planned_with(*replaced)
    assert refused.value.exit_code == 1


def test_a_works_without_a_machine_is_told_which() -> None:
    """The operation that no machine does is named."""
    without = works(('operation       = "marking"', 'operation       = "assembly"'))
    with pytest.raises(CannotPlan, match="no machine for marking"):
        plan_order(order(), without, ensemble=FEW)


def test_a_number_that_the_works_lacks_is_told_with_its_table() -> None:
    """File, line and key of what is missing."""
    without = works(("proof_margin_percent   = 1.0\n", ""))
    with pytest.raises(InputErrors, match=r"machine\.held\.proof_margin_percent") as error:
        plan_order(order(), without, ensemble=FEW)
    (problem,) = error.value.found
    assert (problem.file, problem.code) == ("works.toml", "missing")
    assert problem.line is not None


@pytest.mark.parametrize("size", ["6 mm", "7 mm"])
def test_other_sizes_plan_too(size: str) -> None:
    """The standard's limits of that size decide, and the pitch is three diameters."""
    plan = planned_with((STEEL, ""), ('"8 mm"', f'"{size}"'))
    nominal = float(size.removesuffix(" mm"))
    pitch = finding(plan, "inspection", "pitch_mm")
    assert pitch == pytest.approx(en818_2.requirements(nominal)["pitch_mm"].nominal, rel=1e-5)
    least = en818_2.requirements(nominal)["breaking_force_kN"].least
    assert finding(plan, "inspection", "breaking_force_kN") > least


def test_two_lines_are_planned_one_by_one() -> None:
    """Each line has its own plan; the same line twice gives the same plan."""
    second = '\n[[line]]\nid = "2"\nproduct = "welded"\nstandard = "EN 818-2"\nsize = "8 mm"\n'
    second += 'length = "300 m"\nsteel = "rod 8.5"\n'
    both = plan_order(planned.order_and(second), works(), ensemble=FEW)
    assert [one.line.id for one in both.lines] == ["1", "2"]
    first, other = both.document()["lines"]
    assert first["steps"][1]["settings"] == [
        {**one, "entry": mine["entry"]}
        for one, mine in zip(other["steps"][1]["settings"], first["steps"][1]["settings"],
                             strict=True)
    ]  # fmt: skip
    assert first["chance"] == other["chance"]
