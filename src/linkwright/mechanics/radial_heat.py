"""What radial heat flow in round bars needs: the metal, the grid and the surface.

Offers

- `MetalTable`: heat content and Kirchhoff potential of a metal as tables,
- `RadialGrid`: nodes and control volumes over the radius,
- surface losses: `Convection`, `TabulatedConvection`, `PrescribedFlux`, `NoLoss`,
- `graded_fractions`: step sequences that are fine at the start,

for `linkwright.mechanics.radial_steps.march`, which solves the transient. Members (bars,
lots, zones of a link) are always the last axis of an array.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from linkwright.quantities import ArgumentError

Array = NDArray[np.float64]

STEFAN_BOLTZMANN_W_PER_M2K4 = 5.670374419e-8
"""CODATA 2018, exact since the SI of 2019."""

KELVIN = 273.15
_CELLS = 4096


@dataclass(frozen=True)
class MetalTable:
    """Heat content H(T) and conduction potential of one metal, ready for look-up.

    With H = integral of rho c dT (J/m3, zero at the first row) and the Kirchhoff potential
    Phi = integral of k dT (W/m), conduction is dH/dt = (1/r) d/dr(r dPhi/dr): heat is kept
    exactly however sharp the peak of c is, because c enters only through its integral.
    Phi(H) and T(H) are straight between 4,096 equal steps of H (about 0.5 K of ordinary
    steel) and straight beyond.

    Build it with `MetalTable.of`; the fields are the tables themselves.
    """

    temperature_degC: Array
    volumetric_heat_capacity_J_per_m3K: Array
    heat_J_per_m3: Array
    potential_W_per_m: Array
    potential_at_zero: Array = field(repr=False)
    potential_slope: Array = field(repr=False)
    temperature_at_zero: Array = field(repr=False)
    temperature_slope: Array = field(repr=False)
    cells_per_heat: float
    least_conductivity_W_per_mK: float

    @classmethod
    def of(
        cls,
        temperature_degC: Array,
        specific_heat_J_per_kgK: Array,
        conductivity_W_per_mK: Array,
        density_kg_per_m3: float,
        enthalpy_J_per_kg: Array | None = None,
    ) -> MetalTable:
        """Make the tables from properties on one rising temperature grid (1 K is good).

        ``enthalpy_J_per_kg`` may be given where the integral of c is known exactly; else c
        is integrated by the trapezoidal rule. Raises `ArgumentError` if the grid does not
        rise, or if c, k or density are not positive.
        """
        grid = np.ascontiguousarray(temperature_degC, dtype=float)
        if grid.size < 2 or np.any(np.diff(grid) <= 0):
            raise ArgumentError("temperature_degC", "not rising", "°C", "a rising grid")
        heat_capacity = np.broadcast_to(
            np.asarray(specific_heat_J_per_kgK, float) * density_kg_per_m3, grid.shape
        )
        conductivity = np.broadcast_to(np.asarray(conductivity_W_per_mK, float), grid.shape)
        for name, values in (("specific_heat", heat_capacity), ("conductivity", conductivity)):
            if not np.all(values > 0):
                raise ArgumentError(name, float(np.min(values)), "", "values above 0")
        if enthalpy_J_per_kg is None:
            heat = _integral(grid, heat_capacity)
        else:
            heat = (np.asarray(enthalpy_J_per_kg, float) - enthalpy_J_per_kg[0]) * density_kg_per_m3
        potential = _integral(grid, conductivity)
        even = np.linspace(heat[0], heat[-1], _CELLS + 1)
        phi_zero, phi_slope = _lines(even, np.interp(even, heat, potential))
        t_zero, t_slope = _lines(even, np.interp(even, heat, grid))
        return cls(
            grid, np.array(heat_capacity), heat, potential, phi_zero, phi_slope,
            t_zero, t_slope, _CELLS / float(heat[-1]), float(conductivity.min()),
        )  # fmt: skip

    def heat_at(self, temperature_degC: Any) -> Array:
        """Heat content in J/m3 at a temperature, consistent with `temperature_at`."""
        wanted = np.asarray(temperature_degC, dtype=float)
        even = np.arange(_CELLS + 1) / self.cells_per_heat
        knots = np.append(
            self.temperature_at_zero + self.temperature_slope * even[:-1],
            self.temperature_at_zero[-1] + self.temperature_slope[-1] * even[-1],
        )
        inside = np.interp(wanted, knots, even)
        below = (wanted - knots[0]) / self.temperature_slope[0]
        above = even[-1] + (wanted - knots[-1]) / self.temperature_slope[-1]
        outside = np.where(wanted < knots[0], below, above)
        met = (wanted >= knots[0]) & (wanted <= knots[-1])
        return np.asarray(np.where(met, inside, outside))

    def temperature_at(self, heat_J_per_m3: Array) -> Array:
        """Temperature in °C at a heat content."""
        cell = self._cell(heat_J_per_m3)
        slope = self.temperature_slope.take(cell, mode="clip")
        return np.asarray(self.temperature_at_zero.take(cell, mode="clip") + slope * heat_J_per_m3)

    def temperature_and_slope(self, heat_J_per_m3: Array) -> tuple[Array, Array]:
        """Temperature and its derivative by heat content (K m3/J)."""
        cell = self._cell(heat_J_per_m3)
        slope = self.temperature_slope.take(cell, mode="clip")
        return self.temperature_at_zero.take(cell, mode="clip") + slope * heat_J_per_m3, slope

    def capacity_at(self, temperature_degC: Any) -> Array:
        """Volumetric heat capacity rho c in J/(m3 K), straight between the given rows."""
        rows = self.volumetric_heat_capacity_J_per_m3K
        return np.asarray(np.interp(temperature_degC, self.temperature_degC, rows))

    def _cell(self, heat_J_per_m3: Array) -> NDArray[np.intp]:
        return np.asarray(heat_J_per_m3 * self.cells_per_heat).astype(np.intp)


def _integral(grid: Array, values: Array) -> Array:
    pieces = 0.5 * (values[1:] + values[:-1]) * np.diff(grid)
    return np.concatenate(([0.0], np.cumsum(pieces)))


def _lines(even: Array, values: Array) -> tuple[Array, Array]:
    slope = np.diff(values) / np.diff(even)
    return values[:-1] - slope * even[:-1], slope


@dataclass(frozen=True)
class RadialGrid:
    """Equally spaced nodes from the centre to the surface, in units of the radius.

    The node at the surface carries half a control volume, so surface and centre
    temperatures are unknowns themselves. ``link`` is face radius over spacing between
    neighbours, ``volume`` the control volumes (they add up to 1/2).
    """

    nodes: int
    position: Array
    link: Array
    volume: Array

    @classmethod
    def of(cls, nodes: int) -> RadialGrid:
        """A grid with 4 n + 1 nodes, so that quarter positions are nodes."""
        if nodes < 5 or nodes % 4 != 1:
            raise ArgumentError("nodes", nodes, "", "5, 9, 13, 17, 21, ... (4 n + 1)")
        position = np.linspace(0.0, 1.0, nodes)
        face = 0.5 * (position[1:] + position[:-1])
        edges = np.concatenate(([0.0], face, [1.0]))
        return cls(nodes, position, face / np.diff(position), 0.5 * np.diff(edges**2))

    def node(self, share_of_radius: float) -> int:
        """The node at 0, 0.25, 0.5, 0.75 or 1 of the radius."""
        place = share_of_radius * (self.nodes - 1)
        if abs(place - round(place)) > 1e-9:
            raise ArgumentError("position", share_of_radius, "", "0, 0.25, 0.5, 0.75 or 1")
        return round(place)

    def mean(self, values: Array) -> Array:
        """Mean over the section of nodal values (nodes, members)."""
        return np.asarray(2.0 * (self.volume @ values))


class SurfaceLoss(Protocol):
    """Heat that leaves the surface, member by member."""

    def flux(self, surface_degC: Array) -> tuple[Array, Array]:
        """Flux out (W/m2) and its derivative by the surface temperature (W/m2K)."""
        ...  # pragma: no cover


@dataclass(frozen=True)
class NoLoss:
    """An insulated surface."""

    def flux(self, surface_degC: Array) -> tuple[Array, Array]:
        """No flux."""
        nothing = np.zeros_like(surface_degC)
        return nothing, nothing


@dataclass(frozen=True)
class PrescribedFlux:
    """A flux out of the surface that does not depend on temperature (negative heats)."""

    flux_W_per_m2: Array | float

    def flux(self, surface_degC: Array) -> tuple[Array, Array]:
        """The given flux."""
        return self.flux_W_per_m2 + np.zeros_like(surface_degC), np.zeros_like(surface_degC)


@dataclass(frozen=True)
class Convection:
    """q = h (T - Ta) + emissivity sigma (T^4 - Ta^4), numbers or one value a member."""

    coefficient_W_per_m2K: Array | float
    ambient_degC: Array | float
    emissivity: Array | float = 0.0

    def flux(self, surface_degC: Array) -> tuple[Array, Array]:
        """Convection and grey radiation to surroundings at the same ambient temperature."""
        radiated, slope = radiation(surface_degC, self.ambient_degC, self.emissivity)
        given_off = self.coefficient_W_per_m2K * (surface_degC - self.ambient_degC)
        return given_off + radiated, self.coefficient_W_per_m2K + slope


@dataclass(frozen=True)
class TabulatedConvection:
    """q = factor h(T) (T - Ta) + radiation, h straight between rows of a boiling curve."""

    temperature_degC: Array
    coefficient_W_per_m2K: Array
    ambient_degC: Array | float
    factor: Array | float = 1.0
    emissivity: Array | float = 0.0

    def flux(self, surface_degC: Array) -> tuple[Array, Array]:
        """Flux by the table; the slope is that of the straight piece."""
        grid, rows = self.temperature_degC, self.coefficient_W_per_m2K
        cell = np.clip(np.searchsorted(grid, surface_degC) - 1, 0, grid.size - 2)
        slope = (rows[cell + 1] - rows[cell]) / (grid[cell + 1] - grid[cell])
        inside = (surface_degC > grid[0]) & (surface_degC < grid[-1])
        coefficient = self.factor * np.interp(surface_degC, grid, rows)
        radiated, radiated_slope = radiation(surface_degC, self.ambient_degC, self.emissivity)
        rise = surface_degC - self.ambient_degC
        steeper = np.where(inside, slope, 0.0) * self.factor * rise
        return coefficient * rise + radiated, coefficient + steeper + radiated_slope


def radiation(
    surface_degC: Array, ambient_degC: Array | float, emissivity: Array | float
) -> tuple[Array, Array]:
    """Grey radiation eps sigma (T^4 - Ta^4) in W/m2 and its derivative in W/m2K."""
    hot, cold = surface_degC + KELVIN, np.asarray(ambient_degC) + KELVIN
    strength = np.asarray(emissivity) * STEFAN_BOLTZMANN_W_PER_M2K4
    cube = strength * hot * hot * hot
    return cube * hot - strength * cold**4, 4.0 * cube


def graded_fractions(steps: int, power: float = 2.0) -> Array:
    """Ends of ``steps`` time steps as shares of the duration: (j/steps)^power.

    ``power`` 1 gives equal steps; 2 starts with steps of 1/steps^2, for a surface that is
    met by water at once.

    >>> graded_fractions(4).tolist()
    [0.0, 0.0625, 0.25, 0.5625, 1.0]
    """
    return np.asarray((np.arange(steps + 1) / steps) ** power)
