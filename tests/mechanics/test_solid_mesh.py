"""Swept meshes: volume, order, symmetry, refusal."""

import numpy as np
import pytest
from solid_bodies import box

from linkwright.mechanics.solid_element import face_shapes, shapes_of
from linkwright.mechanics.solid_mesh import half_disc
from linkwright.mechanics.solid_octant import FINENESS, Outline, octant_mesh

LINK = Outline(8.0, 24.0, 26.8, 9.4)


@pytest.mark.parametrize("fineness", FINENESS)
def test_octant_has_the_volume_of_the_bent_wire(fineness):
    """Half the wire's area times the centre line (Guldin), within the error of the facets."""
    mesh = octant_mesh(LINK, FINENESS[fineness]).mesh
    volume = shapes_of(mesh.nodes, mesh.elements).weight.sum()
    expected = np.pi * 4**2 / 2 * LINK.lengths.sum()
    assert volume == pytest.approx(expected, rel=1e-3 if fineness == "coarse" else 1e-4)


def test_lengths_close_the_link():
    """Half a leg, 60 and 30 degrees of crown reach the pitch, also for a flattened crown."""
    for crown in (9.4, 11.0):
        outline = LINK._replace(crown_radius_mm=crown)
        octant = octant_mesh(outline, FINENESS["coarse"])
        nodes = octant.mesh.nodes
        np.testing.assert_allclose(nodes[octant.skin.nodes[0, 0]], 0.0, atol=1e-9)
        np.testing.assert_allclose(nodes[octant.pulled, 0], -12.0, atol=1e-9)
        assert nodes[:, 1].max() == pytest.approx(13.4, rel=1e-6)


def test_bulge_is_thickest_at_the_middle_of_the_leg_and_dies_out():
    """Radius grown by the share at the weld, unchanged at the crown."""
    octant = octant_mesh(LINK._replace(bulge=0.1, bulge_length_mm=2.0), FINENESS["medium"])
    nodes = octant.mesh.nodes
    assert nodes[octant.pulled, 2].max() == pytest.approx(4.4, rel=1e-9)
    assert nodes[octant.mesh.layer(-1), 2].max() == pytest.approx(4.0, rel=1e-9)


@pytest.mark.parametrize(("core", "rings"), [(1, 1), (2, 2), (3, 2)])
def test_half_disc_has_its_area_and_no_cell_turned(core, rings):
    """Corners stand anticlockwise; the rim lies on the circle, evenly."""
    section = half_disc(core, rings)
    place, weight = np.polynomial.legendre.leggauss(3)
    local = np.stack(np.meshgrid(place, place, indexing="ij"), axis=-1).reshape(-1, 2)
    slope = face_shapes(local)[1]
    jacobian = np.linalg.det(np.einsum("pan,cnx->cpax", slope, section.points[section.cells]))
    assert jacobian.min() > 0
    area = (jacobian * np.outer(weight, weight).ravel()).sum()
    assert area == pytest.approx(np.pi / 2, rel=4e-3)
    rim = section.points[section.rim]
    np.testing.assert_allclose(np.hypot(*rim.T), 1.0)
    np.testing.assert_allclose(np.diff(np.arctan2(rim[:, 1], -rim[:, 0])), np.pi / (8 * core))


def test_a_cell_touches_two_neighbouring_layers():
    """Every element lies within the nodes of one slice, as the fronts need."""
    mesh = box((4, 2, 3))
    per_slice = mesh.elements.reshape(mesh.slices, -1)
    for k, nodes in enumerate(per_slice):
        assert nodes.min() >= k * mesh.stride
        assert nodes.max() < (k + 1) * mesh.stride + len(mesh.section.points)
    assert len(np.unique(mesh.elements)) == len(mesh.nodes)
