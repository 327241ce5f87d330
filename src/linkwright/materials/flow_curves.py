"""Flow curves: true stress of a metal against plastic strain, rate and temperature.

- `hollomon_row`, `hollomon_constants`: K and n by material name, from published tables
- `flow_stress_hollomon`, `flow_stress_swift`, `flow_stress_ludwik`, `flow_stress_voce`
- `mean_flow_stress_hollomon`, `mean_flow_stress_swift`: averages over a strain
- `johnson_cook_stress`: with strain rate and temperature, constants by name

Strains are true (logarithmic) plastic strains, stresses are true stresses.
Where the curves neck is in `necking`, how to get them from a tensile test in `flow_fits`.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from linkwright.catalogue import NOT_NEGATIVE, POSITIVE, Values, calculation, sourced
from linkwright.quantities import ArgumentError, UnknownName

_FILE = Path(__file__).parent / "data" / "flow_curves.toml"
EXPONENT = (0.0, 1.0)
"""Bounds of a strain-hardening exponent."""


class HollomonRow(NamedTuple):
    """One row of a published table of Hollomon constants; the numbers know their source."""

    material: str
    table: str
    K_MPa: Values
    n: Values
    source: str
    basis: str


class HollomonConstants(NamedTuple):
    """Results of `hollomon_constants`."""

    K_MPa: Values
    n: Values


def name_words(name: str) -> tuple[str, ...]:
    """The words of a material's name, sorted: what makes two spellings the same name.

    Example:
        >>> name_words("Steel 1020 (annealed)") == name_words("1020 steel, annealed")
        True
    """
    words = re.findall(r"[\w.]+", name.casefold().replace("aluminum", "aluminium"))
    return tuple(sorted(words))


def hollomon_tables() -> dict[str, list[str]]:
    """The names of all materials, by table, in the order in which they are looked up."""
    return {
        table: [row["material"] for row in data["rows"]]
        for table, data in _data()["hollomon"].items()
    }


def hollomon_row(material: str, table: str | None = None) -> HollomonRow:
    """The row of ``material``, from ``table`` or from the first table that has it.

    Letter case, punctuation and the order of the words do not matter (`name_words`).
    Raises `UnknownName` for a material or table that is not there.
    """
    tables = _data()["hollomon"]
    if table is not None and table not in tables:
        raise UnknownName("table", table, tables)
    for name, data in tables.items():
        for row in data["rows"]:
            if table in (None, name) and name_words(row["material"]) == name_words(material):
                source = f"{data['source']}, row {row['material']}"
                return HollomonRow(
                    row["material"],
                    name,
                    sourced("K_MPa", row["K_MPa"], "table", source, data["basis"]),
                    sourced("n", row["n"], "table", source, data["basis"]),
                    data["source"],
                    data["basis"],
                )
    known = hollomon_tables()
    names = known[table] if table else [name for rows in known.values() for name in rows]
    raise UnknownName("material", material, names)


@calculation(
    source="tables of Kalpakjian & Schmid (2010), Groover (2013), Callister (2005), Dieter (1986)",
    basis="memory",
)
def hollomon_constants(*, material: str | list[str], table: str | None = None) -> HollomonConstants:
    """K and n of Hollomon's curve sigma = K eps^n for a material of the published tables.

    ``material`` is one name or a list of names. ``table`` is kalpakjian, groover, callister
    or dieter; without it the first of them that has the name is taken (the tables differ
    for the same name: low-carbon steel is 530/0.26, 500/0.25 or 600/0.21).

    Raises `UnknownName` with the nearest names.

    References: S. Kalpakjian & S. R. Schmid, Manufacturing Engineering and Technology,
    6th ed. (2010), Table 2.3; M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed.
    (2013), Table 3.4; W. D. Callister, Fundamentals of Materials Science and Engineering,
    2nd ed. (2005); G. E. Dieter, Mechanical Metallurgy, 3rd ed. (1986), Table 8-3.

    Example:
        >>> hollomon_constants(material="1020 steel, annealed")
        HollomonConstants(K_MPa=745.0, n=0.2)
    """
    if isinstance(material, str):
        row = hollomon_row(material, table)
        return HollomonConstants(row.K_MPa, row.n)
    rows = [hollomon_row(name, table) for name in material]
    return HollomonConstants(np.array([r.K_MPa for r in rows]), np.array([r.n for r in rows]))


def given_or_tabled(
    material: str | list[str] | None, table: str | None, K_MPa: Values, n: Values
) -> HollomonConstants:
    """K and n as given; whichever is not given comes from the material's row.

    With both given, ``material`` is only a label. Raises `ArgumentError` if neither the
    numbers nor a material are there.
    """
    if K_MPa is not None and n is not None:
        return HollomonConstants(K_MPa, n)
    if material is None:
        missing, unit = ("K_MPa", "MPa") if K_MPa is None else ("n", "")
        accepted = "K_MPa and n, or a material of the tables"
        raise ArgumentError(missing, None, unit, accepted, "is missing")
    row = hollomon_constants(material=material, table=table)
    return HollomonConstants(row.K_MPa if K_MPa is None else K_MPa, row.n if n is None else n)


@calculation(
    source="J. H. Hollomon, Trans. AIME 162 (1945)",
    gives="flow_stress_MPa",
    needs={"K_MPa": POSITIVE, "n": EXPONENT, "true_strain": NOT_NEGATIVE},
    basis="memory",
)
def flow_stress_hollomon(*, K_MPa: Values, n: Values, true_strain: Values) -> Values:
    """Flow stress K eps^n of Hollomon's curve.

    References: J. H. Hollomon, Tensile deformation, Trans. AIME 162 (1945) 268.

    Example:
        >>> print(round(flow_stress_hollomon(K_MPa=530.0, n=0.26, true_strain=0.2), 1))
        348.8
    """
    return K_MPa * np.power(true_strain, n)


@calculation(
    source="H. W. Swift, J. Mech. Phys. Solids 1 (1952)",
    gives="flow_stress_MPa",
    needs={
        "K_MPa": POSITIVE, "n": EXPONENT, "prestrain": NOT_NEGATIVE, "true_strain": NOT_NEGATIVE,
    },
    basis="memory",
)  # fmt: skip
def flow_stress_swift(
    *, K_MPa: Values, n: Values, prestrain: Values, true_strain: Values
) -> Values:
    """Flow stress K (eps0 + eps)^n of Swift's curve; eps0 is the prestrain.

    References: H. W. Swift, Plastic instability under plane stress, J. Mech. Phys. Solids 1
    (1952) 1.

    Example:
        >>> print(round(flow_stress_swift(K_MPa=800.0, n=0.2, prestrain=0.02, true_strain=0.0), 1))
        365.8
    """
    return K_MPa * np.power(prestrain + true_strain, n)


@calculation(
    source="P. Ludwik, Elemente der technologischen Mechanik (1909)",
    gives="flow_stress_MPa",
    needs={
        "yield_MPa": NOT_NEGATIVE, "K_MPa": POSITIVE, "n": EXPONENT, "true_strain": NOT_NEGATIVE,
    },
    basis="memory",
)  # fmt: skip
def flow_stress_ludwik(
    *, yield_MPa: Values, K_MPa: Values, n: Values, true_strain: Values
) -> Values:
    """Flow stress s0 + K eps^n of Ludwik's curve.

    References: P. Ludwik, Elemente der technologischen Mechanik, Springer (1909).

    Example:
        >>> print(float(flow_stress_ludwik(yield_MPa=250.0, K_MPa=500.0, n=0.5, true_strain=0.25)))
        500.0
    """
    return yield_MPa + K_MPa * np.power(true_strain, n)


@calculation(
    source="E. Voce, J. Inst. Metals 74 (1948)",
    gives="flow_stress_MPa",
    needs={
        "saturation_stress_MPa": POSITIVE,
        "initial_yield_MPa": NOT_NEGATIVE,
        "rate_constant": POSITIVE,
        "true_strain": NOT_NEGATIVE,
    },
    basis="memory",
)
def flow_stress_voce(
    *,
    saturation_stress_MPa: Values,
    initial_yield_MPa: Values,
    rate_constant: Values,
    true_strain: Values,
) -> Values:
    """Flow stress ss - (ss - s0) exp(-c eps) of Voce's curve.

    References: E. Voce, The relationship between stress and strain for homogeneous
    deformation, J. Inst. Metals 74 (1948) 537.

    Example:
        >>> print(float(flow_stress_voce(saturation_stress_MPa=500.0, initial_yield_MPa=300.0,
        ...                        rate_constant=12.0, true_strain=0.0)))
        300.0
    """
    span = saturation_stress_MPa - initial_yield_MPa
    return saturation_stress_MPa - span * np.exp(-rate_constant * np.asarray(true_strain))[()]


@calculation(
    source="M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013), Sec. 17.2",
    gives="mean_flow_stress_MPa",
    needs={"K_MPa": POSITIVE, "n": EXPONENT, "true_strain": NOT_NEGATIVE},
    basis="computed",
)
def mean_flow_stress_hollomon(
    *,
    true_strain: Values,
    K_MPa: Values = None,
    n: Values = None,
    material: str | list[str] | None = None,
    table: str | None = None,
) -> Values:
    """Mean flow stress K eps^n / (1 + n) from strain 0 to eps.

    K and n are given, or looked up for ``material`` (see `hollomon_constants`).

    References: M. P. Groover, Fundamentals of Modern Manufacturing, 5th ed. (2013),
    Sec. 17.2; S. Kalpakjian & S. R. Schmid, 6th ed. (2010), Ch. 2.

    Example:
        >>> print(round(mean_flow_stress_hollomon(true_strain=0.5, K_MPa=745.0, n=0.2), 1))
        540.5
    """
    K_MPa, n = given_or_tabled(material, table, K_MPa, n)
    return K_MPa * np.power(true_strain, n) / (1.0 + n)


@calculation(
    source="H. W. Swift (1952); average of K (eps0 + eps)^n over the strain",
    gives="mean_flow_stress_MPa",
    basis="computed",
    needs={
        "K_MPa": POSITIVE, "n": EXPONENT, "prestrain": NOT_NEGATIVE, "true_strain": NOT_NEGATIVE,
    },
)  # fmt: skip
def mean_flow_stress_swift(
    *, K_MPa: Values, n: Values, prestrain: Values, true_strain: Values
) -> Values:
    """Mean of Swift's curve from strain 0 to eps: the work per volume over the strain.

    Formula: K [(eps0 + eps)^(n+1) - eps0^(n+1)] / ((n + 1) eps); at eps = 0 the yield stress.

    References: H. W. Swift, J. Mech. Phys. Solids 1 (1952) 1, integrated.

    Example:
        >>> mean = mean_flow_stress_swift(K_MPa=745.0, n=0.2, prestrain=0.0, true_strain=0.5)
        >>> print(round(mean, 1))
        540.5
    """
    strain, start = np.asarray(true_strain, float), np.asarray(prestrain, float)
    middle = start + strain / 2.0
    # a strain far below the prestrain loses digits in the difference; there the middle is exact
    small = strain <= 1e-6 * start
    width = np.where(small, 1.0, strain)
    work = np.power(start + width, n + 1.0) - np.power(start, n + 1.0)
    return K_MPa * np.where(small, np.power(middle, n), work / ((n + 1.0) * width))[()]


@calculation(
    source="G. R. Johnson & W. H. Cook, Proc. 7th Int. Symp. on Ballistics, The Hague (1983)",
    gives="flow_stress_MPa",
    needs={
        "A_MPa": NOT_NEGATIVE,
        "B_MPa": NOT_NEGATIVE,
        "n": NOT_NEGATIVE,
        "C": NOT_NEGATIVE,
        "m": POSITIVE,
        "plastic_strain": NOT_NEGATIVE,
        "strain_rate_per_s": POSITIVE,
        "temperature_K": POSITIVE,
        "reference_K": POSITIVE,
        "melting_K": POSITIVE,
        "reference_rate_per_s": POSITIVE,
    },
    basis="memory",
)
def johnson_cook_stress(
    *,
    plastic_strain: Values,
    strain_rate_per_s: Values,
    temperature_K: Values,
    A_MPa: Values = None,
    B_MPa: Values = None,
    n: Values = None,
    C: Values = None,
    m: Values = None,
    melting_K: Values = None,
    material: str | None = None,
    reference_K: Values = 293.0,
    reference_rate_per_s: Values = 1.0,
) -> Values:
    """Flow stress (A + B eps^n)(1 + C ln(rate/rate0))(1 - T*^m) of Johnson and Cook.

    T* = (T - T_ref)/(T_melt - T_ref), held between 0 and 1: at or below the reference
    temperature there is no softening, at melting no strength. Constants that are not given
    are looked up for ``material`` (for example "1006 steel").

    Raises `ArgumentError` for a missing constant or a melting point not above the reference,
    `UnknownName` for an unknown material.

    References: G. R. Johnson & W. H. Cook, A constitutive model and data for metals subjected
    to large strains, high strain rates and high temperatures, Proc. 7th Int. Symp. on
    Ballistics, The Hague (1983) 541; constants recalled.

    Example:
        >>> print(round(johnson_cook_stress(material="1006 steel", plastic_strain=0.2,
        ...                           strain_rate_per_s=1.0, temperature_K=293.0), 1))
        504.1
    """
    given = {"A_MPa": A_MPa, "B_MPa": B_MPa, "n": n, "C": C, "m": m, "melting_K": melting_K}
    A_MPa, B_MPa, n, C, m, melting_K = _johnson_cook_constants(material, given)
    span = np.asarray(melting_K, float) - reference_K
    if np.any(span <= 0.0):
        raise ArgumentError("melting_K", melting_K, "K", "above the reference temperature")
    homologous = np.clip((np.asarray(temperature_K) - reference_K) / span, 0.0, 1.0)
    rate = 1.0 + C * np.log(np.asarray(strain_rate_per_s) / reference_rate_per_s)
    hardened = A_MPa + B_MPa * np.power(plastic_strain, n)
    return (hardened * rate * (1.0 - np.power(homologous, m)))[()]


def _johnson_cook_constants(material: str | None, given: Mapping[str, Any]) -> list[Any]:
    missing = [name for name, value in given.items() if value is None]
    if not missing:
        return list(given.values())
    if material is None:
        raise ArgumentError(
            missing[0], None, "", "all constants, or a material of the table", "is missing"
        )
    rows = {name_words(row["material"]): row for row in _data()["johnson_cook"]["rows"]}
    row = rows.get(name_words(material))
    if row is None:
        names = [r["material"] for r in rows.values()]
        raise UnknownName("material", material, names)
    return [row[name] if value is None else value for name, value in given.items()]


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))
