"""Finishes of welded chain: what they add to a route and what is refused."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from linkwright.products.finishes import BRIGHT, FINISHES, require_finish, with_finish
from linkwright.quantities import CannotPlan, UnknownName
from linkwright.route import Operation
from linkwright.standards.chain_requirements import chain_standard
from linkwright.works.chains import FINISHES as NAMED
from linkwright.works.order import LineTable


def line() -> list[tuple[str, Operation]]:
    """The end of a route by name; the operations themselves are not looked at."""

    def named(called: str) -> Any:
        return type("Toy", (), {"name": called})()

    return [("chain", named(one)) for one in ("tempering", "calibrating", "marking", "inspection")]


def names(finish: str) -> list[str]:
    """Names of the operations of a route with a finish."""
    return [operation.name for _, operation in with_finish(line(), finish)]


def test_the_order_and_the_products_name_the_same_finishes() -> None:
    """The order file offers what a route can be built for, and nothing else."""
    literal = LineTable.model_fields["finish"].annotation
    assert tuple(FINISHES) == NAMED == get_args(get_args(literal)[0])


def test_bright_chain_gets_nothing_more() -> None:
    """The route as it is."""
    assert names(BRIGHT) == ["tempering", "calibrating", "marking", "inspection"]


@pytest.mark.parametrize("finish", FINISHES)
def test_nothing_of_a_finish_heats_after_the_proof(finish: str) -> None:
    """Zinc, its bake and the bath come before the calibrator."""
    made = with_finish(line(), finish)
    proof = [operation.name for _, operation in made].index("calibrating")
    assert not any(getattr(operation, "heats", False) for _, operation in made[proof:])


def test_zinc_is_baked_and_oil_comes_last() -> None:
    """Plating is followed by the bake at once; oil hides cracks, so it comes after inspection."""
    plated = names("zinc electroplated")
    assert plated[1:5] == ["blasting", "plating", "hydrogen_relief", "calibrating"]
    assert names("blasted")[-3:] == ["blasting", "inspection", "oiling"]


@pytest.mark.parametrize(
    ("standard", "grade", "size"),
    [("EN 818-2", "8", 8.0), ("EN 818-7", "T", 8.0), ("ASTM A391", "80", 10.0),
     ("ASTM A973", "100", 10.0)],
)  # fmt: skip
def test_molten_zinc_is_refused_for_grade_8_and_above(
    standard: str, grade: str, size: float
) -> None:
    """With reason, source and what would be accepted; exit code 1."""
    force = chain_standard(standard, grade).requirements(size)["breaking_force_kN"].least
    with pytest.raises(CannotPlan, match=r"400 degC.*EN 818-6.*Accepted.*zinc electroplated"):
        require_finish("hot-dip zinc", force, size)
    require_finish("zinc electroplated", force, size)


@pytest.mark.parametrize(("standard", "grade"), [("EN 818-3", "4"), ("ASTM A413", "43")])
def test_molten_zinc_is_let_pass_for_lower_grades(standard: str, grade: str) -> None:
    """Grade 4 limits silicon for the sake of the zinc bath."""
    chain = chain_standard(standard, grade)
    size = chain.sizes[3]
    require_finish("hot-dip zinc", chain.requirements(size)["breaking_force_kN"].least, size)


def test_an_unknown_finish_is_named_with_those_that_are_known() -> None:
    """Nearest names, exit code 2."""
    with pytest.raises(UnknownName, match="oiled"):
        require_finish("oild", 100.0, 8.0)
