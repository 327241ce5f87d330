"""Resistance (upset) welding of a link: what a setting of the machine makes of the joint.

- `upset_weld_heating`: temperatures, heats, current's division, energy for given settings
- `upset_weld_current`: the current or voltage that gives a wanted joint temperature

The transient is `linkwright.mechanics.joint_heat`; sizes left out and tables of the steel are
filled in by `weld_setting`; upset and trimming are in `weld_upset`.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.mechanics.joint_heat import HeatedJoint, current_for_temperature
from linkwright.processes.models.weld_setting import WeldSetting, weld_setting
from linkwright.quantities import ArgumentError, CannotPlan

Array = NDArray[np.float64]

_SOURCE = (
    "energy equation with EN 1993-1-2:2005, 3.4.1 (c, k) and the resistivity of the steel; "
    "contact: R. Holm, Electric Contacts, 4th ed. (1967), and M. G. Cooper, B. B. Mikic & "
    "M. M. Yovanovich, Int. J. Heat Mass Transfer 12 (1969) 279-300; skin effect: IEC 60287-1-1"
)
_NEEDS: dict[str, tuple[float | None, float | None]] = {
    "wire_diameter_mm": POSITIVE,
    "weld_time_s": POSITIVE,
    "squeeze_force_kN": POSITIVE,
    "electrode_distance_mm": POSITIVE,
    "contact_length_mm": POSITIVE,
    "link_centreline_length_mm": POSITIVE,
    "start_temperature_degC": (0.0, 1000.0),
    "C_percent": (0.0, 2.0),
    "tensile_strength_MPa": POSITIVE,
    "resistivity_factor": POSITIVE,
    "contact_spots": POSITIVE,
    "electrode_temperature_degC": (0.0, 1000.0),
    "electrode_heat_transfer_kW_per_m2K": NOT_NEGATIVE,
    "electrode_resistance_microohm": NOT_NEGATIVE,
    "loop_resistance_microohm": NOT_NEGATIVE,
    "loop_reactance_microohm": NOT_NEGATIVE,
    "frequency_Hz": NOT_NEGATIVE,
}
_DRIVES = {"current": "secondary_current_kA", "voltage": "secondary_voltage_V"}
_VALID: dict[str, tuple[float | None, float | None]] = {"wire_diameter_mm": (4.0, 20.0)}


_DEFAULTS: dict[str, Any] = {
    "start_temperature_degC": 20.0,
    "C_percent": 0.2,
    "tensile_strength_MPa": 600.0,
    "resistivity_factor": 1.0,
    "contact_spots": 200.0,
    "electrode_temperature_degC": 40.0,
    "electrode_heat_transfer_kW_per_m2K": 5.0,
    "loop_resistance_microohm": 60.0,
    "loop_reactance_microohm": 150.0,
    "frequency_Hz": 50.0,
}


class UpsetWeldHeating(NamedTuple):
    """Results of `upset_weld_heating`, when the current stops unless said otherwise.

    joint_temperature: mean of the pressed faces; visible_temperature: mean over the wire
    between the electrodes, which is what can be seen; edge_temperature: at the electrodes'
    edge; released_temperature: of the faces after the hold, when the electrodes open;
    useful_heat: stored in the joint; electrode_contact_heat: made in the contacts of both
    electrodes; power_factor: real over apparent power at the end of the current;
    affected_length: hotter than the upper critical temperature, through the joint;
    softened_length: hotter than 700 deg C; solidus_margin: solidus less joint temperature,
    below 0 it expels.
    """

    joint_temperature_degC: Values
    visible_temperature_degC: Values
    edge_temperature_degC: Values
    released_temperature_degC: Values
    useful_heat_kJ: Values
    made_heat_kJ: Values
    electrode_heat_kJ: Values
    electrode_contact_heat_kJ: Values
    surface_heat_kJ: Values
    secondary_current_kA: Values
    joint_current_kA: Values
    joint_current_density_A_per_mm2: Values
    back_current_share: Values
    back_temperature_degC: Values
    back_length_mm: Values
    joint_resistance_microohm: Values
    cold_joint_resistance_microohm: Values
    contact_resistance_microohm: Values
    squeeze_pressure_MPa: Values
    machine_energy_kJ: Values
    apparent_power_kVA: Values
    power_factor: Values
    secondary_voltage_V: Values
    affected_length_mm: Values
    softened_length_mm: Values
    solidus_margin_K: Values


@calculation(
    costly=True,
    source=_SOURCE,
    needs=_NEEDS
    | {
        "secondary_current_kA": NOT_NEGATIVE,
        "secondary_voltage_V": NOT_NEGATIVE,
        "hold_time_s": NOT_NEGATIVE,
    },
    valid=_VALID,
    basis="computed",
)
def upset_weld_heating(
    *,
    wire_diameter_mm: Values,
    weld_time_s: Values,
    secondary_current_kA: Values | None = None,
    secondary_voltage_V: Values | None = None,
    squeeze_force_kN: Values | None = None,
    electrode_distance_mm: Values | None = None,
    contact_length_mm: Values | None = None,
    link_centreline_length_mm: Values | None = None,
    hold_time_s: Values = 0.0,
    start_temperature_degC: Values = 20.0,
    material: str | None = None,
    C_percent: Values = 0.2,
    tensile_strength_MPa: Values = 600.0,
    resistivity_factor: Values = 1.0,
    contact_spots: Values = 200.0,
    electrode_temperature_degC: Values = 40.0,
    electrode_heat_transfer_kW_per_m2K: Values = 5.0,
    electrode_resistance_microohm: Values | None = None,
    loop_resistance_microohm: Values = 60.0,
    loop_reactance_microohm: Values = 150.0,
    frequency_Hz: Values = 50.0,
    upper_critical_temperature_degC: Values = 830.0,
    solidus_temperature_degC: Values = 1450.0,
) -> UpsetWeldHeating:
    """Heating of a link's joint by given settings of the welder, up to the upset.

    rho c dT/dt = d/dx(k dT/dx) + J^2 rho_el - loss along the wire between the electrodes
    and under them, with the contact resistance of the pressed faces, the closed back of
    the link that carries its share of the current and warms, and the secondary circuit.
    Give the secondary current or the no-load voltage (rms). Left out: squeeze_force gives
    50 N/mm2 on the section; electrode_distance and contact_length are one wire diameter;
    the link's centreline is 10.7 d (pitch 3 d, outer width 3.35 d); the contact of an
    electrode 15 microohm at 8 mm, falling with the square of the diameter; frequency 0 is
    direct current. made_heat = useful_heat + electrode_heat + surface_heat. Current,
    resistance and voltage are those at the end; machine_energy (real, secondary side, no
    losses of the transformer), apparent_power (the greatest) and back_current_share (mean
    in time) belong to the whole weld.

    material: steel of the table of resistivities; left out, that of the carbon content.
    resistivity_factor: the heat's resistivity over that of the table (alloying).
    Works' own factors, common practice without source, to be fitted to the works' trials:
    contact_spots (200 equal spots carry the current at first), electrode resistance and
    heat transfer, squeeze pressure. A joint heated to more than the solidus is only a sign
    that it expels; what the works allows there is its own limit.

    C_percent and tensile_strength are one value for all members.
    """
    setting = weld_setting(locals())
    joint = setting.heat(hold_time_s)
    return UpsetWeldHeating(*(setting.shaped(value) for value in _results(setting, joint)))


def _results(setting: WeldSetting, joint: HeatedJoint) -> list[Array]:
    course, sizes = joint.history, setting.geometry
    area = np.pi / 4.0 * sizes.wire_diameter_mm**2
    current, through = course.secondary_current_kA[-1], course.joint_current_kA[-1]
    return [
        joint.joint_temperature_degC,
        joint.visible_temperature_degC,
        joint.edge_temperature_degC,
        joint.released_temperature_degC,
        joint.stored_heat_kJ,
        joint.joint_heat_kJ,
        joint.electrode_heat_kJ,
        joint.contact_heat_kJ,
        joint.surface_heat_kJ,
        current,
        through,
        through * 1e3 / area,
        joint.back_current_share,
        joint.back_temperature_degC,
        sizes.back_length_mm,
        course.joint_resistance_microohm[-1],
        course.joint_resistance_microohm[0],
        course.contact_resistance_microohm[-1],
        setting.clamp.force_kN * 1e3 / area,
        joint.machine_energy_kJ,
        joint.apparent_power_kVA,
        joint.power_factor,
        course.secondary_voltage_V[-1],
        joint.affected_length_mm(setting.upper_critical),
        joint.affected_length_mm(700.0),
        setting.solidus - joint.joint_temperature_degC,
    ]


class WeldCourse(NamedTuple):
    """Course of a weld: (steps, ...) over the shape of the call, at the ends of the steps."""

    time_s: Array
    joint_temperature_degC: Array
    visible_temperature_degC: Array
    edge_temperature_degC: Array


def upset_weld_course(**given: Any) -> WeldCourse:
    """Temperatures over the weld time; at a held current each is the end of a shorter weld.

    Arguments as those of `upset_weld_heating`, unchecked.
    """
    setting = weld_setting(_DEFAULTS | given)
    history = setting.heat(0.0).history
    courses = (history.time_s, history.face_degC, history.visible_degC, history.edge_degC)
    return WeldCourse(*(course.reshape(-1, *setting.shape) for course in courses))


class UpsetWeldCurrent(NamedTuple):
    """Results of `upset_weld_current`: the setting and what the joint then is."""

    secondary_current_kA: Values
    secondary_voltage_V: Values
    apparent_power_kVA: Values
    edge_temperature_degC: Values
    useful_heat_kJ: Values


@calculation(
    source=_SOURCE,
    needs=_NEEDS | {"joint_temperature_degC": (100.0, 1700.0)},
    valid=_VALID | {"joint_temperature_degC": (100.0, 1450.0)},
    basis="computed",
)
def upset_weld_current(
    *,
    wire_diameter_mm: Values,
    weld_time_s: Values,
    joint_temperature_degC: Values,
    drive: str = "current",
    squeeze_force_kN: Values | None = None,
    electrode_distance_mm: Values | None = None,
    contact_length_mm: Values | None = None,
    link_centreline_length_mm: Values | None = None,
    start_temperature_degC: Values = 20.0,
    material: str | None = None,
    C_percent: Values = 0.2,
    tensile_strength_MPa: Values = 600.0,
    resistivity_factor: Values = 1.0,
    contact_spots: Values = 200.0,
    electrode_temperature_degC: Values = 40.0,
    electrode_heat_transfer_kW_per_m2K: Values = 5.0,
    electrode_resistance_microohm: Values | None = None,
    loop_resistance_microohm: Values = 60.0,
    loop_reactance_microohm: Values = 150.0,
    frequency_Hz: Values = 50.0,
) -> UpsetWeldCurrent:
    """Secondary current, or no-load voltage, for a wanted joint temperature: heating reversed.

    ``drive`` "current": a control holds the current; the voltage given is what it needs at
    the end. "voltage": a fixed tap and phase setting; the current given is that at the end.
    Sought among 64 settings in even ratios from 0.2 to 8 times the current that heats the
    section in the time without loss, 104 A/mm2 sqrt(1 s/t), and once more among 64 between
    the two nearest. Arguments as in `upset_weld_heating`.

    Raises `CannotPlan` if no setting in that range gives the temperature, with the count.
    """
    if drive not in _DRIVES:
        raise ArgumentError("drive", drive, "", " or ".join(_DRIVES))
    key = _DRIVES[drive]
    setting = weld_setting({**locals(), key: 1.0})
    low, high = setting.bracket(voltage=drive == "voltage")
    found = current_for_temperature(
        setting.geometry,
        setting.circuit,
        setting.clamp,
        setting.metal,
        joint_temperature_degC=setting.spread(joint_temperature_degC),
        weld_time_s=setting.time,
        bracket=(low, high),
    )
    lost = int(np.isnan(found).sum())
    if lost:
        raise CannotPlan(
            f"no {drive} from {low.min():.3g} to {high.max():.3g} "
            f"{'V' if drive == 'voltage' else 'kA'} gives the wanted joint temperature in "
            f"{lost} of {found.size} cases; a longer weld time or other electrodes would help"
        )
    setting = setting.driven(key, found)
    joint = setting.heat(0.0)
    results = (
        joint.history.secondary_current_kA[-1],
        found if drive == "voltage" else joint.history.secondary_voltage_V[-1],
        joint.apparent_power_kVA,
        joint.edge_temperature_degC,
        joint.stored_heat_kJ,
    )
    return UpsetWeldCurrent(*(setting.shaped(value) for value in results))
