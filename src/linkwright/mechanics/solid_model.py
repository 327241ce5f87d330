"""A link made ready to be pulled, and what a gauge would read on it.

    LinkModel, link_model   mesh, steel, supports and contact of a link
    Reading, read           force, extension, widths, contact area of a state

Legs alike: a pitch of chain holds eight octants of equal strain energy, half of a link and half of
its neighbour. The middle of the leg moves by half the extension; the force of a link is that of
four octants, as each of two legs is cut by two of them.

Legs that differ: a quarter, and two of the four octants of a sound neighbour it pulls on, which are
alike because the neighbour is kept symmetrical about the quarter's plane y = 0: one octant that
counts twice. So the neighbour bears the mean of what both halves of the quarter's crown press on it
and is not bent out of its plane, nor turned about the chain; the quarter itself may shift sideways
on the neighbour's crown until the legs share the force as they will. Two such groups are a pitch.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_bearing import Springs
from linkwright.mechanics.solid_contact import (
    ACROSS,
    HALF_TURN,
    Mirror,
    Side,
    aimed,
    touch,
)
from linkwright.mechanics.solid_element import Floats
from linkwright.mechanics.solid_newton import Body, Solid
from linkwright.mechanics.solid_octant import (
    Fineness,
    LinkPart,
    Outline,
    fineness_named,
    octant_mesh,
    quarter_mesh,
)
from linkwright.mechanics.solid_plasticity import Steel, steel_of
from linkwright.mechanics.solid_stud import Seat, Stud, seat_of
from linkwright.mechanics.solid_weld import SOUND, Weld
from linkwright.quantities import ArgumentError

_GROUND = 1e-6  # springs that hold a quarter sideways before it touches, over modulus and wire
_PENALTY = 3500.0
_REACH = 0.25
_MOST_FRICTION = 0.5
_POISSON = 0.3

AtDepth = Callable[[Floats], Floats]
"""Strength over that of the flow curve, at depths (mm) below the surface of the wire."""


class LinkModel(NamedTuple):
    """What is pulled."""

    outline: Outline
    part: LinkPart
    """The octant, or the quarter with the weld at its beginning."""
    body: Body
    tensile_strength_MPa: float
    slack_mm: float
    """Gap at the nearest tested point of the unloaded links that touch between the points."""
    cuts: int
    """How many times the body stands in a cut through a link; twice as often in a pitch."""

    @property
    def wire_area_mm2(self) -> float:
        """Area of the round wire."""
        return float(np.pi / 4 * self.outline.wire_mm**2)


class Reading(NamedTuple):
    """A state as a test bed shows it."""

    force_kN: float
    extension_mm: float
    """Growth of a pitch from first touch."""
    inner_width_mm: float
    """At the middle of the legs."""
    outer_width_mm: float
    contact_area_mm2: float
    """Unloaded area under pressure, of one contact."""
    greatest_strain: float
    """Equivalent plastic strain at the worst integration point."""
    stud_force_kN: float
    """What a stud carries, pressing positive; 0 without one."""


def link_model(
    geometry: LinkGeometry,
    curve: SwiftCurve,
    fineness: str | Fineness = "medium",
    *,
    weld: Weld = SOUND,
    friction_coefficient: float = 0.0,
    stud: Stud | None = None,
    strength_at: AtDepth | None = None,
) -> LinkModel:
    """The model of one link: an octant if its legs are alike, else a quarter and its neighbour.

    ``strength_at`` gives the strength over that of the curve at depths in mm, for a case.

    Raises `ArgumentError` for sizes of more than one link, an unknown fineness, an impossible weld
    or a coefficient of friction outside 0 to 0.5.
    """
    fine = fineness_named(fineness)
    if not 0 <= friction_coefficient <= _MOST_FRICTION:
        raise ArgumentError("friction_coefficient", friction_coefficient, "", "from 0 to 0.5")
    sound = _outline(geometry)
    outline = weld.checked().on(sound)
    strength = single("tensile_strength_MPa", curve.tensile_strength_MPa)
    # under the pressure of flow, some 3 strengths, links overlap by 0.1 per cent of the wire
    rigid = _PENALTY * strength / sound.wire_mm
    if weld.one_leg and strength_at is not None:
        raise ArgumentError("weld_one_leg", 1.0, "", "legs that are alike, where there is a case")
    if weld.one_leg and stud is not None:
        raise ArgumentError(
            "stud_diameter_mm", stud.diameter_mm, "mm", "none where the legs differ"
        )
    if weld.one_leg:
        part = quarter_mesh(outline, fine)
        other = octant_mesh(sound, fine)
        body = _two(part, other, curve, weld, sound.wire_mm, rigid, friction_coefficient)
    else:
        part = octant_mesh(outline, fine)
        body = _one(part, curve, weld, sound.wire_mm, rigid, friction_coefficient)
        if strength_at is not None:
            shares = strength_at(part.depth_share * sound.wire_mm / 2)
            steel = body.steel._replace(coefficient_MPa=body.steel.coefficient_MPa * shares)
            body = body._replace(steel=steel)
        if stud is not None:
            width = sound.outer_width_mm - 2 * sound.wire_mm
            body = body._replace(prop=seat_of(part.mesh, stud, width))
    nodes, mirror, slack = body.mesh.nodes, body.mirror, 0.0
    if mirror is not None:
        aim = aimed(mirror, nodes, mirror.start, body.reach)
        slack = max(float(touch(mirror, nodes, aim).gap.min()), 0.0)
    return LinkModel(outline, part, body, strength, slack, 1 if weld.one_leg else 4)


def _outline(geometry: LinkGeometry) -> Outline:
    wire = single("wire_diameter_mm", geometry.wire_diameter_mm)
    pitch, width, crown = (
        wire * single(name, ratio)
        for name, ratio in zip(
            ("pitch_mm", "outer_width_mm", "crown_radius_mm"), geometry.ratios(), strict=True
        )
    )
    return Outline(wire, pitch, width, crown)


def steel_of_curve(curve: SwiftCurve, strength: Floats | float = 1.0) -> Steel:
    """The steel of one flow curve with its strength at every point times a share."""
    return steel_of(
        1e3 * single("elastic_modulus_GPa", curve.elastic_modulus_GPa),
        _POISSON,
        single("strength_coefficient_MPa", curve.strength_coefficient_MPa) * strength,
        single("hardening_exponent", curve.hardening_exponent),
        single("prestrain", curve.prestrain),
    )


def _one(
    part: LinkPart, curve: SwiftCurve, weld: Weld, wire: float, rigid: float, friction: float
) -> Body:
    """An octant in contact with its own image."""
    steel = steel_of_curve(curve, weld.strength(part.along_mm, wire))
    mirror = Mirror.of([Side(part.skin, part.skin, HALF_TURN)], part.mesh.nodes, rigid, friction)
    ones = np.ones(len(part.pulled))
    return Body.of(part.mesh, steel, part.fixed, 3 * part.pulled, ones, mirror, _REACH * wire)


def _two(
    quarter: LinkPart, octant: LinkPart, curve: SwiftCurve, weld: Weld, wire: float,
    rigid: float, friction: float,
) -> Body:  # fmt: skip
    """A quarter, and a sound octant that counts twice."""
    first = len(quarter.mesh.nodes)
    shares = [weld.strength(quarter.along_mm, wire), np.ones_like(octant.along_mm)]
    skin = octant.skin.after(first)
    sides = [
        Side(quarter.skin, skin, HALF_TURN, folded=True),
        Side(skin, quarter.skin, HALF_TURN),
        Side(skin, quarter.skin, HALF_TURN @ ACROSS),
    ]
    nodes = np.concatenate([quarter.mesh.nodes, octant.mesh.nodes])
    pulled = np.concatenate([quarter.pulled, octant.pulled + first])
    young = 1e3 * single("elastic_modulus_GPa", curve.elastic_modulus_GPa)
    return Body.side_by_side(
        [quarter.mesh, octant.mesh],
        [1, 2],
        steel_of_curve(curve, np.concatenate(shares)),
        np.concatenate([quarter.fixed, octant.fixed + 3 * first]),
        3 * pulled,
        np.ones(len(pulled)),
        Mirror.of(sides, nodes, rigid, friction),
        _REACH * wire,
        _ground(quarter, _GROUND * young * wire),
    )


def _ground(part: LinkPart, stiffness: float) -> Springs:
    """Springs across the link at the corners of the first and the last cell, four together."""
    last = len(part.mesh.elements) - 1
    springs = np.zeros((4, 60, 60))
    for spring, corner in zip(springs, (0, 2, 8, 10), strict=True):
        spring[3 * corner + 1, 3 * corner + 1] = stiffness / 4
    elements = np.array([0, 0, last, last])
    return Springs(elements, part.mesh.nodes[part.mesh.elements[elements]], springs)


def single(name: str, value: object) -> float:
    """A size of one link as a number; raises `ArgumentError` for sizes of several."""
    numbers = np.asarray(value, dtype=float).ravel()
    if len(numbers) != 1:
        raise ArgumentError(name, len(numbers), "", "the size of one link, not of several")
    return float(numbers[0])


def read(model: LinkModel, state: Solid) -> Reading:
    """What a test bed and a gauge show of a state."""
    mesh = model.part.mesh
    rim = mesh.layer(0)[mesh.section.rim]
    inside, outside = 2 * state.placed[rim[0], 1], 2 * state.placed[rim[-1], 1]
    if model.cuts == 1:
        other = mesh.layer(-1)[mesh.section.rim]
        inside, outside = (state.placed[rim[k], 1] - state.placed[other[k], 1] for k in (0, -1))
    area = 0.0
    mirror = model.body.mirror
    if state.contact is not None and mirror is not None:
        area = float(mirror.area[state.contact.pressure > 0].sum())
    return Reading(
        force_kN=-model.cuts * state.force / 1e3,
        extension_mm=max(-2 * state.pull - model.slack_mm, 0.0),
        inner_width_mm=float(inside),
        outer_width_mm=float(outside),
        contact_area_mm2=model.cuts * area,
        greatest_strain=float(state.metal.plastic_strain.max()),
        stud_force_kN=_stud_force_kN(model, state),
    )


def _stud_force_kN(model: LinkModel, state: Solid) -> float:
    seat = model.body.prop
    if not isinstance(seat, Seat):
        return 0.0
    return seat.force_N(state.placed[model.body.mesh.elements[seat.elements]]) / 1e3
