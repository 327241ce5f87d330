"""Bearing of the neighbour's wire against Hertz and the limits of indentation."""

import numpy as np
import pytest

from linkwright.mechanics.link_contact import (
    bearing_pressure,
    fresh_bearing,
    law,
    line_load,
    loaded,
    rebased,
)


def patch(overlap: float, curvature: float, elastic: float, prestrain: float):
    """A parabolic patch of given overlap at the apex, points over its half width."""
    half_width = np.sqrt(2 * overlap / curvature)
    place, weight = np.polynomial.legendre.leggauss(40)
    place, weight = (1 + place[::-1]) / 2 * half_width, weight[::-1] / 2 * half_width
    bearing = fresh_bearing(np.array([curvature]), len(place))
    bearing = bearing._replace(half_width=np.array([half_width]))
    one = np.ones(1)
    present = law(bearing, elastic * one, prestrain * one, 0.06 * one)
    return place, weight, bearing, present


def test_light_contact_is_hertzian():
    """Far below yield the load is 4/3 E* sqrt(R) overlap^1.5 (Johnson, eq. 4.23)."""
    overlap, curvature, elastic = 1e-6, 0.5, 100.0
    place, weight, bearing, present = patch(overlap, curvature, elastic, 0.2)
    depth = overlap - curvature * place**2 / 2
    load, _, _ = line_load(bearing, present, depth[None])
    # the load per centre-line length counts half a bearing length; both halves of the patch
    total = 2 * 2 * float((load[0] * weight).sum())
    modulus = elastic / (2 * (1 - 0.3**2))
    assert total == pytest.approx(4 / 3 * modulus * np.sqrt(1 / curvature) * overlap**1.5, rel=0.02)


def test_pressure_stays_between_first_yield_and_full_flow():
    """The mean pressure rises from 1.1 to 3 yield stresses with the sharpness."""
    pressure = bearing_pressure(np.array([0.1, 2.0, 10.0, 30.0, 1e4]))
    assert pressure[0] == 1.1
    assert pressure[-1] == 3.0
    assert np.all(np.diff(pressure) >= 0)


def test_slope_is_the_derivative():
    """The slope of the line load agrees with central differences, loading and unloading."""
    _, _, bearing, present = patch(0.02, 0.5, 140.0, 0.005)
    deep = np.full(bearing.overlap.shape, 0.03)
    bearing = rebased(bearing._replace(overlap=0 * deep + 0.025), present)
    for overlap in (deep, 0 * deep + 0.024):
        _, slope, _ = line_load(bearing, present, overlap)
        high, low = (line_load(bearing, present, overlap + s * 1e-7)[0] for s in (1, -1))
        np.testing.assert_allclose(slope, (high - low) / 2e-7, rtol=1e-5)


def test_unloading_leaves_an_indentation():
    """A deep contact loses its load before the overlap is gone; a light one does not."""
    for overlap, low, high in ((0.05, 0.3, 1.0), (1e-6, 0.0, 0.05)):
        place, _, bearing, present = patch(overlap, 0.5, 140.0, 0.005)
        depth = (overlap - 0.25 * place**2)[None]
        bearing = rebased(loaded(bearing, depth, 2 * place[None], np.array([True])), present)
        shares = np.linspace(0, 1, 101)[:, None]
        last = bearing.overlap[:, -1:]
        trials = shares * last + 0 * place
        many = bearing._replace(
            **{name: np.repeat(getattr(bearing, name), 101, 0) for name in bearing._fields}
        )
        load, _, _ = line_load(many, present, trials)
        left = shares[np.argmax(load[:, -1] > 0), 0]
        assert low <= left <= high
