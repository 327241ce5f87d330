"""A welder's setting spread over members: what is left out filled in, tables of the steel.

- `closed_back_length`: the way beside the joint, through the closed back of the link
- `weld_metal`: property tables of a steel for the joint solver
- `WeldSetting`: one call's sizes, circuit, clamp and times, ready for the solver
"""

from __future__ import annotations

import warnings
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, ValidityWarning, Values, calculation
from linkwright.materials.electrical import resistivity, resistivity_by_carbon
from linkwright.materials.thermal import (
    ec3_enthalpy,
    ec3_reduction_factors,
    ec3_thermal_conductivity,
)
from linkwright.mechanics.joint_heat import (
    Clamp,
    HeatedJoint,
    JointGeometry,
    JointGrid,
    JointMetal,
    WeldCircuit,
    heat_joint,
)
from linkwright.processes.models.hot_strength import shida_law
from linkwright.quantities import ArgumentError

Array = NDArray[np.float64]

SQUEEZE_MPA = 50.0
"""Squeeze on the section where no force is given; common practice, no source."""
SHORT_LINK_CENTRELINE = 10.7
"""Centreline over wire diameter of a link of pitch 3 d and outer width 3.35 d."""
_ELECTRODE_MICROOHM_AT_8_MM = 15.0
_HOTTEST_DEGC = 1800.0
_HOLD_STEPS = 6  # within 3 K of 200 steps


@lru_cache(maxsize=16)
def weld_metal(
    material: str | None = None, C_percent: float = 0.2, tensile_strength_MPa: float = 600.0
) -> JointMetal:
    """Property tables of a steel from 0 to 1800 deg C for the joint solver.

    Specific heat and conductivity by EN 1993-1-2 with the last branch carried on above
    1200 deg C, no heat of melting; resistivity by the steel's name, its last value held.
    Flow stress for the contact: the tensile strength times the yield factor of EN 1993-1-2
    to 600 deg C, Shida's law at strain 0.2 and 10 per second from 750 deg C, straight
    between. Raises `UnknownName`.
    """
    grid = np.arange(0.0, _HOTTEST_DEGC + 0.5)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        enthalpy = ec3_enthalpy(temperature_degC=grid) / 1e3
        conductivity = ec3_thermal_conductivity(temperature_degC=grid)
        from_20 = np.maximum(grid, 20.0)
        ohm = (
            resistivity(material=material, temperature_degC=from_20)
            if material
            else resistivity_by_carbon(temperature_degC=from_20, C_percent=C_percent)
        )
    cold = np.arange(0.0, 601.0, 20.0)
    hot = np.arange(750.0, _HOTTEST_DEGC + 1.0, 10.0)
    strength = ec3_reduction_factors(temperature_degC=cold).yield_factor * tensile_strength_MPa
    law = shida_law(temperature_degC=hot, strain=0.2, C_percent=C_percent)
    stress = np.interp(
        grid, np.concatenate([cold, hot]), np.concatenate([strength, law.stress_MPa])
    )
    return JointMetal.from_curves(
        temperature_degC=grid,
        enthalpy_kJ_per_kg=enthalpy,
        conductivity_W_per_mK=conductivity,
        resistivity_microohm_m=ohm,
        flow_stress_MPa=stress,
    )


@calculation(
    source="geometry of the link",
    gives="back_length_mm",
    needs={"link_centreline_length_mm": POSITIVE, "electrode_distance_mm": NOT_NEGATIVE},
    basis="computed",
)
def closed_back_length(
    *, link_centreline_length_mm: Values, electrode_distance_mm: Values
) -> Values:
    """Length of the closed back of a link, beside the joint: centreline less the distance.

    Raises `ArgumentError` if the electrodes stand farther apart than the link is long.

    >>> float(closed_back_length(link_centreline_length_mm=85.6, electrode_distance_mm=8.0))
    77.6
    """
    length = np.asarray(link_centreline_length_mm, float) - electrode_distance_mm
    if (length <= 0.0).any():
        raise ArgumentError(
            "electrode_distance_mm", float(np.max(electrode_distance_mm)), "mm",
            "less than the link's centreline length",
        )  # fmt: skip
    return length[()]


class WeldSetting(NamedTuple):
    """One call's inputs, spread over its members."""

    shape: tuple[int, ...]
    geometry: JointGeometry
    circuit: WeldCircuit
    clamp: Clamp
    metal: JointMetal
    time: Array
    upper_critical: Array
    solidus: Array

    def spread(self, value: Any) -> Array:
        """A further argument of the call, one value a member."""
        return np.ravel(np.broadcast_to(np.asarray(value, float), self.shape))

    def shaped(self, value: Array) -> Any:
        """Back to the shape of the call; a float for scalars."""
        whole = np.broadcast_to(value, (self.time.size,)).reshape(self.shape)
        return whole.copy() if self.shape else float(whole[()])

    def heat(self, hold_time_s: Any) -> HeatedJoint:
        """Run the transient."""
        hold = self.spread(hold_time_s)
        return heat_joint(
            self.geometry,
            self.circuit,
            self.clamp,
            self.metal,
            weld_time_s=self.time,
            hold_time_s=hold,
            grid=JointGrid(hold_steps=_HOLD_STEPS if hold.any() else 0),
        )

    def driven(self, key: str, value: Array) -> WeldSetting:
        """The same setting with another current or voltage."""
        given = vars(self.circuit) | {"secondary_current_kA": None, "secondary_voltage_V": None}
        return self._replace(circuit=WeldCircuit(**(given | {key: value})))

    def bracket(self, *, voltage: bool) -> tuple[Array, Array]:
        """Least and greatest current in kA, or voltage in V, worth trying."""
        area = np.pi / 4.0 * np.asarray(self.geometry.wire_diameter_mm) ** 2
        plain = 0.104 * area / np.sqrt(self.time)
        low, high = 0.2 * plain, 8.0 * plain
        if not voltage:
            return low, high
        loop = np.hypot(
            self.circuit.loop_resistance_microohm
            + 2.0 * self.circuit.electrode_resistance_microohm,
            self.circuit.loop_reactance_microohm,
        )
        joint = 1.3 * self.geometry.electrode_distance_mm * 1e3 / area  # hot, microohm
        return low * (loop + joint / 10.0) * 1e-3, high * (loop + joint) * 1e-3


def weld_setting(given: dict[str, Any]) -> WeldSetting:
    """Fill in what is left out and spread everything over the members."""
    numbers = {
        key: np.asarray(value, float)
        for key, value in given.items()
        if value is not None and not isinstance(value, str)
    }
    shape = np.broadcast_shapes(*(value.shape for value in numbers.values()))
    one = {key: _single(key, numbers.pop(key)) for key in ("C_percent", "tensile_strength_MPa")}
    get = {key: np.ravel(np.broadcast_to(value, shape)) for key, value in numbers.items()}
    d = get["wire_diameter_mm"]
    distance = get.get("electrode_distance_mm", d)
    centreline = get.get("link_centreline_length_mm", SHORT_LINK_CENTRELINE * d)
    return WeldSetting(
        shape=shape,
        geometry=JointGeometry(
            wire_diameter_mm=d,
            electrode_distance_mm=distance,
            contact_length_mm=get.get("contact_length_mm", d),
            back_length_mm=closed_back_length(
                link_centreline_length_mm=centreline, electrode_distance_mm=distance
            ),
            resistivity_factor=get["resistivity_factor"],
        ),
        circuit=WeldCircuit(
            secondary_current_kA=get.get("secondary_current_kA"),
            secondary_voltage_V=get.get("secondary_voltage_V"),
            loop_resistance_microohm=get["loop_resistance_microohm"],
            loop_reactance_microohm=get["loop_reactance_microohm"],
            electrode_resistance_microohm=get.get(
                "electrode_resistance_microohm", _ELECTRODE_MICROOHM_AT_8_MM * (8.0 / d) ** 2
            ),
            frequency_Hz=get["frequency_Hz"],
        ),
        clamp=Clamp(
            force_kN=get.get("squeeze_force_kN", SQUEEZE_MPA * np.pi / 4.0 * d**2 / 1e3),
            contact_spots=get["contact_spots"],
            electrode_temperature_degC=get["electrode_temperature_degC"],
            electrode_heat_transfer_kW_per_m2K=get["electrode_heat_transfer_kW_per_m2K"],
            start_degC=get["start_temperature_degC"],
        ),
        metal=weld_metal(given.get("material"), **one),
        time=get["weld_time_s"],
        upper_critical=get.get("upper_critical_temperature_degC", np.full(d.shape, 830.0)),
        solidus=get.get("solidus_temperature_degC", np.full(d.shape, 1450.0)),
    )


def _single(name: str, value: Array) -> float:
    """The one value of an argument that cannot differ between members."""
    if value.size > 1 and np.ptp(value) > 0.0:
        raise ArgumentError(name, "several values", "", "one value for all members")
    return float(np.ravel(value)[0])
