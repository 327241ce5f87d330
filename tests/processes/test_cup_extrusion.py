"""Cold extruded rollers: volumes, pressures against each other and against ideal work."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.materials.flow_curves import mean_flow_stress_hollomon
from linkwright.processes.models.cup_extrusion import (
    cup_extrusion_dipper,
    extrusion_heat,
    extrusion_pressure_johnson,
    upsetting_siebel,
)
from linkwright.processes.models.roller_slug import (
    cup_sizes,
    faced_length,
    ring_volume,
    roller_slug,
    size_of_tool,
    slug_length,
    slug_volume,
    slug_wire,
    tool_for_size,
)
from linkwright.quantities import ArgumentError

CURVE = {"K_MPa": 760.0, "n": 0.2}
OUTSIDES = st.floats(5.0, 73.0)
BORES = st.floats(0.55, 0.8)
LENGTHS = st.floats(0.4, 1.3)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(outside=OUTSIDES, bore=BORES, length=LENGTHS, web=st.floats(0.5, 1.5),
       rim=st.floats(0.0, 10.0))  # fmt: skip
def test_volume_is_kept_from_wire_to_roller_web_and_rim(outside, bore, length, web, rim):
    inner, long = bore * outside, length * outside
    slug = roller_slug(
        outside_mm=outside, bore_mm=inner, length_mm=long, web_over_wall=web, rim_percent=rim
    )
    wire = slug_wire(slug_volume_mm3=slug.slug_volume_mm3, outside_mm=outside)
    cut = slug_length(slug_volume_mm3=slug.slug_volume_mm3, wire_diameter_mm=wire)
    held = slug_volume(wire_diameter_mm=wire, slug_length_mm=cut)
    parts = slug.roller_volume_mm3 + slug.web_volume_mm3 + slug.rim_volume_mm3
    assert held == pytest.approx(parts, rel=1e-12)
    assert wire < outside
    cup = cup_sizes(
        slug_volume_mm3=held, die_diameter_mm=outside, punch_diameter_mm=inner,
        web_thickness_mm=slug.web_thickness_mm,
    )  # fmt: skip
    assert cup.cup_height_mm == pytest.approx(long * (1.0 + rim / 100.0), rel=1e-9)
    left = faced_length(cup_height_mm=cup.cup_height_mm, faced_length_mm=long)
    ring = ring_volume(outside_mm=outside, bore_mm=inner, length_mm=left)
    assert ring == pytest.approx(slug.roller_volume_mm3, rel=1e-9)


@settings(max_examples=40, derandomize=True, deadline=None)
@given(outside=OUTSIDES, play=st.floats(2.0, 40.0), ratio=st.floats(0.5, 2.0))
def test_upsetting_keeps_volume_and_needs_more_than_the_flow_stress(outside, play, ratio):
    wire = outside * (1.0 - play / 100.0)
    up = upsetting_siebel(
        wire_diameter_mm=wire, slug_length_mm=ratio * wire, die_diameter_mm=outside, **CURVE
    )
    assert up.upset_height_mm * outside**2 == pytest.approx(ratio * wire**3, rel=1e-12)
    assert up.upset_strain == pytest.approx(2.0 * np.log(outside / wire), rel=1e-9)
    area = np.pi / 4.0 * outside**2
    assert up.upsetting_force_kN > up.flow_stress_MPa * area / 1000.0


@pytest.mark.parametrize("bore", [0.7, 0.75, 0.78])
@pytest.mark.parametrize("length", [0.6, 1.0])
def test_two_authors_agree(bore, length):
    """Dipper (with web and friction) and Johnson (neither) within 15 % for rollers of the table."""
    slug = roller_slug(outside_mm=20.0, bore_mm=20.0 * bore, length_mm=20.0 * length)
    height = slug_length(slug_volume_mm3=slug.slug_volume_mm3, wire_diameter_mm=20.0)
    tool = {"die_diameter_mm": 20.0, "punch_diameter_mm": 20.0 * bore}
    dipper = cup_extrusion_dipper(
        upset_height_mm=height, web_thickness_mm=slug.web_thickness_mm, **tool, **CURVE
    )
    johnson = extrusion_pressure_johnson(**tool, **CURVE)
    assert dipper.punch_pressure_MPa == pytest.approx(johnson, rel=0.15)


@pytest.mark.parametrize("bore", [0.5, 0.6, 0.72, 0.8])
def test_pressure_lies_above_ideal_work(bore):
    """No process needs less than kf,m ln(A0/A1) per volume; none of these needs four times that."""
    share = bore**2
    strain = -np.log(1.0 - share)
    ideal = mean_flow_stress_hollomon(true_strain=strain, **CURVE) * strain / share
    cup = cup_extrusion_dipper(
        die_diameter_mm=20.0, punch_diameter_mm=20.0 * bore, upset_height_mm=12.0,
        web_thickness_mm=20.0 * (1.0 - bore) / 2.0, **CURVE,
    )  # fmt: skip
    assert 0.25 < ideal / cup.punch_pressure_MPa < 1.0


def test_johnson_is_the_extrusion_of_the_book():
    """On the section of the slug: 100 MPa, n = 0, r = 4 gives 100 (0.8 + 1.5 ln 4)."""
    pressure = extrusion_pressure_johnson(
        die_diameter_mm=20.0, punch_diameter_mm=20.0 * np.sqrt(0.75), K_MPa=100.0, n=0.0
    )
    assert pressure * 0.75 == pytest.approx(100.0 * (0.8 + 1.5 * np.log(4.0)), rel=1e-12)


def test_pressure_grows_as_the_web_thins_and_with_friction():
    cup = cup_extrusion_dipper(
        die_diameter_mm=16.0, punch_diameter_mm=11.4, upset_height_mm=9.0,
        web_thickness_mm=np.array([3.0, 2.0, 1.0, 0.5]), **CURVE,
    )  # fmt: skip
    assert np.all(np.diff(cup.punch_pressure_MPa) > 0.0)
    rough = cup_extrusion_dipper(
        die_diameter_mm=16.0, punch_diameter_mm=11.4, upset_height_mm=9.0, web_thickness_mm=1.0,
        friction=0.15, **CURVE,
    )  # fmt: skip
    assert rough.punch_pressure_MPa > cup.punch_pressure_MPa[2]


def test_heat_is_the_work_of_the_punch():
    """1000 MPa over all of the volume is 1e9 J/m3, over 7850 x 460 J/(m3 K): 276.9 K."""
    rise = extrusion_heat(
        punch_pressure_MPa=1000.0, punch_diameter_mm=10.0, upset_height_mm=9.0,
        web_thickness_mm=1.0, slug_volume_mm3=np.pi / 4.0 * 100.0 * 8.0,
    )  # fmt: skip
    assert rise == pytest.approx(1e9 / (7850.0 * 460.0), rel=1e-12)


def test_tools_and_sizes_are_inverse():
    tool = tool_for_size(size_mm=15.88, growth_percent=0.1)
    assert size_of_tool(tool_diameter_mm=tool, growth_percent=0.1) == pytest.approx(15.88)


def test_what_cannot_be_is_refused():
    with pytest.raises(ArgumentError):
        roller_slug(outside_mm=10.0, bore_mm=11.0, length_mm=5.0)
    with pytest.raises(ArgumentError):
        upsetting_siebel(wire_diameter_mm=17.0, slug_length_mm=9.0, die_diameter_mm=16.0, **CURVE)
    cup = {"die_diameter_mm": 16.0, "punch_diameter_mm": 11.0, "upset_height_mm": 9.0,
           "web_thickness_mm": 2.0, **CURVE}  # fmt: skip
    for wrong in ({"punch_diameter_mm": 16.0}, {"web_thickness_mm": 9.0}, {"friction": 0.9}):
        with pytest.raises(ArgumentError):
            cup_extrusion_dipper(**{**cup, **wrong})
    with pytest.raises(ArgumentError):
        extrusion_pressure_johnson(die_diameter_mm=10.0, punch_diameter_mm=10.0, **CURVE)
