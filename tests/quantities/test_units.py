"""The table of units: exact sizes, kinds, taking names apart, converting, reading units."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.quantities import (
    UNITS,
    QuantityError,
    convert,
    kind_of,
    split,
    unit_of_text,
    unit_text,
    units_of,
)
from linkwright.quantities.units import Unit

FEW = settings(derandomize=True, max_examples=60, deadline=None)
KINDS = sorted({unit.kind for unit in UNITS.values()})
SEVERAL = [kind for kind in KINDS if len(units_of(kind)) > 1]
DEGREES = st.sampled_from(["K", "degC", "degF"])
FINITE = st.floats(min_value=-1e9, max_value=1e9, allow_nan=False).filter(
    lambda value: value == 0 or abs(value) > 1e-9
)

# Single units in the oracle's spelling where it is not ours.
SPELLED = {
    "um": "micrometer", "in": "inch", "ft": "foot", "l": "liter", "min": "minute", "h": "hour",
    "d": "day", "kg": "kilogram", "g": "gram", "t": "metric_ton", "lb": "pound", "m": "meter",
    "lbf": "pound_force", "klbf": "kilopound_force", "kgf": "kilogram_force",
    "tf": "(1000 * kilogram_force)", "long_ton": "(2240 * pound_force)",
    "short_ton": "(2000 * pound_force)", "kpsi": "(1000 * psi)", "deg": "degree",
    "lbf_in": "(pound_force * inch)", "lbf_ft": "(pound_force * foot)", "uH": "microhenry",
    "ohm_m": "(ohm * meter)", "microohm_m": "(microohm * meter)", "kJ_kgK": "kJ / kilogram / K",
    "kgK": "(kilogram * K)", "mK": "(meter * K)", "m2K": "(meter ** 2 * K)",
    "molK": "(mol * K)", "m2s": "(meter ** 2 * second)", "Nm": "(newton * meter)",
    "Nmm": "(newton * millimeter)", "kNm": "(kilonewton * meter)", "A": "ampere",
    "VA": "volt_ampere", "m2h": "(meter ** 2 * hour)", "Pa_s": "(pascal * second)",
    "mPa_s": "(millipascal * second)",
    "s": "second", "EUR": "dimensionless", "percent": "percent", "ms": "millisecond",
}  # fmt: skip


@pytest.fixture(scope="module", params=[Fraction, Decimal])
def oracle(request: pytest.FixtureRequest) -> Any:
    """A registry of units that reckons without floats."""
    return pint.UnitRegistry(non_int_type=request.param)


def _spelled(suffix: str) -> str:
    if suffix in SPELLED:
        return SPELLED[suffix]
    if "_per_" in suffix or suffix.startswith("per_"):
        above, _, below = suffix.removeprefix("per_").rpartition("_per_")
        return f"{_spelled(above) if above else 'dimensionless'} / {_spelled(below)}"
    root = suffix.rstrip("23")
    power = suffix[len(root) :]
    return f"{SPELLED.get(root, root)} ** {power}" if power else suffix


def _in_base(oracle: Any, suffix: str) -> tuple[Fraction, Any]:
    one = oracle.Quantity(oracle.non_int_type(1), oracle.parse_units("dimensionless"))
    unit = one * oracle.parse_expression(_spelled(suffix))
    base = unit.to_base_units()
    return Fraction(base.magnitude), base.dimensionality


@pytest.mark.parametrize("kind", [kind for kind in SEVERAL if kind != "temperature"])
def test_sizes_within_a_kind_stand_as_the_oracle_says(oracle: Any, kind: str) -> None:
    """Ratios between all units of one kind are those of an independent table of units."""
    measured = [(UNITS[suffix].size, *_in_base(oracle, suffix)) for suffix in units_of(kind)]
    for (ours, theirs, dimension), (ours_next, theirs_next, dimension_next) in pairwise(measured):
        assert dimension == dimension_next
        expected, ratio = theirs_next / theirs, ours_next / ours
        if oracle.non_int_type is Fraction:
            assert ratio == expected
        else:  # a third of a minute has no decimal; 28 digits are kept
            assert abs(ratio / expected - 1) < Fraction(1, 10**25)


@pytest.mark.parametrize(
    ("degrees", "unit", "to"),
    [("212", "degF", "degC"), ("-40", "degC", "degF"), ("0", "K", "degF"), ("940", "degC", "K")],
)
def test_points_on_temperature_scales_are_those_of_the_oracle(
    degrees: str, unit: str, to: str
) -> None:
    """A temperature goes from one scale to another with the shift of the zero."""
    registry = pint.UnitRegistry(non_int_type=Fraction)
    names = {"degC": "degree_Celsius", "degF": "degree_Fahrenheit", "K": "kelvin"}
    expected = registry.Quantity(Fraction(degrees), names[unit]).to(names[to]).magnitude
    assert convert(float(degrees), unit, to) == pytest.approx(float(expected), abs=1e-12)


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        (0.3125, "in", "mm", 7.9375),
        (12.7, "mm", "in", 0.5),
        (1, "in", "mm", 25.4),
        (1.0, "long_ton", "lbf", 2240.0),
        (1.0, "tf", "N", 9806.65),
        (1.0, "lb", "kg", 0.45359237),
        (1.0, "kpsi", "psi", 1000.0),
        (90.0, "m_per_min", "m_per_s", 1.5),
        (32.0, "degF", "degC", 0.0),
        (212.0, "degF", "degC", 100.0),
        (20.0, "degC", "K", 293.15),
        (25.0, "percent", "percent", 25.0),
    ],
)
def test_conversions_by_definition_are_exact(
    value: float, unit: str, to: str, expected: float
) -> None:
    """Where definition gives a short decimal, the float is that decimal."""
    assert convert(value, unit, to) == expected


@FEW
@given(data=st.data(), kind=st.sampled_from(SEVERAL), value=FINITE)
def test_there_and_back_is_the_same(data: Any, kind: str, value: float) -> None:
    """Converting to any unit of the kind and back gives the value again."""
    unit, other = data.draw(st.tuples(*[st.sampled_from(units_of(kind))] * 2))
    back = convert(convert(value, unit, other), other, unit)
    # a shift of the zero costs digits of small temperatures
    floor = 1e-9 if kind == "temperature" else 0.0
    assert back == pytest.approx(value, rel=1e-14, abs=floor)


@FEW
@given(data=st.data(), kind=st.sampled_from(SEVERAL), value=FINITE)
def test_a_float_and_an_array_are_converted_alike(data: Any, kind: str, value: float) -> None:
    """An array holds exactly the numbers that its values give one by one."""
    unit, other = data.draw(st.tuples(*[st.sampled_from(units_of(kind))] * 2))
    assert convert(np.array([value, 1.0]), unit, other)[0] == convert(value, unit, other)


@FEW
@given(data=st.data(), kind=st.sampled_from(SEVERAL), value=FINITE)
def test_a_conversion_is_within_three_roundings_of_the_exact_one(
    data: Any, kind: str, value: float
) -> None:
    """Against whole fractions the error is at most a few units of the last place."""
    unit, other = data.draw(st.tuples(*[st.sampled_from(units_of(kind))] * 2))
    exact = _exact(Fraction(value), UNITS[unit], UNITS[other])
    largest = max(abs(exact), abs(exact - Fraction(value) * UNITS[unit].size / UNITS[other].size))
    got = Fraction(convert(value, unit, other))
    assert abs(got - exact) <= 4 * Fraction(2) ** -53 * max(largest, Fraction(1, 10**300))


def _exact(value: Fraction, source: Unit, target: Unit) -> Fraction:
    return (value + source.offset) * source.size / target.size - target.offset


@FEW
@given(rise=FINITE, unit=DEGREES, to=DEGREES)
def test_a_difference_of_temperature_is_never_shifted(rise: float, unit: str, to: str) -> None:
    """Differences are scaled by 5/9 or 9/5 or not at all; nothing stays nothing."""
    assert convert(0.0, unit, to, difference=True) == 0.0
    scale = {"K": 1.0, "degC": 1.0, "degF": 5 / 9}
    got = convert(rise, unit, to, difference=True)
    assert got == pytest.approx(rise * scale[unit] / scale[to], rel=1e-14)


@pytest.mark.parametrize(
    "stem", ["rise", "peak_undercooling", "surface_difference", "temperature_drop", "superheat",
             "core_spread", "margin"],
)  # fmt: skip
@pytest.mark.parametrize("unit", ["K", "degC", "degF"])
def test_names_of_differences_are_a_kind_of_their_own(stem: str, unit: str) -> None:
    """A name that ends in a word for a difference carries a temperature difference."""
    assert kind_of(f"{stem}_{unit}") == "temperature difference"
    assert units_of("temperature difference") == units_of("temperature")


@pytest.mark.parametrize(
    ("name", "stem", "unit", "kind"),
    [
        ("wire_diameter_mm", "wire_diameter", "mm", "length"),
        ("specific_heat_J_per_kgK", "specific_heat", "J_per_kgK", "specific heat"),
        ("specific_heat_kJ_kgK", "specific_heat", "kJ_kgK", "specific heat"),
        ("bar_speed_m_per_min", "bar_speed", "m_per_min", "speed"),
        ("cooling_rate_K_per_s", "cooling_rate", "K_per_s", "temperature rate"),
        ("yield_moment_Nm", "yield_moment", "Nm", "moment"),
        ("test_load_long_ton", "test_load", "long_ton", "force"),
        ("torque_lbf_in", "torque", "lbf_in", "moment"),
        ("curvature_per_m", "curvature", "per_m", "per length"),
        ("soak_time_min", "soak_time", "min", "time"),
        ("rise_time_s", "rise_time", "s", "time"),
        ("quench_temperature_degC", "quench_temperature", "degC", "temperature"),
        ("surface_hardness_HV", "surface_hardness", "HV", "hardness HV"),
        ("C_percent", "C", "percent", "share"),
        ("friction_coefficient", "friction_coefficient", "", "number"),
        ("mm", "mm", "", "number"),
        ("", "", "", "number"),
    ],
)
def test_a_name_is_taken_apart_by_its_longest_suffix(
    name: str, stem: str, unit: str, kind: str
) -> None:
    """The longest suffix of the table is the unit, what stands before is the stem."""
    assert split(name) == (stem, unit)
    assert kind_of(name) == kind


@pytest.mark.parametrize("suffix", UNITS)
def test_every_suffix_is_split_off_whole(suffix: str) -> None:
    """No suffix of the table hides behind a shorter one."""
    assert split(f"some_quantity_{suffix}") == ("some_quantity", suffix)


@pytest.mark.parametrize("suffix", UNITS)
def test_a_unit_is_read_as_it_is_printed(suffix: str) -> None:
    """Suffix and printed form both lead back to a unit of the same kind and size."""
    read = UNITS[unit_of_text(unit_text(suffix))]
    assert (read.kind, read.size, read.offset) == (
        UNITS[suffix].kind,
        UNITS[suffix].size,
        UNITS[suffix].offset,
    )
    assert unit_of_text(f" {suffix} ") == suffix


@pytest.mark.parametrize(
    ("text", "suffix"),
    [
        ('"', "in"), ("inch", "in"), ("'", "ft"), ("°C", "degC"), ("C", "degC"),
        ("N/mm²", "N_per_mm2"),
        ("N / mm^2", "N_per_mm2"), ("W/(m² K)", "W_per_m2K"), ("W/(m2·K)", "W_per_m2K"),
        ("N m", "Nm"), ("N·m", "Nm"), ("lbf in", "lbf_in"), ("µm", "um"), ("μm", "um"),
        ("µΩ m", "microohm_m"), ("\u2126", "ohm"), ("rev/min", "rpm"), ("1/s", "per_s"),
        ("tonne", "t"), ("ksi", "kpsi"), ("%", "percent"), ("", ""),
    ],
)  # fmt: skip
def test_units_as_people_write_them(text: str, suffix: str) -> None:
    """Signs, strokes, brackets and common words lead to the suffix."""
    assert unit_of_text(text) == suffix


@pytest.mark.parametrize(
    "text",
    ["m s", "m m", "k N", "mm)", "(mm)", "mm/", "/s", "m/s/s", "mms", "furlong", "MM", "mm mm",
     "ｍｍ", "mm;", "mm\u200b", "\u202emm", "mm\x00", "ton", "tons"],
)  # fmt: skip
def test_what_is_no_unit_of_the_list_is_refused(text: str) -> None:
    """A unit is never guessed: a space is not left out, a letter not turned."""
    with pytest.raises(QuantityError):
        unit_of_text(text)


def test_the_ambiguous_ton_is_answered_with_what_it_may_mean() -> None:
    """`ton` may be a mass or one of two forces, so the answer names them."""
    with pytest.raises(QuantityError, match="short_ton or long_ton"):
        unit_of_text("ton")


def test_units_of_different_kinds_are_not_converted() -> None:
    """The error names the units of the kind that was wanted."""
    with pytest.raises(QuantityError, match="a unit of stress: Pa, kPa, MPa"):
        convert(1.0, "mm", "MPa")


def test_hardness_scales_are_not_converted_into_each_other() -> None:
    """Between hardness scales there are only tables."""
    with pytest.raises(QuantityError):
        convert(45.0, "HRC", "HV")


@pytest.mark.parametrize(("unit", "to"), [("parsec", "mm"), ("mm", "parsec"), ("parsec", "parsec")])
def test_a_unit_that_is_not_in_the_table_is_refused(unit: str, to: str) -> None:
    """Also when both sides name the same unknown unit."""
    with pytest.raises(QuantityError, match="a unit of the table"):
        convert(1.0, unit, to)


def test_whole_numbers_in_an_array_do_not_overflow() -> None:
    """An array of whole numbers is converted in floats."""
    counted = np.array([10**12], dtype=np.int64)
    assert convert(counted, "psi", "MPa")[0] == pytest.approx(6894757293.168361, rel=1e-15)
    assert convert(counted, "h", "ms")[0] == 3.6e18
