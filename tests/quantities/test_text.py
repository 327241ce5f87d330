"""Numbers and units for people."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import UNITS, significant, unit_text, value_text

FEW = settings(derandomize=True, max_examples=100, deadline=None)


@pytest.mark.parametrize(
    ("value", "digits", "expected"),
    [
        (86.1234, 4, "86.12"), (1234567.0, 4, "1 235 000"), (0.00012345, 4, "0.0001234"),
        (0.0, 4, "0"), (-0.0, 4, "0"), (8.0, 4, "8"), (8.10, 4, "8.1"), (999.96, 4, "1 000"),
        (9999.96, 4, "10 000"), (-12345.0, 3, "-12 300"), (100.0, 1, "100"), (0.5, 2, "0.5"),
        (1e-6, 4, "1.000e-06"), (1.5e12, 3, "1.50e+12"), (5e-324, 3, "4.94e-324"),
        (math.nan, 4, "–"), (math.inf, 4, "–"), (-math.inf, 4, "–"),
    ],
)  # fmt: skip
def test_significant_digits(value: float, digits: int, expected: str) -> None:
    """Zeros at the end go, thousands are set apart, exponents only where nothing else is read."""
    assert significant(value, digits) == expected


@FEW
@given(
    st.floats(min_value=-1e14, max_value=1e14).filter(lambda v: abs(v) > 1e-12), st.integers(1, 9)
)
def test_what_is_shown_is_within_half_of_the_last_digit(value: float, digits: int) -> None:
    """Rounding for people never moves a value by more than half a unit of its last digit."""
    shown = float(significant(value, digits).replace(" ", ""))
    last = 10.0 ** (math.floor(math.log10(abs(value))) - digits + 1)
    assert abs(shown - value) <= 0.5000001 * last + 1e-15 * abs(value)


@pytest.mark.parametrize(
    ("suffix", "expected"),
    [
        ("mm", "mm"), ("mm2", "mm²"), ("N_per_mm2", "N/mm²"), ("W_per_m2K", "W/(m²K)"),
        ("J_per_kgK", "J/(kgK)"), ("kJ_kgK", "kJ/(kg K)"), ("kg_per_m2s", "kg/(m²s)"),
        ("degC", "°C"), ("percent", "%"), ("um", "µm"), ("uH", "µH"), ("milliohm", "mΩ"),
        ("microohm_m", "µΩ m"), ("per_s", "1/s"), ("per_mm", "1/mm"), ("EUR_per_kWh", "EUR/kWh"),
        ("lbf_in", "lbf in"), ("m_per_min", "m/min"), ("HV", "HV"), ("kg_per_kWh", "kg/kWh"),
        ("", ""),
    ],
)  # fmt: skip
def test_units_as_printed(suffix: str, expected: str) -> None:
    """Powers are raised, a product below the stroke stands in brackets."""
    assert unit_text(suffix) == expected


def test_no_printed_unit_stands_for_two_sizes() -> None:
    """Units that print alike are of one kind and one size."""
    meant: dict[str, tuple[object, ...]] = {}
    for suffix, unit in UNITS.items():
        row = (unit.kind, unit.size, unit.offset)
        assert meant.setdefault(unit_text(suffix), row) == row


@pytest.mark.parametrize("suffix", UNITS)
def test_a_printed_unit_has_one_reading(suffix: str) -> None:
    """At most one stroke, and no product below it without brackets."""
    shown = unit_text(suffix)
    assert shown.count("/") <= 1
    assert "_" not in shown


@pytest.mark.parametrize(
    ("value", "suffix", "expected"),
    [
        (8.0, "mm", "8 mm"),
        (940.25, "degC", "940.2 °C"),
        (0.12, "", "0.12"),
        (math.nan, "mm", "– mm"),
    ],
)
def test_value_and_unit_stand_together(value: float, suffix: str, expected: str) -> None:
    """A pure number stands alone, a value that is not there is a dash."""
    assert value_text(value, suffix) == expected
