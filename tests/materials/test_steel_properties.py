"""Every steel has every property, and alloy moves each as it must."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from linkwright.catalogue import ValidityWarning
from linkwright.materials.flow_curves import hollomon_row
from linkwright.materials.steel_properties import SteelProperties, steel_properties
from linkwright.materials.steels import STEELS, Steel, flow_curve_of
from linkwright.quantities import UnknownName

CHAIN = ("SAE 1008", "SAE 1018", "SAE 1020", "SAE 1022", "21Mn5", "27MnSi5", "23MnNiCrMo5-2",
         "23MnNiMoCr5-4", "SAE 8620", "SAE 8622", "SAE 8630")  # fmt: skip
"""Grades for chain: low carbon, the DIN 17115 family, SAE carbon and alloy grades."""


def of(name: str, temperature_degC: float = 20.0) -> SteelProperties:
    """Properties; 0.05 % C lies below the range of two laws, which say so."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        return steel_properties(steel_grade=name, temperature_degC=temperature_degC)


def test_there_are_ten_steels_for_chain() -> None:
    """All of them are held."""
    assert len(CHAIN) >= 10
    assert set(CHAIN) <= set(STEELS)


@pytest.mark.parametrize("name", STEELS)
@pytest.mark.parametrize("temperature_degC", [20.0, 500.0, 940.0])
def test_a_steel_has_every_property(name: str, temperature_degC: float) -> None:
    """Finite, positive, with Ms below Ac1 below Ac3."""
    found = of(name, temperature_degC)
    assert np.all(np.isfinite(found))
    assert min(float(one) for one in found) > 0.0
    assert found.Ms_degC < found.Ac1_degC < found.Ac3_degC


@pytest.mark.parametrize("steel", STEELS.values(), ids=lambda one: one.name)
def test_a_steel_says_where_it_stands(steel: Steel) -> None:
    """Standard, number, basis, and a flow curve that the tables hold."""
    assert all((steel.standard, steel.number))
    assert steel.basis in ("retrieved", "computed", "memory")
    assert hollomon_row(steel.flow_curve).n > 0.0


def test_alloy_and_carbon_move_the_properties() -> None:
    """More alloy hardens deeper; more carbon is harder and starts to transform lower."""
    lean, rich = of("SAE 8620"), of("23MnNiMoCr5-4")
    assert rich.ideal_diameter_mm > 2.0 * lean.ideal_diameter_mm
    low, high = of("SAE 8620"), of("SAE 8640")
    assert high.martensite_hardness_HRC > low.martensite_hardness_HRC
    assert high.Ms_degC < low.Ms_degC


def test_an_unknown_grade_is_refused_with_the_nearest() -> None:
    """By name; a flow curve is there for any grade of a works."""
    with pytest.raises(UnknownName, match="21Mn5"):
        steel_properties(steel_grade="21Mn4")
    assert flow_curve_of("own steel") == "4135 steel, annealed"
