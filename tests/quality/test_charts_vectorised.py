"""Recursions of charts without loops, held to the loops that define them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from linkwright.quality.cusum import cusum
from linkwright.quality.ewma import ewma

READINGS = arrays(float, st.integers(1, 60), elements=st.floats(-50.0, 50.0))


@given(
    READINGS, st.floats(-5.0, 5.0), st.floats(0.0, 3.0), st.floats(0.5, 20.0), st.floats(0.0, 5.0)
)
def test_cusum_is_its_recursion(
    x: np.ndarray, target: float, k: float, h: float, head: float
) -> None:
    """Sums, first signal and how long the sum had been above zero."""
    last, run = np.full(2, head), np.zeros(2, int)
    sums, runs = [], []
    for value in x:
        last = np.maximum(0.0, last + np.array([value - target - k, target - k - value]))
        run = np.where(last > 1e-12, run + 1, 0)
        sums.append(last)
        runs.append(run)
    found = cusum(target=target, k=k, h=h, data=x, head_start=head)
    np.testing.assert_allclose(found.upper, [s[0] for s in sums], atol=1e-10)
    np.testing.assert_allclose(found.lower, [s[1] for s in sums], atol=1e-10)
    clear = [i for i, s in enumerate(sums) if (s > h + 1e-9).any()]
    if found.first_signal is not None and clear and found.first_signal == clear[0] + 1:
        side = 0 if sums[clear[0]][0] > h else 1
        near = [s[side] for s in sums[: clear[0] + 1]]
        if all(one == 0.0 or one > 1e-9 for one in near):
            assert found.count_since_zero_at_signal == runs[clear[0]][side]


@given(READINGS, st.floats(-5.0, 5.0), st.floats(0.05, 1.0))
def test_ewma_is_its_recursion(x: np.ndarray, target: float, weight: float) -> None:
    """Every smoothed value."""
    last, wanted = target, []
    for value in x:
        last = weight * value + (1.0 - weight) * last
        wanted.append(last)
    found = ewma(target=target, sigma=1.0, weight=weight, L=3.0, data=x)
    np.testing.assert_allclose(found.ewma, wanted, atol=1e-10)


@pytest.mark.parametrize("count", [4095, 4096, 4097, 1_000_000])
def test_long_series_keep_their_digits(count: int) -> None:
    """The last sum does not depend on how long the series was before."""
    x = np.tile([0.3, -0.4, 0.1, 0.2, -0.2], count // 5 + 1)[:count]
    tail = np.array([1.0, 2.0, 1.5])
    long = cusum(target=0.0, k=0.5, h=50.0, data=np.concatenate([x, tail]))
    short = cusum(target=0.0, k=0.5, h=50.0, data=np.concatenate([x[-100:], tail]))
    np.testing.assert_allclose(long.upper[-3:], short.upper[-3:], atol=1e-11)
