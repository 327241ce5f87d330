"""Eddy-current heat in a round bar whose resistivity and permeability follow its temperature.

Offers

- `relative_permeability_arctangent`: saturation curve with the fall to the Curie point,
- `MagneticTable`, `EddyField`: the power in every control volume of many bars in an axial
  alternating field, as a source for `linkwright.mechanics.radial_steps.march`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.radial_heat import Array, MetalTable, RadialGrid
from linkwright.processes.models.steel_tables import ResistivityTable

MAGNETIC_CONSTANT_H_PER_M = 4e-7 * np.pi
SATURATION_T = 2.0
"""Saturation polarisation of low-carbon steel near 20 °C; iron 2.15 T (basis memory)."""
INITIAL_PERMEABILITY = 600.0
"""Slope of the curve at low field (basis memory); without weight at heating fields."""
CURIE_DEGC = 768.0
"""Curie point of iron and low-alloy steel, 768 to 770 °C (basis memory)."""
CURIE_DECAY_K = 100.0
"""Constant of the exponential fall: 0.60 left at 676 °C, 0.93 at 500 °C."""

_ROWS, _PER_UNIT = 8192, 200.0
Complex = NDArray[np.complex128]


@calculation(
    source="arctangent saturation curve times an exponential fall to the Curie point, as used for "
    "B(H, T) in finite-element analysis of induction heating (read in a public manual); "
    "saturation 2.0 T, initial slope 600, decay 100 K, Curie point 768 °C from memory",
    needs={"field_kA_per_m": POSITIVE, "curie_temperature_degC": (100.0, 1200.0)},
    valid={"field_kA_per_m": (1.0, 1000.0), "temperature_degC": (0.0, 1300.0)},
    basis="memory",
    gives="relative_permeability",
)
def relative_permeability_arctangent(
    *,
    field_kA_per_m: Values,
    temperature_degC: Values,
    curie_temperature_degC: Values = CURIE_DEGC,
) -> Values:
    """Relative permeability of steel at a field and a temperature.

    mu_r = 1 + theta(T) (2 Js / (pi mu0 H)) atan(pi (mu_i - 1) mu0 H / (2 Js)),
    theta = 1 - exp((T - Tc)/C) below the Curie point Tc, 0 above; Js saturation
    polarisation, mu_i slope at low field. At fields of induction heating (above 20 kA/m) mu_i
    has no weight and mu_r tends to 1 + Js theta/(mu0 H).

    Example:
    >>> round(float(relative_permeability_arctangent(field_kA_per_m=100.0, temperature_degC=20.0)), 1)
    16.7
    """  # noqa: E501
    field = np.asarray(field_kA_per_m, float) * 1e3
    result = permeability(field, np.asarray(temperature_degC, float), curie_temperature_degC)
    return float(result) if np.ndim(result) == 0 else result


def permeability(
    field_A_per_m: Array, temperature_degC: Array, curie_degC: Values = CURIE_DEGC
) -> Array:
    """`relative_permeability_arctangent` for arrays in A/m, without its guards."""
    left = _curie_factor(temperature_degC, curie_degC)
    return np.asarray(1.0 + _saturation(field_A_per_m) * left)


def _saturation(field_A_per_m: Array) -> Array:
    """Relative permeability less 1 far below the Curie point."""
    ratio = 0.5 * np.pi * MAGNETIC_CONSTANT_H_PER_M * field_A_per_m / SATURATION_T
    return np.asarray(np.arctan((INITIAL_PERMEABILITY - 1.0) * ratio) / ratio)


def _curie_factor(temperature_degC: Array, curie_degC: Values) -> Array:
    return np.asarray(np.maximum(-np.expm1((temperature_degC - curie_degC) / CURIE_DECAY_K), 0.0))


@dataclass(frozen=True)
class MagneticTable:
    """Share of the magnetism left, on whole kelvins from 0 °C."""

    share: Array

    @classmethod
    def steel(cls, curie_degC: float = CURIE_DEGC) -> MagneticTable:
        """The exponential fall to the Curie point, nothing above it."""
        return cls(_curie_factor(np.arange(0.0, 1401.0), curie_degC))


@lru_cache(maxsize=1)
def _layer_tables() -> tuple[Complex, Complex]:
    """x/sinh(x) and j tanh(x/2)/(x/2) with x = (1 + j) y, at the middle of 0.005 of y."""
    y = (np.arange(_ROWS) + 0.5) / _PER_UNIT
    x = (1.0 + 1.0j) * y
    # beyond 30 skin depths nothing of the field is left
    coupling = np.where(y < 30.0, x / np.sinh(np.where(y < 30.0, x, 1.0)), 0.0)
    storage = 1.0j * np.tanh(np.where(y < 30.0, 0.5 * x, 15.0)) / (0.5 * x)
    return coupling, storage


class EddyField:
    """Heat source of bars in an axial field: ``field(heat)`` gives power per node.

    The field equation (1/r) d/dr(r rho dH/dr) = j omega mu0 mu_r H is solved on the thermal
    grid with coefficients that are exact for an even layer between two nodes (x/sinh x and
    x tanh(x/2) in place of 1 and x^2/2), so a skin much thinner than the spacing still
    takes its true power. Resistivity and permeability follow the local temperature; the
    saturation is that at the surface field, as in hand calculation.

    Arguments: ``field_A_per_m`` peak value at the wire's surface, ``frequency_Hz`` and
    ``radius_m``, each a number or one value a member.
    """

    def __init__(
        self,
        metal: MetalTable,
        grid: RadialGrid,
        *,
        radius_m: Array,
        field_A_per_m: Array,
        frequency_Hz: Array | float,
        resistivity: ResistivityTable,
        magnetic: MagneticTable,
    ) -> None:
        self.metal, self.grid = metal, grid
        self.resistivity, self.magnetic = resistivity.value_ohm_m, magnetic.share
        self.square = np.asarray(field_A_per_m, float) ** 2
        self.excess = _saturation(np.asarray(field_A_per_m, float))
        spacing = np.asarray(radius_m) / (grid.nodes - 1)
        self.scale = np.pi * MAGNETIC_CONSTANT_H_PER_M * np.asarray(frequency_Hz) * spacing**2
        weight = grid.position * (grid.nodes - 1)
        weight[0] = 0.25
        self.inner, self.outer = weight[:-1, None], weight[1:, None]
        self.coupling, self.storage = _layer_tables()
        self.work: _Work | None = None

    def __call__(self, heat_J_per_m3: Array) -> tuple[Array, Array]:
        """Power per length of bar in each control volume, and its fall with temperature.

        Both arrays are work space of this object: the next call writes over them.
        """
        work = self._work_for(heat_J_per_m3)
        self._layers(heat_J_per_m3, work)
        self._recursion(work)
        strength, outer, inner = work.strength, work.outer, work.inner
        strength[-1] = np.pi * self.square
        for row in range(self.grid.nodes - 2, -1, -1):
            np.multiply(strength[row + 1], work.passed[row], out=strength[row])
        np.multiply(work.through.real, work.reflected, out=outer)
        outer *= strength[1:]
        # the heat of a layer falls to its nodes as their field strengths: half and half in
        # a thin layer, all to the outer one where the skin is thinner than the layer
        np.add(work.passed, 1.0, out=inner)
        np.divide(work.passed, inner, out=inner)
        inner *= outer
        outer -= inner
        spare = work.reflected
        np.multiply(work.kept.real, self.outer, out=spare)
        spare *= strength[1:]
        outer += spare
        np.multiply(work.kept.real, self.inner, out=spare)
        spare *= strength[:-1]
        inner += spare
        _to_nodes(outer, inner, work.power)
        outer *= work.steepness
        inner *= work.steepness
        _to_nodes(outer, inner, work.fall)
        return work.power, work.fall

    def _layers(self, heat: Array, work: _Work) -> None:
        """Complex coupling and storage of each layer, and how fast its skin loses power."""
        temperature = self.metal.temperature_at(heat)
        square, rho, mu, steepness = work.outer, work.inner, work.passed, work.steepness
        np.add(temperature[1:], temperature[:-1], out=square)
        square += 1.0
        square *= 0.5
        work.cell[...] = square
        self.resistivity.take(work.cell, mode="clip", out=rho)
        self.magnetic.take(work.cell, mode="clip", out=mu)
        # the power of a skin goes with sqrt(mu): half the slope of its logarithm on the way
        # to the Curie point (the other half moves inward with the field), nothing beyond
        np.subtract(1.0, mu, out=steepness)
        steepness *= mu > 0.0
        steepness *= self.excess * (0.25 / CURIE_DECAY_K)
        mu *= self.excess
        mu += 1.0
        steepness /= mu
        np.divide(mu, rho, out=square)
        square *= self.scale
        np.sqrt(square, out=mu)
        mu *= _PER_UNIT
        work.cell[...] = mu
        self.coupling.take(work.cell, mode="clip", out=work.through)
        self.storage.take(work.cell, mode="clip", out=work.kept)
        square *= rho
        work.kept *= square
        rho *= self.grid.link[:, None]
        work.through *= rho

    def _recursion(self, work: _Work) -> None:
        """From the centre outward: squares of the ratios of neighbouring field strengths."""
        through, kept, storage, ratio = work.through, work.kept, work.storage, work.ratio
        admittance = kept[0] * self.inner[0]
        np.multiply(kept, self.outer, out=storage)
        np.multiply(kept[1:], self.inner[1:], out=ratio[1:])
        storage[:-1] += ratio[1:]
        for row in range(self.grid.nodes - 1):
            np.divide(through[row], through[row] + admittance, out=ratio[row])
            admittance = admittance * ratio[row] + storage[row]
        np.square(ratio.real, out=work.passed)
        np.square(ratio.imag, out=work.reflected)
        work.passed += work.reflected
        np.multiply(ratio.real, -2.0, out=work.reflected)
        work.reflected += work.passed
        work.reflected += 1.0

    def _work_for(self, heat: Array) -> _Work:
        if self.work is None or self.work.power.shape != heat.shape:
            self.work = _Work.of(*heat.shape)
        return self.work


@dataclass(slots=True)
class _Work:
    """Arrays that are used again at every call: fresh ones of this size cost page faults."""

    cell: NDArray[np.intp]
    through: Complex
    kept: Complex
    storage: Complex
    ratio: Complex
    passed: Array
    reflected: Array
    steepness: Array
    outer: Array
    inner: Array
    strength: Array
    power: Array
    fall: Array

    @classmethod
    def of(cls, nodes: int, members: int) -> _Work:
        """Space for a field of this size."""
        layers, field = (nodes - 1, members), (nodes, members)
        return cls(
            np.empty(layers, dtype=np.intp),
            *(np.empty(layers, dtype=complex) for _ in range(4)),
            *(np.empty(layers) for _ in range(5)),
            *(np.empty(field) for _ in range(3)),
        )


def _to_nodes(outer: Array, inner: Array, nodes: Array) -> None:
    nodes[0] = 0.0
    nodes[1:] = outer
    nodes[:-1] += inner


@calculation(
    source="cylinder in an axial alternating field: H. B. Dwight, M. M. Bagai, Calculations for "
    "coreless induction furnaces, Trans. AIEE 54 (1935) 312-315; P = pi Re(k rho a "
    "I1(ka)/I0(ka)) H^2, k = (1+j)/delta",
    needs={
        "wire_diameter_mm": POSITIVE,
        "field_peak_kA_per_m": NOT_NEGATIVE,
        "frequency_kHz": POSITIVE,
        "resistivity_microohm_m": POSITIVE,
        "relative_permeability": POSITIVE,
    },
    basis="computed",
    gives="power_per_length_kW_per_m",
)
def eddy_power_of_even_bar(
    *,
    wire_diameter_mm: Values,
    field_peak_kA_per_m: Values,
    frequency_kHz: Values,
    resistivity_microohm_m: Values,
    relative_permeability: Values = 1.0,
) -> Values:
    """Eddy-current power per length of a round bar with the same properties throughout.

    P/l = pi rho H^2 Re(k a I1(k a)/I0(k a)), k = (1 + j)/delta, H peak value of the axial
    field at the surface, a radius. For a thick bar it tends to 2 pi a H^2 rho/(2 delta).

    Example: an 8 mm bar above the Curie point.
    >>> round(eddy_power_of_even_bar(wire_diameter_mm=8.0, field_peak_kA_per_m=100.0,
    ...     frequency_kHz=100.0, resistivity_microohm_m=1.15), 1)
    67.2
    """
    from scipy.special import ive  # noqa: PLC0415 (heavy: only where it is asked for)

    radius = np.asarray(wire_diameter_mm) * 5e-4
    rho = np.asarray(resistivity_microohm_m) * 1e-6
    omega = 2e3 * np.pi * np.asarray(frequency_kHz)
    depth = np.sqrt(2.0 * rho / (omega * MAGNETIC_CONSTANT_H_PER_M * relative_permeability))
    argument = (1.0 + 1.0j) * radius / depth
    shape = (argument * ive(1, argument) / ive(0, argument)).real
    power = np.pi * rho * (np.asarray(field_peak_kA_per_m) * 1e3) ** 2 * shape / 1e3
    return float(power) if np.ndim(power) == 0 else power
