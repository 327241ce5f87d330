"""A calculation over a range of one argument."""

from __future__ import annotations

import pytest

from linkwright.quantities import InputErrors
from linkwright.services.calculations import calculate
from linkwright.services.sweep import POINTS, sweep, swept, usual_range

GIVEN = {"K_MPa": "500", "n": "0.25", "true_strain": "0.2"}


def test_every_point_is_the_calculation_itself() -> None:
    found = sweep("flow_stress_hollomon", GIVEN, "true_strain", 0.1, 0.3)
    (name,) = found.results
    assert len(found.values) == POINTS
    for index in (0, 40, 80):
        alone = calculate("flow_stress_hollomon", **{**GIVEN, "true_strain": found.values[index]})
        assert found.results[name][index] == pytest.approx(alone[name], rel=1e-12)


def test_only_single_numbers_are_swept() -> None:
    assert swept(calculate("flow_stress_hollomon", **GIVEN)) == ["K_MPa", "n", "true_strain"]


@pytest.mark.parametrize(("low", "high"), [(1.0, 1.0), (2.0, 1.0), (float("nan"), 1.0)])
def test_a_range_that_is_none_is_told(low: float, high: float) -> None:
    with pytest.raises(InputErrors, match="is no range"):
        sweep("flow_stress_hollomon", GIVEN, "true_strain", low, high)


def test_the_usual_range_stays_inside_the_domain() -> None:
    low, high = usual_range("flow_stress_hollomon", "true_strain", 0.2)
    assert low == pytest.approx(0.1)
    assert high == pytest.approx(0.3)
    assert usual_range("flow_stress_hollomon", "n", 0.0)[0] >= -1.0
