"""Sizes of the jack link: closed geometry, both ways."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.processes.models import jack_link as link
from linkwright.quantities import ArgumentError
from linkwright.standards.jack import jack_chain_blank_radial, jack_chain_wire

FEW = settings(derandomize=True, max_examples=40, deadline=None)


@FEW
@given(st.floats(1.0, 6.0), st.floats(1.8, 4.0), st.floats(0.0, 3.0))
def test_sizes_are_the_inverse_of_the_published_blank(d: float, eye: float, spare: float) -> None:
    """The neck for a pitch gives that pitch back through the formula of two full eyes."""
    pitch = 2.0 * d * eye + d + spare
    made = link.jack_link_sizes(wire_diameter_mm=d, eye_inner_diameter_mm=d * eye, pitch_mm=pitch)
    back = jack_chain_blank_radial(
        wire_diameter_mm=d,
        eye_mean_diameter_mm=made.eye_mean_diameter_mm,
        neck_length_mm=made.neck_length_mm,
    )
    assert back.pitch_mm == pytest.approx(pitch, rel=1e-12)


def test_a_pitch_too_short_for_two_eyes_is_refused() -> None:
    """Two whole eyes and no neck are the shortest link."""
    with pytest.raises(ArgumentError, match="two whole eyes"):
        link.jack_link_sizes(wire_diameter_mm=2.0, eye_inner_diameter_mm=5.0, pitch_mm=11.9)


@FEW
@given(st.floats(1.0, 6.0), st.floats(2.5, 5.0), st.floats(0.0, 0.9))
def test_gap_and_wire_of_an_eye_are_inverse(d: float, ratio: float, gap: float) -> None:
    """The wire cut for a gap leaves that gap."""
    eye = {"wire_diameter_mm": d, "eye_mean_diameter_mm": ratio * d}
    wire = link.jack_eye_wire(gap_mm=gap * d, **eye)
    assert link.jack_eye_gap(eye_wire_mm=wire, **eye) == pytest.approx(gap * d, abs=1e-9)


def test_an_eye_without_gap_to_the_middle_of_the_neck_is_a_full_circle() -> None:
    """The published blank of two full eyes is the limit at a gap of minus half a wire."""
    closed = link.jack_eye_gap(
        wire_diameter_mm=2.68, eye_mean_diameter_mm=9.0, eye_wire_mm=np.pi * 9.0
    )
    assert closed == pytest.approx(-1.34, abs=1e-9)


def test_more_wire_closes_the_gap() -> None:
    """A longer cut makes both gaps smaller; a shift of the feed moves them apart."""
    wires = link.jack_eye_wires(cut_length_mm=59.0, neck_length_mm=6.0, feed_shift_mm=0.1)
    gaps = [
        link.jack_eye_gap(wire_diameter_mm=2.68, eye_mean_diameter_mm=9.0, eye_wire_mm=one)
        for one in wires
    ]
    assert sum(wires) == pytest.approx(53.0)
    assert gaps[1] - gaps[0] == pytest.approx(0.2, rel=0.05)


@FEW
@given(st.floats(1.0, 6.0), st.floats(2.6, 5.0), st.floats(0.01, 0.5))
def test_the_open_c_lets_the_wire_in(d: float, ratio: float, play: float) -> None:
    """The angle for a mouth gives that mouth."""
    eye = {"wire_diameter_mm": d, "eye_mean_diameter_mm": ratio * d}
    angle = link.c_bend_angle(opening_mm=d * (1.0 + play), **eye)
    assert 180.0 <= angle < 360.0
    mouth = link.c_bend_opening(bend_angle_deg=angle, **eye)
    assert mouth == pytest.approx(d * (1.0 + play), rel=1e-9)


def test_springback_of_factor_one_is_the_theory() -> None:
    """The works' factor scales what springs back, not the finger."""
    sizes = {"loaded_radius_mm": 4.4, "mean_radius_mm": 4.5, "wire_diameter_mm": 2.6}
    assert link.formed_eye(**sizes).eye_mean_diameter_mm == pytest.approx(9.0)
    assert link.formed_eye(springback_factor=2.0, **sizes).eye_mean_radius_mm == pytest.approx(4.6)


def test_the_wider_eye_counts() -> None:
    """Greatest diameter and greatest gap, member by member."""
    wider = link.wider_eye(
        first_eye_mean_diameter_mm=np.array([9.0, 9.2]),
        second_eye_mean_diameter_mm=9.1,
        first_gap_mm=0.4,
        second_gap_mm=np.array([0.3, 0.5]),
    )
    assert wider.eye_mean_diameter_mm == pytest.approx([9.1, 9.2])
    assert wider.gap_mm == pytest.approx([0.4, 0.5])


def test_mass_of_number_12_is_near_what_the_trade_lists() -> None:
    """80 lb for 1000 ft of No. 12 (a dealer's data sheet, 2018, 0.105 in wire), within 5 %.

    Pitch and eye are the ratios of the invented works, so this holds proportions, not a size.
    """
    from linkwright.processes.models.link_geometry import wire_mass
    from linkwright.processes.models.packages import chain_mass

    d = float(jack_chain_wire(steel_wire_gauge="12"))
    sizes = link.jack_link_sizes(
        wire_diameter_mm=d, eye_inner_diameter_mm=2.35 * d, pitch_mm=8.0 * d
    )
    eye = link.jack_eye_wire(
        wire_diameter_mm=d, eye_mean_diameter_mm=sizes.eye_mean_diameter_mm, gap_mm=0.2 * d
    )
    cut = link.jack_cut_length(eye_wire_mm=eye, neck_length_mm=sizes.neck_length_mm)
    piece = wire_mass(wire_diameter_mm=d, length_mm=cut)
    listed = 80.0 * 0.45359237 / 304.8
    assert chain_mass(piece_mass_kg=piece, pitch_mm=8.0 * d) == pytest.approx(listed, rel=0.05)
