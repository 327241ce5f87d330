"""The reader of published tables."""

import pytest

from linkwright.catalogue import Sourced, recording
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.standards.reader import published_table

TABLES = (
    "anchor", "astm_chain", "astm_elongation", "astm_grades", "b30_thickness",
    "certificate_items", "din766", "en818_2", "en818_2_clauses", "en818_2_material",
    "en818_3", "en818_7", "mooring", "osha_capacity", "osha_thickness", "sling_temperature",
    "steel_wire_gauge",
)  # fmt: skip


@pytest.mark.parametrize("name", TABLES)
def test_every_row_says_where_it_is_from_and_how_it_is_known(name: str) -> None:
    """A row without source or with an unknown basis does not ship."""
    for row in published_table(name):
        assert len(row.source) > 10
        assert row.basis in {"retrieved", "memory", "computed", "common practice"}


def test_an_unlisted_size_names_the_listed_ones() -> None:
    """The error lists what the standard lists."""
    with pytest.raises(ArgumentError, match="7, 8, 10, 13") as caught:
        published_table("en818_3").row(9.0)
    assert caught.value.argument == "nominal_diameter_mm"


def test_an_unknown_name_offers_the_nearest() -> None:
    """A slip in a grade is answered with the right grades."""
    with pytest.raises(UnknownName, match="R4S"):
        published_table("mooring").row("R4Z", "grade")


def test_a_value_carries_its_row_while_recording() -> None:
    """A table value is sourced with table, row and basis; outside it is a bare float."""
    row = published_table("en818_3").row(8)
    assert type(row.number("breaking_force_kN")) is float
    with recording() as book:
        value = row.number("breaking_force_kN")
    assert isinstance(value, Sourced)
    entry = book.entries[value.entry]
    assert (entry.kind, entry.basis) == ("table", "retrieved")
    assert entry.source == "EN 818-3:1999, Table 5, row 8 mm"


def test_a_conversion_error_does_not_hide_a_size() -> None:
    """3/8 in given in mm and converted back is still the listed size."""
    assert published_table("osha_thickness").holds(9.525 / 25.4 * (1 + 1e-12))
