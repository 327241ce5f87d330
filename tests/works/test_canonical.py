"""Canonical JSON: fixed bytes, so that a hash means the same everywhere."""

import datetime
import hashlib
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import Sourced
from linkwright.works import canonical_bytes, content_hash


def test_fixed_bytes() -> None:
    """Sorted keys, no spaces, UTF-8, shortest floats, minus zero as zero, dates by ISO 8601."""
    content = {
        "z": 0.1 + 0.2,
        "a": [True, None, 3, 1e-7, 1e16, -0.0],
        "ä": "8 mm \"quoted\" °",
        "due": datetime.date(2026, 12, 18),
        "start": datetime.time(6, 0),
        "pair": (1.0, 2.5),
    }  # fmt: skip
    expected = (
        '{"a":[true,null,3,1e-07,1e+16,0.0],"due":"2026-12-18","pair":[1.0,2.5],'
        '"start":"06:00:00","z":0.30000000000000004,"ä":"8 mm \\"quoted\\" °"}'
    ).encode()
    assert canonical_bytes(content) == expected
    assert content_hash(content) == hashlib.sha256(expected).hexdigest()


def test_fixed_hash() -> None:
    """The hash of an empty object is that of the two bytes {}."""
    expected = "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"
    assert content_hash({}) == expected


def test_sourced_number_is_its_value() -> None:
    """A number with a source has the same bytes as the bare number."""
    assert canonical_bytes(Sourced(8.5, "x")) == b"8.5"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf")])
def test_not_finite_is_refused(value: float) -> None:
    """JSON has no nan and no inf."""
    with pytest.raises(ValueError, match="no place in canonical JSON"):
        canonical_bytes({"a": [value]})


@pytest.mark.parametrize("value", [{1: 2}, {"a": {1}}, b"bytes", 1j])
def test_other_types_are_refused(value: object) -> None:
    """What has no JSON is not guessed."""
    with pytest.raises(TypeError, match="canonical JSON"):
        canonical_bytes(value)


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
        | st.text(st.characters(codec="utf-8")),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(max_size=5), inner),
        max_leaves=10,
    )
)  # fmt: skip
@settings(derandomize=True, max_examples=100, deadline=None)
def test_canonical_json_reads_back(content: object) -> None:
    """Nothing is lost, and the bytes of what was read back are the same."""
    raw = canonical_bytes(content)
    assert json.loads(raw) == content
    assert canonical_bytes(json.loads(raw)) == raw
