"""The grammar of numbers and quantities: what is read, and what is never guessed."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import QuantityError, number_and_unit, quantity

FEW = settings(derandomize=True, max_examples=60, deadline=None)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("8mm", 8.0, "mm"), ("8 mm", 8.0, "mm"), (" 8.5  mm ", 8.5, "mm"),
        ("0.315 in", 0.315, "in"),
        ("5/16 in", 0.3125, "in"), ("1 1/4 in", 1.25, "in"), ("-1 1/4 in", -1.25, "in"),
        ("+5/16in", 0.3125, "in"),
        ('1 1/4"', 1.25, "in"), ('8 "', 8.0, "in"), ("18 klbf", 18.0, "klbf"),
        ("1.5 t", 1.5, "t"), ("1e-3 m", 1e-3, "m"), ("2.5E3 N", 2500.0, "N"), ("-0", -0.0, ""),
        ("12", 12.0, ""), ("007 mm", 7.0, "mm"), ("940 °C", 940.0, "degC"),
        ("25 %", 25.0, "percent"),
        ("200 N/mm²", 200.0, "N_per_mm2"), ("45 HRC", 45.0, "HRC"), ("1e308 mm", 1e308, "mm"),
    ],
)  # fmt: skip
def test_numbers_as_people_write_them(text: str, value: float, unit: str) -> None:
    """Decimals, exponents, fractions and mixed numbers, with or without a space and a unit."""
    assert number_and_unit(text) == (value, unit)


REFUSED = {
    "decimal comma": "8,5 mm",
    "decimal comma without unit": "8,5",
    "thousands comma": "1,000 mm",
    "thousands stroke": "1'000 mm",
    "thousands space": "1 000 mm",
    "underscore": "1_000 mm",
    "power": "9**9**9 m",
    "product": "2*4 mm",
    "sum": "2+4 mm",
    "call": "__import__('os') mm",
    "brackets": "(8) mm",
    "too great": "1e400 mm",
    "much too great": "1e99999 mm",
    "too great without exponent": "9" * 5000,
    "5,000 digits after the point": "0." + "1" * 5000 + " mm",
    "31 digits": "1" * 31,
    "long fraction": "1/" + "9" * 7 + " in",
    "full-width digits": "８ mm",
    "full-width after a digit": "8８ mm",
    "Arabic digits": "٨ mm",
    "superscript as digit": "² mm",
    "one half sign": "½ in",
    "Roman numeral sign": "Ⅷ mm",
    "nan": "nan",
    "nan with unit": "nan mm",
    "inf": "inf mm",
    "minus infinity": "-Infinity",
    "nothing": "",
    "spaces": "   ",
    "unit alone": "mm",
    "sign alone": "-",
    "two signs": "--8 mm",
    "point alone": ".",
    "no digit before the point": ".5 in",
    "no digit after the point": "8. mm",
    "two points": "8.5.1 mm",
    "two strokes": "1/2/3 in",
    "divided by nothing": "1/0 in",
    "fraction of decimals": "1.5/2 in",
    "mixed decimal": "1.5 1/4 in",
    "two spaces in a mixed number": "1  1/4 in",
    "negative part": "1 -1/4 in",
    "empty exponent": "1e mm",
    "exponent with point": "1e1.5 mm",
    "hexadecimal": "0x10 mm",
    "unknown unit": "8 furlong",
    "ambiguous unit": "1.5 ton",
    "two quantities": "5 ft 3 in",
    "range": "8-9 mm",
    "about": "~8 mm",
    "minus sign of print": "−8 mm",
    "zero-width space": "8\u200bmm",
    "right-to-left mark": "\u202e8 mm",
    "NUL": "8\x00mm",
    "lone surrogate": "8 \ud800",
    "markup": "<b>8</b> mm",
    "a million signs": "8" + " " * 10**6 + "mm",
}


@pytest.mark.parametrize("text", REFUSED.values(), ids=REFUSED.keys())
def test_what_is_no_plain_number_is_refused_with_what_would_be_accepted(text: str) -> None:
    """Nothing is guessed or evaluated; the sentence is short whatever was given."""
    with pytest.raises(QuantityError) as caught:
        number_and_unit(text)
    assert caught.value.accepted
    assert len(str(caught.value)) < 400
    assert caught.value.exit_code == 2


@pytest.mark.parametrize("text", REFUSED.values(), ids=REFUSED.keys())
def test_a_quantity_is_refused_as_a_number_is(text: str) -> None:
    """The same corpus at the door that knows which quantity is wanted."""
    with pytest.raises(QuantityError):
        quantity(text, "pitch_mm")


@FEW
@given(st.text(max_size=70))
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text ends in anything but a finite number or a `QuantityError`."""
    try:
        value, _ = number_and_unit(text)
    except QuantityError:
        return
    assert abs(value) < float("inf")


@FEW
@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_printed_float_is_read_as_itself(value: float) -> None:
    """What `repr` writes without or with exponent comes back to the last bit."""
    assert number_and_unit(f"{value!r} mm") == (value, "mm")


@FEW
@given(
    st.integers(0, 999), st.integers(0, 9999), st.integers(1, 9999), st.sampled_from(["", "-", "+"])
)
def test_a_mixed_number_is_its_whole_and_its_part(
    whole: int, above: int, below: int, sign: str
) -> None:
    """The sign stands for the whole and the part alike."""
    exact = (whole + Fraction(above, below)) * (-1 if sign == "-" else 1)
    assert number_and_unit(f"{sign}{whole} {above}/{below} in") == (float(exact), "in")


@pytest.mark.parametrize(
    ("given_", "name", "expected"),
    [
        ("0.25 in", "pitch_mm", 6.35),
        ("5/16 in", "wire_diameter_mm", 7.9375),
        ("8", "wire_diameter_mm", 8.0),
        (8, "wire_diameter_mm", 8.0),
        (8.5, "wire_diameter_mm", 8.5),
        ("2 h", "soak_time_min", 120.0),
        ("1750 °F", "quench_temperature_degC", pytest.approx(954.4444444444445, rel=1e-15)),
        ("18 °F", "core_undercooling_K", 10.0),
        ("18 K", "surface_rise_degC", 18.0),
        ("0.3", "friction_coefficient", 0.3),
    ],
)
def test_a_quantity_comes_in_the_unit_of_its_name(
    given_: str | float, name: str, expected: float
) -> None:
    """A unit of the same kind is converted; a bare number stands in the unit of the name."""
    assert quantity(given_, name) == expected


@pytest.mark.parametrize(
    ("given_", "name", "accepted"),
    [
        ("5 kg", "pitch_mm", "a length, for example 1 mm"),
        ("5 mm", "friction_coefficient", "a pure number without unit"),
        ("45 HRC", "hardness_HV", "a hardness HV"),
        ("1.5 t", "load_kN", "a force"),
        (float("nan"), "pitch_mm", "a finite number"),
        (float("inf"), "pitch_mm", "a finite number"),
        (10**400, "pitch_mm", "a finite number"),
        (10**5000, "pitch_mm", "a finite number"),
        (True, "pitch_mm", "a finite number"),
        ("1e308 km", "pitch_mm", "a finite number"),
    ],
    ids=lambda part: part if isinstance(part, str) else "number",
)
def test_a_quantity_of_another_kind_or_size_is_refused(
    given_: str | float, name: str, accepted: str
) -> None:
    """The error says which kind is wanted; a number too great for a float is none."""
    with pytest.raises(QuantityError) as caught:
        quantity(given_, name)
    assert accepted in caught.value.accepted
