"""What follows of annealed ends: the case under the plate, the strength to be upset, warmth, use.

- `share_under_plate`, `end_hardness_mean`: what the end is for plate and head
- `below_ac1`, `warm_pin`, `same_temper`: how hot end and pin may be
- `annealing_time`, `annealing_energy`: hours and electricity
"""

from __future__ import annotations

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation
from linkwright.materials.tempering import hollomon_jaffe_equivalence

_ROOM_DEGC = 20.0


@calculation(
    source="Ac1 less a margin", gives="greatest_degC", basis="computed",
    needs={"margin_K": NOT_NEGATIVE},
)  # fmt: skip
def below_ac1(*, Ac1_degC: Values, margin_K: Values) -> Values:
    """Greatest temperature at which steel forms no austenite, by a margin: Ac1 - m.

    References: none needed.
    """
    return Ac1_degC - np.asarray(margin_K, float)[()]


@calculation(
    source="geometry", gives="hard_in_plate_percent", basis="computed",
    needs={"projection_mm": NOT_NEGATIVE, "plate_thickness_mm": POSITIVE,
           "hard_from_mm": NOT_NEGATIVE},
)  # fmt: skip
def share_under_plate(
    *, projection_mm: Values, plate_thickness_mm: Values, hard_from_mm: Values
) -> Values:
    """Share of the outer plate over which the pin has kept its case: 100 (a + t - x)/t.

    a is what stands beyond the plate, x from where on the case is hard. Below 0 the case is
    soft where the pin begins to bear in its bushing; above 100 it is hard beyond the plate.

    References: geometry.
    """
    left = projection_mm + np.asarray(plate_thickness_mm, float) - hard_from_mm
    return (100.0 * left / plate_thickness_mm)[()]


@calculation(
    source="ring and middle weighed by their area", gives="hardness_HV", basis="computed",
    needs={"diameter_mm": POSITIVE, "case_depth_mm": NOT_NEGATIVE, "case_HV": POSITIVE,
           "core_HV": POSITIVE},
)  # fmt: skip
def end_hardness_mean(
    *, diameter_mm: Values, case_depth_mm: Values, case_HV: Values, core_HV: Values
) -> Values:
    """Hardness that upsetting feels: s H_case + (1 - s) H_core, s = 1 - (1 - 2 t/d)^2.

    References: rule of mixtures; the case counts to its depth and no further.
    """
    inside = np.maximum(1.0 - 2.0 * np.asarray(case_depth_mm, float) / diameter_mm, 0.0) ** 2
    return ((1.0 - inside) * case_HV + inside * core_HV)[()]


@calculation(
    source="balance of heat; specific heat 0.5 kJ/(kg K) about 100 °C (EN 1993-1-2:2005, 3.4.1.2)",
    gives="pin_temperature_degC", basis="computed",
    needs={"end_power_kW": POSITIVE, "heating_time_s": POSITIVE, "pin_kg": POSITIVE},
)  # fmt: skip
def warm_pin(*, end_power_kW: Values, heating_time_s: Values, pin_kg: Values) -> Values:
    """Temperature of the whole pin once the heat of both ends has run through it, without loss.

    References: as the source.

    Example:
        >>> round(float(warm_pin(end_power_kW=0.7, heating_time_s=0.44, pin_kg=0.0155)), 0)
        99.0
    """
    heat = 2.0 * end_power_kW * np.asarray(heating_time_s, float)
    return (_ROOM_DEGC + heat / (pin_kg * 0.5))[()]


@calculation(
    source="J. H. Hollomon & L. D. Jaffe, Trans. AIME 162 (1945) 223-249: equal parameter",
    gives="temperature_degC", basis="computed",
    needs={"temper_temperature_degC": (20.0, 400.0), "temper_time_min": POSITIVE,
           "warm_time_min": POSITIVE},
)  # fmt: skip
def same_temper(
    *, temper_temperature_degC: Values, temper_time_min: Values, warm_time_min: Values
) -> Values:
    """Temperature that in the time for which a pin stays warm tempers as far as its low temper.

    References: as `hollomon_jaffe_equivalence`.

    Example:
        >>> print(round(float(same_temper(temper_temperature_degC=170.0, temper_time_min=90.0,
        ...     warm_time_min=2.0))))
        210
    """
    return hollomon_jaffe_equivalence(
        temperature_degC=temper_temperature_degC,
        time_h=np.asarray(temper_time_min, float)[()] / 60.0,
        new_time_h=np.asarray(warm_time_min, float)[()] / 60.0,
    )


@calculation(
    source="pins one after the other, so many ends at once", gives="machine_time_h",
    basis="computed",
    needs={"pieces": POSITIVE, "heating_time_s": POSITIVE, "handling_time_s": NOT_NEGATIVE,
           "ends_at_once": POSITIVE, "machines": POSITIVE},
)  # fmt: skip
def annealing_time(
    *, pieces: Values, heating_time_s: Values, handling_time_s: Values, ends_at_once: Values,
    machines: Values = 1.0,
) -> Values:  # fmt: skip
    """Hours for both ends of all pins: n (2/m) (t_heat + t_handling)/3600.

    References: counting.
    """
    rounds = 2.0 * np.asarray(pieces, float) / ends_at_once
    return (rounds * (heating_time_s + handling_time_s) / 3600.0 / machines)[()]


@calculation(
    source="definition of power and efficiency", gives="energy_kJ", basis="computed",
    needs={"end_power_kW": POSITIVE, "heating_time_s": POSITIVE, "efficiency": (0.01, 1.0)},
)  # fmt: skip
def annealing_energy(*, end_power_kW: Values, heating_time_s: Values, efficiency: Values) -> Values:
    """Electricity that the generator takes for both ends of a pin: 2 P t/eta.

    References: definition.
    """
    return (2.0 * end_power_kW * np.asarray(heating_time_s, float) / efficiency)[()]
