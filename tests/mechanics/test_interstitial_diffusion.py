"""Carbon through the surface: exact solutions, mass, order, members."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import erfc, erfcx

from linkwright.mechanics.conduction import cylinder_temperature
from linkwright.mechanics.interstitial_diffusion import (
    GasStage,
    Layer,
    exponential_law,
    soak_in_gas,
)
from linkwright.quantities import ArgumentError

D, TIME = 1.5e-5, 7200.0


def _plane_miss(nodes: int, steps: int, beta: float = 1e3) -> float:
    """Greatest distance from the solution for a half space, as share of the jump."""
    layer = Layer.of(10.0, 0.0, flat=True, nodes=nodes)
    made = soak_in_gas(layer, [0.0], [GasStage(TIME, D, 0.0, 1.0, beta, steps=steps)])
    root = np.sqrt(D * TIME)
    z = layer.depth_mm()[0] / (2.0 * root)
    exact = erfc(z) - np.exp(-(z**2)) * erfcx(z + beta / D * root)
    return float(np.abs(made.content[0][::-1] - exact).max())


@pytest.mark.parametrize("beta", [1e3, 1.5e-4])
def test_constant_diffusivity_is_the_error_function(beta: float) -> None:
    """Fixed surface and transfer (Carslaw & Jaeger, 2nd ed., Sec. 2.7): 0.1 % of the jump."""
    assert _plane_miss(41, 16, beta) < 1e-3


def test_second_order() -> None:
    """Half the spacing and the step: a quarter of the error."""
    misses = [_plane_miss(nodes, steps) for nodes, steps in ((21, 8), (41, 16), (81, 32))]
    for coarse, fine in itertools.pairwise(misses):
        assert np.log2(coarse / fine) == pytest.approx(2.0, abs=0.15)


def test_carburising_example_callister() -> None:
    """0.25 % steel, surface 1.20 %, D 1.6e-11 m2/s: 0.80 % at 0.50 mm after 25 400 s.

    W. D. Callister, Materials Science and Engineering, 7th ed., Example Problem 5.2 (memory).
    """
    layer = Layer.of(20.0, 0.0, flat=True, nodes=81)
    gas = GasStage(25400.0, 1.6e-5, 0.0, 1.20, 1e3, steps=32)
    made = soak_in_gas(layer, [0.25], [gas]).content[0][::-1]
    assert np.interp(0.50, layer.depth_mm()[0], made) == pytest.approx(0.80, abs=0.004)


def test_round_bar_is_the_series_of_bessel_functions() -> None:
    """The same equation as heat in a cylinder with a surface coefficient."""
    beta, radius, time = 1.5e-4, 2.0, 30000.0
    layer = Layer.of(radius, 0.0, flat=False)
    made = soak_in_gas(layer, [0.0], [GasStage(time, D, 0.0, 1.0, beta)])
    theta = cylinder_temperature(
        biot=beta * radius / D,
        fourier=D * time / radius**2,
        radius_ratio=layer.position_mm[0] / radius,
    )
    assert 1.0 - made.content[0] == pytest.approx(np.asarray(theta), abs=1e-3)


def test_a_thin_tube_is_a_plate_in_gas_on_both_faces() -> None:
    """1 mm of wall at 200 mm radius against a plate of 1 mm: curvature is 1 in 400."""
    gas = GasStage(TIME, D, 1.0, 1.0, 1.3e-4, steps=24)
    tube = Layer.of(200.0, 199.0, flat=False, nodes=81)
    plate = Layer.of(0.5, 0.0, flat=True, nodes=81)
    around = soak_in_gas(tube, [0.2], [gas])
    half = soak_in_gas(plate, [0.2], [gas])
    assert around.content[0][-1] == pytest.approx(half.content[0][-1], abs=1e-3)
    assert around.content[0][40] == pytest.approx(half.content[0][0], abs=1e-3)


def test_a_closed_bore_lets_nothing_in() -> None:
    """Without transfer at the bore less goes in, and the bore stays leaner than the outside."""
    layer = Layer.of(5.5, 4.2, flat=False)
    both, outside = (
        soak_in_gas(layer, [0.2], [GasStage(TIME, D, 1.0, 1.0, 1.3e-4, share)])
        for share in (1.0, 0.0)
    )
    assert outside.content[0][0] < outside.content[0][-1]
    assert 1.7 < both.uptake[0] / outside.uptake[0] < 2.1


@settings(max_examples=15, derandomize=True, deadline=None)
@given(
    outer=st.floats(0.5, 20.0),
    bore=st.sampled_from([0.0, 0.3, 0.8]),
    exponent=st.floats(-1.0, 2.0),
    gas=st.floats(0.0, 1.4),
    hours=st.floats(0.0, 20.0),
)
def test_mass_is_kept(outer: float, bore: float, exponent: float, gas: float, hours: float) -> None:
    """What the metal gained is what went through its surfaces, also where it loses carbon."""
    layer = Layer.of(outer, bore * outer, flat=False)
    stages = [GasStage(hours * 3600.0, 8e-6, exponent, gas, 1.3e-4, steps=6),
              GasStage(600.0, 4e-6, exponent, 0.5, 1.3e-4, steps=4)]  # fmt: skip
    made = soak_in_gas(layer, [0.4], stages)
    gained = (layer.volume * (made.content - 0.4)).sum() / layer.outer_area[0]
    assert gained == pytest.approx(made.uptake[0], abs=1e-12 + 1e-10 * abs(gained))
    assert made.content.min() >= min(0.4, gas, 0.5) - 1e-3
    assert made.content.max() <= max(0.4, gas, 0.5) + 1e-3


def test_members_do_not_feel_each_other() -> None:
    """Each of four members is its own run."""
    sizes, times = np.array([2.0, 4.0, 6.0, 9.0]), np.array([3600.0, 0.0, 9000.0, 20000.0])
    potentials = np.array([1.0, 0.8, 1.1, 0.9])
    whole = soak_in_gas(
        Layer.of(sizes, 0.0, flat=False), [0.2] * 4,
        [GasStage(times, 8.4e-6, 1.17, potentials, 1.3e-4)],
    )  # fmt: skip
    for at in range(4):
        one = soak_in_gas(
            Layer.of(sizes[at], 0.0, flat=False), [0.2],
            [GasStage(times[at], 8.4e-6, 1.17, potentials[at], 1.3e-4)],
        )  # fmt: skip
        assert whole.content[at] == pytest.approx(one.content[0], abs=1e-12)
    assert whole.content[1] == pytest.approx(0.2, abs=1e-15)


def test_law_through_two_contents() -> None:
    """An exponential law comes back."""
    a, b = exponential_law(lambda c: 3.0 * np.exp(1.2 * c), 0.2, 1.0)
    assert (a, b) == (pytest.approx(3.0), pytest.approx(1.2))


def test_a_bore_as_wide_as_the_body_is_refused() -> None:
    """There is no metal between."""
    with pytest.raises(ArgumentError, match="below the outer size"):
        Layer.of(4.0, 4.0, flat=False)
