"""The radial heat solver against exact solutions, balances, and itself member by member."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

from linkwright.mechanics.radial_heat import (
    Convection,
    MetalTable,
    NoLoss,
    PrescribedFlux,
    RadialGrid,
    TabulatedConvection,
    graded_fractions,
)
from linkwright.mechanics.radial_steps import march
from linkwright.processes.models.steel_tables import heated_steel, quenched_steel
from linkwright.quantities import ArgumentError

K, C, RHO, RADIUS = 30.0, 600.0, 7850.0, 0.004
DIFFUSIVITY = K / (RHO * C)
GRID = np.arange(0.0, 1401.0)


@pytest.fixture(scope="module")
def even_metal():
    return MetalTable.of(GRID, np.full(GRID.size, C), np.full(GRID.size, K), RHO)


def cooled(metal, loss, *, nodes=41, steps=80, duration=1.0, start=900.0, members=1, **more):
    heat = np.array(np.broadcast_to(metal.heat_at(start), (nodes, members)))
    return march(
        metal,
        RadialGrid.of(nodes),
        radius_m=more.pop("radius", RADIUS),
        start_heat_J_per_m3=heat,
        duration_s=duration,
        fractions=graded_fractions(steps, more.pop("power", 1.5)),
        loss=loss,
        **more,
    )


def bessel_series(biot, fourier, position, terms=60):
    """Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed., 7.7."""
    lows = np.concatenate(([0.0], jn_zeros(1, terms - 1)))
    total = 0.0
    for low, high in zip(lows, jn_zeros(0, terms), strict=True):
        z = brentq(lambda z: z * j1(z) - biot * j0(z), low + 1e-12, high)
        weight = 2.0 * j1(z) / (z * (j0(z) ** 2 + j1(z) ** 2))
        total += weight * j0(z * position) * np.exp(-z * z * fourier)
    return total


@pytest.mark.parametrize("biot", [0.1, 0.5, 1.0, 2.0, 5.0, 10.0])
@pytest.mark.parametrize(("nodes", "steps", "rtol"), [(41, 80, 1e-3), (17, 48, 4e-3)])
def test_cooling_agrees_with_the_bessel_series(even_metal, biot, nodes, steps, rtol):
    """Single bars of 41 nodes stay within 0.1 % of the series at all depths, of 17 in 0.4 %."""
    fourier = {0.1: 3.0, 0.5: 1.0}.get(biot, 0.4)
    loss = Convection(biot * K / RADIUS, 0.0)
    history = cooled(
        even_metal, loss, nodes=nodes, steps=steps, duration=fourier * RADIUS**2 / DIFFUSIVITY
    )
    for position in (0.0, 0.5, 1.0):
        obtained = history.temperature_degC(position)[-1, 0] / 900.0
        assert obtained == pytest.approx(bessel_series(biot, fourier, position), rel=rtol)


@pytest.mark.parametrize(
    ("biot", "fourier", "theta"),
    [(0.1, 1.0, 0.843), (0.5, 0.5, 0.7157), (1.0, 0.5, 0.5486), (2.0, 0.3, 0.6193),
     (5.0, 0.2, 0.6714), (10.0, 0.2, 0.6002)],
)  # fmt: skip
def test_centre_agrees_with_the_tabulated_series(even_metal, biot, fourier, theta):
    """Centre values of the series (Carslaw and Jaeger, 40 terms) are met to 5e-4."""
    loss = Convection(biot * K / RADIUS, 0.0)
    history = cooled(even_metal, loss, duration=fourier * RADIUS**2 / DIFFUSIVITY)
    assert history.temperature_degC(0.0)[-1, 0] / 900.0 == pytest.approx(theta, abs=5e-4)


def test_error_falls_with_the_square_of_space_and_time_steps(even_metal):
    """Halving spacing and steps together divides the error of the centre by about four."""
    exact = 900.0 * bessel_series(2.0, 0.3, 0.0)
    errors = []
    for nodes, steps in ((9, 10), (17, 20), (33, 40)):
        history = cooled(
            even_metal, Convection(2.0 * K / RADIUS, 0.0), nodes=nodes, steps=steps,
            duration=0.3 * RADIUS**2 / DIFFUSIVITY, power=1.0,
        )  # fmt: skip
        errors.append(abs(history.temperature_degC(0.0)[-1, 0] - exact))
    assert errors[0] / errors[1] > 3.0
    assert errors[1] / errors[2] > 3.0


def test_steady_source_gives_the_parabola(even_metal):
    """Even heat q in a bar with a held surface ends at Ts + q (R2 - r2)/(4 k)."""
    density = 2.0e7

    def source(heat):
        volume = 2.0 * RadialGrid.of(21).volume[:, None] * np.pi * RADIUS**2
        return density * volume + np.zeros_like(heat), np.zeros_like(heat)

    history = cooled(
        even_metal, Convection(1e7, 100.0), nodes=21, duration=20.0, start=100.0, source=source
    )
    rise = history.temperature_degC(0.0)[-1, 0] - history.temperature_degC(1.0)[-1, 0]
    assert rise == pytest.approx(density * RADIUS**2 / (4.0 * K), rel=1e-3)


def test_prescribed_flux_is_kept_exactly():
    """The heat gained through the peak of c equals flux times surface times time to 1e-10."""
    flux, duration = 8.0e5, 6.0
    history = cooled(
        heated_steel(), PrescribedFlux(-flux), nodes=21, steps=60, duration=duration, start=500.0
    )
    expected = 2.0 * np.pi * RADIUS * flux * duration
    assert history.heat_gained_J_per_m()[0] == pytest.approx(expected, rel=1e-10)
    assert history.mean_temperature_degC()[-1, 0] > 735.0


def test_insulated_bar_keeps_its_heat_and_evens_out():
    """Without loss the heat of an uneven bar stays and its surface and centre meet."""
    metal, grid = heated_steel(), RadialGrid.of(17)
    start = metal.heat_at(np.linspace(650.0, 950.0, 17))[:, None]
    history = march(
        metal, grid, radius_m=RADIUS, start_heat_J_per_m3=start, duration_s=30.0,
        fractions=graded_fractions(40), loss=NoLoss(),
    )  # fmt: skip
    assert history.heat_gained_J_per_m()[0] == pytest.approx(0.0, abs=1e-6)
    ends = history.end_temperature_degC()
    assert np.ptp(ends) < 0.5


@pytest.mark.parametrize("metal", [heated_steel(), quenched_steel()])
def test_heat_lost_agrees_with_the_surface_flux(metal):
    """The heat out of the section equals the time integral of the flux within 0.5 %."""
    history = cooled(metal, Convection(2500.0, 25.0, 0.8), steps=120, duration=5.0)
    gained, lost = history.heat_gained_J_per_m()[0], history.heat_lost_J_per_m()[0]
    assert -gained == pytest.approx(lost, rel=5e-3)


def test_every_member_equals_its_single_run():
    """Members of an ensemble differ from their single runs by less than 1e-9 relative."""
    rng = np.random.default_rng(7)
    count = 37
    radius = RADIUS * (1 + 0.2 * rng.uniform(-1, 1, count))
    start = 900.0 + 60.0 * rng.uniform(-1, 1, count)
    h = 10.0 ** rng.uniform(2.5, 4.2, count)
    duration = rng.uniform(1.0, 6.0, count)
    metal = heated_steel()
    whole = cooled(
        metal, Convection(h, 20.0, 0.8), nodes=21, steps=50, duration=duration, start=start,
        members=count, radius=radius,
    )  # fmt: skip
    for member in range(count):
        alone = cooled(
            metal, Convection(h[member], 20.0, 0.8), nodes=21, steps=50,
            duration=duration[member], start=start[member], radius=radius[member],
        )  # fmt: skip
        for position in (0.0, 0.5, 1.0):
            np.testing.assert_allclose(
                whole.heat_J_per_m3[position][:, member],
                alone.heat_J_per_m3[position][:, 0],
                rtol=1e-9,
            )
        np.testing.assert_allclose(
            whole.time_at(0.5, 700.0)[member], alone.time_at(0.5, 700.0)[0], rtol=1e-9
        )


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    coefficient=st.floats(1.0, 30000.0),
    start=st.floats(300.0, 1200.0),
    ambient=st.floats(0.0, 60.0),
    diameter_mm=st.floats(4.0, 40.0),
    duration=st.floats(0.05, 30.0),
)
def test_cooling_stays_between_start_and_surroundings(
    coefficient, start, ambient, diameter_mm, duration
):
    """With 40 steps through the peak of c, no temperature leaves the given bounds by 2 %."""
    history = cooled(
        heated_steel(), Convection(coefficient, ambient), nodes=17, steps=40, duration=duration,
        start=start, radius=diameter_mm * 5e-4, keep_field=True, power=2.0,
    )  # fmt: skip
    field = heated_steel().temperature_at(history.field_J_per_m3)
    span = start - ambient
    assert field.max() <= start + 0.01 * span
    assert field.min() >= ambient - 0.02 * span


def test_same_equations_integrated_by_an_implicit_library_method_agree():
    """The end temperatures equal those of scipy's BDF on the same volumes within 0.3 K."""
    metal, grid, h, ambient, duration = quenched_steel(), RadialGrid.of(41), 3000.0, 25.0, 3.0

    def derivative(_, heat):
        phi = metal.potential_at_zero.take(
            cell := (heat * metal.cells_per_heat).astype(int), mode="clip"
        ) + heat * metal.potential_slope.take(cell, mode="clip")
        flow = grid.link * np.diff(phi)
        balance = np.concatenate((flow, [0.0])) - np.concatenate(([0.0], flow))
        balance[-1] -= RADIUS * h * (metal.temperature_at(heat[-1:])[0] - ambient)
        return balance / (grid.volume * RADIUS**2)

    start = np.full(41, float(metal.heat_at(900.0)))
    peer = solve_ivp(derivative, (0.0, duration), start, method="BDF", rtol=1e-7, atol=1e2)
    ours = cooled(metal, Convection(h, ambient), steps=160, duration=duration)
    expected = metal.temperature_at(peer.y[:, -1])
    np.testing.assert_allclose(ours.end_temperature_degC()[:, 0], expected, atol=0.3)


def test_crossings_are_interpolated_between_steps(even_metal):
    """Time and rate at a temperature of a thin bar follow the lumped solution."""
    h, radius = 200.0, 0.001
    constant = RHO * C * radius / (2.0 * h)
    history = cooled(
        even_metal, Convection(h, 0.0), nodes=9, steps=40, duration=2 * constant, radius=radius
    )
    assert history.time_at(0.5, 500.0)[0] == pytest.approx(constant * np.log(1.8), rel=4e-3)
    assert history.cooling_rate_at(0.5, 500.0)[0] == pytest.approx(500.0 / constant, rel=8e-3)
    assert np.isnan(history.time_at(0.5, 5.0)[0])


def test_boiling_curve_by_table_equals_the_same_number_everywhere(even_metal):
    """A table with one coefficient cools like the plain coefficient; factors multiply it."""
    table = TabulatedConvection(np.array([0.0, 500.0, 1000.0]), np.full(3, 1500.0), 20.0, 2.0)
    by_table = cooled(even_metal, table).temperature_degC(1.0)
    plain = cooled(even_metal, Convection(3000.0, 20.0)).temperature_degC(1.0)
    np.testing.assert_allclose(by_table, plain, rtol=1e-12)


def test_falling_boiling_curve_is_stable():
    """A transition from film to nucleate boiling, steep and falling, is passed smoothly."""
    grid = np.array([0.0, 100.0, 250.0, 500.0, 1000.0])
    loss = TabulatedConvection(grid, np.array([2e3, 8e3, 2e4, 1.5e3, 5e2]), 30.0)
    coarse = cooled(quenched_steel(), loss, nodes=17, steps=48, duration=8.0)
    fine = cooled(quenched_steel(), loss, nodes=41, steps=800, duration=8.0)
    for level in (700.0, 500.0):
        assert coarse.time_at(0.0, level) == pytest.approx(fine.time_at(0.0, level), rel=0.02)
    assert np.all(np.diff(coarse.mean_temperature_degC(), axis=0) < 0.0)


def test_heat_content_round_trips_and_matches_its_capacity():
    """T(H(T)) returns T within 1e-6 K, and dH/dT is rho c away from the sharp peak."""
    metal = heated_steel()
    t = np.linspace(-20.0, 1500.0, 977)
    np.testing.assert_allclose(metal.temperature_at(metal.heat_at(t)), t, atol=1e-6)
    t = np.array([100.0, 400.0, 650.0, 1000.0])
    slope = (metal.heat_at(t + 2.0) - metal.heat_at(t - 2.0)) / 4.0
    np.testing.assert_allclose(slope, metal.capacity_at(t), rtol=2e-3)


@pytest.mark.parametrize("nodes", [4, 16, 18, 3])
def test_grid_refuses_counts_without_quarter_nodes(nodes):
    """Only 4 n + 1 nodes put nodes at the quarters of the radius."""
    with pytest.raises(ArgumentError):
        RadialGrid.of(nodes)


def test_metal_refuses_impossible_tables():
    """A falling grid or a conductivity of zero is refused with the argument's name."""
    ones = np.ones(3)
    with pytest.raises(ArgumentError, match="temperature_degC"):
        MetalTable.of(np.array([0.0, 2.0, 1.0]), ones, ones, RHO)
    with pytest.raises(ArgumentError, match="conductivity"):
        MetalTable.of(np.array([0.0, 1.0, 2.0]), ones, 0 * ones, RHO)
