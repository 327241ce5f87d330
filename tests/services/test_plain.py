"""Answers as plain data."""

import json

import numpy as np

from linkwright.services.plain import plain


def test_numbers_stay_numbers_and_keys_keep_their_order() -> None:
    """Arrays become lists, single values of numpy plain numbers, texts stay."""
    data, reasons = plain({"b": np.array([1.0, 2.0]), "a": np.float64(3), "c": "x", "d": (True,)})
    assert json.dumps(data) == '{"b": [1.0, 2.0], "a": 3.0, "c": "x", "d": [true]}'
    assert reasons == {}


def test_what_is_not_finite_is_null_with_a_reason() -> None:
    """Infinite values and those that are no numbers are null, and the reason counts them."""
    data, reasons = plain({"x": [1.0, float("nan"), float("inf")], "y": None})
    assert data == {"x": [1.0, None, None], "y": None}
    assert reasons == {"x": "2 of 3 values are infinite or not a number"}
