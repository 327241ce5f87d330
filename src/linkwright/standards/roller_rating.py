"""Power that a roller chain can transmit, by what limits it: plates, rollers, galling.

- `roller_chain_rating`: link plates and rollers by the formulas of the American Chain Association
- `rating_peak_speed`: speed at which both limits are equal
- `galling_speed`: speed at which pin and bushing gall
- `tooth_correction`, `strand_factor`, `tabulated_power`: from a rated strand to a drive
- `iso10823_rating`: the same limits in the form of ISO 10823, any series, by chain number
- `iso10823_plate_area`: link plate section in the formulas of ISO 10823
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.quantities import ArgumentError
from linkwright.standards.reader import published_table
from linkwright.standards.roller_chain import ansi_row, iso606_row

_SHIGLEY = "Shigley's Mechanical Engineering Design, 9th and 10th ed."
_TEETH = (5.0, None)
_RATED_TEETH = (9.0, 60.0)
_FINE_PITCH_IN = 0.45
_PLATES = 0.004
_ROLLERS, _ROLLERS_FINE = 17.0, 29.0
_LIGHT = "41"
_LIGHT_PLATES, _LIGHT_ROLLERS = 0.0022, 3.4
_STRENGTH_EXPONENT = 0.0008


class Rating(NamedTuple):
    """Results of `roller_chain_rating`: the lesser of both limits, and both."""

    rated_power_hp: Values
    plate_limited_power_hp: Values
    roller_limited_power_hp: Values


class ToothCorrection(NamedTuple):
    """Results of `tooth_correction`."""

    tooth_correction_below_peak: Values
    tooth_correction_above_peak: Values


class TabulatedPower(NamedTuple):
    """Results of `tabulated_power`."""

    one_strand_hp: Values
    two_strands_hp: Values
    three_strands_hp: Values
    four_strands_hp: Values


class IsoRating(NamedTuple):
    """Results of `iso10823_rating`."""

    rated_power_kW: Values
    plate_limited_power_kW: Values
    roller_limited_power_kW: Values


@calculation(
    source=f"{_SHIGLEY}, eqs. 17-32, 17-33 and 17-39 (American Chain Association)",
    needs={
        "pitch_in": POSITIVE,
        "teeth_small": _TEETH,
        "speed_rpm": POSITIVE,
        "plate_constant": POSITIVE,
        "roller_constant": POSITIVE,
        "chain_length_pitches": POSITIVE,
        "life_h": POSITIVE,
    },
    valid={"teeth_small": _RATED_TEETH, "pitch_in": (0.25, 3.0)},
    basis="memory",
)
def roller_chain_rating(
    *,
    teeth_small: Values,
    speed_rpm: Values,
    pitch_in: Values = None,
    chain_number: str | None = None,
    plate_constant: Values = None,
    roller_constant: Values = None,
    chain_length_pitches: Values = 100.0,
    life_h: Values = 15000.0,
) -> Rating:
    """Rated power of one strand: the lesser of what link plates and rollers stand.

    Plates: H1 = Kp N^1.08 n^0.9 p^(3 - 0.07 p). Rollers and bushings:
    H2 = 1000 Kr (N/n)^1.5 p^0.8 (L/100)^0.4 (15000/h)^0.4; in hp, p in inches, n in rev/min, L the
    chain length in pitches, h the hours of life.

    Kp = 0.004 (No. 41: 0.0022); Kr = 17, for No. 25 and 35 (pitches below 0.45 in) 29, for
    No. 41 3.4. Pitch or chain number is needed; the number alone tells No. 41 from No. 40.

    Raises:
        ArgumentError: neither pitch nor chain number.

    References: Shigley, eqs. 17-32 and 17-33 (printed ratings), 17-39 (length and life).

    Example:
        >>> round(roller_chain_rating(pitch_in=1.0, teeth_small=17, speed_rpm=300.0)[0], 2)
        14.47
    """
    light = False
    if chain_number is not None:
        row = ansi_row(chain_number)
        light = row.cells["chain_number"] == _LIGHT
        pitch_in = float(row.cells["pitch_in"]) if pitch_in is None else pitch_in
    if pitch_in is None:
        raise ArgumentError("pitch_in", "none", "in", "a pitch", "is needed, or chain_number")
    if plate_constant is None:
        plate_constant = _LIGHT_PLATES if light else _PLATES
    if roller_constant is None:
        fine = np.asarray(pitch_in, dtype=float) < _FINE_PITCH_IN
        roller_constant = _LIGHT_ROLLERS if light else np.where(fine, _ROLLERS_FINE, _ROLLERS)
    plates = (
        plate_constant * teeth_small**1.08 * speed_rpm**0.9 * pitch_in ** (3.0 - 0.07 * pitch_in)
    )
    lasting = (chain_length_pitches / 100.0) ** 0.4 * (15000.0 / life_h) ** 0.4
    rollers = 1000.0 * roller_constant * (teeth_small / speed_rpm) ** 1.5 * pitch_in**0.8 * lasting
    return Rating(np.minimum(plates, rollers), plates, rollers)


@calculation(
    source=f"{_SHIGLEY}, eqs. 17-32 and 17-33 set equal",
    gives="peak_speed_rpm",
    needs={
        "pitch_in": POSITIVE,
        "teeth_small": _TEETH,
        "plate_constant": POSITIVE,
        "roller_constant": POSITIVE,
    },
    basis="computed",
)
def rating_peak_speed(
    *,
    pitch_in: Values,
    teeth_small: Values,
    plate_constant: Values = _PLATES,
    roller_constant: Values = _ROLLERS,
) -> Values:
    """Speed of the small sprocket at which a chain transmits most: plates and rollers limit alike.

    n = (1000 Kr N^0.42 p^(0.8 - 3 + 0.07 p)/Kp)^(1/2.4), p in inches, for 100 pitches and 15000 h.
    Above it the rating falls; the tooth correction changes from N^1.08 to N^1.5.

    References: from Shigley, eqs. 17-32 and 17-33.

    Example:
        >>> round(rating_peak_speed(pitch_in=0.5, teeth_small=17))
        1773
    """
    exponent = 0.8 - 3.0 + 0.07 * pitch_in
    ratio = 1000.0 * roller_constant * teeth_small**0.42 * pitch_in**exponent / plate_constant
    return ratio ** (1.0 / 2.4)


@calculation(
    source=f"{_SHIGLEY}, eq. 17-40 (American Chain Association)",
    gives="galling_speed_rpm",
    needs={"pitch_in": POSITIVE, "teeth_small": _TEETH, "chain_pull_lbf": (0.0, None)},
    valid={"pitch_in": (0.25, 3.0), "teeth_small": _RATED_TEETH},
    basis="memory",
)
def galling_speed(*, pitch_in: Values, teeth_small: Values, chain_pull_lbf: Values) -> Values:
    """Greatest speed of the small sprocket before pin and bushing gall for want of an oil film.

    n = 1000 [82.5 / (7.95^p 1.0278^N 1.323^(F/1000))]^(1/(1.59 log10 p + 1.873)) rev/min, p in
    inches, F the chain pull in lbf of one strand.

    References: Shigley, eq. 17-40.

    Example:
        >>> round(galling_speed(pitch_in=1.0, teeth_small=17, chain_pull_lbf=1000.0))
        2342
    """
    load = 7.95**pitch_in * 1.0278**teeth_small * 1.323 ** (chain_pull_lbf / 1000.0)
    return 1000.0 * (82.5 / load) ** (1.0 / (1.59 * np.log10(pitch_in) + 1.873))


@calculation(
    source=f"{_SHIGLEY}, Table 17-22 footnotes", needs={"teeth_small": _TEETH}, basis="memory"
)
def tooth_correction(*, teeth_small: Values) -> ToothCorrection:
    """Tooth correction factor K1 on a rating for 17 teeth, below and above the rating peak.

    (N/17)^1.08 where link plates limit, (N/17)^1.5 where rollers do.

    References: Shigley, Table 17-22.

    Example:
        >>> round(tooth_correction(teeth_small=21).tooth_correction_below_peak, 3)
        1.256
    """
    ratio = np.asarray(teeth_small, dtype=float) / 17.0
    return ToothCorrection(ratio**1.08, ratio**1.5)


@calculation(
    source=f"{_SHIGLEY}, Table 17-23; ISO 10823:2004 (2 and 3 strands)", gives="strand_factor"
)
def strand_factor(*, strands: Values) -> Values:
    """Multi-strand factor K2: strands share the load unevenly.

    1, 1.7, 2.5, 3.3, 3.9, 4.6 and 6.0 for 1 to 6 and 8 strands.

    Raises:
        ArgumentError: a number of strands that the table does not list.

    References: Shigley, Table 17-23.

    Example:
        >>> strand_factor(strands=3)
        2.5
    """
    return published_table("roller_strand_factor").column(strands, "strand_factor")


@calculation(
    source=f"{_SHIGLEY}, eq. 17-37 and Example 17-5",
    needs={
        "power_hp": POSITIVE,
        "service_factor": POSITIVE,
        "design_factor": POSITIVE,
        "tooth_correction": POSITIVE,
    },
)
def tabulated_power(
    *,
    power_hp: Values,
    service_factor: Values,
    design_factor: Values = 1.0,
    tooth_correction: Values = 1.0,
) -> TabulatedPower:
    """Power that the rating table must show for a drive of one to four strands.

    nd Ks H/(K1 K2), K1 the tooth correction, K2 the strand factor.

    References: Shigley, Example 17-5.

    Example:
        >>> power = tabulated_power(power_hp=90.0, service_factor=1.3, design_factor=1.5)
        >>> round(power.one_strand_hp, 1), round(power.four_strands_hp, 1)
        (175.5, 53.2)
    """
    needed = design_factor * service_factor * power_hp / tooth_correction
    factors = published_table("roller_strand_factor")
    shares = [float(factors.row(float(count)).cells["strand_factor"]) for count in range(1, 5)]
    return TabulatedPower(*(needed / share for share in shares))


@calculation(
    source="ISO 10823:2004, rating formulas, section of both inner link plates",
    gives="plate_area_mm2",
    basis="memory",
)
def iso10823_plate_area(*, chain_number: str) -> Values:
    """Section of both inner link plates at the bushing, as the ratings of ISO 10823 take it.

    Series A: 0.118 p^2. Other series: Ai = 2 b (0.99 h2 - d), b = (b2 - b1)/2.11 the plate
    thickness, d = d2 (d1/d2)^0.475 the bushing; all in mm. Heavy chain (H): that of series A times
    the root of the thickness ratio (its ratio of dynamic strengths in ISO 606).

    Raises:
        UnknownName: a chain number that is not held; ArgumentError: 04C, 06C and light chain,
            for which the formula is not held.

    References: ISO 10823:2004, remembered; held against the dynamic strengths of ISO 606 in the
    tests (Ai p^(-0.0008 p) x 134 N/mm2 within 2 % for A and B up to 50.8 mm pitch).

    Example:
        >>> round(iso10823_plate_area(chain_number="16B"), 1)
        76.6
    """
    row = iso606_row(chain_number)
    series, number = row.cells["series"], str(row.cells["chain_number"])
    pitch = float(row.cells["pitch_mm"])
    if series in ("C", "light"):
        raise ArgumentError("chain_number", number, "", "a chain of series A, B or H")
    if series == "B":
        return float(_section(row.cells))
    plain = 0.118 * pitch**2
    if series == "A":
        return plain
    heavy, usual = ansi_row(number).cells, ansi_row(number.removesuffix("H")).cells
    ratio = float(heavy["plate_thickness_in"]) / float(usual["plate_thickness_in"])
    return float(plain * np.sqrt(ratio))


@calculation(
    source="ISO 10823:2004, rating formulas for link plates and roller-bushing impact",
    needs={"teeth_small": _TEETH, "speed_rpm": POSITIVE},
    valid={"teeth_small": (9.0, 150.0)},
    basis="memory",
)
def iso10823_rating(*, chain_number: str, teeth_small: Values, speed_rpm: Values) -> IsoRating:
    """Rated power of a simplex chain of series A, B or H by ISO 10823, for 15000 h.

    Link plates: P = 99 Ai p^(1 - 0.0008 p) z1^1.08 n^0.9/6e7. Rollers and bushings:
    P = 953.5 z1^1.5 p^0.8/n^1.5. P in kW, p in mm, Ai in mm2 (`iso10823_plate_area`), n in rev/min;
    for a drive of 120 pitches with proper lubrication. For series A they are the American formulas
    (`roller_chain_rating`) in metric form, within 4 %.

    Raises:
        UnknownName, ArgumentError: see `iso10823_plate_area`.

    References: ISO 10823:2004, remembered.

    Example:
        >>> round(iso10823_rating(chain_number="16A", teeth_small=17, speed_rpm=300.0)[0], 1)
        10.8
    """
    pitch = float(iso606_row(chain_number).cells["pitch_mm"])
    area = iso10823_plate_area(chain_number=chain_number)
    stressed = 99.0 * area * pitch ** (1.0 - _STRENGTH_EXPONENT * pitch)
    plates = stressed * teeth_small**1.08 * speed_rpm**0.9 / 6e7
    rollers = 953.5 * teeth_small**1.5 * pitch**0.8 / speed_rpm**1.5
    return IsoRating(np.minimum(plates, rollers), plates, rollers)


def _section(cells: object) -> Values:
    """Ai of the general formula from the cells of a row of ISO 606."""

    def cell(name: str) -> float:
        return float(cells[name])  # type: ignore[index]

    thickness = (cell("greatest_inner_link_width_mm") - cell("least_inner_width_mm")) / 2.11
    pin, roller = cell("greatest_pin_diameter_mm"), cell("greatest_roller_diameter_mm")
    bushing = pin * (roller / pin) ** 0.475
    return 2.0 * thickness * (0.99 * cell("greatest_plate_height_mm") - bushing)
