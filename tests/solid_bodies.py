"""Simple solids for the tests of the solid link: boxes, tubes, and ways to pull them."""

import numpy as np

from linkwright.mechanics.solid_mesh import rectangle, swept_mesh
from linkwright.mechanics.solid_newton import Body, Count, at_rest
from linkwright.mechanics.solid_path import follow
from linkwright.mechanics.solid_plasticity import steel_of

STEEL = steel_of(205e3, 0.3, 1476.0, 0.06, 0.005)


def soft_steel(yield_MPa, hardening=1e-4):
    """Nearly without hardening, for limit loads."""
    return steel_of(205e3, 0.3, yield_MPa, hardening, 1e-3)


def box(cells=(2, 2, 2), size=(1.0, 1.0, 1.0), place=None):
    """A box (stations along x), or what ``place`` makes of it."""
    cuts = [np.linspace(0.0, length, count + 1) for count, length in zip(cells, size, strict=True)]
    plain = place or (lambda x, y, z: np.stack([x, y, z], axis=1))
    return swept_mesh(rectangle(cuts[1], cuts[2]), cuts[0], plain)


def on_plane(mesh, axis, value):
    """Nodes with a coordinate."""
    return np.flatnonzero(np.abs(mesh.nodes[:, axis] - value) < 1e-9)


def pulled(body, target, first, longest, allowed=200):
    """The way from rest to ``target``, which has to be reached."""
    count = Count(allowed)
    path = follow(body, at_rest(body), target, count, first=first, longest=longest)
    assert path.reached, path.ended
    return path


def bar(mesh, steel, length):
    """A bar along x: symmetry at its three zero planes, its end pulled."""
    fixed = np.concatenate([3 * on_plane(mesh, axis, 0.0) + axis for axis in range(3)])
    end = on_plane(mesh, 0, length)
    return Body.of(mesh, steel, fixed, 3 * end, np.ones(len(end)))
