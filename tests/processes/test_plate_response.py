"""The response of the link plate: a fresh run, many plates at once, bad input."""

import time

import numpy as np
import pytest

from linkwright.mechanics.link_shape import SwiftCurve
from linkwright.mechanics.solid_plate import plate_concentration, pull_plate
from linkwright.processes.models.plate_response import plate_response
from linkwright.quantities import ArgumentError
from tests.mechanics.plates import plate_16b

EYE = {
    "hole_spacing_mm": 25.4, "plate_height_mm": 20.8692, "waist_height_mm": 15.6519,
    "plate_thickness_mm": 3.05, "tensile_strength_MPa": 1200.0,
}  # fmt: skip


@pytest.mark.parametrize("hole", [8.247, 11.236])
def test_the_response_agrees_with_a_run(hole):
    """Plates that were not fitted; the worst run left out is 1.4 per cent off, its peak 1.5."""
    found = plate_response(hole_diameter_mm=hole, **EYE)
    shape = plate_16b(hole)
    run = pull_plate(shape, SwiftCurve.of_strength(1200.0, 0.06, 0.005), fineness="coarse")
    assert float(found.plate_breaking_force_kN) == pytest.approx(run.breaking_force_kN, rel=0.02)
    peak = plate_concentration(shape).net_stress_factor
    assert float(found.net_stress_factor) == pytest.approx(peak, rel=0.03)


def test_another_strength_and_thickness_scale_the_force():
    """Strength and thickness are no axes: runs at 900 MPa and twice the thickness say the same."""
    shape = plate_16b()._replace(plate_thickness_mm=6.1)
    run = pull_plate(shape, SwiftCurve.of_strength(900.0, 0.06, 0.005), fineness="coarse")
    changed = EYE | {"plate_thickness_mm": 6.1, "tensile_strength_MPa": 900.0}
    found = plate_response(hole_diameter_mm=8.247, **changed)
    assert float(found.plate_breaking_force_kN) == pytest.approx(run.breaking_force_kN, rel=0.025)


def test_many_plates_equal_single_ones_and_take_milliseconds():
    holes = np.linspace(6.5, 12.0, 4000)
    begun = time.process_time()
    many = plate_response(hole_diameter_mm=holes, **EYE).plate_breaking_force_kN
    assert time.process_time() - begun < 0.5
    one = plate_response(hole_diameter_mm=float(holes[123]), **EYE).plate_breaking_force_kN
    assert many[123] == pytest.approx(float(one), rel=1e-12)
    assert np.all(np.diff(many) < 0)


def test_a_hole_as_large_as_the_plate_is_refused():
    with pytest.raises(ArgumentError, match="hole_diameter_mm"):
        plate_response(hole_diameter_mm=21.0, **EYE)
