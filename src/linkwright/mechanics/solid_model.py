"""The octant of a link made ready to be pulled, and what a gauge would read on it.

    LinkModel, link_model   mesh, steel, supports and contact of a link
    Reading, read           force, extension, widths, contact area of a state

A pitch of chain holds eight octants of equal strain energy: half of a link and half of its
neighbour. The middle of the leg moves by half the extension; the force of a link is that of
four octants, as each of two legs is cut by two of them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.mechanics.link_shape import LinkGeometry, SwiftCurve
from linkwright.mechanics.solid_contact import HALF_TURN, Mirror, Side, aimed, touch
from linkwright.mechanics.solid_newton import Body, Solid
from linkwright.mechanics.solid_octant import FINENESS, Fineness, OctantMesh, Outline, octant_mesh
from linkwright.mechanics.solid_plasticity import steel_of
from linkwright.mechanics.solid_stud import Stud, footing, stud_force
from linkwright.quantities import ArgumentError

OCTANTS, CUTS = 8, 4
"""Octants in a pitch of chain, and in a cut through a link."""
_PENALTY = 3500.0
_REACH = 0.25
_MOST_FRICTION = 0.5
_POISSON = 0.3


class LinkModel(NamedTuple):
    """What is pulled."""

    outline: Outline
    octant: OctantMesh
    body: Body
    tensile_strength_MPa: float
    slack_mm: float
    """Gap at the nearest tested point of the unloaded links that touch between the points."""

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
    weld_bulge: float = 0.0,
    weld_bulge_length_mm: float | None = None,
    friction_coefficient: float = 0.0,
    stud: Stud | None = None,
) -> LinkModel:
    """The model of one link; ``weld_bulge`` is the growth of the radius at the middle of both legs.

    The bulge falls to nothing over ``weld_bulge_length_mm``, by default half a wire diameter.
    Raises `ArgumentError` for sizes of more than one link, an unknown fineness, a bulge outside
    0 to 0.3 or a coefficient of friction outside 0 to 0.5.
    """
    if isinstance(fineness, str) and fineness not in FINENESS:
        raise ArgumentError("fineness", fineness, "", "one of " + ", ".join(FINENESS))
    if not 0 <= friction_coefficient <= _MOST_FRICTION:
        raise ArgumentError("friction_coefficient", friction_coefficient, "", "from 0 to 0.5")
    if not 0 <= weld_bulge <= 0.3:
        raise ArgumentError("weld_bulge", weld_bulge, "", "from 0 to 0.3")
    wire = _single("wire_diameter_mm", geometry.wire_diameter_mm)
    pitch, width, crown = (
        wire * _single(name, ratio)
        for name, ratio in zip(
            ("pitch_mm", "outer_width_mm", "crown_radius_mm"), geometry.ratios(), strict=True
        )
    )
    length = wire / 2 if weld_bulge_length_mm is None else weld_bulge_length_mm
    outline = Outline(wire, pitch, width, crown, weld_bulge, length)
    octant = octant_mesh(outline, FINENESS[fineness] if isinstance(fineness, str) else fineness)
    young = 1e3 * _single("elastic_modulus_GPa", curve.elastic_modulus_GPa)
    steel = steel_of(
        young,
        _POISSON,
        _single("strength_coefficient_MPa", curve.strength_coefficient_MPa),
        _single("hardening_exponent", curve.hardening_exponent),
        _single("prestrain", curve.prestrain),
    )
    strength = _single("tensile_strength_MPa", curve.tensile_strength_MPa)
    # under the pressure of flow, some 3 strengths, links overlap by 0.1 per cent of the wire
    side = Side(octant.skin, octant.skin, HALF_TURN)
    penalty = _PENALTY * strength / wire
    mirror = Mirror.of([side], octant.mesh.nodes, penalty, friction_coefficient)
    ones = np.ones(len(octant.pulled))
    body = Body.of(octant.mesh, steel, octant.fixed, 3 * octant.pulled, ones, mirror, _REACH * wire)
    if stud is not None:
        body = body._replace(stud=footing(octant.mesh, stud, width - 2 * wire))
    aim = aimed(mirror, octant.mesh.nodes, mirror.start, body.reach)
    slack = float(touch(mirror, octant.mesh.nodes, aim).gap.min())
    return LinkModel(outline, octant, body, strength, max(slack, 0.0))


def _single(name: str, value: object) -> float:
    numbers = np.asarray(value, dtype=float).ravel()
    if len(numbers) != 1:
        raise ArgumentError(name, len(numbers), "", "the size of one link, not of several")
    return float(numbers[0])


def read(model: LinkModel, state: Solid) -> Reading:
    """What a test bed and a gauge show of a state."""
    rim = model.octant.mesh.layer(0)[model.octant.mesh.section.rim]
    inside, outside = state.placed[rim[0], 1], state.placed[rim[-1], 1]
    area = 0.0
    mirror = model.body.mirror
    if state.contact is not None and mirror is not None:
        area = float(mirror.area[state.contact.pressure > 0].sum())
    return Reading(
        force_kN=-CUTS * state.force / 1e3,
        extension_mm=max(-2 * state.pull - model.slack_mm, 0.0),
        inner_width_mm=float(2 * inside),
        outer_width_mm=float(2 * outside),
        contact_area_mm2=CUTS * area,
        greatest_strain=float(state.metal.plastic_strain.max()),
        stud_force_kN=_stud_force_kN(model.body, state),
    )


def _stud_force_kN(body: Body, state: Solid) -> float:
    if body.stud is None:
        return 0.0
    nodes = body.mesh.elements[body.stud.elements]
    return stud_force(body.stud, state.placed[nodes] - body.mesh.nodes[nodes]) / 1e3
