"""Calculations while a derivation is recorded: entries, inputs, defaults, warnings."""

import math
import warnings
from typing import Any, NamedTuple

import numpy as np
import pytest

from linkwright.catalogue import (
    POSITIVE,
    Derivation,
    Sourced,
    SourcedArray,
    ValidityWarning,
    Values,
    calculation,
    recording,
    sourced,
)
from linkwright.quantities import ArgumentError


class Pull(NamedTuple):
    """Results of `pull`."""

    area_mm2: Values
    stress_MPa: Values
    section: str


@pytest.fixture(name="pull")
def _pull() -> Any:
    @calculation(
        source="Test, area",
        needs={"diameter_mm": POSITIVE},
        valid={"load_kN": (0.0, 100.0)},
        basis="memory",
    )
    def pull(
        *, load_kN: Values, diameter_mm: Values, factor: Values = 1.0, section: str = "round"
    ) -> Pull:
        """Stress of a round bar."""
        area = np.pi * diameter_mm**2 / 4
        return Pull(area, factor * load_kN * 1000 / area, section)

    return pull


def _inputs(load_kN: float = 10.0) -> dict[str, Any]:
    return {
        "load_kN": sourced("load_kN", load_kN, "file", "order.toml:3"),
        "diameter_mm": sourced("diameter_mm", 8.0, "table", "Table 1, row 8"),
    }


def test_every_numeric_result_is_an_entry_with_its_inputs(pull: Any) -> None:
    """Each result leads to the entries of the arguments, in the order they were given."""
    with recording() as book:
        given = _inputs()
        made = pull(**given)
    entry = book.entries[made.stress_MPa.entry]
    assert (entry.name, entry.unit, entry.kind) == ("pull.stress_MPa", "MPa", "calculation")
    assert (entry.source, entry.basis, entry.value) == ("Test, area", "memory", made.stress_MPa)
    assert entry.inputs[:2] == tuple((name, value.entry) for name, value in given.items())
    assert isinstance(made.area_mm2, Sourced)
    assert made.section == "round"
    assert not any(known.kind == "bare" for known in book.entries.values())


def test_recording_does_not_change_the_numbers(pull: Any) -> None:
    """A result while recording equals the one without to the last bit."""
    plain = pull(load_kN=10.0, diameter_mm=8.0)
    with recording():
        assert pull(**_inputs()) == plain


def test_a_result_leads_down_to_files_and_tables(pull: Any) -> None:
    """From a result of a result the walk ends at lines and rows."""

    @calculation(source="Test, twice", gives="stress_MPa")
    def twice(*, stress_MPa: Values) -> Values:
        """Twice the stress."""
        return 2 * stress_MPa

    with recording() as book:
        top = twice(stress_MPa=pull(**_inputs()).stress_MPa)
    below = book.behind(top.entry)
    assert [entry.kind for entry in below[:2]] == ["calculation", "calculation"]
    assert {entry.source for entry in below if not entry.inputs} == {
        "order.toml:3", "Table 1, row 8", "Test, area",
    }  # fmt: skip


def test_defaults_are_recorded_as_what_they_are(pull: Any) -> None:
    """A default number that was used is an entry of its own; a default name is not a number."""
    with recording() as book:
        made = pull(**_inputs())
    used = dict(book.entries[made.stress_MPa.entry].inputs)
    entry = book.entries[used["factor"]]
    assert (entry.kind, entry.value, entry.source) == ("default", 1.0, "Test, area")
    assert "section" not in used


def test_a_default_that_was_replaced_is_not_recorded(pull: Any) -> None:
    """What was given counts, not what would have been taken."""
    with recording() as book:
        made = pull(**_inputs(), factor=sourced("factor", 2.0, "file", "works.toml:9"))
    used = dict(book.entries[made.stress_MPa.entry].inputs)
    assert book.entries[used["factor"]].source == "works.toml:9"
    assert not any(entry.kind == "default" for entry in book.entries.values())


def test_a_bare_number_gives_an_entry_of_kind_bare(pull: Any) -> None:
    """Arithmetic between calculations is found in the derivation."""
    with recording() as book:
        given = _inputs()
        given["load_kN"] = given["load_kN"] / 2
        made = pull(**given)
    used = dict(book.entries[made.stress_MPa.entry].inputs)
    assert book.entries[used["load_kN"]].kind == "bare"
    assert book.entries[used["load_kN"]].value == 5.0


def test_a_name_that_was_given_is_a_choice(pull: Any) -> None:
    """Text arguments stand in the derivation without counting as lost."""
    with recording() as book:
        made = pull(**_inputs(), section="square_mm")
    used = dict(book.entries[made.stress_MPa.entry].inputs)
    entry = book.entries[used["section"]]
    assert (entry.kind, entry.value, entry.unit) == ("choice", "square_mm", "")


def test_arrays_carry_their_entry_until_something_is_done_to_them(pull: Any) -> None:
    """A result that is an array leads to its source; any operation on it does not."""
    with recording() as book:
        given = _inputs()
        given["load_kN"] = sourced("load_kN", np.array([10.0, 20.0]), "file", "order.toml:3")
        made = pull(**given)
        assert isinstance(made.stress_MPa, SourcedArray)
        assert made.stress_MPa.entry in book.entries
        assert (made.stress_MPa * 2).entry is None
        again = pull(load_kN=made.stress_MPa, diameter_mm=given["diameter_mm"])
    assert dict(book.entries[again.stress_MPa.entry].inputs)["load_kN"] == made.stress_MPa.entry


def _run(pull: Any) -> Derivation:
    with recording() as book:
        for step in ("bar/pulling", "bar/pulling again"):
            book.step = step
            pull(**_inputs())
            pull(**_inputs(20.0))
    return book


def test_two_runs_give_the_same_ids_and_entries(pull: Any) -> None:
    """Nothing of time, memory or order of hashing is in a derivation."""
    first, second = _run(pull), _run(pull)
    assert list(first.entries) == list(second.entries)
    assert list(first.entries.values()) == list(second.entries.values())
    assert "bar/pulling/pull.stress_MPa#2" in first.entries


def test_every_input_is_an_entry_made_before(pull: Any) -> None:
    """The derivation is an acyclic graph in order of making."""
    book = _run(pull)
    seen: set[str] = set()
    for ident, entry in book.entries.items():
        assert ident == entry.id
        assert {known for _, known in entry.inputs} <= seen
        seen.add(ident)


def test_inside_a_recording_the_warning_stands_in_the_entry(pull: Any) -> None:
    """What lies beyond the source travels with the number instead of being printed."""
    with recording() as book, warnings.catch_warnings():
        warnings.simplefilter("error")
        made = pull(**_inputs(150.0))
    (text,) = book.entries[made.stress_MPa.entry].warnings
    assert text == "load_kN = 150 kN is outside the source's range 0 kN to 100 kN"
    assert book.entries[made.area_mm2.entry].warnings == (text,)


def test_a_calculation_inside_another_hands_its_warning_up(pull: Any) -> None:
    """One entry for the outer result; the inner one leaves only what is beyond its source."""

    @calculation(source="Test, search", gives="stress_MPa")
    def searched(*, load_kN: Values) -> Values:
        """Try several loads, as a solver does."""
        return max(pull(load_kN=load_kN * k, diameter_mm=8.0).stress_MPa for k in (1.0, 1.1, 1.2))

    with recording() as book:
        made = searched(load_kN=sourced("load_kN", 95.0, "file", "order.toml:3"))
    names = [entry.name for entry in book.entries.values()]
    assert names == ["load_kN", "searched.stress_MPa"]
    (text,) = book.entries[made.entry].warnings
    assert text.startswith("pull: load_kN = 104.5 kN is outside")
    with pytest.warns(ValidityWarning) as caught:
        searched(load_kN=95.0)
    said = [str(item.message).partition(" is outside")[0] for item in caught]
    assert said == ["pull: load_kN = 104.5 kN", "pull: load_kN = 114 kN"]


def test_other_warnings_inside_a_recorded_calculation_are_not_swallowed() -> None:
    """Only validity warnings go into the entry."""

    @calculation(source="Test, warns", gives="strain")
    def warned(*, strain: Values) -> Values:
        """Warn of something else."""
        warnings.warn("something else", RuntimeWarning, stacklevel=1)
        return strain

    with recording(), pytest.warns(RuntimeWarning, match="something else"):
        warned(strain=sourced("strain", 0.1, "file", "order.toml:3"))


def test_a_refused_argument_leaves_no_entry_of_a_result(pull: Any) -> None:
    """An error while recording is the same error, and recording goes on."""
    with recording() as book:
        given = _inputs()
        given["diameter_mm"] = -8.0
        with pytest.raises(ArgumentError):
            pull(**given)
        assert not any(entry.kind == "calculation" for entry in book.entries.values())
        made = pull(**_inputs())
        assert made.stress_MPa == pytest.approx(10e3 / (math.pi * 16))
        assert made.stress_MPa.entry in book.entries
