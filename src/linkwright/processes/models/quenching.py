"""Water quenching of moving chain: the spray's heat transfer and the course in the section.

Offers

- `spray_heat_transfer_wendelstorf`: heat transfer of a water spray over surface temperature,
- `SprayLoss`, `quench`: many members through the gap in air and the ring of water,
- `ZONE_SPRAY`, `SPRAY_FACTOR`: the works' own factors on the spray,
- calculations `quench_of_round_bar`, `ring_impingement_density`, `quench_water_flow`.

Caution: hot chain meeting water throws steam and scalding drops; guards and drains must work
before start. Local codes and a competent person's judgement come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.mechanics.radial_heat import Array, Convection, MetalTable, RadialGrid
from linkwright.mechanics.radial_heat import graded_fractions as graded
from linkwright.mechanics.radial_steps import HeatHistory, march
from linkwright.processes.models.coil_heat import (
    OXIDISED_EMISSIVITY,
    STILL_AIR_W_PER_M2K,
    ZoneFactor,
)
from linkwright.processes.models.steel_tables import STEEL_DENSITY_KG_PER_M3, quenched_steel
from linkwright.quantities import ArgumentError

ENSEMBLE_NODES, ENSEMBLE_STEPS = 17, 36
FINE_NODES, FINE_STEPS = 41, 160
_GAP_STEPS = 8

WATER_HEAT_J_PER_KGK = 4186.0
"""Specific heat of water near 20 °C (handbook value, memory)."""

_SPRAY_TEMPERATURE_DEGC = 18.0
_FALL_PER_KELVIN = 0.0075

SPRAY_FACTOR = ZoneFactor(1.0, 0.5, 2.0)
"""Works' factor on the published spray law: it was measured on scale-free flat plate, so a
chain under scale, steam and nozzles of its own may differ by a factor of two (no source)."""

ZONE_SPRAY = {
    "straight": ZoneFactor(1.0, 0.8, 1.2),
    "crown": ZoneFactor(1.0, 0.8, 1.2),
    "contact": ZoneFactor(0.6, 0.3, 0.9),
}
"""Spray by zone of a link against that at the straight; the neighbouring link shades the
contact. No published law is transferable: works' own factors, to be learnt from hardness."""


@calculation(
    source="J. Wendelstorf, K.-H. Spitzer, R. Wendelstorf, Spray water cooling heat transfer at "
    "high temperatures and liquid mass fluxes, Int. J. Heat Mass Transfer 51 (2008) 4902-4910; "
    "fall with water temperature (1 - 0.0075 Tw) of the spray laws of continuous casting",
    needs={
        "impingement_density_kg_per_m2s": POSITIVE,
        "water_temperature_degC": (0.0, 99.0),
        "surface_temperature_degC": (0.0, 1400.0),
    },
    valid={
        "impingement_density_kg_per_m2s": (3.0, 30.0),
        "surface_temperature_degC": (200.0, 1120.0),
        "water_temperature_degC": (5.0, 60.0),
    },
    basis="memory",
    gives="heat_transfer_W_per_m2K",
)
def spray_heat_transfer_wendelstorf(
    *,
    surface_temperature_degC: Values,
    impingement_density_kg_per_m2s: Values,
    water_temperature_degC: Values = _SPRAY_TEMPERATURE_DEGC,
) -> Values:
    """Heat-transfer coefficient of a water spray on hot steel, film to nucleate boiling.

    With V the mass of water that meets a square metre a second and D = Ts - Tw,

    h = 190 + tanh(V/8) (140 V (1 - V D/72000) + 3.26 D^2 (1 - tanh(D/128)))   W/(m2 K),

    times (1 - 0.0075 Tw)/(1 - 0.0075 18) for water warmer or colder than that of the tests
    (about 18 °C). V from 3 to 30 kg/(m2 s), D from 180 to 1100 K. Beyond, V D is held at
    36000, where the parabola in V is highest, so that more water never cools less.

    Example:
    >>> round(spray_heat_transfer_wendelstorf(surface_temperature_degC=818.0,
    ...     impingement_density_kg_per_m2s=10.0))
    1259
    """
    result = _spray(
        np.asarray(surface_temperature_degC, float),
        np.asarray(impingement_density_kg_per_m2s, float),
        np.asarray(water_temperature_degC, float),
    )
    return float(result) if np.ndim(result) == 0 else result


def _spray(surface: Array, density: Array, water: Array) -> Array:
    rise = np.maximum(surface - water, 0.0)
    wet = np.minimum(density, 36000.0 / np.maximum(rise, 1e-6))
    film = 140.0 * wet * (1.0 - wet * rise / 72000.0)
    boiling = 3.26 * rise * rise * (1.0 - np.tanh(rise / 128.0))
    fall = (1.0 - _FALL_PER_KELVIN * water) / (1.0 - _FALL_PER_KELVIN * _SPRAY_TEMPERATURE_DEGC)
    return np.asarray((190.0 + np.tanh(density / 8.0) * (film + boiling)) * fall)


@dataclass(frozen=True)
class SprayLoss:
    """Loss of the surface to a spray, one value a member where not a number.

    ``factor`` multiplies the published law (works' factor times zone factor);
    ``coefficient_W_per_m2K`` replaces the law by a fixed coefficient where it is given.
    """

    impingement_kg_per_m2s: Array | float
    water_degC: Array | float
    factor: Array | float = 1.0
    coefficient_W_per_m2K: Array | float | None = None

    def flux(self, surface_degC: Array) -> tuple[Array, Array]:
        """Flux out and its slope, by a difference of 1 K."""
        rise = surface_degC - self.water_degC
        here = self._coefficient(surface_degC) * rise
        return here, self._coefficient(surface_degC + 1.0) * (rise + 1.0) - here

    def _coefficient(self, surface_degC: Array) -> Array:
        if self.coefficient_W_per_m2K is not None:
            return np.asarray(self.factor) * self.coefficient_W_per_m2K
        density, water = np.asarray(self.impingement_kg_per_m2s), np.asarray(self.water_degC)
        return self.factor * _spray(surface_degC, density, water)


@dataclass(frozen=True)
class QuenchedBar:
    """Members through gap and ring: both histories and what follows from them.

    Positions are shares of the radius: 0 centre, 0.5, 1 surface. Arrays are (members,).
    """

    gap: HeatHistory
    ring: HeatHistory

    def rate_at(self, position: float, temperature_degC: float = 700.0) -> Array:
        """Cooling rate in K/s where the position passes a temperature, in the gap or the ring.

        It is nan where the temperature is not passed before the end of the ring.
        """
        early = self.gap.cooling_rate_at(position, temperature_degC)
        late = self.ring.cooling_rate_at(position, temperature_degC)
        return np.asarray(np.where(np.isnan(early), late, early))

    def time_between(self, position: float, hot: float = 800.0, cold: float = 500.0) -> Array:
        """Time in s from one temperature to a lower one; nan where the ring is too short.

        Either may be passed in the gap already.
        """
        return self._time_at(position, cold) - self._time_at(position, hot)

    def _time_at(self, position: float, temperature_degC: float) -> Array:
        early = self.gap.time_at(position, temperature_degC)
        late = self.gap.time_s[-1] + self.ring.time_at(position, temperature_degC)
        return np.asarray(np.where(np.isnan(early), late, early))

    def entry_degC(self, position: float) -> Array:
        """Temperature where the water begins."""
        return np.asarray(self.ring.temperature_degC(position)[0])

    def exit_degC(self, position: float) -> Array:
        """Temperature at the end of the ring."""
        return np.asarray(self.ring.temperature_degC(position)[-1])

    def water_heat_J_per_m(self) -> Array:
        """Heat given to the water by a metre of wire."""
        return -self.ring.heat_gained_J_per_m()


def quench(
    *,
    wire_radius_m: Any,
    delay_s: Any,
    ring_time_s: Any,
    loss: SprayLoss,
    start_temperature_degC: Any,
    air_degC: Any = 20.0,
    emissivity: Any = OXIDISED_EMISSIVITY,
    air_convection_W_per_m2K: Any = STILL_AIR_W_PER_M2K,
    metal: MetalTable | None = None,
    nodes: int = ENSEMBLE_NODES,
    steps: int = ENSEMBLE_STEPS,
) -> QuenchedBar:
    """Take many hot wires through the air gap after the coil and through the ring.

    ``start_temperature_degC`` is a number, one value a member, or the whole field (nodes,
    members), for instance ``CoilHeat.history.end_temperature_degC()``; heat contents of
    the heated and of the undercooled metal differ, so temperature is what is handed on.
    ``ring_time_s`` is ring length over line speed.
    """
    metal = metal or quenched_steel()
    grid = RadialGrid.of(nodes)
    start = np.asarray(start_temperature_degC, float)
    parts = (wire_radius_m, delay_s, ring_time_s, start if start.ndim < 2 else start[0])
    shape = np.broadcast_shapes((1,), *(np.shape(part) for part in parts))
    heat = np.array(np.broadcast_to(metal.heat_at(start), (nodes, shape[0])))
    gap = march(
        metal, grid, radius_m=wire_radius_m, start_heat_J_per_m3=heat, duration_s=delay_s,
        fractions=graded(_GAP_STEPS, 1.5),
        loss=Convection(air_convection_W_per_m2K, air_degC, emissivity),
    )  # fmt: skip
    ring = march(
        metal, grid, radius_m=wire_radius_m, start_heat_J_per_m3=gap.end_heat_J_per_m3,
        duration_s=ring_time_s, fractions=graded(steps, 1.5), loss=loss,
    )  # fmt: skip
    return QuenchedBar(gap, ring)


class RoundBarQuench(NamedTuple):
    """Results of `quench_of_round_bar`."""

    surface_cooling_rate_K_per_s: Values
    half_radius_cooling_rate_K_per_s: Values
    centre_cooling_rate_K_per_s: Values
    surface_cooling_time_800_500_s: Values
    half_radius_cooling_time_800_500_s: Values
    centre_cooling_time_800_500_s: Values
    water_start_temperature_degC: Values
    surface_temperature_degC: Values
    centre_temperature_degC: Values
    mean_temperature_degC: Values
    heat_to_water_kJ_per_m: Values
    heat_to_water_kJ_per_kg: Values


@calculation(
    source="radial conduction (finite volumes) with a spray law of J. Wendelstorf et al., Int. J. "
    "Heat Mass Transfer 51 (2008) 4902-4910; undercooled austenite by EN 1993-1-2:2005, Annex C, "
    "martensite by D. P. Koistinen, R. E. Marburger, Acta Metall. 7 (1959) 59-60",
    needs={
        "diameter_mm": POSITIVE,
        "start_temperature_degC": (100.0, 1300.0),
        "delay_s": POSITIVE,
        "ring_time_s": POSITIVE,
        "impingement_density_kg_per_m2s": POSITIVE,
        "heat_transfer_W_per_m2K": POSITIVE,
        "water_temperature_degC": (0.0, 99.0),
        "coefficient_factor": POSITIVE,
        "martensite_start_temperature_degC": (100.0, 600.0),
        "emissivity": (0.0, 1.0),
    },
    valid={
        "diameter_mm": (3.0, 60.0),
        "impingement_density_kg_per_m2s": (3.0, 30.0),
        "water_temperature_degC": (5.0, 60.0),
    },
    basis="computed",
)
def quench_of_round_bar(
    *,
    diameter_mm: Values,
    start_temperature_degC: Values,
    ring_time_s: Values,
    impingement_density_kg_per_m2s: Values | None = None,
    heat_transfer_W_per_m2K: Values | None = None,
    delay_s: Values = 0.5,
    water_temperature_degC: Values = 20.0,
    coefficient_factor: Values = 1.0,
    martensite_start_temperature_degC: Values = 390.0,
    emissivity: Values = OXIDISED_EMISSIVITY,
) -> RoundBarQuench:
    """Cooling of a round bar from an even temperature through air and a water ring.

    Air for ``delay_s`` (radiation, still air), then water for ``ring_time_s`` by the spray
    law at ``impingement_density_kg_per_m2s``, or at a fixed ``heat_transfer_W_per_m2K`` (a
    bath: h = 2 k H by Grossmann); exactly one of the two. ``coefficient_factor`` is the
    works' factor, 0.5 to 2. Rates are those at 700 °C; a rate or time is nan where the
    temperatures are not passed in the ring. The metal stays austenite until Ms: where
    pearlite or bainite form, true cooling is slower. 41 nodes, 160 steps: rates to 0.2 %.

    Errors: `ArgumentError` unless exactly one of the two heat-transfer arguments is given,
    and if ``martensite_start_temperature_degC`` is not a single number.

    Example:
    >>> bar = quench_of_round_bar(diameter_mm=8.0, start_temperature_degC=920.0,
    ...     ring_time_s=4.0, impingement_density_kg_per_m2s=20.0)
    >>> bool(150 < bar.centre_cooling_rate_K_per_s < 250)
    True
    """
    if (impingement_density_kg_per_m2s is None) == (heat_transfer_W_per_m2K is None):
        raise ArgumentError(
            "impingement_density_kg_per_m2s", impingement_density_kg_per_m2s, "kg/m²s",
            "exactly one of impingement_density_kg_per_m2s and heat_transfer_W_per_m2K",
        )  # fmt: skip
    if np.ndim(martensite_start_temperature_degC):
        raise ArgumentError("martensite_start_temperature_degC", "array", "°C", "one number")
    fixed = impingement_density_kg_per_m2s is None
    given_transfer = heat_transfer_W_per_m2K if fixed else impingement_density_kg_per_m2s
    given = np.broadcast_arrays(
        diameter_mm, start_temperature_degC, ring_time_s, delay_s, water_temperature_degC,
        coefficient_factor, emissivity, np.asarray(given_transfer, float),
    )  # fmt: skip
    shape = given[0].shape
    flat = [np.asarray(part, float).ravel() for part in given]
    diameter, start, ring_time, delay, water, factor, grey, transfer = flat
    loss = SprayLoss(transfer, water, factor, transfer if fixed else None)
    bar = quench(
        wire_radius_m=diameter * 5e-4, delay_s=delay, ring_time_s=ring_time, loss=loss,
        start_temperature_degC=start, emissivity=grey, nodes=FINE_NODES, steps=FINE_STEPS,
        metal=quenched_steel(float(martensite_start_temperature_degC)),
    )  # fmt: skip
    heat = bar.water_heat_J_per_m() / 1e3
    mass = np.pi / 4.0 * (diameter * 1e-3) ** 2 * STEEL_DENSITY_KG_PER_M3
    found = (
        *(bar.rate_at(place) for place in (1.0, 0.5, 0.0)),
        *(bar.time_between(place) for place in (1.0, 0.5, 0.0)),
        bar.ring.metal.temperature_at(bar.ring.mean_heat_J_per_m3[0]),
        bar.exit_degC(1.0), bar.exit_degC(0.0), bar.ring.mean_temperature_degC()[-1],
        heat, heat / mass,
    )  # fmt: skip
    return RoundBarQuench(*(float(v[0]) if not shape else v.reshape(shape) for v in found))


@calculation(
    source="definition: water that meets a cylindrical envelope, flow x share / (pi D L)",
    needs={
        "water_flow_l_per_min": POSITIVE,
        "ring_length_mm": POSITIVE,
        "envelope_diameter_mm": POSITIVE,
        "hitting_share": (0.01, 1.0),
    },
    basis="computed",
    gives="impingement_density_kg_per_m2s",
)
def ring_impingement_density(
    *,
    water_flow_l_per_min: Values,
    ring_length_mm: Values,
    envelope_diameter_mm: Values,
    hitting_share: Values = 0.5,
) -> Values:
    """Water that meets a square metre a second in a spray ring.

    V = share rho Q / (pi D L), rho 1 kg/l, D diameter of the envelope in which the chain
    runs (its outer width), L length of the ring. ``hitting_share`` is the part of the water
    that reaches the envelope: a works' factor, 0.3 to 0.8 (no source).

    Example:
    >>> round(ring_impingement_density(water_flow_l_per_min=60.0, ring_length_mm=400.0,
    ...     envelope_diameter_mm=27.0), 1)
    14.7
    """
    area = np.pi * np.asarray(envelope_diameter_mm) * np.asarray(ring_length_mm) * 1e-6
    result = np.asarray(hitting_share) * np.asarray(water_flow_l_per_min) / 60.0 / area
    return float(result) if np.ndim(result) == 0 else result


@calculation(
    source="heat balance of cooling water, Q = P/(rho c dT), c = 4186 J/(kg K)",
    needs={"heat_load_kW": POSITIVE, "water_temperature_rise_K": POSITIVE},
    basis="computed",
    gives="water_flow_l_per_min",
)
def quench_water_flow(*, heat_load_kW: Values, water_temperature_rise_K: Values) -> Values:
    """Flow of water that carries a heat load at a permitted rise of its temperature.

    Q = P / (c dT), at 1 kg a litre; what boils off carries more and is not counted.

    Example:
    >>> round(quench_water_flow(heat_load_kW=90.0, water_temperature_rise_K=10.0), 1)
    129.0
    """
    kilograms = (
        np.asarray(heat_load_kW)
        * 1e3
        / (WATER_HEAT_J_PER_KGK * np.asarray(water_temperature_rise_K))
    )
    result = kilograms * 60.0
    return float(result) if np.ndim(result) == 0 else result
