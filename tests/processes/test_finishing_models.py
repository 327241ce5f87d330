"""Sums of marking, finishing and zinc."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.processes.models.marks import mark_depth, mark_force, mark_section_loss
from linkwright.processes.models.oil_film import drained_film, draining_time, film_mass
from linkwright.processes.models.surface import (
    blast_coverage,
    blast_time,
    diameter_after_loss,
    diameter_before_loss,
    surface_of_chain,
)
from linkwright.processes.models.zinc import plated_zinc, zinc_mass, zinc_plating_time
from linkwright.quantities import ArgumentError
from linkwright.standards.hot_dip_zinc import hot_dip_zinc
from linkwright.standards.hydrogen_relief import hydrogen_relief_time

few = settings(derandomize=True, max_examples=25, deadline=None)


@pytest.mark.parametrize(
    ("strength", "hours"),
    [(1001.0, 8.0), (1100.0, 8.0), (1101.0, 10.0), (1250.0, 12.0), (1301.0, 14.0), (1401.0, 16.0),
     (1600.0, 18.0), (1700.0, 20.0), (1800.0, 22.0)],
    ids=lambda one: f"{one:g}",
)  # fmt: skip
def test_hours_of_the_bake_b850_table_1(strength: float, hours: float) -> None:
    """ASTM B850-98 (2009), Table 1, as reprinted in a plater's public chart."""
    assert hydrogen_relief_time(tensile_strength_MPa=strength) == hours


def test_the_rule_ends_where_its_table_ends() -> None:
    """None at 1000 MPa; above 1800 MPa an error that says where it ends."""
    assert list(hydrogen_relief_time(tensile_strength_MPa=[900.0, 1000.0])) == [0.0, 0.0]
    with pytest.raises(ArgumentError, match="at most 1800 MPa"):
        hydrogen_relief_time(tensile_strength_MPa=1900.0)


@pytest.mark.parametrize(
    ("thickness", "mean_um", "mass"),
    [(8.0, 85.0, 610.0), (6.0, 70.0, 505.0), (3.0, 55.0, 395.0), (1.5, 55.0, 395.0),
     (1.0, 45.0, 325.0)],
)  # fmt: skip
def test_hot_dip_zinc_iso_1461_table_3(thickness: float, mean_um: float, mass: float) -> None:
    """EN ISO 1461:2009, Table 3; its mass is the thickness times 7.2 g/cm3, rounded to 5."""
    row = hot_dip_zinc(steel_thickness_mm=thickness)
    assert (row.mean_thickness_um, row.mean_mass_g_per_m2) == (mean_um, mass)
    assert zinc_mass(zinc_thickness_um=mean_um) == pytest.approx(mass, abs=2.5)


def test_zinc_of_an_ampere_hour() -> None:
    """Electrochemical equivalent of zinc, 1.220 g/Ah (handbooks)."""
    hour = plated_zinc(plating_time_min=60.0, current_density_A_per_dm2=1.0, current_efficiency=1.0)
    assert hour.zinc_mass_g_per_m2 / 100.0 == pytest.approx(1.220, abs=0.001)


@few
@given(um=st.floats(1.0, 60.0), density=st.floats(0.3, 5.0), share=st.floats(0.2, 1.0))
def test_plating_there_and_back(um: float, density: float, share: float) -> None:
    """The time for a thickness gives that thickness."""
    bath = {"current_density_A_per_dm2": density, "current_efficiency": share}
    time = zinc_plating_time(zinc_thickness_um=um, **bath)
    assert plated_zinc(plating_time_min=time, **bath).zinc_thickness_um == pytest.approx(um)


def test_passes_of_blasting_add_as_sae_j443_has_it() -> None:
    """SAE J443: coverage of n passes is 1 - (1 - C)^n of one."""
    shot = {"indent_diameter_mm": 0.2, "impacts_per_mm2_per_min": 5.0}
    one, six = (float(blast_coverage(time_min=t, **shot)) / 100.0 for t in (2.0, 12.0))
    assert six == pytest.approx(1.0 - (1.0 - one) ** 6)


@few
@given(cover=st.floats(1.0, 99.9), dent=st.floats(0.05, 1.0), rate=st.floats(0.1, 50.0))
def test_coverage_there_and_back(cover: float, dent: float, rate: float) -> None:
    """The time for a coverage gives that coverage."""
    shot = {"indent_diameter_mm": dent, "impacts_per_mm2_per_min": rate}
    time = blast_time(coverage_percent=cover, **shot)
    assert blast_coverage(time_min=time, **shot) == pytest.approx(cover)


def test_random_impacts_cover_what_the_equation_says() -> None:
    """Discs thrown at random on a square that closes on itself leave the share exp(-n a)."""
    rng = np.random.default_rng(7)
    points, radius, hits = rng.random((4000, 2)), 0.03, rng.random((600, 2))
    away = np.abs(points[:, None, :] - hits[None, :, :])
    away = np.minimum(away, 1.0 - away)
    seen = np.mean(np.any(np.hypot(away[..., 0], away[..., 1]) < radius, axis=1))
    expected = blast_coverage(
        indent_diameter_mm=2.0 * radius, impacts_per_mm2_per_min=600.0, time_min=1.0
    )
    assert 100.0 * seen == pytest.approx(float(expected), abs=2.5)


@few
@given(depth=st.floats(0.01, 1.0), hv=st.floats(120.0, 700.0), angle=st.floats(60.0, 140.0))
def test_marks_there_and_back(depth: float, hv: float, angle: float) -> None:
    """The force for a depth makes that depth."""
    stamp = {"hardness_HV": hv, "stroke_length_mm": 15.0, "stamp_angle_deg": angle}
    force = mark_force(mark_depth_mm=depth, **stamp)
    assert mark_depth(mark_force_kN=force, **stamp) == pytest.approx(depth)


@pytest.mark.parametrize(("depth", "percent"), [(0.0, 0.0), (4.0, 50.0), (8.0, 100.0)])
def test_a_mark_takes_half_the_section_at_half_the_depth(depth: float, percent: float) -> None:
    """Segments of a circle of 8 mm: none, half, all."""
    found = mark_section_loss(mark_depth_mm=depth, wire_diameter_mm=8.0)
    assert float(found) == pytest.approx(percent, abs=1e-9)


def test_a_ring_of_wire_has_the_surface_of_a_torus() -> None:
    """Pi d times centre line is the torus, 4 pi² R r, and holds for any link by Pappus."""
    found = surface_of_chain(
        wire_diameter_mm=8.0, centreline_length_mm=math.pi * 30.0, pitch_mm=1000.0
    )
    assert found * 1e6 == pytest.approx(4.0 * math.pi**2 * 15.0 * 4.0)


@few
@given(d=st.floats(1.0, 60.0), loss=st.floats(0.0, 200.0))
def test_loss_there_and_back(d: float, loss: float) -> None:
    """A bar that is thicker by the loss has the diameter after it."""
    before = diameter_before_loss(wire_diameter_mm=d, surface_loss_g_per_m2=loss)
    after = diameter_after_loss(wire_diameter_mm=before, surface_loss_g_per_m2=loss)
    assert after == pytest.approx(d)


@few
@given(mass=st.floats(0.5, 20.0), viscosity=st.floats(2.0, 200.0))
def test_a_film_drains_to_the_mass_wanted(mass: float, viscosity: float) -> None:
    """The time for a mass on a square metre leaves that mass, where the lifted film was thicker."""
    wall = {
        "oil_viscosity_mPa_s": viscosity, "draining_length_m": 0.04, "oil_density_kg_per_m3": 860.0,
    }  # fmt: skip
    time = draining_time(film_mass_g_per_m2=mass, **wall)
    film = drained_film(draining_time_s=time, **wall)
    left = film_mass(dipped_film_um=1e6, drained_film_um=film, oil_density_kg_per_m3=860.0)
    assert left == pytest.approx(mass)
