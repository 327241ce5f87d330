"""Calculations: the guard of their arguments, their results, and their place in the catalogue."""

import math
import warnings
from typing import Any, NamedTuple

import numpy as np
import pytest

from linkwright.catalogue import (
    CATALOGUE,
    NOT_NEGATIVE,
    POSITIVE,
    ValidityWarning,
    Values,
    calculation,
)
from linkwright.quantities import ArgumentError


class Pull(NamedTuple):
    """Results of `pull`."""

    area_mm2: Values
    stress_MPa: Values


def _pull() -> Any:
    @calculation(
        source="Test, area of a circle",
        needs={"diameter_mm": POSITIVE, "load_kN": NOT_NEGATIVE},
        valid={"load_kN": (1.0, 100.0)},
        basis="computed",
    )
    def pull(*, load_kN: Values, diameter_mm: Values) -> Pull:
        """Stress of a round bar.

        stress = load / (pi d^2 / 4)
        """
        area = np.pi * diameter_mm**2 / 4
        return Pull(area, load_kN * 1000 / area)

    return pull


def _plain(**bounds: Any) -> Any:
    @calculation(source="Test", gives="strain", **bounds)
    def plain_strain(*, strain: Values, note: str = "", offset: Values = 0.0) -> Values:
        """The strain again."""
        return strain + offset

    return plain_strain


def test_a_calculation_stands_in_the_catalogue_with_all_that_is_said_about_it() -> None:
    """Name, text, source, basis, bounds, arguments and results are data."""
    pull = _pull()
    entry = CATALOGUE["pull"]
    assert entry.function is pull
    assert (entry.source, entry.basis) == ("Test, area of a circle", "computed")
    assert entry.gives == ("area_mm2", "stress_MPa")
    assert entry.arguments == entry.required == ("load_kN", "diameter_mm")
    assert entry.valid == {"load_kN": (1.0, 100.0)}
    assert entry.summary == "Stress of a round bar."
    assert "stress = load" in entry.description
    assert entry.room == __name__


def test_arguments_with_a_default_are_not_required() -> None:
    """The catalogue tells what must be given from what may be."""
    _plain()
    assert CATALOGUE["plain_strain"].required == ("strain",)
    assert CATALOGUE["plain_strain"].arguments == ("strain", "note", "offset")


def test_called_by_name_results_come_by_name() -> None:
    """One result or several, the caller gets a mapping."""
    _pull()
    _plain()
    pulled = CATALOGUE["pull"].call({"load_kN": 10.0, "diameter_mm": 10.0})
    assert list(pulled) == ["area_mm2", "stress_MPa"]
    assert pulled["area_mm2"] == pytest.approx(25 * math.pi)
    assert CATALOGUE["plain_strain"].call({"strain": 0.2}) == {"strain": 0.2}


def test_several_results_come_as_their_named_tuple() -> None:
    """Fields are read by name, and broadcasting reaches each of them."""
    made = _pull()(load_kN=np.array([10.0, 20.0]), diameter_mm=10.0)
    assert isinstance(made, Pull)
    assert isinstance(made.area_mm2, float)
    assert made.stress_MPa == pytest.approx(np.array([10.0, 20.0]) * 1000 / (25 * math.pi))


@pytest.mark.parametrize("value", [1, 1.0, np.float64(1), np.float32(1), np.int64(1)])
def test_a_single_number_gives_a_plain_float(value: Any) -> None:
    """Whatever kind of single number comes in, a Python float goes out."""
    assert type(_plain()(strain=value)) is float


def test_single_values_of_numpy_do_not_leave_a_calculation() -> None:
    """Functions that end in numpy's own scalars or arrays without shape give plain numbers."""

    class Mixed(NamedTuple):
        ratio: Values
        good: Values
        count: Values
        name: str

    globals()["Mixed"] = Mixed

    @calculation(source="Test")
    def numpy_scalars(*, strain: Values) -> "Mixed":
        """Each kind once."""
        return Mixed(np.where(strain > 0, 1.0, 2.0), np.bool_(True), np.int64(3), "x")

    assert [type(part) for part in numpy_scalars(strain=1.0)] == [float, bool, int, str]
    assert numpy_scalars(strain=[1.0, -1.0]).ratio.tolist() == [1.0, 2.0]


@pytest.mark.parametrize(
    "values", [[1, 2, 3], (1.0, 2, 3.0), np.array([1, 2, 3]), np.array([1, 2, 3], dtype=np.float32)]
)
def test_lists_and_whole_numbers_arrive_as_arrays_of_floats(values: Any) -> None:
    """The formula sees floats of full precision, so powers neither overflow nor refuse."""
    seen: list[Any] = []

    @calculation(source="Test", gives="power")
    def inverse_power(*, strain: Values) -> Values:
        """To the power of minus one."""
        seen.append(strain)
        return strain**-1

    assert inverse_power(strain=values) == pytest.approx([1.0, 0.5, 1 / 3])
    assert (type(seen[0]), seen[0].dtype) == (np.ndarray, np.float64)


@pytest.mark.parametrize("value", [0.0, -0.0, -1.0, [1.0, 0.0], np.array([[5.0, -2.0]])])
def test_outside_the_hard_domain_nothing_is_calculated(value: Any) -> None:
    """The error holds argument, the worst value, unit and range."""
    with pytest.raises(ArgumentError) as caught:
        _pull()(load_kN=10.0, diameter_mm=value)
    error = caught.value
    assert (error.argument, error.unit, error.accepted) == ("diameter_mm", "mm", "greater than 0")
    assert error.value == np.min(value)


@pytest.mark.parametrize(
    ("bounds", "value", "accepted"),
    [
        ((0.0, None), -1.0, "at least 0"),
        ((None, 1.0), 2.0, "at most 1"),
        ((0.0, 1.0), 2.0, "0 to 1"),
        ((0.0, 1.0), [-0.5, 0.5], "0 to 1"),
        ((POSITIVE[0], 1.0), 2.0, "greater than 0, at most 1"),
    ],
)
def test_the_accepted_range_is_said_in_words(bounds: Any, value: Any, accepted: str) -> None:
    """Open ends, both ends and the open zero each have their words."""
    with pytest.raises(ArgumentError) as caught:
        _plain(needs={"strain": bounds})(strain=value)
    assert caught.value.accepted == accepted


@pytest.mark.parametrize("value", [0.0, 1.0, [0.0, 1.0], 5e-324])
def test_the_ends_of_a_domain_belong_to_it(value: Any) -> None:
    """Bounds are closed, and the least positive float is positive."""
    _plain(needs={"strain": (0.0, 1.0)})(strain=value)
    assert POSITIVE[0] == math.nextafter(0.0, 1.0)


@pytest.mark.parametrize(
    "value",
    [
        math.nan, math.inf, -math.inf, np.float32("nan"), np.float64("inf"), [1.0, math.nan],
        np.array([math.inf]), 10**400, [10**400], [1.0, "x"],
        [[1.0, 2.0], [3.0]], [None], [{}], np.array([]), np.zeros((0, 3)),
    ],
    ids=repr,
)  # fmt: skip
def test_what_is_no_finite_number_is_an_argument_error(value: Any) -> None:
    """Infinite, missing, ragged and empty input has the same error, with no domain declared."""
    with pytest.raises(ArgumentError) as caught:
        _plain()(strain=value)
    assert caught.value.argument == "strain"


def test_a_text_for_a_quantity_with_unit_is_an_argument_error() -> None:
    """The Python interface takes numbers; texts are read at the command line."""
    with pytest.raises(ArgumentError, match="accepted: a number of mm"):
        _pull()(load_kN=1.0, diameter_mm="8 mm")


def test_names_and_missing_values_pass_to_the_function() -> None:
    """Text arguments and None are not numbers and are not checked as such."""
    plain_strain = _plain(needs={"strain": POSITIVE, "offset": NOT_NEGATIVE})
    assert plain_strain(strain=0.1, note="cold") == 0.1
    with pytest.raises(TypeError):
        plain_strain(strain=0.1, offset=None)


def test_beyond_the_source_a_result_comes_with_a_warning() -> None:
    """The warning names calculation, argument, worst value, unit and range."""
    pull = _pull()
    with pytest.warns(ValidityWarning, match=r"pull: load_kN = 150 kN is outside .* 1 kN to 100"):
        pull(load_kN=150.0, diameter_mm=10.0)
    with pytest.warns(ValidityWarning, match="load_kN = 0.5 kN"):
        pull(load_kN=[0.5, 50.0], diameter_mm=10.0)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        pull(load_kN=[1.0, 100.0], diameter_mm=10.0)


def test_the_warning_points_at_the_caller() -> None:
    """A reader of the warning sees the line that asked, not the guard."""
    pull = _pull()
    with pytest.warns(ValidityWarning) as caught:
        pull(load_kN=150.0, diameter_mm=10.0)
    assert caught[0].filename == __file__


def test_bounds_for_an_unknown_argument_are_a_mistake_of_the_program() -> None:
    """A bound that could never be checked is found when the module is imported."""
    with pytest.raises(RuntimeError, match=r"bounds for unknown arguments \['strian'\]"):
        _plain(needs={"strian": POSITIVE})


def test_a_function_must_name_its_result() -> None:
    """Neither `gives` nor a NamedTuple: the result would have no name."""
    with pytest.raises(RuntimeError, match="needs gives= or a NamedTuple"):

        @calculation(source="Test")
        def nameless(*, strain: Values) -> float:
            """Nothing."""
            return float(strain)


def test_two_rooms_cannot_use_one_name() -> None:
    """A name means one calculation, in whatever room it stands."""

    def twin(*, strain: Values) -> Values:
        """First of two."""
        return strain

    calculation(source="Test", gives="strain")(twin)
    twin.__module__ = "another.room"
    with pytest.raises(RuntimeError, match="two calculations are called twin"):
        calculation(source="Test", gives="strain")(twin)


def test_calculations_keep_their_name_and_text() -> None:
    """The guard does not hide the function from `help`."""
    pull = _pull()
    assert pull.__name__ == "pull"
    assert pull.__doc__.startswith("Stress of a round bar.")
    with pytest.raises(TypeError, match="required keyword-only argument"):
        pull(load_kN=1.0)
