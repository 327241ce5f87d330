"""Dates, durations and instants as ISO 8601 writes them.

Offers `iso_week_date`, `iso_ordinal_date`, `iso_duration`, `iso_long_years` and `unix_time`.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from fractions import Fraction

from linkwright.catalogue import calculation
from linkwright.quantities import ArgumentError

_ISO = "ISO 8601-1:2019"
_DURATION = re.compile(
    r"P(?:(?P<w>\d+(?:[.,]\d+)?)W|(?:(?P<d>\d+(?:[.,]\d+)?)D)?"
    r"(?:T(?:(?P<h>\d+(?:[.,]\d+)?)H)?(?:(?P<m>\d+(?:[.,]\d+)?)M)?(?:(?P<s>\d+(?:[.,]\d+)?)S)?)?)",
    re.ASCII,
)
_SECONDS = {"w": 604800, "d": 86400, "h": 3600, "m": 60, "s": 1}


@calculation(source=f"{_ISO}, week date", basis="computed", gives="week_date")
def iso_week_date(*, date: str) -> str:
    """Week date of a calendar date: year, week and day of the week from Monday.

    Args:
        date: ``YYYY-MM-DD``.

    References:
        ISO 8601-1:2019.

    Example:
        >>> iso_week_date(date="2005-01-01")
        '2004-W53-6'
    """
    year, week, day = _date(date).isocalendar()
    return f"{year:04d}-W{week:02d}-{day}"


@calculation(source=f"{_ISO}, ordinal date", basis="computed", gives="ordinal")
def iso_ordinal_date(*, date: str) -> str:
    """Ordinal date: year and day of the year.

    Args:
        date: ``YYYY-MM-DD``.

    References:
        ISO 8601-1:2019.
    """
    found = _date(date)
    return f"{found.year:04d}-{found.timetuple().tm_yday:03d}"


@calculation(source=f"{_ISO}, duration without calendar parts", basis="computed", gives="seconds")
def iso_duration(*, duration: str) -> float:
    """Seconds of a duration of weeks, or of days, hours, minutes and seconds.

    Years and months have no fixed length and are refused.

    Args:
        duration: Such as ``PT36H`` or ``P1DT12H``; the last part may have a fraction.

    References:
        ISO 8601-1:2019.
    """
    match = _DURATION.fullmatch(duration.strip()) if len(duration) <= 60 else None
    parts = {key: text for key, text in (match.groupdict() if match else {}).items() if text}
    fractions = [key for key, text in parts.items() if "." in text or "," in text]
    if not parts or duration.strip().endswith("T") or fractions not in ([], list(parts)[-1:]):
        accepted = "weeks, or days, hours, minutes and seconds, such as P1DT12H"
        raise ArgumentError("duration", duration, "", accepted)
    return float(sum(Fraction(t.replace(",", ".")) * _SECONDS[key] for key, t in parts.items()))


@calculation(source=f"{_ISO}, years with 53 weeks", basis="computed", gives="years")
def iso_long_years(*, from_: int, to: int) -> list[int]:
    """Years with 53 weeks.

    Args:
        from_, to: First and last year, 1 to 9999; key ``from``.

    References:
        ISO 8601-1:2019.
    """
    first, last = int(from_), int(to)
    for name, year in (("from", first), ("to", last)):
        if not 1 <= year <= 9999:
            raise ArgumentError(name, year, "", "1 to 9999")
    return [year for year in range(first, last + 1) if date(year, 12, 28).isocalendar().week == 53]


@calculation(source=f"{_ISO}; RFC 3339 (instant in any offset)", gives="unix_seconds")
def unix_time(*, instant: str) -> float:
    """Seconds since 1970-01-01 00:00 UTC of an instant, without leap seconds.

    Args:
        instant: Date, time and offset (``Z`` or ``+01:00``); one without offset is refused.

    References:
        RFC 3339, 5.8.
    """
    try:
        found = datetime.fromisoformat(instant.strip()) if len(instant) <= 60 else None
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        accepted = "date, time and offset, such as 1996-12-19T16:39:57-08:00"
        raise ArgumentError("instant", instant, "", accepted)
    return (found - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds()


def _date(text: str) -> date:
    plain = text.strip()
    try:
        found = date.fromisoformat(plain) if re.fullmatch(r"\d{4}-\d\d-\d\d", plain, re.A) else None
    except ValueError:
        found = None
    if found is None:
        raise ArgumentError("date", text, "", "a date such as 2026-12-31")
    return found
