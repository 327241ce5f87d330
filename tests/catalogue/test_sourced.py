"""Numbers that know where they come from, and the derivation that keeps them."""

import copy
import operator
import pickle
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest

from linkwright.catalogue import (
    Derivation,
    Sourced,
    SourcedArray,
    active,
    not_recording,
    recording,
    solved,
    sourced,
)
from linkwright.catalogue.sourced import reference


def test_outside_a_recording_values_stay_as_they_are() -> None:
    """An ensemble gets the very same objects back."""
    numbers = np.arange(3.0)
    assert sourced("wire_diameter_mm", numbers, "table", "a table") is numbers
    assert solved("die_diameter_mm", 8.0, "for the wire") == 8.0
    assert type(solved("die_diameter_mm", 8.0, "for the wire")) is float
    assert active() is None


def test_a_sourced_value_is_an_entry_with_name_unit_kind_source_and_basis() -> None:
    """Reading a value while recording writes down where it stands."""
    with recording() as book:
        size = sourced("wire_diameter_mm", 8.12, "file", "order.toml:7", "measured")
    (entry,) = book.entries.values()
    assert isinstance(size, Sourced)
    assert (size, size.entry) == (8.12, entry.id)
    assert (entry.name, entry.value, entry.unit) == ("wire_diameter_mm", 8.12, "mm")
    assert (entry.kind, entry.source, entry.basis) == ("file", "order.toml:7", "measured")
    assert entry.inputs == ()


def test_the_same_row_read_twice_is_one_entry() -> None:
    """However often a row is read, the derivation holds it once."""
    with recording() as book:
        first = sourced("factor", 4.0, "table", "Table 3, row 8")
        again = sourced("factor", 4.0, "table", "Table 3, row 8")
        sourced("factor", 4.0, "table", "Table 3, row 9")
    assert first.entry == again.entry
    assert len(book.entries) == 2


def test_two_values_of_one_row_are_two_entries() -> None:
    """A value read between two rows of a table is not mistaken for another one."""
    with recording() as book:
        values = [sourced("share", value, "table", "Table 1") for value in (0.2, 0.3, 0.2)]
    assert [book.entries[value.entry].value for value in values] == [0.2, 0.3, 0.2]
    assert values[0].entry == values[2].entry
    assert len(book.entries) == 2


def test_arrays_of_one_row_are_told_apart_by_their_values() -> None:
    """Equal arrays are one entry, other arrays another."""
    with recording() as book:
        one = sourced("K_MPa", np.array([1.0, 2.0]), "table", "Table 2")
        same = sourced("K_MPa", np.array([1.0, 2.0]), "table", "Table 2")
        other = sourced("K_MPa", np.array([1.0, 3.0]), "table", "Table 2")
    assert one.entry == same.entry != other.entry
    assert len(book.entries) == 2


def test_a_missing_value_read_twice_is_one_entry() -> None:
    """What is not a number equals itself here, alone and in an array."""
    nan = float("nan")
    with recording() as book:
        for value in (nan, float("nan"), np.array([nan]), np.array([nan])):
            sourced("K_MPa", value, "table", "Table 2")
    assert len(book.entries) == 2


@pytest.mark.parametrize("value", ["23MnNiMoCr5-4", None, True])
def test_what_is_not_a_number_is_noted_and_handed_back(value: object) -> None:
    """A name or a truth value of a file keeps its type."""
    with recording() as book:
        assert sourced("steel", value, "file", "works.toml:3") is value
    assert [entry.value for entry in book.entries.values()] == [value]


ARITHMETIC: list[Callable[[Any], Any]] = [
    lambda x: x + 1,
    lambda x: 2 * x,
    lambda x: -x,
    lambda x: x**2,
    lambda x: x - x,
    abs,
    float,
    np.sqrt,
    operator.pos,
]


@pytest.mark.parametrize("change", ARITHMETIC)
def test_arithmetic_decays_to_a_bare_number(change: Callable[[Any], Any]) -> None:
    """Nothing pretends to a source that it lost."""
    with recording():
        made = change(sourced("wire_diameter_mm", 8.0, "file", "order.toml:7"))
    assert getattr(made, "entry", None) is None


def test_a_sourced_float_compares_and_hashes_as_its_number() -> None:
    """It is an ordinary number wherever it is only looked at."""
    value = Sourced(8.5, "somewhere")
    assert value == 8.5
    assert hash(value) == hash(8.5)
    assert {8.5: "die"}[value] == "die"


def test_a_sourced_float_leaves_its_recording_as_a_plain_float() -> None:
    """Pickled or copied it is the number alone: its entry stays with its derivation."""
    value = Sourced(8.5, "somewhere")
    for back in (pickle.loads(pickle.dumps(value)), copy.deepcopy(value)):  # noqa: S301
        assert (type(back), back) == (float, 8.5)


ON_ARRAYS: list[Callable[[Any], Any]] = [
    lambda x: x + 1.0,
    lambda x: x * 2.0,
    lambda x: x[:2],
    lambda x: x[0],
    lambda x: x.reshape(3, 1),
    lambda x: x.copy(),
    np.sin,
    np.sum,
    lambda x: np.concatenate([x, x]),
    lambda x: np.broadcast_to(x, (2, 3)),
]


@pytest.mark.parametrize("change", ON_ARRAYS)
def test_any_operation_on_a_sourced_array_gives_one_without_source(
    change: Callable[[Any], Any],
) -> None:
    """Values, parts, shapes and sums of an array carry no entry."""
    with recording():
        values = sourced("radius_mm", np.array([1.0, 2.0, 3.0]), "table", "Table 1")
        assert isinstance(values, SourcedArray)
        assert values.entry is not None
        assert getattr(change(values), "entry", None) is None


def test_a_sourced_array_cannot_be_changed_in_place() -> None:
    """Otherwise its numbers would no longer be those of its entry."""
    mine = np.array([1.0, 2.0, 3.0])
    with recording():
        values = sourced("radius_mm", mine, "table", "Table 1")
    with pytest.raises(ValueError, match="read-only"):
        values += 1.0
    with pytest.raises(ValueError, match="read-only"):
        values[0] = 5.0
    mine += 1.0  # the array it was made from stays free
    assert mine[0] == 2.0


def test_a_solved_setting_names_its_aim_and_what_it_rests_on() -> None:
    """A root is an entry of its own with the sources of its inputs."""
    with recording() as book:
        size = sourced("wire_diameter_mm", 8.0, "file", "order.toml:7")
        die = solved("die_diameter_mm", 8.0, "for the wire within 7 to 9", wire_diameter_mm=size)
    entry = book.entries[die.entry]
    assert (entry.kind, entry.unit, entry.source) == ("solved", "mm", "for the wire within 7 to 9")
    assert entry.inputs == (("wire_diameter_mm", size.entry),)


def test_a_bare_number_gets_an_entry_that_says_so() -> None:
    """Arithmetic before a solver shows as an entry of kind bare."""
    with recording() as book:
        size = sourced("wire_diameter_mm", 8.0, "file", "order.toml:7")
        die = solved("die_diameter_mm", 8.1, "for the wire", wire_diameter_mm=size + 0.1)
    ((_, ident),) = book.entries[die.entry].inputs
    assert book.entries[ident].kind == "bare"
    assert book.entries[ident].value == 8.1


def test_a_choice_is_no_bare_number_and_carries_no_unit() -> None:
    """A name handed to a calculation is kept as the choice that it is."""
    with recording() as book:
        ident = reference(book, "section", "round_mm")
    assert (book.entries[ident].kind, book.entries[ident].unit) == ("choice", "")


def test_a_number_of_another_derivation_is_not_taken_for_one_of_this() -> None:
    """Ids repeat from run to run, so the value decides with the id."""
    with recording():
        old = sourced("wire_diameter_mm", 8.0, "file", "order.toml:7")
    with recording() as book:
        new = sourced("wire_diameter_mm", 8.2, "file", "order.toml:7")
        assert reference(book, "wire_diameter_mm", new) == new.entry
        assert book.entries[reference(book, "wire_diameter_mm", old)].kind == "bare"


def test_readings_of_one_name_in_one_step_are_numbered() -> None:
    """Ids are readable and never collide."""
    book = Derivation(step="wire/drawing")
    idents = [book.add("stress.stress_MPa", 1.0, "calculation", "a book").id for _ in range(3)]
    assert idents[0] == "wire/drawing/stress.stress_MPa"
    assert idents[1:] == [f"{idents[0]}#2", f"{idents[0]}#3"]


def test_what_is_behind_a_number_comes_nearest_first_and_once() -> None:
    """The walk down the graph meets an entry that two others share only once."""
    book = Derivation()
    root = book.add("a_mm", 1.0, "file", "file:1").id
    left = book.add("b_mm", 1.0, "calculation", "x", (("a_mm", root),)).id
    right = book.add("c_mm", 1.0, "calculation", "x", (("a_mm", root),)).id
    top = book.add("d_mm", 1.0, "calculation", "x", (("b_mm", left), ("c_mm", right))).id
    assert [entry.id for entry in book.behind(top)] == [top, left, right, root]


def test_a_block_can_be_left_out_of_the_derivation() -> None:
    """Trials of a solver leave no trace; afterwards recording goes on."""
    with recording() as book:
        with not_recording():
            assert active() is None
            sourced("trial_mm", 1.0, "file", "nowhere")
        assert active() is book
        sourced("kept_mm", 1.0, "file", "somewhere")
    assert [entry.name for entry in book.entries.values()] == ["kept_mm"]


def test_a_recording_ends_with_its_block_even_after_an_error() -> None:
    """A failed run does not leave the next one recording."""
    with pytest.raises(RuntimeError), recording():
        raise RuntimeError
    assert active() is None


def test_a_derivation_can_be_carried_on() -> None:
    """A second recording into the same derivation adds to it."""
    book = Derivation()
    for name in ("first_mm", "second_mm"):
        with recording(book):
            sourced(name, 1.0, "file", "a file")
    assert [entry.name for entry in book.entries.values()] == ["first_mm", "second_mm"]


def test_another_thread_does_not_write_into_this_derivation() -> None:
    """Two plans made at once keep their numbers apart."""
    with recording() as book, ThreadPoolExecutor(1) as pool:
        assert pool.submit(active).result() is None
        assert active() is book
