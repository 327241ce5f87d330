"""Flow curves: tables by name, shapes of the curves, averages, rate and temperature."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import recording
from linkwright.materials.flow_curves import (
    flow_stress_hollomon,
    flow_stress_ludwik,
    flow_stress_swift,
    flow_stress_voce,
    hollomon_constants,
    hollomon_row,
    hollomon_tables,
    johnson_cook_stress,
    mean_flow_stress_hollomon,
    mean_flow_stress_swift,
)
from linkwright.quantities import ArgumentError, UnknownName

few = settings(derandomize=True, max_examples=25, deadline=None)
strength = st.floats(100.0, 3000.0)
exponent = st.floats(0.0, 0.6)
strain = st.floats(0.0, 2.0)


def test_every_tabled_name_is_found_in_its_own_table() -> None:
    """Each row can be read back by its name and table, with sensible constants."""
    for table, names in hollomon_tables().items():
        for name in names:
            row = hollomon_row(name, table)
            assert (row.material, row.table) == (name, table)
            assert 100.0 < row.K_MPa < 3000.0
            assert 0.0 < row.n < 0.6


def test_same_name_differs_between_tables() -> None:
    """Low-carbon steel is not the same in three books; without a table the first is taken."""
    name = "low-carbon steel, annealed"
    tables = ("kalpakjian", "groover", "callister")
    found = [hollomon_row(name, table).K_MPa for table in tables]
    assert found == [530.0, 500.0, 600.0]
    assert hollomon_constants(material=name).K_MPa == found[0]


def test_a_list_of_names_gives_arrays() -> None:
    """Several materials in one call come back in their order."""
    names = ["1020 steel, annealed", "304 stainless steel, annealed"]
    assert hollomon_constants(material=names).K_MPa.tolist() == [745.0, 1275.0]


def test_spelling_of_a_name_does_not_matter() -> None:
    """Case, punctuation and order of words are free; the words are not."""
    for name in ("1020 STEEL annealed", "Steel 1020 (annealed)"):
        assert hollomon_constants(material=name) == (745.0, 0.2)


def test_unknown_material_offers_the_nearest_name() -> None:
    """A misspelt name is refused and the right one is offered."""
    with pytest.raises(UnknownName, match="1020 steel, annealed"):
        hollomon_constants(material="1020 steel, anealed")
    with pytest.raises(UnknownName):
        hollomon_row("1020 steel, annealed", "callister")


def test_tabled_constants_carry_their_row_into_the_derivation() -> None:
    """While a derivation is recorded, K opens to the row of the published table."""
    with recording() as book:
        row = hollomon_row("1020 steel, annealed")
        entry = book.entries[row.K_MPa.entry]
    assert entry.kind == "table"
    assert "Table 2.3, row 1020 steel, annealed" in entry.source


@few
@given(K=strength, n=exponent, eps=strain)
def test_swift_without_prestrain_is_hollomon(K: float, n: float, eps: float) -> None:
    """Swift's curve with eps0 = 0 is Hollomon's."""
    plain = flow_stress_hollomon(K_MPa=K, n=n, true_strain=eps)
    swift = flow_stress_swift(K_MPa=K, n=n, prestrain=0.0, true_strain=eps)
    assert swift == pytest.approx(plain)


@few
@given(K=strength, n=st.floats(0.01, 0.6), eps=st.floats(0.001, 1.0))
def test_all_curves_rise_with_strain(K: float, n: float, eps: float) -> None:
    """No curve softens with strain."""
    steps = np.array([eps, 1.1 * eps])
    curves = (
        flow_stress_hollomon(K_MPa=K, n=n, true_strain=steps),
        flow_stress_swift(K_MPa=K, n=n, prestrain=0.01, true_strain=steps),
        flow_stress_ludwik(yield_MPa=200.0, K_MPa=K, n=n, true_strain=steps),
        flow_stress_voce(
            saturation_stress_MPa=2.0 * K, initial_yield_MPa=K, rate_constant=8.0,
            true_strain=steps,
        ),
    )  # fmt: skip
    assert all(curve[1] > curve[0] for curve in curves)


@few
@given(K=strength, n=exponent, start=st.floats(0.0, 0.5), eps=st.floats(1e-4, 1.5))
def test_mean_flow_stress_is_the_average_of_the_curve(
    K: float, n: float, start: float, eps: float
) -> None:
    """The closed mean agrees with the integral of the curve by quadrature."""
    from scipy.integrate import quad

    whole, _ = quad(lambda e: K * (start + e) ** n, 0.0, eps, epsabs=0.0, epsrel=1e-10)
    mean = mean_flow_stress_swift(K_MPa=K, n=n, prestrain=start, true_strain=eps)
    assert mean == pytest.approx(whole / eps, rel=1e-7)


@few
@given(K=strength, n=exponent, start=st.floats(0.001, 0.5))
def test_mean_over_no_strain_is_the_yield_stress(K: float, n: float, start: float) -> None:
    """The mean tends to the yield stress as the strain vanishes, without a gap at the switch."""
    tiny = start * np.array([0.0, 0.99e-6, 1.01e-6])
    mean = mean_flow_stress_swift(K_MPa=K, n=n, prestrain=start, true_strain=tiny)
    assert mean == pytest.approx(K * start**n, rel=1e-5)
    assert mean[2] == pytest.approx(mean[1], rel=1e-7)


def test_mean_flow_stress_takes_a_material_alone() -> None:
    """K and n are looked up when only the material is named."""
    by_name = mean_flow_stress_hollomon(true_strain=0.5, material="1020 steel, annealed")
    assert by_name == mean_flow_stress_hollomon(true_strain=0.5, K_MPa=745.0, n=0.2)


def test_missing_constants_are_named() -> None:
    """Without numbers and material the missing argument is said."""
    with pytest.raises(ArgumentError, match="K_MPa"):
        mean_flow_stress_hollomon(true_strain=0.5)
    with pytest.raises(ArgumentError, match="A_MPa"):
        johnson_cook_stress(plastic_strain=0.1, strain_rate_per_s=1.0, temperature_K=300.0)


def test_johnson_cook_softens_to_nothing_at_melting() -> None:
    """At the reference temperature there is no softening, at melting no strength."""
    stress = johnson_cook_stress(
        material="4340 steel", plastic_strain=0.0, strain_rate_per_s=1.0,
        temperature_K=[200.0, 293.0, 1000.0, 1793.0, 2000.0],
    )  # fmt: skip
    assert stress[0] == stress[1] == pytest.approx(792.0)
    assert 0.0 < stress[2] < stress[1]
    assert stress[3] == stress[4] == 0.0


@few
@given(rate=st.floats(1.0, 1e5))
def test_johnson_cook_rises_with_rate(rate: float) -> None:
    """Faster straining needs more stress."""
    stress = johnson_cook_stress(
        material="1006 steel", plastic_strain=0.2, strain_rate_per_s=[rate, 2.0 * rate],
        temperature_K=293.0,
    )  # fmt: skip
    assert stress[1] > stress[0]
