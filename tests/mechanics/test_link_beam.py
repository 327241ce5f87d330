"""The pulled link: against finite elements, closed forms, and its own symmetries."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import CATALOGUE, ValidityWarning
from linkwright.mechanics import link_solver
from linkwright.mechanics.link_beam import prove_link, pull_link
from linkwright.mechanics.link_elastic import link_axial_stiffness
from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.link_strength import (
    link_breaking_force,
    link_pitch_before_proof,
    link_set_after_proof,
)
from linkwright.mechanics.section import settled
from linkwright.quantities import ArgumentError

LINK = LinkGeometry(8.0, 24.0, 26.8)
STEEL = SwiftCurve(1476.0, 0.06, 0.005)


@pytest.fixture(scope="module")
def pull():
    return pull_link(LINK, STEEL)


def test_force_agrees_with_finite_elements(pull):
    """Force at 2, 3 and 4 mm and the maximum lie within 3 per cent of a finite-element result.

    Reference (computed independently: two octants of links in contact, quadratic elements of
    a general-purpose code, frictionless): 65.5, 74.2, 78.5 kN; maximum 79.6 kN near 5 mm.
    No factor of the model was fitted to it.
    """
    force = np.interp([2.0, 3.0, 4.0], pull.extension_mm, pull.force_kN)
    np.testing.assert_allclose(force, [65.5, 74.2, 78.5], rtol=0.03)
    assert pull.peak.passed
    assert pull.peak.force_kN == pytest.approx(79.6, rel=0.03)
    assert 4.5 < pull.peak.extension_mm < 5.6


def test_friction_adds_a_few_per_cent(pull):
    """Friction 0.15 raises the maximum force by 3 to 6 per cent (about 6 in the reference)."""
    rubbed = pull_link(LINK, STEEL, friction_coefficient=0.15)
    assert 1.03 < rubbed.peak.force_kN / pull.peak.force_kN < 1.06


def test_steps_are_fine_enough(pull):
    """Four times as many steps change the maximum force by less than 0.7 per cent."""
    fine = pull_link(LINK, STEEL, steps=160)
    assert pull.peak.force_kN == pytest.approx(fine.peak.force_kN, rel=7e-3)


def test_small_loads_follow_the_thick_curved_bar(monkeypatch):
    """Without the pressure in the section, elastic strains are those of the closed form.

    Leg surfaces within 1 per cent; the outside of the crown within 10, as the station nearest
    to the apex stands 5 degrees beside it. The contact is some 6 degrees wide there.
    """

    def without_pressure(bar, state, trial, bend, pressure):
        return settled(bar, state, trial, bend, 0 * pressure)

    monkeypatch.setattr(link_solver, "settled", without_pressure)
    pull = pull_link(LINK, SwiftCurve(2e4, 0.06, 0.005), greatest_travel=0.02, steps=20)
    closed = link_axial_stiffness(
        wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8, contact_half_angle_deg=6.0
    )
    per_kN = 205e3 / pull.force_kN[8]
    for strain, stress, within in (
        (pull.leg_inside_strain, closed.leg_inside_stress_MPa, 0.01),
        (pull.leg_outside_strain, closed.leg_outside_stress_MPa, 0.01),
        (pull.crown_outside_strain, closed.crown_outside_stress_MPa, 0.10),
    ):
        assert strain[8] * per_kN == pytest.approx(stress, rel=within)


def test_a_member_alone_is_the_same_as_in_an_ensemble():
    """Every member of 32 at the ends of the ranges equals its single run to 1e-9."""
    rng = np.random.default_rng(4)
    sizes = [
        np.where(rng.random(32) < 0.5, low, high)
        for low, high in ((7.7, 8.3), (23.3, 24.7), (26.4, 27.2), (1330.0, 1620.0), (0.04, 0.08))
    ]
    together = pull_link(LinkGeometry(*sizes[:3]), SwiftCurve(sizes[3], sizes[4], 0.005), steps=20)
    for index in (0, 7, 31):
        wire, pitch, width, strength, exponent = (float(values[index]) for values in sizes)
        alone = pull_link(
            LinkGeometry(wire, pitch, width), SwiftCurve(strength, exponent, 0.005), steps=20
        )
        np.testing.assert_allclose(together.force_kN[:, index], alone.force_kN, rtol=1e-9)
        assert together.peak.force_kN[index] == pytest.approx(alone.peak.force_kN, rel=1e-9)


@settings(derandomize=True, max_examples=5, deadline=None)
@given(size=st.floats(0.3, 4.0), strength=st.floats(0.4, 2.0))
def test_force_scales_with_area_and_strength(size, strength):
    """A link `size` times as large, of stress and modulus `strength` times, is similar."""
    base = pull_link(LINK, STEEL, steps=15)
    other = pull_link(
        LinkGeometry(8.0 * size, 24.0 * size, 26.8 * size),
        SwiftCurve(1476.0 * strength, 0.06, 0.005, 205.0 * strength),
        steps=15,
    )
    assert other.peak.force_kN == pytest.approx(base.peak.force_kN * size**2 * strength, rel=1e-6)
    assert other.peak.extension_mm == pytest.approx(base.peak.extension_mm * size, rel=1e-5)


def test_efficiency_is_below_two_straight_bars(pull):
    """A link never carries two bars of its wire, and the leg strains less than the crown."""
    assert 0.6 < pull.efficiency < 0.8
    seen = np.isfinite(pull.greatest_strain)
    assert np.all(pull.greatest_strain[seen] >= pull.leg_inside_strain[seen])


def test_strength_follows_considere():
    """The tensile strength of the curve is the maximum of K (e0 + p)^n exp(-p)."""
    strain = np.linspace(0, 0.3, 300_001)
    highest = (1476.0 * (0.005 + strain) ** 0.06 * np.exp(-strain)).max()
    assert STEEL.tensile_strength_MPa == pytest.approx(highest, rel=1e-9)


def test_fracture_comes_before_the_maximum_when_the_steel_is_brittle(pull):
    """The breaking force is the least of maximum and fracture, and grows with the strain."""
    forces = [pull.breaking_force_kN(strain) for strain in (0.02, 0.05, 0.1, 0.2, 5.0)]
    assert np.all(np.diff(forces) > 0)
    assert forces[-1] == pull.peak.force_kN
    assert np.isnan(pull.fracture(5.0)[0])


def test_flatter_crowns_are_accepted_and_differ(pull):
    """A flatter crown gives another force; the semicircle is the default."""
    flat = pull_link(LinkGeometry(8.0, 24.0, 26.8, 11.0), STEEL)
    same = pull_link(LinkGeometry(8.0, 24.0, 26.8, 9.4), STEEL)
    assert same.peak.force_kN == pytest.approx(pull.peak.force_kN, rel=1e-9)
    assert 0.01 < abs(flat.peak.force_kN / pull.peak.force_kN - 1) < 0.2


def test_set_grows_with_the_proof_force():
    """The set grows with the force; unloading is stiffer than the first loading."""
    proof = prove_link(LINK, STEEL, np.array([10.0, 30.0, 45.0, 60.0]))
    assert np.all(np.diff(proof.permanent_set_mm) > 0)
    assert np.all(proof.permanent_set_mm < proof.extension_at_proof_mm)
    assert np.all(proof.unloading_stiffness_kN_per_mm > proof.first_stiffness_kN_per_mm)
    np.testing.assert_allclose(proof.residual_pitch_mm, 24.0 + proof.permanent_set_mm)


def test_reloading_returns_to_the_curve(pull):
    """After a proof the link breaks at the force of a link without one, within 0.5 per cent."""
    again = prove_link(LINK, STEEL, 50.0, then_break=True).reloading
    assert again.peak.force_kN == pytest.approx(pull.peak.force_kN, rel=5e-3)
    virgin = np.interp(3.0, pull.extension_mm, pull.force_kN)
    assert np.interp(3.0, again.extension_mm, again.force_kN) == pytest.approx(virgin, rel=1e-2)


def test_a_force_beyond_the_maximum_is_told():
    """A proof force that the link cannot bear gives nan, and an error in the calculation."""
    proof = prove_link(LINK, STEEL, np.array([50.0, 90.0]))
    assert list(np.isfinite(proof.permanent_set_mm)) == [True, False]
    with pytest.raises(ArgumentError, match="proof_force_kN"):
        link_set_after_proof(
            wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8,
            tensile_strength_MPa=1180.0, proof_force_kN=90.0,
        )  # fmt: skip


def test_pitch_before_proof_is_the_inverse():
    """Making the pitch that was asked for gives the wanted pitch after the proof."""
    case = {
        "wire_diameter_mm": np.array([8.0, 10.0]),
        "outer_width_mm": np.array([26.8, 33.5]),
        "tensile_strength_MPa": 1180.0,
        "proof_force_kN": np.array([50.3, 78.5]),
    }
    wanted = np.array([24.2, 30.4])
    pitch = link_pitch_before_proof(residual_pitch_mm=wanted, **case)
    after = link_set_after_proof(pitch_mm=pitch, **case)
    np.testing.assert_allclose(after.residual_pitch_mm, wanted, rtol=2e-6)


@pytest.mark.parametrize(
    ("sizes", "argument"),
    [
        ((8.0, 24.0, 23.0), "outer_width_mm"),
        ((8.0, 10.0, 26.8), "pitch_mm"),
        ((8.0, 24.0, 26.8, 5.0), "crown_radius_mm"),
        ((8.0, 24.0, 26.8, 16.0), "crown_radius_mm"),
    ],
)
def test_impossible_links_are_refused(sizes, argument):
    """A neighbour that does not fit, a missing leg, or a crown that cannot be, is an error."""
    with pytest.raises(ArgumentError, match=argument):
        LinkGeometry(*sizes)


def test_calculations_are_in_the_catalogue_and_warn():
    """The calculations can be called by name; strong hardening is outside the tested range."""
    names = ("link_breaking_force", "link_set_after_proof", "link_pitch_before_proof")
    assert all(name in CATALOGUE for name in (*names, "link_axial_stiffness"))
    with pytest.warns(ValidityWarning, match="hardening_exponent"):
        link_breaking_force(
            wire_diameter_mm=8.0, pitch_mm=24.0, outer_width_mm=26.8,
            tensile_strength_MPa=600.0, hardening_exponent=0.3,
        )  # fmt: skip
