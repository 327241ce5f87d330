"""Fits of ISO 286."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.mechanics.fits import iso286_fit, iso286_limits, iso286_tolerance
from linkwright.quantities import ArgumentError, UnknownName

few = settings(derandomize=True, max_examples=40, deadline=None)
size = st.floats(0.5, 500.0)
grade = st.integers(5, 9)


@pytest.mark.parametrize(
    ("nominal", "tolerance_class", "lower", "upper"),
    [
        (25.0, "H7", 0.0, 21.0), (25.0, "G7", 7.0, 28.0), (25.0, "F8", 20.0, 53.0),
        (25.0, "k6", 2.0, 15.0), (25.0, "K7", -15.0, 6.0), (25.0, "M7", -21.0, 0.0),
        (25.0, "N7", -28.0, -7.0), (25.0, "P7", -35.0, -14.0), (25.0, "S7", -48.0, -27.0),
        (10.0, "N9", -36.0, 0.0), (10.0, "P9", -51.0, -15.0), (8.0, "h9", -36.0, 0.0),
        (8.0, "g6", -14.0, -5.0), (50.0, "f7", -50.0, -25.0), (100.0, "n6", 23.0, 45.0),
        (40.0, "u6", 60.0, 76.0), (10.0, "js6", -4.5, 4.5), (280.0, "M6", -41.0, -9.0),
    ],
)  # fmt: skip
def test_limit_deviations_of_common_classes(
    nominal: float, tolerance_class: str, lower: float, upper: float
) -> None:
    """Limit deviations as printed in ISO 286-2 (recalled)."""
    limits = iso286_limits(nominal_mm=nominal, tolerance_class=tolerance_class)
    assert limits == (lower, upper)


@few
@given(nominal=size, letter=st.sampled_from("cdefghkmnprsuxCDEFGHKMNPRSUX"), step=grade)
def test_limits_are_a_tolerance_apart(nominal: float, letter: str, step: int) -> None:
    """Upper less lower deviation is the tolerance of the grade."""
    if letter == "K" and step > 8:
        return
    limits = iso286_limits(nominal_mm=nominal, tolerance_class=f"{letter}{step}")
    width = iso286_tolerance(nominal_mm=nominal, grade=float(step))
    assert limits.upper_um - limits.lower_um == pytest.approx(width)


@few
@given(nominal=size)
def test_shafts_climb_with_their_letter(nominal: float) -> None:
    """From c to x the shaft of one grade grows."""
    lower = [
        iso286_limits(nominal_mm=nominal, tolerance_class=f"{letter}6").lower_um
        for letter in ("c", "d", "e", "f", "g", "h", "k", "m", "n", "p", "r", "s", "u", "x")
    ]
    assert lower == sorted(lower)


@few
@given(nominal=size)
def test_tolerance_grows_with_grade(nominal: float) -> None:
    """A coarser grade is wider."""
    widths = [iso286_tolerance(nominal_mm=nominal, grade=float(step)) for step in range(4, 14)]
    assert widths == sorted(widths)


@few
@given(nominal=size, letter=st.sampled_from("prsu"))
def test_hole_and_shaft_basis_give_the_same_fit(nominal: float, letter: str) -> None:
    """P7/h6 has the interference of H7/p6: that is what the Delta of the holes is for."""
    on_hole = iso286_fit(nominal_mm=nominal, fit=f"H7/{letter}6")
    on_shaft = iso286_fit(nominal_mm=nominal, fit=f"{letter.upper()}7/h6")
    if nominal <= 3.0:  # no Delta there
        return
    assert on_shaft.max_interference_um == pytest.approx(on_hole.max_interference_um)
    assert on_shaft.min_interference_um == pytest.approx(on_hole.min_interference_um)


def test_given_deviations_stand_before_the_table() -> None:
    """A fit that the tables do not have needs no table when its deviations are given."""
    measured = iso286_fit(
        nominal_mm=8.0, fit="H7/zb6", hole_upper_um=15.0, shaft_lower_um=67.0, shaft_upper_um=76.0
    )
    assert (measured.min_interference_um, measured.max_interference_um) == (52.0, 76.0)


def test_sizes_and_fits_broadcast() -> None:
    """One fit at several sizes, several fits at one size."""
    assert iso286_fit(nominal_mm=[8.0, 40.0], fit="H7/s6").max_interference_um.tolist() == [32, 59]
    several = iso286_fit(nominal_mm=8.0, fit=["H7/p6", "H7/s6"])
    assert several.max_interference_um.tolist() == [24.0, 32.0]
    as_text = iso286_fit(nominal_mm=[8.0, 40.0], fit="H7/p6, H7/s6")
    assert as_text.max_interference_um.tolist() == [24.0, 59.0]


@pytest.mark.parametrize("fit", ["H7", "p6/H7", "H7-p6", "H7/p99", "7H/p6"])
def test_texts_that_are_no_fit_are_refused(fit: str) -> None:
    """A fit is hole/shaft."""
    with pytest.raises(ArgumentError):
        iso286_fit(nominal_mm=8.0, fit=fit)


def test_classes_and_sizes_outside_the_tables_are_refused() -> None:
    """Unknown letters, undefined sizes and sizes over 500 mm."""
    with pytest.raises(UnknownName):
        iso286_limits(nominal_mm=8.0, tolerance_class="q6")
    with pytest.raises(ArgumentError, match="24 mm"):
        iso286_limits(nominal_mm=8.0, tolerance_class="t6")
    with pytest.raises(ArgumentError, match="500"):
        iso286_limits(nominal_mm=501.0, tolerance_class="H7")
