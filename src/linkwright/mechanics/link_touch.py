"""Forces of the neighbour's wire on the beams of a crown, normal and by friction.

    Touch, touch    forces on the beams, their derivatives, and the state of the contact

The neighbour's wire is a circle whose centre moves along the chain; it is pressed by points on
the beams of the crown (three Gauss points each, on the arc, not on the chord). The load of a
point is that of `link_contact`, along the line from the circle's centre to the point of the
centre line. Friction acts at the inner surface against the slip of the present step.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.link_contact import BearingLaw, line_load
from linkwright.mechanics.link_state import LEG, POINTS, Link, State
from linkwright.mechanics.section import Floats

_SLIP = 1e-3  # slip in diameters over which friction builds up


class Touch(NamedTuple):
    """Contact of the beams of the crown; points in order from the leg to the apex."""

    inner: Floats
    """Forces on the beams as residual, (members, beams of the crown, 6)."""
    stiffness: Floats
    by_pin: Floats
    """Derivative of the forces by the motion of the wire."""
    overlap: Floats
    """At every point, (members, points)."""
    angle: Floats
    """Direction of every point from the centre of the wire, zero along the chain."""
    pressure: Floats
    """Mean line load on each beam, (members, beams of the crown)."""


class _Points(NamedTuple):
    """Quantities at the points, (members, beams of the crown, points)."""

    load: Floats
    slope: Floats
    across: Floats
    along: Floats
    step: Floats
    """Motion in this step relative to the wire, last axis across, along, rotation."""


def touch(
    link: Link, state: State, present: BearingLaw, moved: Floats, pin: Floats, direction: Floats
) -> Touch:
    """Contact at trial displacements; ``direction`` are the angles of the beams."""
    shape = link.shape
    place, weight = POINTS
    near, far = (1 - place) / 2, (1 + place) / 2

    def at_points(values: Floats) -> Floats:
        nodes = values[:, LEG:]
        return nodes[:, :-1, None] * near + nodes[:, 1:, None] * far

    length = shape.length[:, LEG:, None]
    bow = (shape.curvature + state.bend)[:, LEG:, None] * length**2 * (1 - place**2) / 8
    outward = direction[:, LEG:, None]
    x = at_points(shape.across + moved[..., 0]) + bow * np.sin(outward)
    y = at_points(shape.along + moved[..., 1] - (shape.along[:, -1] - 1 + pin)[:, None])
    y = y - bow * np.cos(outward)
    distance = np.hypot(x, y)
    depth = (state.fibres.depth[:, LEG:] + state.fibres.depth[:, -1:]) / 2
    overlap = (depth[..., None] - distance).reshape(len(x), -1)
    load, slope, _ = line_load(state.bearing, present, overlap)
    line, slope = load.reshape(x.shape), slope.reshape(x.shape)
    share = length * weight / 2
    nx, ny = x / distance, y / distance
    points = _Points(line * share, slope * share, nx, ny, np.zeros(0))
    force, stiffness = _pressed(points, distance)
    if link.friction.any():
        step = moved - state.moved
        step[..., 1] -= (pin - state.pin)[:, None]
        parts = [at_points(step[..., part]) for part in range(3)]
        _rub(link, points._replace(step=np.stack(parts, axis=-1)), force, stiffness)
    inner, blocks, by_pin = _on_beams(force, stiffness, near, far)
    pressure = (line * weight / 2).sum(axis=-1)
    angle = np.arctan2(x, y).reshape(len(x), -1)
    return Touch(inner, blocks, by_pin, overlap, angle, pressure)


def _pressed(points: _Points, distance: Floats) -> tuple[Floats, Floats]:
    """Normal forces at the points and their derivatives by the place of the point."""
    load, slope, nx, ny, _ = points
    turn = load / distance
    force = np.stack([-load * nx, -load * ny, np.zeros_like(load)], axis=-1)
    stiffness = np.zeros((*load.shape, 3, 3))
    stiffness[..., 0, 0] = slope * nx * nx - turn * ny * ny
    stiffness[..., 1, 1] = slope * ny * ny - turn * nx * nx
    stiffness[..., 0, 1] = stiffness[..., 1, 0] = (slope + turn) * nx * ny
    return force, stiffness


def _rub(link: Link, points: _Points, force: Floats, stiffness: Floats) -> None:
    """Add Coulomb friction against the slip of this step, built up over a short slip."""
    load, slope, nx, ny, step = points
    slip = step[..., 0] * ny - step[..., 1] * nx + step[..., 2] / 2
    size = np.sqrt(np.square(slip) + _SLIP**2)
    friction = link.friction[:, None, None]
    grip, grip_slope = friction * slip / size, friction * _SLIP**2 / size**3
    arm = np.stack([ny, -nx, np.full_like(nx, 0.5)], axis=-1)
    force += (load * grip)[..., None] * arm
    pressing = np.stack([-nx, -ny, np.zeros_like(nx)], axis=-1)
    by_slip, by_press = load * grip_slope, slope * grip
    stiffness += by_slip[..., None, None] * arm[..., :, None] * arm[..., None, :]
    stiffness += by_press[..., None, None] * arm[..., :, None] * pressing[..., None, :]


def _on_beams(
    force: Floats, stiffness: Floats, near: Floats, far: Floats
) -> tuple[Floats, Floats, Floats]:
    """Forces at the points as forces at the two ends of every beam."""
    ends = (near, far)
    inner = np.concatenate([end @ force for end in ends], axis=-1)
    blocks = np.empty((*inner.shape, 6))
    flat = stiffness.reshape(*stiffness.shape[:-2], 9)
    for i, one in enumerate(ends):
        for j, other in enumerate(ends):
            part = (one * other) @ flat
            blocks[..., 3 * i : 3 * i + 3, 3 * j : 3 * j + 3] = part.reshape(*part.shape[:-1], 3, 3)
    moved = stiffness[..., :, 1]
    by_pin = -np.concatenate([end @ moved for end in ends], axis=-1)
    return inner, blocks, by_pin
