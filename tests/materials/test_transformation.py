"""Transformation temperatures: the authors agree roughly and all take one analysis."""

import numpy as np
import pytest

from linkwright.materials.steels import steel
from linkwright.materials.transformation import (
    andrews_ac1,
    andrews_ac3,
    andrews_ac3_extended,
    andrews_martensite_start,
    andrews_martensite_start_product,
    grange_critical_temperatures,
    steven_haynes_start,
    van_bohemen_martensite_start,
)

ELEMENTS = ("C", "Mn", "Si", "Ni", "Cr", "Mo")


def _analysis(name: str) -> dict[str, float]:
    known = steel(name).analysis()
    return {f"{e}_percent": known.get(f"{e}_percent", 0.0) for e in ELEMENTS}


@pytest.mark.parametrize("name", ["23MnNiMoCr5-4", "23MnNiCrMo5-2", "SAE 8622", "SAE 1022"])
def test_authors_agree_on_martensite_start_within_20_K(name: str) -> None:
    """Four published formulas lie within 20 K on chain steels."""
    analysis = _analysis(name)
    found = [
        andrews_martensite_start(**analysis),
        andrews_martensite_start_product(**analysis),
        steven_haynes_start(**analysis).Ms_degC,
        van_bohemen_martensite_start(**analysis),
    ]
    assert max(found) - min(found) < 20.0


@pytest.mark.parametrize("name", ["23MnNiMoCr5-4", "SAE 8622", "SAE 4140"])
def test_temperatures_stand_in_their_order(name: str) -> None:
    """Ms lies below Bs, Bs below Ac1, Ac1 below Ac3."""
    analysis = _analysis(name)
    start = steven_haynes_start(**analysis)
    ac1, ac3 = andrews_ac1(**analysis), andrews_ac3(**analysis)
    assert start.Ms_degC < start.Bs_degC < ac1 < ac3


def test_phosphorus_and_aluminium_raise_ac3_and_chromium_lowers_it() -> None:
    """The bracket of the extended form is subtracted as a whole."""
    base = andrews_ac3_extended(C_percent=0.25)
    assert andrews_ac3_extended(C_percent=0.25, P_percent=0.02) > base
    assert andrews_ac3_extended(C_percent=0.25, Al_percent=0.03) > base
    assert andrews_ac3_extended(C_percent=0.25, Cr_percent=0.5) < base


def test_elements_without_a_term_still_broadcast() -> None:
    """An array of an element that a formula does not use gives an array of results."""
    silicon = np.linspace(0.1, 0.4, 8)
    assert andrews_martensite_start(C_percent=0.2, Si_percent=silicon).shape == (8,)
    assert grange_critical_temperatures(C_percent=0.2, Mo_percent=silicon).Ae1_degC.shape == (8,)
