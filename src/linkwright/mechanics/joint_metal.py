"""Property tables of the metal of a resistance-welded joint, on a uniform enthalpy grid.

`JointMetal` turns curves over temperature, handed in by the caller, into columns over the
enthalpy per volume: then the energy equation is conservative through any peak of the
specific heat, and one lookup gives a value together with its slope. `face_resistance`
is the resistance of the pressed faces: Holm's constriction in spots whose area follows
from force over hot strength, softened by the contact's own voltage.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.quantities import ArgumentError

Array = NDArray[np.float64]

STEFAN_BOLTZMANN = 5.670374419e-8
"""W/(m2 K4), CODATA 2018."""
LORENZ = 2.44e-8
"""V2/K2, Sommerfeld value of the Lorenz number."""
KELVIN = 273.15
_POINTS = 4096
_PEAK_J_PER_M3 = 6e8  # half of the heat taken up between 680 and 800 degC


class Column(NamedTuple):
    """A quantity on an even grid, and its rise over each interval."""

    value: Array
    rise: Array

    @classmethod
    def of(cls, value: Array) -> Column:
        """The column of given values."""
        return cls(value, np.diff(value))

    def at(self, row: NDArray[np.intp], part: Array) -> tuple[Array, Array]:
        """Value and rise at places found before."""
        value, rise = self.value.take(row), self.rise.take(row)
        value += rise * part
        return value, rise


class State(NamedTuple):
    """One state: values, slopes over enthalpy per volume, places in the table.

    Conductivity and resistivity's slope are those of the faces' cells. The stiffness is the
    diffusivity without the dip that the peak of the specific heat cuts into it: the matrix
    of a step then stays strong enough when a cell leaves the peak within the step.
    """

    temperature: Array
    temperature_slope: Array
    conductivity: Array
    kirchhoff: Array
    stiffness: Array
    resistivity: Array
    resistivity_slope: Array
    row: NDArray[np.intp]
    part: Array


@dataclass(frozen=True)
class JointMetal:
    """The metal's columns over enthalpy per volume; make it by `from_curves`.

    step: distance of the grid, J/m3; temperature: deg C; kirchhoff: integral of the
    conductivity over temperature, W/m; resistivity: ohm m; loss: heat given off by the
    free surface, W/m2. log_flow_stress: natural logarithm of the flow stress in Pa at
    whole degrees from the first temperature of the curves on.
    """

    step: float
    first_degC: float
    temperature: Column
    kirchhoff: Column
    stiffness: Array
    resistivity: Column
    loss: Column
    log_flow_stress: Column

    @classmethod
    def from_curves(
        cls,
        *,
        temperature_degC: Any,
        enthalpy_kJ_per_kg: Any,
        conductivity_W_per_mK: Any,
        resistivity_microohm_m: Any,
        flow_stress_MPa: Any,
        density_kg_per_m3: float = 7850.0,
        emissivity: float = 0.8,
        convection_W_per_m2K: float = 10.0,
        surroundings_degC: float = 20.0,
    ) -> JointMetal:
        """Tables from curves at common temperatures (rising, one value each).

        The free surface gives off emissivity sigma (T^4 - Ts^4) + h (T - Ts). The curves
        should reach beyond the hottest state; above their end the last slope goes on.
        Raises `ArgumentError` if temperature or enthalpy do not rise, or lengths differ.
        """
        grid = np.asarray(temperature_degC, dtype=float)
        heat = np.asarray(enthalpy_kJ_per_kg, dtype=float) * 1e3 * density_kg_per_m3
        heat = heat - heat[0]
        named = {
            "conductivity_W_per_mK": np.asarray(conductivity_W_per_mK, dtype=float),
            "resistivity_microohm_m": np.asarray(resistivity_microohm_m, dtype=float),
            "flow_stress_MPa": np.asarray(flow_stress_MPa, dtype=float),
        }
        _check_curves(grid, heat, named)
        stress = named["flow_stress_MPa"]
        steps = np.diff(grid)
        conductivity = named["conductivity_W_per_mK"]
        kirchhoff = np.append(0.0, np.cumsum(steps * (conductivity[1:] + conductivity[:-1]) / 2))
        fine = np.linspace(0.0, heat[-1], _POINTS)
        temperature = np.interp(fine, heat, grid)
        absolute, around = temperature + KELVIN, surroundings_degC + KELVIN
        loss = emissivity * STEFAN_BOLTZMANN * (absolute**4 - around**4)
        whole = np.arange(grid[0], grid[-1] + 0.5)
        theta = Column.of(np.interp(temperature, grid, kirchhoff))
        ohm_m = named["resistivity_microohm_m"] * 1e-6
        return cls(
            step=float(fine[1]),
            first_degC=float(grid[0]),
            temperature=Column.of(temperature),
            kirchhoff=theta,
            stiffness=_without_dips(theta.rise / fine[1], fine[1]),
            resistivity=Column.of(np.interp(temperature, grid, ohm_m)),
            loss=Column.of(loss + convection_W_per_m2K * (temperature - surroundings_degC)),
            log_flow_stress=Column.of(np.interp(whole, grid, np.log(stress * 1e6))),
        )

    @property
    def last_degC(self) -> float:
        """Highest temperature of the curves."""
        return self.first_degC + self.log_flow_stress.rise.size

    def place(self, enthalpy: Array) -> tuple[NDArray[np.intp], Array]:
        """Interval and the part of it passed, for enthalpies in J/m3."""
        scaled = enthalpy * (1.0 / self.step)
        row = np.clip(scaled, 0.0, self.temperature.rise.size - 1.0).astype(np.intp)
        scaled -= row
        return row, scaled

    def enthalpy_at(self, temperature_degC: Any) -> Array:
        """Enthalpy per volume, J/m3, from the table's first temperature."""
        known = self.temperature.value
        return np.asarray(np.interp(temperature_degC, known, np.arange(known.size)) * self.step)

    def kirchhoff_at(self, temperature_degC: Any) -> Array:
        """Integral of the conductivity up to a temperature, W/m."""
        return np.asarray(np.interp(temperature_degC, self.temperature.value, self.kirchhoff.value))

    def state(self, enthalpy: Array) -> State:
        """Everything that the rates need, from one place in the tables."""
        row, part = self.place(enthalpy)
        temperature, warming = self.temperature.at(row, part)
        kirchhoff, flow = self.kirchhoff.at(row, part)
        resistivity, rise = self.resistivity.at(row, part)
        return State(
            temperature=temperature,
            temperature_slope=warming * (1.0 / self.step),
            conductivity=flow[0] / warming[0],
            kirchhoff=kirchhoff,
            stiffness=self.stiffness.take(row),
            resistivity=resistivity,
            resistivity_slope=rise[0] / self.step,
            row=row,
            part=part,
        )

    def lost(self, state: State, rows: int) -> Array:
        """Heat given off by the free surface of the first rows of a state, W/m2."""
        return self.loss.at(state.row[:rows], state.part[:rows])[0]

    def flow_stress(self, temperature_degC: Array) -> tuple[Array, Array]:
        """Flow stress in Pa and the slope of its logarithm per kelvin."""
        scaled = temperature_degC - self.first_degC
        row = np.clip(scaled, 0.0, self.log_flow_stress.rise.size - 1.0).astype(np.intp)
        value, slope = self.log_flow_stress.at(row, scaled - row)
        return np.exp(value), slope


class Contact(NamedTuple):
    """Resistance of the pressed faces and the temperature in their spots."""

    resistance_ohm: Array
    spot_degC: Array


def face_resistance(
    metal: JointMetal,
    *,
    face_degC: Array,
    resistivity_ohm_m: Array,
    current_A: Array,
    force_N: Array,
    area_m2: Array,
    spots: Array,
    start_degC: Array,
    rounds: int = 2,
) -> Contact:
    """Constriction resistance of n equal spots in faces pressed by a force.

    R = rho/(2 n a) (1 - sqrt(f))^1.5, n pi a^2 = f A: f is the share of the section that
    touches. Lightly loaded spots carry their hardness, three times the flow stress s
    (Tabor); when the pressure p = F/A reaches s the section yields and the faces touch
    everywhere. Between, the hardness falls straight with the pressure from 3 s to s:
    f = p/(3 s - 2 p), and no resistance is left from p = s on. s is taken at the
    temperature Ts of the spots, Ts^2 = Tf^2 + (I R)^2/(4 L) (K), solved by ``rounds``
    Newton steps from ``start_degC`` and held between the face's Tf and the end of the
    table. All arrays (members,).

    References:
        R. Holm, Electric Contacts, 4th ed. (1967): constriction resistance, and the
        relation of F. Kohlrausch between contact voltage and contact temperature.
        D. Tabor, The Hardness of Metals (1951): hardness is about three times flow stress.
        M. G. Cooper, B. B. Mikic & M. M. Yovanovich, Int. J. Heat Mass Transfer 12 (1969)
        279-300: the factor (1 - sqrt(f))^1.5 for spots that share a column.
        The straight passage from 3 s to s is this program's own assumption.
    """
    face = face_degC + KELVIN
    highest = metal.last_degC
    scale = resistivity_ohm_m * 0.5 * np.sqrt(np.pi / (spots * area_m2))
    pressure = force_N / area_m2
    spot = np.clip(start_degC, face_degC, highest)
    for _ in range(rounds):
        stress, slope = metal.flow_stress(spot)
        load = np.minimum(pressure / stress, 1.0)
        covered = _covered(load)
        root = np.sqrt(covered)
        heating = (current_A * scale) ** 2 * (1.0 - root) ** 3 / (4.0 * LORENZ * covered)
        # d ln f/dT = -3 (s'/s)/(3 - 2 p/s); -d ln[(1 - c)^3/c^2]/d ln f with c = sqrt(f)
        growth = -slope * 3.0 / (3.0 - 2.0 * load)
        fall = heating * growth * (1.0 + 1.5 * root / np.maximum(1.0 - root, 0.05))
        absolute = spot + KELVIN
        spot = spot - (absolute**2 - face**2 - heating) / (2.0 * absolute + fall)
        spot = np.clip(spot, face_degC, highest)
    covered = _covered(np.minimum(pressure / metal.flow_stress(spot)[0], 1.0))
    root = np.sqrt(covered)
    return Contact(scale / root * (1.0 - root) ** 1.5, spot)


def _without_dips(values: Array, step: float) -> Array:
    """Greatest value within a stretch of enthalpy that spans the peak at 735 degC."""
    reach = max(int(_PEAK_J_PER_M3 / step), 1)
    padded = np.pad(values, reach, mode="edge")
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1).max(axis=1))


def _covered(load: Array) -> Array:
    """Share of the section that touches, from pressure over flow stress (0 to 1)."""
    return load / (3.0 - 2.0 * load)


def _check_curves(grid: Array, heat: Array, named: dict[str, Array]) -> None:
    for name, rising in (("temperature_degC", grid), ("enthalpy_kJ_per_kg", heat)):
        if rising.ndim != 1 or rising.size < 2 or not (np.diff(rising) > 0).all():
            raise ArgumentError(name, "the curve", "", "at least two rising values")
    for name, values in {"enthalpy_kJ_per_kg": heat, **named}.items():
        if values.shape != grid.shape:
            raise ArgumentError(name, f"{values.size} values", "", f"{grid.size} values")
    for name, values in named.items():
        if not (values > 0).all():
            raise ArgumentError(name, float(values.min()), "", "greater than 0")
