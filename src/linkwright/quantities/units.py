"""The closed table of units: the suffix that a name carries, its kind, its exact size.

A name such as ``wire_diameter_mm`` is a *stem* (``wire_diameter``) and a *unit*
(``mm``); ``split`` takes it apart, ``convert`` goes from one unit to another of the same
kind. Sizes are exact fractions of SI units (1 in = 0.0254 m by definition; standard
gravity 9.80665 m/s2 and the pound 0.45359237 kg by definition).

Hardness scales (HV, HRC, HRB, HB, HBW) are kinds of their own: there is no arithmetic
between them, only cited tables.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Any

from linkwright.quantities.errors import QuantityError, nearest

_INCH = Fraction("0.0254")
_POUND = Fraction("0.45359237")
_GRAVITY = Fraction("9.80665")
_LONGEST_EXACT = 2**53
_LBF = _POUND * _GRAVITY
_PSI = _LBF / _INCH**2


@dataclass(frozen=True, slots=True)
class Unit:
    """One row of the table: value_SI = (value + offset) * size."""

    suffix: str
    kind: str
    size: Fraction
    offset: Fraction = Fraction(0)


def _rows(kind: str, **sizes: object) -> list[Unit]:
    return [Unit(suffix, kind, Fraction(str(size))) for suffix, size in sizes.items()]


_T = [
    *_rows("length", m=1, mm="1e-3", cm="1e-2", um="1e-6", nm="1e-9", km=1000),
    *_rows("length", **{"in": _INCH, "ft": 12 * _INCH}),
    *_rows("area", m2=1, cm2="1e-4", mm2="1e-6", in2=_INCH**2),
    *_rows("volume", m3=1, cm3="1e-6", mm3="1e-9", l="1e-3"),
    *_rows("angle", deg=1),
    *_rows("time", s=1, ms="1e-3", min=60, h=3600, d=86400, weeks=604800),
    *_rows("frequency", Hz=1, kHz=1000, MHz=10**6),
    *_rows("turning", rpm=1),
    *_rows("mass", kg=1, g="1e-3", t=1000, lb=_POUND),
    *_rows("force", N=1, kN=1000, MN=10**6, lbf=_LBF, klbf=1000 * _LBF, tf=1000 * _GRAVITY),
    *_rows("force", long_ton=2240 * _LBF, short_ton=2000 * _LBF, kgf=_GRAVITY),
    *_rows("stress", Pa=1, kPa=1000, MPa=10**6, GPa=10**9, psi=_PSI, kpsi=1000 * _PSI),
    *_rows("stress", N_per_mm2=10**6, bar=10**5),
    *_rows("force per length", N_per_m=1, N_per_mm=1000, kN_per_mm=10**6),
    *_rows("force per length", lbf_per_ft=_LBF / (12 * _INCH)),
    *_rows("moment", Nm=1, Nmm="1e-3", kNm=1000, lbf_in=_LBF * _INCH, lbf_ft=12 * _LBF * _INCH),
    *_rows("energy", J=1, kJ=1000, MJ=10**6, kWh=3600000),
    *_rows("power", W=1, kW=1000, MW=10**6, hp=550 * 12 * _INCH * _LBF),
    *_rows("power per length", W_per_m=1, kW_per_m=1000),
    *_rows("mass flux", kg_per_m2s=1, g_per_m2h=Fraction(1, 3600000)),
    *_rows("mass per area", kg_per_m2=1, g_per_m2="1e-3"),
    *_rows("area per length", m2_per_m=1),
    *_rows("dynamic viscosity", Pa_s=1, mPa_s="1e-3"),
    *_rows(
        "speed",
        m_per_s=1,
        mm_per_s="1e-3",
        um_per_h=Fraction(1, 3_600_000_000),
        m_per_min=Fraction(1, 60),
    ),
    *_rows("speed", m_per_h=Fraction(1, 3600), ft_per_min=12 * _INCH / 60),
    *_rows("density", kg_per_m3=1, g_per_cm3=1000),
    *_rows("mass per length", kg_per_m=1, g_per_m="1e-3", lb_per_ft=_POUND / (12 * _INCH)),
    *_rows("specific heat", J_per_kgK=1, kJ_per_kgK=1000, kJ_kgK=1000),
    *_rows("specific enthalpy", J_per_kg=1, kJ_per_kg=1000, J_per_g=1000, kWh_per_t=3600),
    *_rows("energy density", J_per_mm3=10**9, J_per_m3=1),
    *_rows("conductivity", W_per_mK=1),
    *_rows("heat transfer", W_per_m2K=1, kW_per_m2K=1000),
    *_rows("heat flux", W_per_m2=1, kW_per_m2=1000, MW_per_m2=10**6, W_per_mm2=10**6),
    *_rows("heat density", W_per_m3=1, W_per_mm3=10**9),
    *_rows("diffusivity", m2_per_s=1, mm2_per_s="1e-6", cm2_per_s="1e-4"),
    *_rows("resistance", ohm=1, milliohm="1e-3", microohm="1e-6"),
    *_rows("resistivity", ohm_m=1, microohm_m="1e-6"),
    *_rows("current", A=1, kA=1000),
    *_rows("voltage", V=1, mV="1e-3", uV="1e-6", kV=1000),
    *_rows("apparent power", VA=1, kVA=1000),
    *_rows("inductance", H=1, uH="1e-6"),
    *_rows("current density", A_per_m2=1, A_per_dm2=100, A_per_mm2=10**6),
    *_rows("magnetic field", A_per_m=1, kA_per_m=1000),
    *_rows("lorenz number", V2_per_K2=1),
    *_rows("molar energy", J_per_mol=1, kJ_per_mol=1000),
    *_rows("molar heat", J_per_molK=1),
    *_rows("per time", per_s=1, per_min=Fraction(1, 60), per_h=Fraction(1, 3600)),
    *_rows("per time", per_d=Fraction(1, 86400), per_week=Fraction(1, 604800)),
    *_rows("load cycles", kilocycles=1000, megacycles=10**6),
    *_rows("per length", per_m=1, per_mm=1000, per_in=1 / _INCH),
    *_rows("per temperature", per_K=1),
    *_rows("temperature rate", K_per_s=1, K_per_min=Fraction(1, 60), K_per_h=Fraction(1, 3600)),
    *_rows("mass rate", kg_per_s=1, kg_per_h=Fraction(1, 3600), t_per_h=Fraction(1000, 3600)),
    *_rows("volume rate", mm3_per_s="1e-9", m3_per_h=Fraction(1, 3600)),
    *_rows("volume rate", l_per_min=Fraction(1, 60000)),
    *_rows("area rate", cm2_per_min=Fraction(1, 600000)),
    *_rows("impulse rate", kN_per_s=1000, N_per_s=1),
    *_rows("stress rate", MPa_per_s=10**6),
    *_rows("energy per length", kJ_per_m=1000, kWh_per_m=3600000),
    *_rows("share", percent="1e-2", in_per_ft=Fraction(1, 12), mm_per_m="1e-3"),
    *_rows("wear rate", mm3_per_Nm="1e-9"),
    *_rows("price", EUR=1),
    *_rows("price per time", EUR_per_h=Fraction(1, 3600)),
    *_rows("price per mass", EUR_per_kg=1, EUR_per_t="1e-3"),
    *_rows("price per energy", EUR_per_kWh=Fraction(1, 3600000)),
    *_rows("price per length", EUR_per_m=1),
    *_rows("price per volume", EUR_per_m3=1),
    *_rows("mass per energy", kg_per_kWh=Fraction(1, 3600000)),
    Unit("K", "temperature", Fraction(1)),
    Unit("degC", "temperature", Fraction(1), Fraction("273.15")),
    Unit("degF", "temperature", Fraction(5, 9), Fraction("459.67")),
    *[Unit(scale, f"hardness {scale}", Fraction(1)) for scale in ("HV", "HRC", "HRB", "HB", "HBW")],
]

UNITS: dict[str, Unit] = {unit.suffix: unit for unit in _T}
"""Every unit that a name may carry, by suffix."""

DIFFERENCES = ("rise", "undercooling", "difference", "drop", "superheat", "spread", "margin")
"""Last words of stems that make a temperature a difference of temperatures."""
STANDARD_DEVIATION = "_of_s"
"""Last words of a name that is the limit or mean of a sample's standard deviation s."""
_LONGEST = 1 + max(suffix.count("_") for suffix in UNITS)

WRITTEN = {
    '"': "in", "inch": "in", "'": "ft", "°C": "degC", "C": "degC", "°F": "degF", "F": "degF",
    "°": "deg", "%": "percent", "tonne": "t", "tonnes": "t", "hours": "h", "hour": "h",
    "ksi": "kpsi", "€": "EUR", "1": "", "": "", "minutes": "min", "seconds": "s", "lbs": "lb",
    "rev/min": "rpm", "uohm": "microohm", "mohm": "milliohm", "uohm m": "microohm_m",
}  # fmt: skip
"""What people write beside the suffixes, with its signs made plain, and the suffix meant."""
# Products whose suffix leaves the space out; any other space inside a unit is refused.
_SPACED = {
    "Nm": "N m", "Nmm": "N mm", "kNm": "kN m", "kWh": "kW h", "mK": "m K", "m2K": "m2 K",
    "kgK": "kg K", "molK": "mol K", "m2s": "m2 s", "m2h": "m2 h", "kJ_kgK": "kJ/kg K",
}  # fmt: skip
_SIGNS = str.maketrans(
    {"²": "2", "³": "3", "^": "", "·": " ", "⋅": " ", "Ω": "ohm", "\u2126": "ohm"}
    | {"µ": "u", "μ": "u"}
)


@lru_cache(maxsize=4096)
def split(name: str) -> tuple[str, str]:
    """Take a name apart into stem and unit suffix; the suffix is "" for a pure number.

    The longest suffix of the table wins, so ``specific_heat_J_per_kgK`` carries
    ``J_per_kgK``. Least and greatest stand before the quantity, so a final ``_min``
    is always minutes, and a final ``_of_s`` a standard deviation, not seconds.

    >>> split("wire_diameter_mm"), split("friction_coefficient"), split("time_min")
    (('wire_diameter', 'mm'), ('friction_coefficient', ''), ('time', 'min'))
    """
    if name.endswith(STANDARD_DEVIATION):
        return name, ""
    words = name.split("_")
    for count in range(min(_LONGEST, len(words) - 1), 0, -1):
        suffix = "_".join(words[-count:])
        if suffix in UNITS:
            return "_".join(words[:-count]), suffix
    return name, ""


def kind_of(name: str) -> str:
    """The kind of quantity that a name carries: "length", "stress", ... or "number".

    Temperature differences (stems ending in rise, undercooling, difference, ...) are a
    kind of their own, so that a shift of the zero never enters them.
    """
    stem, suffix = split(name)
    if not suffix:
        return "number"
    kind = UNITS[suffix].kind
    if kind == "temperature" and stem.rsplit("_", 1)[-1] in DIFFERENCES:
        return "temperature difference"
    return kind


def convert(value: Any, unit: str, to: str, *, difference: bool = False) -> Any:
    """Convert a float or array from one unit to another of the same kind.

    ``difference`` leaves the zero of temperature scales out. Raises `QuantityError` if
    the kinds differ or a unit is not in the table.

    The same arithmetic serves floats and arrays: value_to = (value a + b) / c with whole
    numbers a, b, c wherever floats hold these exactly, so that 12.7 mm is 0.5 in.

    >>> convert(0.3125, "in", "mm"), convert(212.0, "degF", "degC")
    (7.9375, 100.0)
    """
    if unit == to == "":
        return value
    source, target = _unit(unit), _unit(to)
    if source is target:
        return value
    if source.kind != target.kind:
        raise QuantityError(unit, f"a unit of {target.kind}: {', '.join(units_of(target.kind))}")
    above, shift, below = _whole_numbers(source, target, difference)
    moved = value * above + shift if shift else value * above
    return moved / below


def units_of(kind: str) -> list[str]:
    """All suffixes of one kind, in the order of the table."""
    wanted = "temperature" if kind == "temperature difference" else kind
    return [unit.suffix for unit in UNITS.values() if unit.kind == wanted]


def unit_of_text(text: str) -> str:
    """The suffix for a unit as people write it: ``N/mm2``, ``W/(m² K)``, ``°C``, ``"``.

    Every suffix and every unit as printed by `unit_text` can be read. Raises
    `QuantityError` for anything that is not in the closed list, with the nearest.

    >>> unit_of_text("N/mm²"), unit_of_text("W/(m² K)"), unit_of_text("µm"), unit_of_text("")
    ('N_per_mm2', 'W_per_m2K', 'um', '')
    """
    plain = _plain_unit(text)
    if plain in ("ton", "tons"):
        raise QuantityError(text, "t (tonne, 1000 kg), short_ton or long_ton (forces), tf")
    suffix = _SPELLED.get(plain)
    if suffix is not None:
        return suffix
    hint = nearest(plain.replace("/", "_per_"), UNITS) or ["mm", "in", "kN", "MPa", "degC", "kg"]
    raise QuantityError(text, "a known unit, for example " + ", ".join(hint))


def _plain_unit(text: str) -> str:
    plain = " ".join(text.translate(_SIGNS).split())
    return re.sub(r"/\(([^()/]+)\)$", r"/\1", re.sub(r" ?/ ?", "/", plain))


def _spellings(suffix: str) -> Iterator[str]:
    """The suffix, and its unit with a fraction stroke, without and with space in products."""
    yield suffix
    above, _, below = suffix.removeprefix("per_").rpartition("_per_")
    if suffix.startswith("per_"):
        above = "1"
    for top in {above, above.replace("_", " "), _SPACED.get(above, above)}:
        for bottom in {below, _SPACED.get(below, below)}:
            yield f"{top}/{bottom}" if above else _SPACED.get(bottom, bottom.replace("_", " "))


_SPELLED: dict[str, str] = dict(WRITTEN)
for _suffix in UNITS:
    for _spelling in _spellings(_suffix):
        _SPELLED.setdefault(_spelling, _suffix)


@lru_cache(maxsize=1024)
def _whole_numbers(source: Unit, target: Unit, difference: bool) -> tuple[float, float, float]:
    """The a, b, c of `convert`; (ratio, b, 1) where they are too long for a float."""
    ratio = source.size / target.size
    shift = Fraction(0) if difference else source.offset * ratio - target.offset
    below = math.lcm(ratio.denominator, shift.denominator)
    if below > _LONGEST_EXACT or ratio * below > _LONGEST_EXACT:
        return float(ratio), float(shift), 1.0
    return float(ratio * below), float(shift * below), float(below)


def _unit(suffix: str) -> Unit:
    try:
        return UNITS[suffix]
    except KeyError:
        raise QuantityError(suffix, "a unit of the table: " + ", ".join(UNITS)) from None
