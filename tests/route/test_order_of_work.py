"""Nothing is heated after the proof."""

from __future__ import annotations

from typing import Any

import pytest

from linkwright.quantities import CannotPlan
from linkwright.route import MAIN, Place, Route, Stock
from linkwright.route.order_of_work import require_proof_last

HOT = {"tempering", "hydrogen_relief"}


def route(*names: str) -> Route:
    """A line of toys by name; one that stands twice is told apart by its branch."""
    places: list[Place] = []
    for position, name in enumerate(names):
        operation: Any = type(
            "Toy", (), {"name": name, "heats": name in HOT, "proves": name == "calibrating"}
        )()
        feeds = {MAIN: places[-1].key} if places else {}
        bench: Any = None
        places.append(Place(operation, f"chain{position}", bench, feeds))
    return Route(tuple(places), {places[0].key: Stock("chain", "any")})


@pytest.mark.parametrize(
    "names",
    [
        ("tempering", "calibrating", "marking"),
        ("tempering", "hydrogen_relief", "calibrating"),
        ("tempering", "calibrating", "hydrogen_relief", "calibrating"),
        ("tempering", "marking"),
    ],
    ids="-".join,
)
def test_heat_before_the_last_proof_is_let_pass(names: tuple[str, ...]) -> None:
    """Also where the proof is repeated after the heat, or where there is none at all."""
    require_proof_last(route(*names))


@pytest.mark.parametrize(
    "names",
    [
        ("tempering", "calibrating", "hydrogen_relief"),
        ("calibrating", "tempering", "marking"),
        ("calibrating", "tempering", "calibrating", "hydrogen_relief"),
    ],
    ids="-".join,
)
def test_heat_after_the_last_proof_is_refused(names: tuple[str, ...]) -> None:
    """Both places are named, and what would be accepted."""
    hot = [name for name in names if name in HOT][-1]
    with pytest.raises(CannotPlan, match=rf"{hot} heats.*calibrating has proved.*before") as error:
        require_proof_last(route(*names))
    assert error.value.exit_code == 1


def test_another_part_may_be_heated_while_one_is_proved() -> None:
    """Only metal that was proved itself counts: parts that meet later are looked at one by one."""
    line = route("calibrating", "tempering", "marking")
    first, hot, last = line.places
    alone = Place(hot.operation, hot.branch, hot.machine, {})
    require_proof_last(Route((first, alone, last), {}))
