"""Link plates: contour, nesting, press, strength."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.processes.models.plate_blanking import (
    hole_spacing_room,
    plate_stroke,
    plates_in_press,
    punch_column,
)
from linkwright.processes.models.plate_contour import (
    contour_points,
    link_plate_contour,
    link_plate_piece,
)
from linkwright.processes.models.plate_nesting import layout_of, nested_plates, strip_webs
from linkwright.processes.models.plate_strength import (
    eye_stress_concentration,
    link_plate_force,
    strength_for_plate,
)
from linkwright.processes.models.plate_sums import strip_for_plates
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=25, deadline=None)
PLATES = {
    "16B": {"hole_spacing_mm": 25.4, "plate_height_mm": 20.87, "waist_height_mm": 15.65},
    "16A inner": {"hole_spacing_mm": 25.4, "plate_height_mm": 23.89, "waist_height_mm": 17.92},
    "slender": {"hole_spacing_mm": 12.7, "plate_height_mm": 9.81, "waist_height_mm": 5.4},
}
shares = st.tuples(st.floats(0.55, 0.96), st.floats(0.5, 0.95))


def _points(plate, count=96):
    return contour_points(*plate.values(), count)


@few
@given(shares=shares, pitch=st.floats(5.0, 120.0))
def test_area_and_perimeter_are_those_of_the_polygon(shares, pitch):
    plate = {
        "hole_spacing_mm": pitch,
        "plate_height_mm": shares[0] * pitch,
        "waist_height_mm": shares[0] * shares[1] * pitch,
    }
    got = link_plate_contour(**plate)
    x, y = _points(plate, 400).T
    shoelace = 0.5 * abs(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    length = np.hypot(np.roll(x, -1) - x, np.roll(y, -1) - y).sum()
    assert got.area_mm2 == pytest.approx(shoelace, rel=2e-5)
    assert got.perimeter_mm == pytest.approx(length, rel=2e-5)
    assert np.ptp(x) == pytest.approx(got.plate_length_mm, rel=1e-9)
    middle = np.abs(y)[np.abs(x) < 1e-9]
    assert 2.0 * middle == pytest.approx(plate["waist_height_mm"], rel=1e-9)


def test_a_plate_without_a_waist_is_refused():
    with pytest.raises(ArgumentError, match="waist_height_mm"):
        link_plate_contour(hole_spacing_mm=25.4, plate_height_mm=20.0, waist_height_mm=20.0)


def test_a_hole_as_large_as_the_eye_is_refused():
    with pytest.raises(ArgumentError, match="hole_diameter_mm"):
        link_plate_piece(
            area_mm2=800.0, plate_height_mm=20.0, hole_diameter_mm=20.0, hole_spacing_mm=25.4,
            plate_thickness_mm=4.0,
        )  # fmt: skip


class Sweep:
    """Brute force over polygons: nothing of the program's own geometry but the points."""

    def __init__(self, plate, bridge, count):
        self.p, self.h, self.w = plate.values()
        self.bridge, self.points = bridge, _points(plate, count)

    def covers(self, at):
        """Which points, in the plate's axes, lie within its contour."""
        x, y = np.abs(at[:, 0]), np.abs(at[:, 1])
        R, bow = self.h / 2, (self.p**2 + self.w**2 - self.h**2) / (4 * (self.h - self.w))
        touch = self.p / 2 * bow / (bow + R)
        eye = np.sqrt(np.maximum(R**2 - (x - self.p / 2) ** 2, 0.0))
        waist = self.w / 2 + bow - np.sqrt(np.maximum(bow**2 - x**2, 0.0))
        return y < np.where(x < touch, waist, eye) - 1e-9

    def fits(self, along, across):
        """Whether a plate moved along and across its own axes keeps the bridge."""
        if np.hypot(along, across) > self.p + self.h + self.bridge:
            return True
        moved = self.points + np.array([along, across])
        if np.hypot(along, across) < 0.9 * self.h or self.covers(moved).any():
            return False
        apart = self.points[:, None, :] - moved[None, :, :]
        return bool(np.sqrt((apart**2).sum(-1).min()) >= self.bridge)

    def turned(self, angle, x, y):
        """A move on the strip in the plate's axes."""
        c, s = np.cos(angle), np.sin(angle)
        return x * c + y * s, y * c - x * s

    def feed(self, angle):
        """Least feed, to 0.7 % of the height."""
        for step in np.arange(0.9 * self.h, self.p + self.h + self.bridge + 0.1, self.h / 150):
            if all(self.fits(*self.turned(angle, k * step, 0.0)) for k in (1, 2, 3)):
                return step
        raise AssertionError

    def row_distance(self, angle, feed, shift):
        """Least distance of a shifted row, coming from far, to 0.7 % of the height."""
        good = np.inf
        far = self.p * np.sin(angle) + self.h + self.bridge
        for distance in np.arange(far, 0.2 * self.h, -self.h / 150):
            moves = [(shift + k * feed, distance) for k in range(-3, 3)]
            if not all(self.fits(*self.turned(angle, *move)) for move in moves):
                break
            good = distance
        return good


@pytest.mark.parametrize("plate", PLATES.values(), ids=PLATES.keys())
def test_no_sweep_of_polygons_finds_a_better_row(plate):
    """Sweep of 61 angles; polygons inscribed in the contour gain it a little (0.3 %)."""
    bridge = 0.2 * plate["plate_height_mm"]
    sweep = Sweep(plate, bridge, 20)
    area = link_plate_contour(**plate).area_mm2
    best = 0.0
    for angle in np.radians(np.arange(0.0, 91.0, 1.5)):
        width = sweep.p * np.sin(angle) + sweep.h + 2 * bridge
        best = max(best, 100.0 * area / (sweep.feed(angle) * width))
    got = nested_plates(**plate, bridge_mm=bridge, edge_mm=bridge)
    assert best == pytest.approx(got.utilisation_percent, rel=0.008)
    assert best < 1.003 * got.utilisation_percent


@pytest.mark.parametrize("plate", PLATES.values(), ids=PLATES.keys())
def test_no_sweep_of_polygons_finds_two_better_rows(plate):
    """Sweep of 7 angles about the middle ones, 8 shifts, two feeds."""
    bridge = 0.2 * plate["plate_height_mm"]
    sweep = Sweep(plate, bridge, 10)
    area = link_plate_contour(**plate).area_mm2
    best = 0.0
    for angle in np.radians([0.0, 45.0, 55.0, 60.0, 64.0, 75.0, 90.0]):
        least = sweep.feed(angle)
        over = sweep.p * np.sin(angle) + sweep.h + 2 * bridge
        for feed in (least, 1.1 * least):
            for shift in np.arange(8) / 8 * feed:
                width = over + sweep.row_distance(angle, feed, shift)
                best = max(best, 200.0 * area / (feed * width))
    got = nested_plates(**plate, bridge_mm=bridge, edge_mm=bridge, rows=2)
    assert best < 1.004 * got.utilisation_percent
    assert best > 0.97 * got.utilisation_percent


@pytest.mark.parametrize("rows", [1, 2, 3])
@pytest.mark.parametrize("plate", PLATES.values(), ids=PLATES.keys())
def test_a_layout_keeps_the_bridge_between_all_plates(plate, rows):
    bridge = 0.15 * plate["plate_height_mm"]
    got = nested_plates(**plate, bridge_mm=bridge, edge_mm=bridge, rows=rows)
    sweep = Sweep(plate, bridge * (1.0 - 1e-6), 60)
    angle = np.radians(got.angle_deg)
    for row in range(2 if rows > 1 else 1):
        for k in range(-3, 4):
            if row or k:
                move = (row * got.row_shift_mm + k * got.feed_mm, row * got.row_distance_mm)
                assert sweep.fits(*sweep.turned(angle, *move))


@pytest.mark.parametrize("plate", PLATES.values(), ids=PLATES.keys())
def test_more_rows_use_more_of_the_strip(plate):
    use = [
        nested_plates(**plate, bridge_mm=1.5, edge_mm=1.5, rows=rows).utilisation_percent
        for rows in (1, 2, 3)
    ]
    assert use[0] < use[1] < use[2] < 91.0


def test_side_by_side_is_plain_geometry():
    """Upright plates: feed h + b, width p + h + 2 e."""
    got = layout_of(**PLATES["16B"], bridge_mm=5.0, edge_mm=4.0, angle_deg=90.0)
    assert got.feed_mm == pytest.approx(25.87, rel=1e-9)
    assert got.strip_width_mm == pytest.approx(25.4 + 20.87 + 8.0, rel=1e-9)


def test_end_to_end_is_plain_geometry():
    """Lying plates: feed p + h + b, width h + 2 e."""
    got = layout_of(**PLATES["16B"], bridge_mm=5.0, edge_mm=4.0, angle_deg=0.0)
    assert got.feed_mm == pytest.approx(25.4 + 20.87 + 5.0, rel=1e-9)
    assert got.strip_width_mm == pytest.approx(28.87, rel=1e-9)


def test_webs_of_the_scrap_strip_example():
    """Tool design text, scrap strip layout: t = 1.5 mm, blank of 10 mm: B 1.875, feed 11.875."""
    webs = strip_webs(plate_thickness_mm=1.5, feed_mm=11.875)
    assert webs.bridge_mm == 1.875
    assert 10.0 + webs.bridge_mm == 11.875
    assert 27.0 + 2.0 * webs.edge_mm == 30.75
    assert strip_webs(plate_thickness_mm=4.0, feed_mm=70.0).bridge_mm == 6.0


def test_a_press_of_500_tonnes_cuts_link_plates():
    """A rough reckoning gives 215 kN a plate of 16B: that is the contour alone, of 650 MPa strip.

    Seventy per cent of 500 tonnes force then cut 16 plates. Holes that are cut with the contour,
    and stripping, ask for more: 9 plates.
    """
    contour = link_plate_contour(**PLATES["16B"])
    cut = {
        "perimeter_mm": contour.perimeter_mm, "hole_diameter_mm": 11.24,
        "plate_thickness_mm": 4.0, "tensile_strength_MPa": 650.0,
    }  # fmt: skip
    at_once = plate_stroke(**cut)
    stepped = plate_stroke(**cut, piercing_overlap=0.0)
    assert at_once.contour_force_kN == pytest.approx(215.0, rel=0.01)
    press = 500.0 * 9.80665
    alone = plates_in_press(press_force_kN=press, plate_force_kN=at_once.contour_force_kN)
    assert alone == 16.0
    assert plates_in_press(press_force_kN=press, plate_force_kN=at_once.plate_force_kN) == 9.0
    assert plates_in_press(press_force_kN=press, plate_force_kN=stepped.plate_force_kN) == 14.0


def test_the_work_of_a_stroke_does_not_depend_on_stepped_punches():
    cut = {"perimeter_mm": 118.0, "hole_diameter_mm": 11.2, "plate_thickness_mm": 4.0,
           "tensile_strength_MPa": 600.0}  # fmt: skip
    assert plate_stroke(**cut).stroke_energy_J == pytest.approx(
        plate_stroke(**cut, piercing_overlap=0.0).stroke_energy_J
    )


def test_euler_and_johnson_meet_at_half_of_the_yield_stress():
    """Shigley, Sec. 4-13: the curves touch where the critical stress is Sy/2."""
    limit = np.sqrt(2.0 * np.pi**2 * 1.2 * 206000.0 / 1800.0)
    for slender in (limit * (1 - 1e-6), limit * (1 + 1e-6)):
        got = punch_column(
            punch_diameter_mm=4.0, free_length_mm=slender, hole_force_kN=1.0, punch_yield_MPa=1800.0
        )
        assert got.critical_stress_MPa == pytest.approx(900.0, rel=1e-5)


def test_what_is_left_of_the_length_tolerance():
    """25.4 mm, 0.15 %: 38.1 um, a fifth kept, half of 30 um of play: 15.48 um."""
    assert hole_spacing_room(pitch_mm=25.4, play_tolerance_mm=0.03) == pytest.approx(0.01548)
    assert hole_spacing_room(pitch_mm=8.0, play_tolerance_mm=0.03) < 0.0


def test_strip_is_plates_and_skeleton():
    got = strip_for_plates(
        plates=980.0, plates_per_m=40.0, strip_width_mm=55.0, plate_thickness_mm=4.0,
        plate_mass_kg=0.0192, reject_percent=2.0,
    )  # fmt: skip
    assert got.strip_length_m == pytest.approx(25.0)
    assert got.strip_kg == pytest.approx(got.skeleton_kg + 980.0 * 0.0192)


EYE = {"plate_height_mm": 20.87, "waist_height_mm": 15.65, "hole_diameter_mm": 8.28,
       "plate_thickness_mm": 3.05}  # fmt: skip


@few
@given(force=st.floats(1.0, 500.0), margin=st.floats(0.5, 3.0))
def test_the_strength_asked_for_gives_the_force_asked_for(force, margin):
    strength = strength_for_plate(chain_force_kN=force, margin=margin, **EYE)
    got = link_plate_force(tensile_strength_MPa=strength, **EYE)
    assert 2.0 * got.plate_breaking_force_kN == pytest.approx(margin * force, rel=1e-12)


def test_two_fits_of_one_chart_bear_each_other_out():
    """Peterson, Chart 4.67, remembered twice: over net and bearing stress, within 4 %."""
    x = np.linspace(0.2, 0.6, 9)
    got = eye_stress_concentration(hole_over_height=x)
    assert got.net_stress_factor * x == pytest.approx(
        got.bearing_stress_factor * (1.0 - x), rel=0.04
    )
