"""The catalogue as a use case."""

import json
import math
import subprocess
import sys

import numpy as np
import pytest

from linkwright.quantities import ArgumentError, InputErrors, UnknownName
from linkwright.services.calculations import (
    ROOMS,
    calculate,
    calculations,
    describe,
    load_catalogue,
)
from linkwright.services.running import CannotCalculate


def test_the_list_is_by_room_and_name() -> None:
    """The order of the list does not depend on what was imported before."""
    places = [(ROOMS.index(entry.room), entry.name) for entry in calculations()]
    assert places == sorted(places)
    assert places


def test_every_calculation_is_described_with_source_and_results() -> None:
    """Each entry has a summary, a source, a basis, results and types that can be read."""
    for entry in load_catalogue():
        description = describe(entry.name)
        assert description.description, entry.name
        assert description.source, entry.name
        assert description.results, entry.name
        assert all(note.takes for note in description.arguments), entry.name


def test_one_calculation_imports_only_its_module() -> None:
    """Looking up one name leaves the modules of the others alone."""
    entry = load_catalogue()[-1]
    others = {other.room for other in load_catalogue()}
    program = (
        "import sys; from linkwright.services.calculations import find_calculation;"
        f"find_calculation({entry.name!r}); print(*sys.modules)"
    )
    ended = subprocess.run(  # noqa: S603
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    loaded = set(ended.stdout.split())
    assert entry.room in loaded
    assert not others <= loaded


@pytest.mark.usefixtures("tiny")
class TestWithTinyCalculations:
    """What a calculation hands back, on calculations of known content."""

    def test_floats_give_floats_with_source_and_basis(self) -> None:
        """Numbers in, numbers out, and what they rest on."""
        answer = calculate("tiny_pull", load="10 kN", diameter_mm=10)
        assert answer["stress_MPa"] == pytest.approx(10e3 / (math.pi * 25))
        assert isinstance(answer["stress_MPa"], float)
        assert (answer.source, answer.basis) == ("Test, area of a circle", "published")
        assert answer.warnings == ()

    def test_a_result_is_given_in_any_unit_of_its_kind(self) -> None:
        """The answer converts its results by the key."""
        answer = calculate("tiny_pull", load_kN=10, diameter_mm=10)
        assert answer["stress_psi"] == pytest.approx(answer["stress_MPa"] / 0.006894757293168)
        assert answer["stress"] == answer["stress_MPa"]
        with pytest.raises(UnknownName):
            answer["strain"]

    def test_lists_give_arrays(self) -> None:
        """A list broadcasts against a single number."""
        answer = calculate("tiny_pull", load_kN=[10, 20], diameter_mm=10)
        assert answer["stress_MPa"].shape == (2,)

    def test_what_takes_one_at_a_time_is_called_once_an_element(self) -> None:
        """A list of texts for an argument annotated str gives a list of results."""
        answer = calculate("tiny_severity", medium=["oil, still", "water, still"], times=[2, 3])
        assert answer["severity"].tolist() == [0.5, 3.0]

    def test_leaving_the_range_of_the_source_is_a_warning_of_the_answer(self) -> None:
        """The result is given, the warning is a field, nothing is printed or raised."""
        answer = calculate("tiny_pull", load_kN=200, diameter_mm=10)
        assert answer.warnings == (
            "tiny_pull: load_kN = 200 kN is outside the source's range 0 kN to 100 kN",
        )

    def test_a_value_outside_the_domain_is_an_argument_error(self) -> None:
        """The hard domain of an argument is kept by the calculation itself."""
        with pytest.raises(ArgumentError, match="greater than 0"):
            calculate("tiny_pull", load_kN=1, diameter_mm=0)

    def test_a_formula_without_a_value_says_so(self) -> None:
        """Arithmetic that fails is told in a sentence, with the exit code for 'not done'."""
        for kind in ("zero", "value"):
            with pytest.raises(CannotCalculate) as caught:
                calculate("tiny_failure", kind=kind)
            assert caught.value.exit_code == 1

    def test_a_mistake_of_the_program_is_not_hidden(self) -> None:
        """An error that no input explains stays an error of the program."""
        with pytest.raises(KeyError):
            calculate("tiny_failure", kind="key")

    def test_lists_that_do_not_fit_each_other_are_wrong_input(self) -> None:
        """Two lengths that do not broadcast are told as such."""
        with pytest.raises(InputErrors, match="lists of these lengths"):
            calculate("tiny_pull", load_kN=[1, 2, 3], diameter_mm=[1, 2])
        with pytest.raises(InputErrors, match="medium has 1, times has 2"):
            calculate("tiny_severity", medium=["oil, still"], times=[1, 2])

    def test_an_unknown_name_is_answered_with_the_nearest(self) -> None:
        """A slip in the name of a calculation names what may have been meant."""
        with pytest.raises(UnknownName, match="tiny_pull"):
            calculate("tiny_pul", load_kN=1, diameter_mm=1)

    def test_only_the_shown_results_in_the_units_asked_for(self) -> None:
        """`shown` keeps the results named and converts them; unknown ones are all told."""
        answer = calculate("tiny_pull", load_kN=10, diameter_mm=10)
        assert list(answer.shown(("stress_psi", "area")).results) == ["stress_psi", "area_mm2"]
        with pytest.raises(InputErrors) as caught:
            answer.shown(("strain", "stress_mm"))
        assert len(caught.value.found) == 2

    def test_the_answer_is_plain_data(self) -> None:
        """JSON holds numbers, null with a reason for what is not finite, and lists."""
        answer = calculate("tiny_quotient", above=[1.0, 1.0], below=[0.0, 2.0])
        data = json.loads(json.dumps(answer.to_dict(), allow_nan=False))
        assert data["results"] == {"quotient": [None, 0.5]}
        assert data["reasons"] == {"quotient": "1 of 2 values is infinite"}
        assert data["arguments"] == {"above": [1.0, 1.0], "below": [0.0, 2.0]}

    def test_the_short_form_shows_units(self) -> None:
        """The repr of an answer is one line with units."""
        answer = calculate("tiny_pull", load_kN=10, diameter_mm=10)
        assert repr(answer) == "<tiny_pull: area = 78.54 mm², stress = 127.3 MPa>"

    def test_words_are_looked_for_in_names_and_sources(self) -> None:
        """Every word has to occur, in any case."""
        assert [entry.name for entry in calculations("CIRCLE pull")] == ["tiny_pull"]
        assert calculations("circle severity") == ()

    def test_the_description_holds_units_and_ranges(self) -> None:
        """Arguments come with unit, default and bounds."""
        data = describe("tiny_pull").to_dict()
        assert data["arguments"][0] == {
            "name": "load_kN",
            "unit": "kN",
            "takes": ["numbers"],
            "required": True,
            "default": None,
            "needs": None,
            "valid": {"above": None, "least": 0.0, "greatest": 100.0},
        }
        assert data["arguments"][1]["needs"] == {"above": 0.0, "least": None, "greatest": None}
        assert data["results"][1] == {"name": "stress_MPa", "unit": "MPa"}

    def test_arrays_pass_as_they_are(self) -> None:
        """An array of the caller is taken and not changed."""
        loads = np.array([1.0, 2.0])
        calculate("tiny_pull", load_N=loads, diameter_mm=1)
        assert loads.tolist() == [1.0, 2.0]
