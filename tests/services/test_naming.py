"""Which name of the catalogue a key means."""

import numpy as np
import pytest

from linkwright.quantities import QuantityError
from linkwright.services.naming import Meaning, into, meaning, unit_choice

NAMES = ("teeth", "pitch_mm", "pitch_in", "hardness_HV", "C_percent", "reduction", "time_s")


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("pitch_mm", Meaning("pitch_mm", "mm")),
        ("pitch_in", Meaning("pitch_in", "in")),
        ("pitch_m", Meaning("pitch_mm", "m")),
        ("pitch", Meaning("pitch_mm", None)),
        ("teeth", Meaning("teeth", "")),
        ("time_min", Meaning("time_s", "min")),
        ("reduction_percent", Meaning("reduction", "percent")),
        ("C", Meaning("C_percent", "percent")),
        ("hardness_HRC", None),
        ("pitch_kN", None),
        ("pitches", None),
        ("teeth_mm", None),
    ],
)
def test_a_key_means_a_name_of_its_stem_and_kind(key: str, expected: Meaning | None) -> None:
    """The name itself, the same stem in another unit of its kind, or the bare stem."""
    assert meaning(key, NAMES) == expected


def test_the_unit_of_the_value_decides_between_names_of_one_stem() -> None:
    """A bare stem that fits two names means the one of the value's kind."""
    names = ("strength_HV", "strength_MPa")
    assert meaning("strength", names, prefer="psi") == Meaning("strength_MPa", None)


def test_temperatures_convert_with_their_zero_and_differences_without() -> None:
    """212 °F is 100 °C, a rise of 18 °F is one of 10 K."""
    assert into(212.0, "degF", "bath_temperature_degC") == pytest.approx(100.0)
    assert into(18.0, "degF", "temperature_rise_K") == pytest.approx(10.0)


def test_per_cent_and_pure_numbers_convert() -> None:
    """A share in per cent and a pure number are the one pair of kinds with a bridge."""
    assert into(20.0, "percent", "reduction") == pytest.approx(0.2)
    assert into(0.2, "", "reduction_percent") == pytest.approx(20.0)


def test_lists_and_arrays_convert_element_by_element() -> None:
    """Arrays stay arrays and lists stay lists, nested or not."""
    assert into(np.array([1.0, 2.0]), "in", "pitch_mm").tolist() == [25.4, 50.8]
    assert into([[1.0], [2.0]], "in", "pitch_mm") == [[25.4], [50.8]]


@pytest.mark.parametrize(
    ("unit", "name"), [("HRC", "hardness_HV"), ("mm", "load_kN"), ("", "pitch_mm"), ("mm", "teeth")]
)
def test_kinds_do_not_mix(unit: str, name: str) -> None:
    """Hardness scales, kinds and numbers without unit are never converted."""
    with pytest.raises(QuantityError):
        into(1.0, unit, name)


def test_the_units_of_a_name_are_listed_with_its_own_first() -> None:
    """The choice of units begins with that of the name."""
    assert unit_choice("pitch_in").startswith("a number in in, m, mm")
    assert unit_choice("teeth") == "a pure number without unit"
