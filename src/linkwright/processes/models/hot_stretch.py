"""How the pull on hot chain lengthens its links while the steel turns to austenite.

- `line_pull`: force in the chain for a stress in its wire
- `transformation_plasticity`: strain that a small stress drives in a changing structure
- `volume_change_to_austenite`: how much denser austenite is than ferrite
- `hot_stretch_of_link`: the same for a whole link, by analogy with its elastic stretch
- `stretch_under`, `stress_under`: stretch and stress at a pull, from those of one newton
- `hot_stress_ratio`: greatest stress in the hot link over its flow stress
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.link_elastic import link_axial_stiffness
from linkwright.processes.models.hot_strength import SHIDA, flow_stress_shida

_GREENWOOD = (
    "G. W. Greenwood & R. H. Johnson, The deformation of metals under small stresses during "
    "phase transformations, Proc. R. Soc. A 283 (1965) 403-422"
)
_SEKI = (
    "I. Seki & K. Nagata, Lattice constant of iron and austenite including its supersaturation "
    "phase of carbon, ISIJ International 45 (2005) 1789-1794"
)
_MODULUS_GPA = 205.0
"""Only the analogy uses it; it cancels."""


@calculation(
    source="force over the section of two legs",
    gives="chain_tension_N",
    needs={"wire_stress_MPa": NOT_NEGATIVE, "wire_diameter_mm": POSITIVE},
    basis="computed",
)
def line_pull(*, wire_stress_MPa: Values, wire_diameter_mm: Values) -> Values:
    """Pull on a chain that stresses the legs of its links evenly: s 2 pi d^2/4.

    References: equilibrium.

    Example:
    >>> round(float(line_pull(wire_stress_MPa=1.5, wire_diameter_mm=8.0)), 1)
    150.8
    """
    return wire_stress_MPa * 0.5 * np.pi * wire_diameter_mm**2


@calculation(
    source=_SEKI,
    gives="volume_change",
    needs={"C_percent": (0.0, 2.0), "temperature_degC": (500.0, 1000.0)},
    valid={"temperature_degC": (700.0, 910.0)},
)
def volume_change_to_austenite(*, temperature_degC: Values, C_percent: Values = 0.0) -> Values:
    """Change of volume, a share, where ferrite turns to austenite.

        ferrite:   a = 0.2860 + 2.059e-6 T + 1.602e-9 T^2       (nm, two atoms a cell)
        austenite: a = 0.35519 + 8.1593e-6 T + 1.7341e-3 C      (nm, four atoms a cell)

    T in kelvin, C in mass per cent. The law of austenite is carried some 150 K below the range
    in which it was measured. Cementite is not counted: ferrite holds no carbon here.

    References: Seki & Nagata (2005), abstract.

    Example:
    >>> round(float(volume_change_to_austenite(temperature_degC=780.0, C_percent=0.2)), 4)
    -0.0096
    """
    kelvin = np.asarray(temperature_degC, float) + 273.15
    ferrite = 0.2860 + 2.059e-6 * kelvin + 1.602e-9 * kelvin**2
    austenite = 0.35519 + 8.1593e-6 * kelvin + 1.7341e-3 * np.asarray(C_percent)
    return (austenite**3 / (2.0 * ferrite**3) - 1.0)[()]


@calculation(
    source=_GREENWOOD,
    gives="strain",
    needs={"stress_MPa": NOT_NEGATIVE, "yield_MPa": POSITIVE},
    basis="memory",
)
def transformation_plasticity(
    *, stress_MPa: Values, yield_MPa: Values, volume_change: Values
) -> Values:
    """Strain that a small stress leaves after one phase change.

        strain = (5/6) |dV/V| stress/yield

    yield is that of the weaker phase at the temperature of the change. Linear, so it holds
    for stresses up to about half the yield.

    References: Greenwood & Johnson (1965), recalled.

    Example:
    >>> round(float(transformation_plasticity(stress_MPa=5.0, yield_MPa=60.0,
    ...     volume_change=-0.007)), 6)
    0.000486
    """
    return 5.0 / 6.0 * np.abs(volume_change) * stress_MPa / yield_MPa


class HotStretch(NamedTuple):
    """Results of `hot_stretch_of_link`."""

    stretch_percent: Values
    greatest_stress_MPa: Values


@calculation(
    source=f"{_GREENWOOD}; link as in link_axial_stiffness; yield by {SHIDA}",
    needs={
        "chain_tension_N": NOT_NEGATIVE,
        "wire_diameter_mm": POSITIVE,
        "pitch_mm": POSITIVE,
        "outer_width_mm": POSITIVE,
        "factor": POSITIVE,
    },
    basis="computed",
)
def hot_stretch_of_link(
    *,
    wire_diameter_mm: Values,
    pitch_mm: Values,
    outer_width_mm: Values,
    chain_tension_N: Values = 1.0,
    factor: Values = 1.0,
    transformation_temperature_degC: Values = 780.0,
    C_percent: Values = 0.2,
    yield_strain: Values = 0.02,
    yield_rate_per_s: Values = 0.1,
) -> HotStretch:
    """Lengthening of the pitch of chain that turns to austenite under the pull of the line.

    The strain of `transformation_plasticity` is proportional to stress, like an elastic one, so
    the link stretches as an elastic link would whose modulus is E' = stress/strain:

        dp = F/k E/E',   E' = yield/((5/6) |dV/V|)

    k is the elastic stiffness of the link at the modulus E, without the contact. The yield is
    Shida's flow stress in the middle of the change, at the least strain rate of its range.
    What the pull does while martensite forms in the water is left to the works' ``factor``, for
    which no transferable law is published: the result is an order of magnitude until learned.
    ``greatest_stress`` is the greatest tensile stress of the elastic link.

    References: as the source.

    Example:
    >>> link = hot_stretch_of_link(chain_tension_N=150.0, wire_diameter_mm=8.0, pitch_mm=24.0,
    ...     outer_width_mm=26.8)
    >>> bool(0.05 < link.stretch_percent < 0.2)
    True
    """
    elastic = link_axial_stiffness(
        wire_diameter_mm=wire_diameter_mm,
        pitch_mm=pitch_mm,
        outer_width_mm=outer_width_mm,
        elastic_modulus_GPa=_MODULUS_GPA,
    )
    strength = flow_stress_shida(
        temperature_degC=transformation_temperature_degC,
        strain=yield_strain,
        strain_rate_per_s=yield_rate_per_s,
        C_percent=C_percent,
    )
    change = volume_change_to_austenite(
        temperature_degC=transformation_temperature_degC, C_percent=C_percent
    )
    softer = transformation_plasticity(
        stress_MPa=1e3 * _MODULUS_GPA, yield_MPa=strength, volume_change=change
    )
    stretch = chain_tension_N / (1e3 * elastic.axial_stiffness_kN_per_mm) * softer
    even = chain_tension_N / (0.5 * np.pi * wire_diameter_mm**2)
    return HotStretch(factor * 100.0 * stretch / pitch_mm, elastic.stress_factor * even)


@calculation(
    source=SHIDA,
    gives="stress_ratio",
    needs={"stress_MPa": NOT_NEGATIVE, "temperature_degC": (0.0, None)},
    basis="memory",
)
def hot_stress_ratio(
    *,
    stress_MPa: Values,
    temperature_degC: Values,
    C_percent: Values,
    yield_strain: Values = 0.02,
    yield_rate_per_s: Values = 0.1,
) -> Values:
    """Greatest stress of the hot link under the line pull over the steel's flow stress.

    Flow stress at a strain of 2 % and 0.1 per second, the slow edge of Shida's range.

    References: as the source.
    """
    strength = flow_stress_shida(
        temperature_degC=temperature_degC,
        strain=yield_strain,
        strain_rate_per_s=yield_rate_per_s,
        C_percent=C_percent,
    )
    return stress_MPa / strength


@calculation(
    source="definition: what the factor multiplies",
    gives="stretch_percent",
    needs={"stretch_per_N_percent": NOT_NEGATIVE, "chain_tension_N": NOT_NEGATIVE},
    basis="computed",
)
def stretch_under(
    *, stretch_per_N_percent: Values, chain_tension_N: Values, factor: Values
) -> Values:
    """Stretch at a pull, from that of one newton and the works' factor.

    References: `hot_stretch_of_link` is linear in the pull.
    """
    return factor * stretch_per_N_percent * chain_tension_N


@calculation(
    source="linear: stress of one newton times the pull",
    gives="stress_MPa",
    needs={"stress_per_N_MPa": NOT_NEGATIVE, "chain_tension_N": NOT_NEGATIVE},
    basis="computed",
)
def stress_under(*, stress_per_N_MPa: Values, chain_tension_N: Values) -> Values:
    """Greatest stress of the elastic link at a pull.

    References: `hot_stretch_of_link` is linear in the pull.
    """
    return stress_per_N_MPa * chain_tension_N
