"""Progressive induction heating of chain wire: coil, generator and the heated section.

Offers the calculations `coil_efficiency_long_solenoid` and `induction_heating_of_round_bar`;
the many-member form is `linkwright.processes.models.coil_heat.heat_in_coil`.

Caution: coil and busbars are live and their magnetic field can disturb implants; hot chain
burns; water on electrical parts kills. Local codes and the maker's instructions come first.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.radial_heat import Array, RadialGrid, radiation
from linkwright.processes.models.coil_generator import (
    COPPER_OHM_M,
    coil_copper_loss,
    eddy_depth,
)
from linkwright.processes.models.coil_heat import (
    CANDIDATES,
    FINE_NODES,
    FINE_STEPS,
    OXIDISED_EMISSIVITY,
    STILL_AIR_W_PER_M2K,
    CoilHeat,
    field_for,
    heat_in_coil,
)
from linkwright.processes.models.eddy_heat import (
    EddyField,
    MagneticTable,
    permeability,
)
from linkwright.processes.models.steel_tables import (
    STEEL_DENSITY_KG_PER_M3,
    carbon_steel_resistivity,
    heated_steel,
)
from linkwright.quantities import ArgumentError

_HOTTEST_DEGC = 1350.0
_NONMAGNETIC_DEGC = 800.0
_PROBE_A_PER_M = 1e5


@calculation(
    source="long solenoid round a solid bar: E. J. Davies, P. G. Simpson, Induction Heating "
    "Handbook (1979); V. Rudnev et al., Handbook of Induction Heating (2003): "
    "efficiency = 1/(1 + (D1/D2) sqrt(rho1/(mu rho2)))",
    needs={
        "coil_diameter_mm": POSITIVE,
        "bar_diameter_mm": POSITIVE,
        "coil_resistivity_microohm_m": POSITIVE,
        "bar_resistivity_microohm_m": POSITIVE,
        "relative_permeability": POSITIVE,
    },
    basis="memory",
    gives="coil_efficiency",
)
def coil_efficiency_long_solenoid(
    *,
    coil_diameter_mm: Values,
    bar_diameter_mm: Values,
    bar_resistivity_microohm_m: Values,
    relative_permeability: Values = 1.0,
    coil_resistivity_microohm_m: Values = COPPER_OHM_M * 1e6,
) -> Values:
    """Greatest electrical efficiency of a coil round a bar much thicker than its skin.

    eta = 1 / (1 + (D1/D2) sqrt(rho1 / (mu_r rho2))): D1 bore of the coil, D2 diameter of
    the bar, rho1 and rho2 resistivities of coil and bar. Holds where the bar is thicker
    than about four skin depths; gaps between turns lower it.

    Example:
    >>> round(coil_efficiency_long_solenoid(coil_diameter_mm=60.0, bar_diameter_mm=40.0,
    ...     bar_resistivity_microohm_m=1.15), 3)
    0.835
    """
    ratio = np.asarray(coil_diameter_mm) / np.asarray(bar_diameter_mm)
    loss = ratio * np.sqrt(
        np.asarray(coil_resistivity_microohm_m)
        / (np.asarray(relative_permeability) * np.asarray(bar_resistivity_microohm_m))
    )
    result = 1.0 / (1.0 + loss)
    return float(result) if np.ndim(result) == 0 else result


class InductionHeating(NamedTuple):
    """Results of `induction_heating_of_round_bar`."""

    surface_temperature_degC: Values
    centre_temperature_degC: Values
    mean_temperature_degC: Values
    greatest_surface_temperature_degC: Values
    time_in_coil_s: Values
    coil_field_kA_per_m: Values
    metal_power_kW: Values
    surface_loss_kW: Values
    coil_loss_kW: Values
    coil_efficiency: Values
    generator_power_kW: Values
    specific_energy_kWh_per_t: Values
    entry_relative_permeability: Values
    entry_skin_depth_mm: Values
    exit_skin_depth_mm: Values


@calculation(
    source="eddy heat of a cylinder in an axial field with resistivity (ASM, 1023 steel) and "
    "permeability by temperature, conduction with EN 1993-1-2:2005, 3.4.1; coil loss of a long "
    "solenoid, E. J. Davies, P. G. Simpson, Induction Heating Handbook (1979)",
    needs={
        "wire_diameter_mm": POSITIVE,
        "line_speed_m_per_min": POSITIVE,
        "coil_length_mm": POSITIVE,
        "coil_diameter_mm": POSITIVE,
        "frequency_kHz": POSITIVE,
        "mass_per_length_kg_per_m": POSITIVE,
        "coil_field_kA_per_m": POSITIVE,
        "metal_power_kW": POSITIVE,
        "coupling": (0.05, 2.0),
        "emissivity": (0.0, 1.0),
        "generator_efficiency": (0.05, 1.0),
        "winding_fill": (0.05, 1.0),
        "start_temperature_degC": (0.0, 1300.0),
    },
    valid={"wire_diameter_mm": (3.0, 60.0), "exit_temperature_degC": (100.0, 1250.0)},
    basis="computed",
)
def induction_heating_of_round_bar(
    *,
    wire_diameter_mm: Values,
    line_speed_m_per_min: Values,
    coil_length_mm: Values,
    coil_diameter_mm: Values,
    frequency_kHz: Values,
    exit_temperature_degC: Values | None = None,
    metal_power_kW: Values | None = None,
    coil_field_kA_per_m: Values | None = None,
    mass_per_length_kg_per_m: Values | None = None,
    start_temperature_degC: Values = 20.0,
    ambient_temperature_degC: Values = 20.0,
    coupling: Values = 1.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
    generator_efficiency: Values = 0.9,
    winding_fill: Values = 0.85,
) -> InductionHeating:
    """Heat a wire or a chain of round wire that runs through an induction coil.

    Give exactly one of ``exit_temperature_degC`` (mean over the section at the exit),
    ``metal_power_kW`` (into all metal in the coil) or ``coil_field_kA_per_m`` (peak field
    of the coil); for the first two the field is solved. ``mass_per_length_kg_per_m`` is the
    line's mass per metre (a chain has more wire than its length; default: one wire).
    ``coupling`` is the field at the wire over that of the coil (zone of a link).

    Conduction, eddy power and losses are those of `heat_in_coil` on 41 nodes and 96 steps.
    Coil loss pi D1 L Hc^2 rho1/(2 delta1 fill) with copper of 2.0e-8 ohm m; ``winding_fill``
    (copper over coil length) and ``generator_efficiency`` are common practice, no source.

    Errors: `ArgumentError` if not exactly one aim is given, if no field reaches it (a wire
    thinner than its skin hardly takes heat: raise the frequency), or if the wire melts.

    Example: 8 mm chain of 1.42 kg/m at 6 m/min, mean 940 °C.
    >>> heat = induction_heating_of_round_bar(wire_diameter_mm=8.0, line_speed_m_per_min=6.0,
    ...     coil_length_mm=1200.0, coil_diameter_mm=50.0, frequency_kHz=100.0,
    ...     exit_temperature_degC=940.0, mass_per_length_kg_per_m=1.42)
    >>> bool(85 < heat.metal_power_kW < 110), round(heat.mean_temperature_degC)
    (True, 940)
    """
    aims = (exit_temperature_degC, metal_power_kW, coil_field_kA_per_m)
    if sum(aim is not None for aim in aims) != 1:
        raise ArgumentError(
            "exit_temperature_degC", exit_temperature_degC, "°C",
            "exactly one of exit_temperature_degC, metal_power_kW, coil_field_kA_per_m",
        )  # fmt: skip
    section = np.pi / 4.0 * (np.asarray(wire_diameter_mm) * 1e-3) ** 2 * STEEL_DENSITY_KG_PER_M3
    mass = section if mass_per_length_kg_per_m is None else mass_per_length_kg_per_m
    given = np.broadcast_arrays(
        wire_diameter_mm, line_speed_m_per_min, coil_length_mm, coil_diameter_mm, frequency_kHz,
        mass, start_temperature_degC, ambient_temperature_degC, coupling, emissivity,
        generator_efficiency, winding_fill, *(aim for aim in aims if aim is not None),
    )  # fmt: skip
    shape = given[0].shape
    line = _Line(*(np.asarray(part, float).ravel() for part in given[:-1]))
    aim = np.asarray(given[-1], float).ravel()
    if coil_field_kA_per_m is not None:
        field = aim * 1e3
    else:
        field = line.solve(aim, exit_temperature_degC is not None)
    with np.errstate(over="ignore", invalid="ignore"):
        found = line.results(field)
    if not np.all(found[2] <= _HOTTEST_DEGC):
        raise ArgumentError(
            "coil_field_kA_per_m", float(field.max() / 1e3), "kA/m",
            f"a field that leaves the metal below {_HOTTEST_DEGC:.0f} °C", "melts the wire",
        )  # fmt: skip
    return InductionHeating(*(_shaped(part, shape) for part in found))


def _shaped(values: Array, shape: tuple[int, ...]) -> Values:
    return float(values[0]) if not shape else values.reshape(shape)


class _Line(NamedTuple):
    """A line of the calculation as flat arrays, one value a case."""

    diameter_mm: Array
    speed_m_per_min: Array
    length_mm: Array
    bore_mm: Array
    frequency_kHz: Array
    mass_kg_per_m: Array
    start_degC: Array
    ambient_degC: Array
    coupling: Array
    emissivity: Array
    generator_efficiency: Array
    fill: Array

    def run(self, field: Array, case: Any) -> CoilHeat:
        """Heat at coil fields (members,), each belonging to a case."""
        return heat_in_coil(
            wire_radius_m=self.diameter_mm[case] * 5e-4,
            duration_s=self.length_mm[case] * 0.06 / self.speed_m_per_min[case],
            field_A_per_m=field * self.coupling[case],
            frequency_Hz=self.frequency_kHz[case] * 1e3,
            start_degC=self.start_degC[case],
            ambient_degC=self.ambient_degC[case],
            emissivity=self.emissivity[case],
            nodes=FINE_NODES,
            steps=FINE_STEPS,
        )

    def power_kW(self, heat_J_per_m: Array, case: Any) -> Array:
        """Power for a heat per metre of wire: wire per metre of line times line speed."""
        section = np.pi / 4.0 * (self.diameter_mm[case] * 1e-3) ** 2 * STEEL_DENSITY_KG_PER_M3
        wire = self.mass_kg_per_m[case] / section
        return np.asarray(heat_J_per_m * wire * self.speed_m_per_min[case] / 60e3)

    def solve(self, aim: Array, by_temperature: bool) -> Array:
        """Coil field for a mean exit temperature or a power into the metal."""
        greatest = 1.5 * self._field_of_hot_bar(aim, by_temperature)
        case = np.tile(np.arange(aim.size), CANDIDATES)

        def reached(trial: Array) -> Array:
            heat = self.run(trial.ravel(), case)
            end = heat.mean_degC if by_temperature else self.power_kW(heat.supplied_J_per_m, case)
            return end.reshape(trial.shape)

        field = field_for(aim, reached, greatest / 40.0, greatest)
        if np.isnan(field).any():
            name = "exit_temperature_degC" if by_temperature else "metal_power_kW"
            raise ArgumentError(
                name, float(aim[np.isnan(field)][0]), "°C" if by_temperature else "kW",
                "a value above that at the entry, with a slower line or higher frequency",
                "is not reached by any field of this coil",
            )  # fmt: skip
        return field

    def _field_of_hot_bar(self, aim: Array, by_temperature: bool) -> Array:
        """Field that would do it if the bar were non-magnetic and lost heat as at the end."""
        metal, grid, radius = heated_steel(), RadialGrid.of(FINE_NODES), self.diameter_mm * 5e-4
        seconds = self.length_mm * 0.06 / self.speed_m_per_min
        if by_temperature:
            gain = metal.heat_at(aim) - metal.heat_at(self.start_degC)
            radiated, _ = radiation(aim, self.ambient_degC, self.emissivity)
            lost = radiated + STILL_AIR_W_PER_M2K * np.maximum(aim - self.ambient_degC, 0.0)
            needed = np.pi * radius**2 * gain / seconds + 2 * np.pi * radius * lost
            # an exit below the entry needs no field: any small one shows it
            power = np.maximum(needed, 1.0)
        else:
            power = aim / (self.power_kW(np.ones_like(aim), slice(None)) * seconds)
        probe = EddyField(
            metal, grid, radius_m=radius, field_A_per_m=np.full(aim.shape, _PROBE_A_PER_M),
            frequency_Hz=self.frequency_kHz * 1e3, resistivity=carbon_steel_resistivity(),
            magnetic=MagneticTable.steel(),
        )  # fmt: skip
        hot = np.broadcast_to(metal.heat_at(_NONMAGNETIC_DEGC), (grid.nodes, aim.size))
        taken = probe(np.array(hot))[0].sum(axis=0)
        return np.asarray(_PROBE_A_PER_M * np.sqrt(power / taken) / self.coupling)

    def results(self, field: Array) -> tuple[Array, ...]:
        """All results in the order of `InductionHeating`."""
        case = np.arange(field.size)
        heat = self.run(field, case)
        metal = self.power_kW(heat.supplied_J_per_m, case)
        coil = self._coil_loss_kW(field)
        generator = (metal + coil) / self.generator_efficiency
        strength = field * self.coupling
        entry = permeability(strength, self.start_degC)
        hot = permeability(strength, heat.surface_degC)
        hourly = self.mass_kg_per_m * self.speed_m_per_min * 0.06
        return (
            heat.surface_degC, heat.centre_degC, heat.mean_degC,
            heat.history.temperature_degC(1.0).max(axis=0), heat.history.time_s[-1], field / 1e3,
            metal, self.power_kW(heat.lost_J_per_m, case), coil, metal / (metal + coil), generator,
            generator / hourly, entry, self._depth_mm(self.start_degC, entry),
            self._depth_mm(heat.surface_degC, hot),
        )  # fmt: skip

    def _coil_loss_kW(self, field: Array) -> Array:
        return np.asarray(
            coil_copper_loss(
                coil_field_kA_per_m=field / 1e3,
                frequency_kHz=self.frequency_kHz,
                coil_inner_diameter_mm=self.bore_mm,
                coil_length_mm=self.length_mm,
                winding_fill_factor=self.fill,
            )
        )

    def _depth_mm(self, temperature_degC: Array, mu: Array) -> Array:
        rho = carbon_steel_resistivity().at(temperature_degC)
        return np.asarray(
            eddy_depth(
                frequency_kHz=self.frequency_kHz,
                resistivity_microohm_m=rho * 1e6,
                relative_permeability=mu,
            )
        )
