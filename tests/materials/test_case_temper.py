"""Tempering table and crack strain of a case: points, interpolation, what is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from linkwright.materials.case_temper import case_crack_strain, temper_share_by_table
from linkwright.materials.tempering import hollomon_jaffe_equivalence
from linkwright.quantities import ArgumentError

TABLE: dict[str, Any] = {
    "table_temperature_degC": [20.0, 200.0, 300.0, 400.0],
    "table_time_h": [2.0, 2.0, 2.0, 2.0],
    "table_hardness_HV": [790.0, 695.0, 595.0, 505.0],
}


@pytest.mark.parametrize(("row", "temperature"), list(enumerate(TABLE["table_temperature_degC"])))
def test_the_rows_come_back(row: int, temperature: float) -> None:
    """At a row's temper, the share of the quenched hardness that the row shows."""
    share = temper_share_by_table(temperature_degC=temperature, time_h=2.0, **TABLE)
    assert share == pytest.approx(TABLE["table_hardness_HV"][row] / 790.0, rel=1e-12)


def test_tempers_that_are_equal_by_hollomon_and_jaffe_leave_the_same() -> None:
    """Half an hour at the equivalent temperature."""
    hotter = hollomon_jaffe_equivalence(temperature_degC=260.0, time_h=2.0, new_time_h=0.5)
    shares = [
        temper_share_by_table(temperature_degC=at, time_h=time, **TABLE)
        for at, time in ((260.0, 2.0), (hotter, 0.5))
    ]
    assert shares[0] == pytest.approx(shares[1], rel=1e-12)


def test_a_hotter_or_longer_temper_leaves_less() -> None:
    """Falling over all temperatures and times of the table."""
    at = np.linspace(25.0, 380.0, 60)
    shares = [temper_share_by_table(temperature_degC=at, time_h=time, **TABLE) for time in (1, 3)]
    assert np.all(np.diff(shares[0]) < 0.0)
    assert np.all(shares[1] < shares[0])


@pytest.mark.parametrize(
    "change",
    [
        {"temperature_degC": 430.0},
        {"table_hardness_HV": [790.0, 695.0, 700.0, 505.0]},
        {"table_temperature_degC": [20.0, 300.0, 200.0, 400.0]},
        {"table_hardness_HV": [790.0, 695.0, 505.0]},
    ],
    ids=["beyond the table", "hardness rises", "tempers fall", "a row short"],
)
def test_what_was_not_measured_is_not_said(change: dict[str, Any]) -> None:
    """The error names the argument."""
    given = {"temperature_degC": 250.0, "time_h": 2.0, **TABLE, **change}
    with pytest.raises(ArgumentError):
        temper_share_by_table(**given)


def test_crack_strain_between_and_beyond_its_points() -> None:
    """Points, the middle, softer as the softest, harder along the last slope to a tenth."""
    points: dict[str, Any] = {
        "table_hardness_HV": [540.0, 740.0], "table_strain_percent": [3.4, 0.9],
    }  # fmt: skip
    found = case_crack_strain(case_hardness_HV=[540.0, 640.0, 740.0, 400.0, 760.0, 900.0], **points)
    np.testing.assert_allclose(found, [0.034, 0.0215, 0.009, 0.034, 0.0065, 0.0009], rtol=1e-12)
    one = case_crack_strain(
        case_hardness_HV=[500.0, 800.0], table_hardness_HV=[600.0], table_strain_percent=[2.0],
        factor=0.5,
    )  # fmt: skip
    np.testing.assert_allclose(one, 0.01)
