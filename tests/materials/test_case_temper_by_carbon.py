"""Softening of a case: the rows of its table, what a low temper leaves, what must not rise."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linkwright.materials.case_temper import tempered_case_hardness
from linkwright.materials.hardness_scales import hardness_iso18265
from linkwright.materials.tempering import hollomon_jaffe

ROWS = [(0.6, 315.0, 50.0), (0.8, 315.0, 50.0), (0.8, 540.0, 39.0), (0.95, 650.0, 33.0)]
"""Carbon, two hours at a temperature, HRC: ASM Metals Handbook, SAE 1060, 1080, 1095, memory."""


@pytest.mark.parametrize(("carbon", "temperature", "rockwell"), ROWS)
def test_steel_as_hard_as_that_of_the_asm_table_tempers_as_it(carbon, temperature, rockwell):
    """A case that was as hard as the bars of the table after 205 °C follows the table."""
    first = {0.6: 56.0, 0.8: 57.0, 0.95: 58.0}[carbon]
    found = tempered_case_hardness(
        hardness_before_HV=hardness_iso18265(hardness_HRC=first).hardness_HV,
        parameter=hollomon_jaffe(temperature_degC=temperature, time_h=2.0),
        carbon_percent=carbon,
    )
    assert found == pytest.approx(float(hardness_iso18265(hardness_HRC=rockwell).hardness_HV))


@given(st.floats(600.0, 850.0), st.floats(0.0, 9.5), st.floats(0.6, 0.95))
def test_less_than_two_hours_at_205_take_nothing(before, parameter, carbon):
    found = tempered_case_hardness(
        hardness_before_HV=before, parameter=max(parameter, 1e-3), carbon_percent=carbon
    )
    assert found == pytest.approx(before)


@given(st.floats(650.0, 850.0), st.floats(0.6, 0.95))
def test_more_temper_never_hardens_and_all_end_alike(before, carbon):
    course = tempered_case_hardness(
        hardness_before_HV=before, parameter=np.linspace(9.0, 18.74, 60), carbon_percent=carbon
    )
    assert np.all(np.diff(course) <= 1e-9)
    other = tempered_case_hardness(
        hardness_before_HV=before + 40.0, parameter=18.74, carbon_percent=carbon
    )
    assert course[-1] == pytest.approx(other, rel=1e-3)


def test_each_member_has_its_own_carbon():
    carbon, parameter = np.array([0.6, 0.7, 0.9]), np.array([12.0, 15.0, 16.5])
    many = tempered_case_hardness(
        hardness_before_HV=720.0, parameter=parameter, carbon_percent=carbon
    )
    single = [
        tempered_case_hardness(hardness_before_HV=720.0, parameter=p, carbon_percent=c)
        for p, c in zip(parameter.tolist(), carbon.tolist(), strict=True)
    ]
    assert many == pytest.approx(np.array(single), rel=1e-12)
