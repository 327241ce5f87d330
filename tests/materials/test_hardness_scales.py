"""Conversion tables: monotone, there and back, and no value where there is none."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import ValidityWarning
from linkwright.materials.hardness_scales import (
    hardness_astm,
    hardness_iso18265,
    tensile_strength_from_hardness,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=40, deadline=None, database=None)


@few
@given(st.floats(240.0, 940.0))
def test_vickers_to_rockwell_and_back(vickers: float) -> None:
    """In both standards HV to HRC to HV comes home within a table step."""
    for standard, step in ((hardness_iso18265, 10.0), (hardness_astm, 10.0)):
        rockwell = standard(hardness_HV=vickers).hardness_HRC
        assert standard(hardness_HRC=float(rockwell)).hardness_HV == pytest.approx(
            vickers, abs=step
        )


@few
@given(st.floats(80.0, 650.0))
def test_strength_and_hardness_come_home(vickers: float) -> None:
    """HV to tensile strength to HV is exact, since both columns are full."""
    strength = hardness_iso18265(hardness_HV=vickers).tensile_strength_MPa
    back = hardness_iso18265(tensile_strength_MPa=float(strength)).hardness_HV
    assert back == pytest.approx(vickers, rel=1e-9)


def test_columns_rise_together() -> None:
    """A harder steel is harder on every scale, within each table of a standard."""
    soft, hard = np.arange(116.0, 238.0), np.arange(238.0, 941.0)
    for standard in (hardness_iso18265, hardness_astm):
        for vickers in (soft, hard):
            for column in standard(hardness_HV=vickers):
                known = column[~np.isnan(column)]
                assert (np.diff(known) > -1e-9).all()


def test_no_value_where_the_table_has_none() -> None:
    """Rockwell C of soft steel and strength of very hard steel are nan, not invented."""
    assert np.isnan(hardness_iso18265(hardness_HV=150.0).hardness_HRC)
    assert np.isnan(hardness_iso18265(hardness_HV=800.0).tensile_strength_MPa)
    assert np.isnan(hardness_astm(hardness_HRC=62.0).tensile_strength_MPa)


def test_the_two_standards_agree_within_4_percent() -> None:
    """Vickers from Rockwell C differs little between ISO 18265 and ASTM E140."""
    rockwell = np.arange(22.0, 68.0)
    iso = hardness_iso18265(hardness_HRC=rockwell).hardness_HV
    astm = hardness_astm(hardness_HRC=rockwell).hardness_HV
    assert iso == pytest.approx(astm, rel=0.04)


def test_soft_steel_uses_the_rockwell_b_table() -> None:
    """Below 238 HV the ASTM conversion goes over Rockwell B."""
    found = hardness_astm(hardness_HRB=80.0)
    assert (found.hardness_HV, found.tensile_strength_MPa) == (150.0, 495.0)


def test_exactly_one_scale_must_be_given() -> None:
    """Nothing or two scales are refused."""
    with pytest.raises(ArgumentError, match="exactly one"):
        hardness_iso18265()
    with pytest.raises(ArgumentError, match="exactly one"):
        hardness_astm(hardness_HV=300.0, hardness_HRC=30.0)


def test_strength_of_members_is_the_iso_column_and_monotone() -> None:
    """The ensemble's function equals the table and never falls, beyond its ends too."""
    vickers = np.linspace(80.0, 650.0, 4096).reshape(512, 8)
    assert tensile_strength_from_hardness(hardness_HV=vickers) == pytest.approx(
        hardness_iso18265(hardness_HV=vickers).tensile_strength_MPa
    )
    with pytest.warns(ValidityWarning):
        beyond = tensile_strength_from_hardness(hardness_HV=np.array([40.0, 80.0, 650.0, 700.0]))
    assert (np.diff(beyond) > 0).all()
