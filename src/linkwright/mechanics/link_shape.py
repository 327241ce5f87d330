"""What is pulled: the sizes of an oval link and the hardening curve of its steel.

    LinkGeometry    wire, pitch, width and roundness of the crown
    SwiftCurve      true stress over plastic strain, with its tensile strength

References: H. W. Swift, Plastic instability under plane stress, J. Mech. Phys. Solids 1, 1952.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linkwright.catalogue import Values
from linkwright.mechanics.link_state import LEG, shape_of
from linkwright.mechanics.section import Floats
from linkwright.quantities import ArgumentError


@dataclass(frozen=True)
class LinkGeometry:
    """Sizes of an oval link; floats or arrays that broadcast.

    ``pitch_mm`` is the inner length. ``crown_radius_mm`` is the mean radius of the middle 60
    degrees of the crown, by default (outer width - wire diameter)/2, a semicircle; a greater
    one makes the crown flatter, with tighter corners (60 degrees each) tangent to the legs.
    The straight leg is pitch + wire diameter - outer width long for a semicircle.

    Raises `ArgumentError` if the neighbour's wire does not fit or no leg is left.
    """

    wire_diameter_mm: Values
    pitch_mm: Values
    outer_width_mm: Values
    crown_radius_mm: Values | None = None

    def __post_init__(self) -> None:
        pitch, width, crown = self.ratios()
        half = (width - 1) / 2
        if np.any(width < 3.02):
            raise ArgumentError(
                "outer_width_mm", float(np.min(self.outer_width_mm)), "mm",
                "at least 3.02 wire diameters, so that the neighbour's wire fits",
            )  # fmt: skip
        if np.any(crown < half * (1 - 1e-9)) or np.any(2 * half - crown < 0.6):
            raise ArgumentError(
                "crown_radius_mm", float(np.max(np.asarray(self.crown_radius_mm))), "mm",
                "from (outer width - wire diameter)/2 to outer width - 1.6 wire diameters",
            )  # fmt: skip
        shape = shape_of(*(np.ravel(part) for part in (pitch, width, crown)))
        if np.any(shape.length[:, 0] * LEG < 0.02):
            raise ArgumentError(
                "pitch_mm", float(np.min(self.pitch_mm)), "mm",
                "long enough for a straight leg between the crowns",
            )  # fmt: skip

    def ratios(self) -> tuple[Floats, Floats, Floats]:
        """Pitch, outer width and crown radius over the wire diameter, broadcast."""
        wire = np.asarray(self.wire_diameter_mm, dtype=float)
        width = np.asarray(self.outer_width_mm, dtype=float)
        crown = (width - wire) / 2 if self.crown_radius_mm is None else self.crown_radius_mm
        parts = np.broadcast_arrays(np.asarray(self.pitch_mm) / wire, width / wire, crown / wire)
        pitch, wide, radius = parts
        return pitch, wide, radius


@dataclass(frozen=True)
class SwiftCurve:
    """True stress K (e0 + p)^n over true plastic strain p; floats or arrays.

    References: H. W. Swift, J. Mech. Phys. Solids 1, 1952; A. Considere for the strength:
    uniform strain n - e0, strength K n^n exp(e0 - n); K e0^n where n < e0.
    """

    strength_coefficient_MPa: Values
    hardening_exponent: Values
    prestrain: Values
    elastic_modulus_GPa: Values = 205.0

    @classmethod
    def of_strength(
        cls,
        tensile_strength_MPa: Values,
        hardening_exponent: Values,
        prestrain: Values,
        elastic_modulus_GPa: Values = 205.0,
    ) -> SwiftCurve:
        """The curve of given n and e0 that has a given tensile strength.

        >>> curve = SwiftCurve.of_strength(1180.0, 0.06, 0.005)
        >>> round(float(curve.tensile_strength_MPa), 6)
        1180.0
        """
        share = _strength_over_coefficient(hardening_exponent, prestrain)
        return cls(tensile_strength_MPa / share, hardening_exponent, prestrain, elastic_modulus_GPa)

    @property
    def tensile_strength_MPa(self) -> Values:
        """Engineering strength at the onset of necking."""
        share = _strength_over_coefficient(self.hardening_exponent, self.prestrain)
        return self.strength_coefficient_MPa * share


def _strength_over_coefficient(exponent: Values, prestrain: Values) -> Values:
    total = np.maximum(exponent, prestrain)
    return total**exponent * np.exp(prestrain - total)
