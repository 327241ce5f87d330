"""Electrical resistivity of steel with temperature, and heating by its own resistance.

- `resistivity`: by name of the steel, smooth between the published points
- `resistivity_by_carbon`: by carbon content, straight between carbon steels
- `joule_heating_time`: time to heat a conductor by current alone, with changing properties

Names of steels and their rows stand in ``data/resistivity.toml``, each with source and basis.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np

from linkwright.catalogue import POSITIVE, Values, calculation
from linkwright.materials.thermal import ec3_specific_heat
from linkwright.quantities import ArgumentError, UnknownName

_DEFAULT = "1010 steel"
_BY_CARBON = {
    "1008 steel, annealed": 0.08,
    "1023 steel, annealed": 0.23,
    "1042 steel, annealed": 0.42,
    "1078 steel, annealed": 0.78,
}
_GAUSS_POINTS, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(4)


@calculation(
    source="ASM Metals Handbook, Vol. 1, electrical resistivity of carbon and low-alloy steels",
    gives="resistivity_microohm_m",
    valid={"temperature_degC": (20.0, 1300.0)},
    basis="memory",
)
def resistivity(*, temperature_degC: Values, material: str | None = None) -> Values:
    """Resistivity of a steel at a temperature, by a monotone cubic through the published points.

    ``material`` is a name of the table, such as "1023 steel, annealed"; without it the value
    of 1010 steel is given (0.143 microohm m at 20 °C). Beyond the last point the last value is
    held, with a warning above 1300 °C. Raises `UnknownName`.

    >>> float(resistivity(material="1023 steel, annealed", temperature_degC=600.0))
    0.758

    References: ASM Metals Handbook, Vol. 1 (values recalled); interpolation after F. N. Fritsch
    and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246.
    """
    grid_degC, values = _curve(material or _DEFAULT)
    return np.interp(temperature_degC, grid_degC, values)[()]


@calculation(
    source="ASM Metals Handbook, Vol. 1, electrical resistivity of carbon steels; straight between "
    "their carbon contents",
    gives="resistivity_microohm_m",
    needs={"C_percent": (0.0, 2.0)},
    valid={"temperature_degC": (20.0, 1300.0), "C_percent": (0.08, 0.78)},
    basis="memory",
)
def resistivity_by_carbon(*, temperature_degC: Values, C_percent: Values) -> Values:
    """Resistivity of annealed carbon steel at a temperature, by its carbon content.

    Straight between the steels 1008, 1023, 1042 and 1078 of `resistivity`, each at the carbon
    of its number (0.08 to 0.78 %), the outermost held beyond. Alloying raises the cold value;
    hot, above about 800 °C, it hardly counts, for there all steels lie near each other.

    >>> float(resistivity_by_carbon(temperature_degC=600.0, C_percent=0.155))
    0.746

    References: ASM Metals Handbook, Vol. 1 (values recalled).
    """
    carbon = np.asarray(C_percent, float)
    curves = [resistivity(material=name, temperature_degC=temperature_degC) for name in _BY_CARBON]
    content = list(_BY_CARBON.values())
    found = np.asarray(curves[0], float) + 0.0 * carbon
    for index in range(1, len(curves)):
        share = (carbon - content[index - 1]) / (content[index] - content[index - 1])
        found = found + np.clip(share, 0.0, 1.0) * (curves[index] - curves[index - 1])
    return found[()]


def resistivity_points(material: str) -> tuple[np.ndarray, np.ndarray]:
    """The published points (°C, microohm m) of a steel; raises `UnknownName`."""
    table = _tables()
    rows = {row["name"]: row for row in table["steel"]}
    if material not in rows:
        raise UnknownName("material", material, rows)
    row = rows[material]
    at_degC = np.array(table["temperature_degC"], dtype=float)
    if "course_of" in row:
        at_degC, course = resistivity_points(row["course_of"])
        return at_degC, course * row["resistivity_at_20degC_microohm_m"] / course[0]
    values = np.array(row["resistivity_microohm_m"], dtype=float)
    return at_degC[: len(values)], values


@cache
def _tables() -> Any:
    text = (files("linkwright.materials") / "data" / "resistivity.toml").read_text("utf-8")
    return tomllib.loads(text)


@cache
def _curve(material: str) -> tuple[np.ndarray, np.ndarray]:
    """The monotone cubic on a grid of 1 K, so that ensembles pay one `np.interp`."""
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415 - heavy, on use

    at_degC, values = resistivity_points(material)
    grid_degC = np.arange(at_degC[0], at_degC[-1] + 0.5, 1.0)
    return grid_degC, PchipInterpolator(at_degC, values)(grid_degC)


@calculation(
    source="heat balance of a conductor without loss; specific heat of EN 1993-1-2:2005, 3.4.1.2",
    gives="time_s",
    needs={
        "current_density_A_per_mm2": POSITIVE,
        "density_kg_per_m3": POSITIVE,
        "table_resistivity_microohm_m": POSITIVE,
    },
    valid={"start_degC": (20.0, 1200.0), "end_degC": (20.0, 1200.0)},
    basis="computed",
)
def joule_heating_time(
    *,
    current_density_A_per_mm2: Values,
    end_degC: Values,
    density_kg_per_m3: Values = 7850.0,
    start_degC: Values = 20.0,
    material: str | None = None,
    table_temperature_degC: Values = None,
    table_resistivity_microohm_m: Values = None,
) -> Values:
    """Time to heat a conductor by current alone, no heat lost.

        t = (density/J^2) integral of c(T)/rho(T) dT from start to end

    c is `ec3_specific_heat`; rho is straight between the points of the two ``table_`` lists
    (one resistivity a temperature; they do not broadcast) or the points of ``material``
    (without both, 1023 steel). Integrated by four Gauss points on pieces of 1 K between the
    breaks of c and rho, so the peak of c at 735 °C is resolved. Raises `ArgumentError` if only
    one list is given or the temperatures do not rise.
    """
    at_degC, rho = _points(table_temperature_degC, table_resistivity_microohm_m, material)
    start, end = np.asarray(start_degC, dtype=float), np.asarray(end_degC, dtype=float)
    low, high = min(start.min(), end.min()), max(start.max(), end.max())
    nodes = np.unique(
        np.concatenate(
            [np.arange(low, high, 1.0), [high, 600.0, 735.0, 900.0], at_degC, start.flat, end.flat]
        )
    )
    nodes = nodes[(nodes >= low) & (nodes <= high)]
    integral = np.concatenate([[0.0], np.cumsum(_pieces(nodes, at_degC, rho))])
    between = integral[np.searchsorted(nodes, end)] - integral[np.searchsorted(nodes, start)]
    return density_kg_per_m3 * between / (current_density_A_per_mm2 * 1e6) ** 2


def _pieces(nodes: np.ndarray, at_degC: np.ndarray, rho_microohm_m: np.ndarray) -> np.ndarray:
    """Integral of c/rho over each piece between two nodes (J/(kg ohm m))."""
    half = np.diff(nodes)[:, None] / 2
    at = nodes[:-1, None] + half * (1.0 + _GAUSS_POINTS)
    ratio = ec3_specific_heat(temperature_degC=at) / (np.interp(at, at_degC, rho_microohm_m) * 1e-6)
    total: np.ndarray = (half * _GAUSS_WEIGHTS * ratio).sum(axis=1)
    return total


def _points(
    table_degC: Any, table_microohm_m: Any, material: str | None
) -> tuple[np.ndarray, np.ndarray]:
    if table_degC is None and table_microohm_m is None:
        return resistivity_points(material or "1023 steel, annealed")
    at, rho = np.atleast_1d(table_degC), np.atleast_1d(table_microohm_m)
    if table_degC is None or table_microohm_m is None or at.shape != rho.shape:
        raise ArgumentError(
            "table_resistivity_microohm_m", table_microohm_m, "µΩ m", "one value a temperature"
        )
    if at.ndim != 1 or (np.diff(at) <= 0).any():
        raise ArgumentError("table_temperature_degC", "list", "°C", "rising temperatures")
    return at, rho
