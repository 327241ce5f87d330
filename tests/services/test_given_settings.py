"""Settings that an order gives: which it may."""

from __future__ import annotations

import planned
import pytest

from linkwright.quantities import InputErrors


@pytest.mark.parametrize(
    "setting", ["straightening.roll_2_opening_mm = 7.9", "hardening.generator_power_kW = 90.0"]
)
def test_what_follows_from_other_settings_cannot_be_given(setting: str) -> None:
    """A reading or an opening between two others is no choice: said with file, line and key."""
    with pytest.raises(InputErrors, match=r"order\.toml:\d+: settings\..*follows from the others"):
        planned.with_settings(setting)


def test_a_setting_that_cannot_be_is_told_with_its_key() -> None:
    """A negative gap is refused at its line, under the key as the file has it."""
    with pytest.raises(InputErrors, match=r"order\.toml:\d+: \S*settings\.forming\.gap_mm: gap_mm"):
        planned.with_settings("forming.gap_mm = -5.0")
