"""Steels by name."""

import pytest

from linkwright.catalogue import recording
from linkwright.materials.steels import STEELS, steel
from linkwright.quantities import UnknownName


@pytest.mark.parametrize("name", sorted(STEELS))
def test_limits_are_ranges_and_the_usual_analysis_keeps_them(name: str) -> None:
    """Each least is below its greatest, and the analysis to plan with lies between."""
    known = steel(name)
    assert all(0.0 <= least < greatest < 5.0 for least, greatest in known.limits.values())
    assert known.outside(known.analysis()) == {}
    assert known.source
    assert known.basis in {"memory", "retrieved"}


def test_a_steel_is_found_by_number_and_without_hyphen() -> None:
    """Number, case and hyphens do not matter."""
    assert steel("1.6541") is steel("23mnnicrmo52") is STEELS["23MnNiCrMo5-2"]


def test_an_unknown_steel_is_answered_with_the_nearest() -> None:
    """The error offers a name that exists."""
    with pytest.raises(UnknownName, match="23MnNiMoCr5-4"):
        steel("23MnNiMoCr6-4")


def test_too_much_carbon_is_named() -> None:
    """An analysis outside the limits is told by element."""
    analysis = {**steel("23MnNiMoCr5-4").analysis(), "C_percent": 0.3}
    assert list(steel("23MnNiMoCr5-4").outside(analysis)) == ["C"]


def test_values_carry_their_source_while_recording() -> None:
    """In a derivation each element is a row of the standard."""
    with recording() as book:
        steel("SAE 8620").analysis()
    assert any("SAE J404" in entry.source for entry in book.entries.values())
