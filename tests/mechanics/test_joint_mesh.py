"""The mesh along half a joint."""

from __future__ import annotations

import numpy as np

from linkwright.mechanics.joint_mesh import length_above


def test_length_above_measures_a_profile() -> None:
    """A triangle from 100 at zero to 0 at ten lies above 50 on half its base."""
    position = np.array([[1.0], [4.0], [10.0]])
    value = np.array([[90.0], [60.0], [0.0]])
    np.testing.assert_allclose(length_above(position, value, 50.0), [5.0])
    np.testing.assert_allclose(length_above(position, value, 95.0), [0.0])
    np.testing.assert_allclose(length_above(position, value, -1.0), [10.0])
