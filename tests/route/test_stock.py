"""Stock: what lies on the bench, and copies of it with some fields new."""

import pytest

from linkwright.route import Stock

WIRE = Stock(
    "wire",
    "23MnNiMoCr5-4",
    shape={"wire_diameter_mm": 8.12},
    condition={"yield_MPa": 620.0, "C_percent": 0.23, "Mn_percent": 1.3, "reduction_percent": 20.0},
    amount={"wire_length_m": 500.0},
    measured=frozenset({"wire_diameter_mm", "yield_MPa"}),
)


def test_a_field_is_found_wherever_it_stands() -> None:
    """Sizes, condition and amount are read by name alike."""
    assert [WIRE[name] for name in ("wire_diameter_mm", "yield_MPa", "wire_length_m")] == [
        8.12, 620.0, 500.0,
    ]  # fmt: skip
    assert "wire_length_m" in WIRE
    assert "pitch_mm" not in WIRE


def test_a_missing_field_is_told_with_the_nearest() -> None:
    """The error names the form and what was probably meant."""
    with pytest.raises(KeyError, match=r"wire has no wire_diamter_mm; nearest:.*wire_diameter_mm"):
        WIRE["wire_diamter_mm"]


def test_a_changed_stock_is_a_copy() -> None:
    """What came in stays as it was; what is not named is carried on."""
    made = WIRE.changed("piece", shape={"piece_length_mm": 70.0}, condition={"yield_MPa": 640.0})
    assert (WIRE.form, WIRE["yield_MPa"], "piece_length_mm" in WIRE) == ("wire", 620.0, False)
    assert (made.form, made.steel) == ("piece", "23MnNiMoCr5-4")
    assert (made["yield_MPa"], made["wire_diameter_mm"], made["wire_length_m"]) == (
        640.0, 8.12, 500.0,
    )  # fmt: skip


def test_a_field_that_is_written_is_no_longer_measured() -> None:
    """A gauge's word holds until the metal is worked."""
    assert WIRE.changed(condition={"yield_MPa": 640.0}).measured == {"wire_diameter_mm"}
    assert WIRE.changed(amount={"wire_length_m": 400.0}).measured == WIRE.measured
    assert WIRE.changed(shape={"wire_diameter_mm": 8.0}).measured == {"yield_MPa"}


def test_without_a_new_form_the_form_stays() -> None:
    """Tempering changes the condition, not what the thing is."""
    assert WIRE.changed(condition={"yield_MPa": 1.0}).form == "wire"


def test_elements_come_as_arguments_of_a_formula() -> None:
    """Those the formula knows and the analysis gives; the rest is left to the defaults."""
    assert WIRE.elements("C", "Mn", "Mo") == {"C_percent": 0.23, "Mn_percent": 1.3}


def test_a_stock_is_frozen() -> None:
    """Nobody changes what lies on the bench by assigning to it."""
    with pytest.raises(AttributeError):
        WIRE.form = "chain"  # type: ignore[misc]
