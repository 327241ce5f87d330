"""The error tree: shape, exit codes, pickling, sentences, nearest names."""

import copy
import inspect
import json
import pickle

import pytest

from linkwright.quantities import (
    ArgumentError,
    CannotPlan,
    InputErrors,
    LinkwrightError,
    Problem,
    QuantityError,
    UnknownName,
    errors,
    nearest,
)

ONE_OF_EACH = [
    LinkwrightError("it went wrong"),
    ArgumentError("wire_diameter_mm", -8.0, "mm", "greater than 0"),
    ArgumentError("strain", "many", "", "a number", "is not a number"),
    UnknownName("medium", "watr", iter(["water", "oil", "brine"])),
    QuantityError("8,5 mm", "a number with a point"),
    InputErrors([Problem("value", "is wrong", "order.toml", 7, "line.size", "8 mm")]),
    CannotPlan("no steel of the store reaches the strength"),
]
IDS = [f"{type(error).__name__}-{count}" for count, error in enumerate(ONE_OF_EACH)]


def test_every_error_is_tried_here() -> None:
    """No class of the tree is left out of the tests below."""
    classes = {
        known
        for _, known in inspect.getmembers(errors, inspect.isclass)
        if issubclass(known, LinkwrightError)
    }
    assert classes == {type(error) for error in ONE_OF_EACH}


@pytest.mark.parametrize("error", ONE_OF_EACH, ids=IDS)
def test_an_error_is_a_value_error_with_an_exit_code(error: LinkwrightError) -> None:
    """Callers who know only `ValueError` catch it; wrong input ends with 2, the rest with 1."""
    assert isinstance(error, ValueError)
    assert error.exit_code == (1 if isinstance(error, CannotPlan) else 2)


@pytest.mark.parametrize("error", ONE_OF_EACH, ids=IDS)
def test_an_error_survives_pickling_and_copying(error: LinkwrightError) -> None:
    """It comes back from another process with all that it holds."""
    for back in (pickle.loads(pickle.dumps(error)), copy.copy(error)):  # noqa: S301
        assert type(back) is type(error)
        assert str(back) == str(error)
        assert vars(back) == vars(error)
        assert back.problems() == error.problems()


@pytest.mark.parametrize("error", ONE_OF_EACH, ids=IDS)
def test_every_error_has_the_common_shape(error: LinkwrightError) -> None:
    """Problems are plain data with the same keys in the same order."""
    for problem in error.problems():
        assert list(problem) == ["code", "message", "file", "line", "key", "accepted"]
        assert problem["code"]
        assert problem["message"]
        assert json.loads(json.dumps(problem)) == problem


def test_an_argument_error_holds_argument_value_unit_and_range() -> None:
    """What a program needs to point at the field is there as data and in the sentence."""
    error = ArgumentError("wire_diameter_mm", -8.0, "mm", "greater than 0")
    assert (error.argument, error.value, error.unit) == ("wire_diameter_mm", -8.0, "mm")
    assert error.accepted == "greater than 0"
    for part in ("wire_diameter_mm = -8.0 mm", "greater than 0"):
        assert part in str(error)
    assert error.problems()[0]["key"] == "wire_diameter_mm"


def test_an_unknown_name_offers_the_nearest() -> None:
    """The nearest known names stand in the answer, all of them are kept."""
    error = UnknownName("medium", "watr", ["oil", "water", "oil"])
    assert error.accepted == "water"
    assert error.known == ("oil", "water")
    assert UnknownName("medium", "xyz", ["oil", "water"]).accepted == "oil; water"


@pytest.mark.parametrize(
    "value", ["x" * 10**6, 10**5000, [1.0] * 10**4], ids=["text", "number", "list"]
)
def test_a_value_of_any_length_gives_a_short_sentence(value: object) -> None:
    """The value is kept whole, the sentence shows its beginning or says that it is long."""
    error = ArgumentError("strain", value, "", "a number")
    assert error.value is value
    assert len(str(error)) < 200
    assert len(str(QuantityError("x" * 10**6, "a number"))) < 200


def test_all_problems_of_a_file_are_told_at_once() -> None:
    """One sentence a problem, each with file, line, key and what would be accepted."""
    error = InputErrors(
        [
            Problem("value", "is negative", "order.toml", 7, "line.size", "more than 0 mm"),
            Problem("missing-key", "has no number"),
        ]
    )
    assert str(error).splitlines() == [
        "order.toml:7: line.size: is negative; accepted: more than 0 mm",
        "has no number",
    ]
    assert len(error.problems()) == 2


def test_nearest_names_come_best_first_and_never_far() -> None:
    """Nothing is offered for a word that looks like none of the list."""
    known = ["drawing_speed", "drawing_stress", "quench_delay"]
    assert nearest("drawing_sped", known)[0] == "drawing_speed"
    assert nearest("zzz", known) == []
    assert len(nearest("drawing", [f"drawing{i}" for i in range(9)], count=2)) == 2
