"""Tempers add up, and steel softens with them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.materials.tempering import (
    hollomon_jaffe,
    hollomon_jaffe_equivalence,
    hollomon_jaffe_of_history,
    hollomon_jaffe_temperature,
    tempered_hardness,
    tempered_hardness_by_quenched,
    tempered_hardness_spies,
    tempering_parameter,
    tempering_parameter_of_history,
)
from linkwright.quantities import ArgumentError

few = settings(derandomize=True, max_examples=30, deadline=None, database=None)
CHAIN = {
    "C_percent": 0.23, "Si_percent": 0.15, "Mn_percent": 1.25, "Ni_percent": 1.0,
    "Cr_percent": 0.5, "Mo_percent": 0.55,
}  # fmt: skip
temper = (st.floats(350.0, 650.0), st.floats(1 / 3600, 4.0))


@few
@given(*temper)
def test_equivalent_temper_has_the_same_parameter(T: float, hours: float) -> None:
    """Temperature found for another time gives back the parameter."""
    other = hollomon_jaffe_equivalence(temperature_degC=T, time_h=hours, new_time_h=0.5)
    same = hollomon_jaffe(temperature_degC=other, time_h=0.5)
    assert same == pytest.approx(hollomon_jaffe(temperature_degC=T, time_h=hours))
    assert hollomon_jaffe_temperature(parameter=same, time_h=0.5) == pytest.approx(other)


@few
@given(*temper, st.integers(1, 40))
def test_a_hold_cut_into_steps_is_the_hold(T: float, hours: float, steps: int) -> None:
    """Both integrated parameters of a constant temperature equal the closed form."""
    times = np.linspace(0.0, hours * 3600.0, steps + 1)
    course = np.full(steps + 1, T)
    assert hollomon_jaffe_of_history(time_s=times, temperature_degC=course) == pytest.approx(
        hollomon_jaffe(temperature_degC=T, time_h=hours), rel=1e-9
    )
    assert tempering_parameter_of_history(time_s=times, temperature_degC=course) == pytest.approx(
        tempering_parameter(temperature_degC=T, time_h=hours), rel=1e-9
    )


def test_the_creusot_loire_integral_agrees_with_quadrature() -> None:
    """A ramp of a hundred readings gives the integral of ten thousand, within 0.01 K."""
    coarse, fine = np.linspace(0.0, 20.0, 101), np.linspace(0.0, 20.0, 10001)
    found = [
        tempering_parameter_of_history(time_s=t, temperature_degC=20.0 + 26.0 * t)
        for t in (coarse, fine)
    ]
    assert found[0] == pytest.approx(found[1], abs=0.01)


def test_a_later_cold_wait_adds_nothing() -> None:
    """Hours at room temperature after the temper change neither parameter."""
    times, course = np.array([0.0, 10.0, 20.0]), np.array([500.0, 500.0, 500.0])
    longer = np.append(times, [30.0, 86400.0]), np.append(course, [20.0, 20.0])
    for law in (hollomon_jaffe_of_history, tempering_parameter_of_history):
        short = law(time_s=times, temperature_degC=course)
        waited = law(time_s=longer[0], temperature_degC=longer[1])
        assert short <= waited < short * 1.002


def test_members_run_alone_as_together() -> None:
    """Each member of an array equals its own single run."""
    times = np.linspace(0.0, 30.0, 61)
    peaks = np.linspace(420.0, 600.0, 12).reshape(3, 4)
    course = 20.0 + (peaks - 20.0) * np.minimum(times / 10.0, 1.0)[:, None, None]
    for law in (hollomon_jaffe_of_history, tempering_parameter_of_history):
        together = law(time_s=times, temperature_degC=course)
        alone = law(time_s=times, temperature_degC=course[:, 1, 2])
        assert together[1, 2] == pytest.approx(alone, rel=1e-12)


def test_times_must_rise() -> None:
    """A history that goes back in time is refused."""
    with pytest.raises(ArgumentError, match="rising"):
        hollomon_jaffe_of_history(time_s=[0.0, 2.0, 1.0], temperature_degC=[20.0, 500.0, 500.0])


@few
@given(*temper)
def test_hotter_or_longer_is_softer(T: float, hours: float) -> None:
    """Hardness of martensite falls with temperature and with time."""

    def hardness(temperature: float, time: float) -> float:
        parameter = tempering_parameter(temperature_degC=temperature, time_h=time)
        return float(tempered_hardness(parameter_K=parameter, **CHAIN).martensite_HV)

    assert hardness(T + 10.0, hours) < hardness(T, hours)
    assert hardness(T, hours * 2.0) < hardness(T, hours)


def test_a_temper_never_hardens() -> None:
    """With the quenched hardness given, a gentle temper leaves it where it was."""
    gentle = tempered_hardness(parameter_K=500.0, quenched_martensite_HV=505.0, **CHAIN)
    assert gentle.martensite_HV == 505.0


@pytest.mark.parametrize("T", [510.0, 550.0, 600.0])
def test_three_published_laws_agree_within_18_percent(T: float) -> None:
    """Creusot-Loire, Just and Spies lie within 18 % of their mean on one chain steel.

    Vickers 1.05 times Brinell, and Rockwell C turned into Vickers by ISO 18265.
    """
    from linkwright.materials.hardness_scales import hardness_iso18265

    creusot = tempered_hardness(parameter_K=T + 273.15, **CHAIN).martensite_HV
    quenched = hardness_iso18265(hardness_HV=508.0).hardness_HRC
    just = tempered_hardness_by_quenched(quenched_hardness_HRC=quenched, temperature_degC=T)
    spies_steel = {**CHAIN, "Si_percent": 0.17}
    del spies_steel["Ni_percent"]
    spies = tempered_hardness_spies(
        quenched_hardness_HRC=quenched, temperature_degC=T, **spies_steel
    )
    in_vickers = [creusot, hardness_iso18265(hardness_HRC=just).hardness_HV, 1.05 * spies]
    assert in_vickers == pytest.approx([np.mean(in_vickers)] * 3, rel=0.18)
