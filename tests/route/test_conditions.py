"""Conditions: scatter and unknown factors, nominal and drawn."""

import numpy as np
import pytest

from linkwright.catalogue import recording
from linkwright.route import LOT_LEVELS, Conditions, Factor, Scatter

LOT = Scatter("lot/wire/drawing/wire_diameter_mm", 0.02, "a table")
LINK = Scatter("link/chain/forming/pitch_mm", 0.01, "a table", relative=True)
FORCE = Factor("factor/drawing/force", 1.1, 0.08, "works.toml:30", "ten coils")
KNOWN = {
    "scatter": {LOT.name: LOT, LINK.name: LINK},
    "factors": {FORCE.name: FORCE},
}


def _drawn() -> Conditions:
    rng = np.random.default_rng(7)
    draws = {
        LOT.name: rng.standard_normal((4, 1)),
        LINK.name: rng.standard_normal((4, 3)),
        FORCE.name: rng.standard_normal((4, 1)),
    }
    return Conditions(**KNOWN, draws=draws)


def test_in_the_nominal_pass_a_value_is_itself() -> None:
    """No scatter, no least value, the very same object: its source is kept."""
    value = np.array([8.0])
    assert Conditions(**KNOWN).actual(LOT.name, value, least=9.0) is value


def test_a_source_without_a_draw_leaves_the_value_alone() -> None:
    """Scatter that this run does not draw is at its middle."""
    assert _drawn().actual("heat/store/receiving/C_percent", 0.23) == 0.23


def test_scatter_is_added_in_the_unit_of_its_quantity() -> None:
    """Value + sd z, one value a lot."""
    drawn = _drawn()
    expected = 8.0 + 0.02 * drawn.draws[LOT.name]
    assert drawn.actual(LOT.name, 8.0) == pytest.approx(expected)
    assert drawn.actual(LOT.name, 8.0).shape == (4, 1)


def test_relative_scatter_is_a_share_of_the_value() -> None:
    """Value (1 + sd z), and a lot's value spreads over its links."""
    drawn = _drawn()
    lot = drawn.actual(LOT.name, 8.0)
    expected = lot * (1 + 0.01 * drawn.draws[LINK.name])
    assert drawn.actual(LINK.name, lot) == pytest.approx(expected)
    assert drawn.actual(LINK.name, lot).shape == (4, 3)


def test_scatter_stops_at_the_least_that_can_be() -> None:
    """A share of an element, for instance, is never negative."""
    drawn = Conditions(**KNOWN, draws={LOT.name: np.array([[-500.0], [1.0]])})
    assert drawn.actual(LOT.name, 1.0, least=0.0).tolist() == [[0.0], [1.02]]


def test_a_factor_is_its_median_in_the_nominal_pass() -> None:
    """And while recording it leads to where it stands."""
    nominal = Conditions(**KNOWN)
    assert nominal.factor(FORCE.name) == 1.1
    with recording() as book:
        value = nominal.factor(FORCE.name)
    assert book.entries[value.entry].source == "works.toml:30"


def test_a_factor_is_log_normal_about_its_median() -> None:
    """Median exp(spread z), one value a lot, never negative."""
    drawn = _drawn()
    expected = 1.1 * np.exp(0.08 * drawn.draws[FORCE.name])
    assert drawn.factor(FORCE.name) == pytest.approx(expected)


def test_an_unknown_factor_is_a_key_error() -> None:
    """An operation that asks for a factor nobody declared is a mistake of the program."""
    with pytest.raises(KeyError):
        _drawn().factor("factor/drawing/unknown")


def test_lots_alone_keep_what_varies_between_lots() -> None:
    """Link scatter goes to its middle; heat, lot and factors stay as they were drawn."""
    drawn = _drawn()
    lots = drawn.lot_only()
    assert set(lots.draws) == {LOT.name, FORCE.name}
    assert lots.actual(LINK.name, 24.0) == 24.0
    assert np.array_equal(lots.factor(FORCE.name), drawn.factor(FORCE.name))
    assert set(drawn.draws) == {LOT.name, LINK.name, FORCE.name}


def test_a_name_of_scatter_tells_its_level_and_its_quantity() -> None:
    """level/branch/operation/quantity."""
    assert (LINK.level, LINK.quantity) == ("link", "pitch_mm")
    assert LOT.level in LOT_LEVELS
    assert LINK.level not in LOT_LEVELS
