"""Times as machines write them, turned into UTC microseconds.

``clocks(texts, form, zone, repeated_hour)`` reads ISO 8601, day.month.year, month/day/year or
seconds since 1970 (``FORMS``); ``to_utc`` turns times without a zone into UTC. Fractions beyond
microseconds are cut off. A local time that stands twice (clocks set back) or never (set forward)
is a fault unless the map says which hour is meant.
"""

from __future__ import annotations

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from linkwright.link_data.cells import Read, shown

FORMS = ("iso", "day.month.year", "month/day/year", "unix_s", "unix_ms", "unix_us")
"""How a clock may be written."""
UTC_TIME = pa.timestamp("us", tz="UTC")
_NAIVE = pa.timestamp("us")
EARLIEST_US, LATEST_US = 0, 7_258_118_400_000_000
"""1970 to 2199: outside, a clock has lost its setting."""
_SECOND = r"(?::(?P<second>[0-9]{2})(?:[.,](?P<part>[0-9]{1,9}))?)?"
_TIME = rf"(?:[T ](?P<hour>[0-9]{{2}})(?::(?P<minute>[0-9]{{2}}){_SECOND})?)?"
_ZONE = r"(?P<zone>Z|[+-][0-9]{2}(?::?[0-9]{2})?)?"
_DATES = {
    "iso": r"^(?P<year>[0-9]{4})-(?P<month>[0-9]{2})-(?P<day>[0-9]{2})",
    "day.month.year": r"^(?P<day>[0-9]{1,2})[./-](?P<month>[0-9]{1,2})[./-](?P<year>[0-9]{4})",
    "month/day/year": r"^(?P<month>[0-9]{1,2})[./-](?P<day>[0-9]{1,2})[./-](?P<year>[0-9]{4})",
}
_UNIX = {"unix_s": 6, "unix_ms": 3, "unix_us": 0}
_LEAP = "the local time stands twice, clocks went back: see repeated_hour"
_GAP = "the local time never was, clocks went forward"


def clocks(texts: pa.Array, form: str, zone: str, repeated_hour: str) -> Read:
    """Read texts as times in UTC.

    >>> read = clocks(pa.array(["02.03.2026 06:00:01,5"]), "day.month.year", "UTC", "refuse")
    >>> read.values[0].as_py().isoformat()
    '2026-03-02T06:00:01.500000+00:00'
    """
    if form in _UNIX:
        return _since_1970(texts, _UNIX[form])
    parts = pc.extract_regex(texts, _DATES[form] + _TIME + _ZONE + "$")
    good = pc.or_(pc.is_valid(parts), pc.is_null(texts))
    faults = _said(texts, good, "is not a time as the map says")
    local, wrong = _assembled(parts)
    faults += [(place, f"{shown(texts[place].as_py())} is no time of the calendar")
               for place in wrong]  # fmt: skip
    zoned = pc.fill_null(pc.not_equal(_field(parts, "zone"), ""), False)
    utc, troubled = to_utc(local, zone, repeated_hour, zoned)
    faults += troubled
    return Read(utc, faults)


def to_utc(
    local: pa.Array, zone: str, repeated_hour: str, done: pa.Array | None = None
) -> tuple[pa.Array, list[tuple[int, str]]]:
    """Times without a zone in UTC; where ``done`` they are UTC already."""
    if zone == "UTC":
        return pc.assume_timezone(local, "UTC"), []
    early, late = (
        pc.cast(pc.assume_timezone(local, zone, ambiguous=one, nonexistent=one), pa.int64())
        for one in ("earliest", "latest")
    )
    plain = pc.cast(local, pa.int64())
    differ = pc.fill_null(pc.not_equal(early, late), False)
    if done is not None:
        differ = pc.and_(differ, pc.invert(done))
    chosen = late if repeated_hour == "later" else early
    faults: list[tuple[int, str]] = []
    for place in np.flatnonzero(np.asarray(differ)):
        gap = late[int(place)].as_py() - early[int(place)].as_py() == 1
        if gap or repeated_hour == "refuse":
            faults.append((int(place), _GAP if gap else _LEAP))
    made = chosen if done is None else pc.if_else(done, plain, chosen)
    bad = np.zeros(len(local), bool)
    bad[[place for place, _ in faults]] = True
    made = pc.if_else(pa.array(bad), pa.scalar(None, pa.int64()), made)
    return pc.cast(made, UTC_TIME), faults


def _assembled(parts: pa.Array) -> tuple[pa.Array, list[int]]:
    """Microseconds of the parts, with a written zone taken off; places that are no time."""
    year, month, day = (_whole(parts, one) for one in ("year", "month", "day"))
    hour, minute, second = (_whole(parts, one) for one in ("hour", "minute", "second"))
    first = np.datetime64("1970-01", "M") + (np.clip(year, 1, 9999) - 1970) * 12
    begun = (first + (np.clip(month, 1, 12) - 1)).astype("datetime64[D]")
    following = (first + np.clip(month, 1, 12)).astype("datetime64[D]")
    length = (following - begun).astype(int)
    right = (year >= 1) & (month >= 1) & (month <= 12) & (day >= 1) & (day <= length)
    right &= (hour < 24) & (minute < 60) & (second < 60)
    offset, known = _offsets(parts)
    right &= known
    us = (begun.astype(int) + day - 1) * 86_400_000_000
    us = us + ((hour * 60 + minute - offset) * 60 + second) * 1_000_000 + _microseconds(parts)
    valid = np.asarray(pc.is_valid(parts))
    made = pa.array(us, mask=~(right & valid)).cast(_NAIVE)
    return made, [int(one) for one in np.flatnonzero(valid & ~right)]


def _offsets(parts: pa.Array) -> tuple[np.ndarray, np.ndarray]:
    """Minutes that the written zone is ahead of UTC, and whether it is one."""
    zone = _field(parts, "zone")
    bare = pc.replace_substring(pc.replace_substring(zone, ":", ""), "Z", "")
    sign = np.where(np.asarray(pc.fill_null(pc.starts_with(bare, "-"), False)), -1, 1)
    digits = pc.fill_null(pc.utf8_ltrim(bare, characters="+-"), "")
    hours = _digits(pc.utf8_slice_codeunits(digits, 0, 2))
    minutes = _digits(pc.utf8_slice_codeunits(digits, 2, 4))
    return sign * (hours * 60 + minutes), (hours < 24) & (minutes < 60)


def _microseconds(parts: pa.Array) -> np.ndarray:
    padded = pc.utf8_rpad(pc.fill_null(_field(parts, "part"), ""), 6, padding="0")
    return _digits(pc.utf8_slice_codeunits(padded, 0, 6))


def _whole(parts: pa.Array, name: str) -> np.ndarray:
    return _digits(pc.fill_null(_field(parts, name), ""))


def _digits(texts: pa.Array) -> np.ndarray:
    filled = pc.if_else(pc.equal(texts, ""), "0", texts)
    return np.asarray(pc.cast(filled, pa.int64()))


def _field(parts: pa.Array, name: str) -> pa.Array:
    return pc.struct_field(parts, name)


def _since_1970(texts: pa.Array, digits: int) -> Read:
    """Seconds, milliseconds or microseconds since 1970, cut to microseconds."""
    form = r"^(?P<whole>[0-9]{1,17})(?:[.,](?P<part>[0-9]{1,12}))?$"
    parts = pc.extract_regex(texts, form)
    good = pc.or_(pc.is_valid(parts), pc.is_null(texts))
    faults = _said(texts, good, "is not a time as the map says")
    whole = _whole(parts, "whole")
    padded = pc.utf8_rpad(pc.fill_null(_field(parts, "part"), ""), max(digits, 1), padding="0")
    part = _digits(pc.utf8_slice_codeunits(padded, 0, digits)) if digits else 0
    fits = whole <= 4 * LATEST_US // 10**digits
    us = np.where(fits, whole, 0) * 10**digits + part
    known = np.asarray(pc.is_valid(parts))
    faults += [(int(at), f"{shown(texts[int(at)].as_py())} is no time of the calendar")
               for at in np.flatnonzero(known & ~fits)]  # fmt: skip
    return Read(pa.array(us, mask=~(known & fits)).cast(UTC_TIME), faults)


def _said(texts: pa.Array, good: pa.Array, words: str) -> list[tuple[int, str]]:
    return [
        (int(place), f"{shown(texts[int(place)].as_py())} {words}")
        for place in np.flatnonzero(~np.asarray(good))
    ]
