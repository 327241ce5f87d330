"""Units of one system, for display."""

import pytest

from linkwright.quantities import UNITS
from linkwright.quantities.unit_systems import SYSTEMS, shown_in


def test_every_unit_of_the_systems_is_shown_in_one_of_its_kind() -> None:
    """No entry of the two tables leads from one kind of quantity to another."""
    for table in SYSTEMS.values():
        for unit, wanted in table.items():
            if unit in UNITS and wanted in UNITS:
                assert UNITS[unit].kind == UNITS[wanted].kind, (unit, wanted)


@pytest.mark.parametrize(
    ("system", "name", "value", "expected"),
    [
        ("inch", "pitch_mm", 12.7, (0.5, "in")),
        ("metric", "pitch_in", 0.5, (12.7, "mm")),
        ("metric", "pitch_mm", 12.7, (12.7, "mm")),
        ("inch", "teeth", 17.0, (17.0, "")),
        ("inch", "bath_temperature_degC", 100.0, (212.0, "degF")),
        (None, "pitch_in", 0.5, (0.5, "in")),
        ("inch", "pitch_mm", [25.4, 50.8], ([1.0, 2.0], "in")),
        ("inch", "pitch_mm", None, (None, "mm")),
    ],
)
def test_a_value_is_shown_in_the_units_of_its_reader(
    system: str | None, name: str, value: object, expected: tuple[object, str]
) -> None:
    """Lengths in inches for one, in millimetres for the other, pure numbers as they are."""
    assert shown_in(system, name, value) == expected
