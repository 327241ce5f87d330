"""Fixtures of the mechanics' tests."""

from __future__ import annotations

import pytest
from mechanics.joints import carbon_steel

from linkwright.mechanics.joint_heat import JointMetal


@pytest.fixture(scope="session")
def steel() -> JointMetal:
    """Carbon steel with the peak of its specific heat and a strength that falls."""
    return carbon_steel()
