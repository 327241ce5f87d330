"""Ductile fracture: the neck of a tensile test and the limits that come out of it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from linkwright.materials.ductile_fracture import (
    fracture_limits,
    fracture_strain_at_triaxiality,
    neck_triaxiality,
    reduction_of_area_tempered,
    void_weight,
)
from linkwright.mechanics.section import Floats

# AISI 4140, oil quenched, fine grained, tempered 650 to 205 degC: tensile strength in MPa and
# reduction of area in per cent, materials table of efunda.com (looked up)
TEMPERED = [(758.0, 63.0), (951.0, 58.0), (1248.0, 49.0), (1551.0, 43.0), (1772.0, 38.0)]


@pytest.mark.parametrize(("strength", "area"), TEMPERED, ids=lambda value: f"{value:g}")
def test_reduction_of_area_of_tempered_4140(strength: float, area: float) -> None:
    """The line meets the five tempers of the table within 1.5 per cent of area."""
    assert reduction_of_area_tempered(tensile_strength_MPa=strength) == pytest.approx(area, abs=1.5)


def test_softer_steel_is_taken_as_the_softest_of_the_table() -> None:
    """On the safe side."""
    soft, least = (reduction_of_area_tempered(tensile_strength_MPa=rm) for rm in (450.0, 758.0))
    assert soft == least


def test_a_bar_that_has_not_necked_is_in_uniaxial_tension() -> None:
    """One third up to the uniform strain, more beyond."""
    assert neck_triaxiality(true_strain=0.05, uniform_strain=0.06) == pytest.approx(1 / 3)
    assert neck_triaxiality(true_strain=0.5, uniform_strain=0.06) > 0.5


@given(area=st.floats(5.0, 90.0), uniform=st.floats(0.0, 0.3))
def test_limits_are_the_integrals_over_the_neck(area: float, uniform: float) -> None:
    """The closed forms are the integrals of the weights along the neck's own path."""
    limits = fracture_limits(
        reduction_of_area_percent=area, hardening_exponent=uniform, prestrain=0.0
    )
    end = float(-np.log(1 - area / 100))

    def triaxiality(strain: float) -> Floats:
        return np.asarray(neck_triaxiality(true_strain=strain, uniform_strain=uniform))

    kink = [uniform] if uniform < end else None
    void = quad(lambda e: float(void_weight(triaxiality(e))), 0.0, end, points=kink)[0]
    tension = quad(lambda e: float(2 / 3 + triaxiality(e)), 0.0, end, points=kink)[0]
    assert limits.void_strain_limit == pytest.approx(void, rel=1e-7)
    assert limits.tension_strain_limit == pytest.approx(tension, rel=1e-7)


@given(area=st.floats(5.0, 89.0), more=st.floats(0.1, 5.0))
def test_limits_rise_with_the_reduction_of_area(area: float, more: float) -> None:
    """A steel that necks further bears more everywhere."""
    one = fracture_limits(reduction_of_area_percent=area)
    other = fracture_limits(reduction_of_area_percent=area + more)
    assert all(np.asarray(b) > np.asarray(a) for a, b in zip(one, other, strict=True) if a != 1 / 3)


def test_strain_to_fracture_falls_with_triaxiality_and_has_no_end_under_pressure() -> None:
    """e_0 in uniaxial tension; less under a higher mean stress; none below the cut-off."""
    strains = fracture_strain_at_triaxiality(
        triaxiality=np.array([-0.4, 0.0, 1 / 3, 1.0]), void_strain_limit=1.0
    )
    assert np.isinf(strains[0])
    assert strains[2] == pytest.approx(1.0)
    assert np.all(np.diff(strains[1:]) < 0)
