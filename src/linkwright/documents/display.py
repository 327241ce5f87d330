"""Numbers as the papers print them: digits, unit, unit system, language, limits, marks.

Offers `Display`. Stored values keep their units; only what is printed is converted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linkwright.documents.words import source_text, words
from linkwright.languages.wording import ENGLISH, Wording
from linkwright.quantities import UnknownName, split
from linkwright.quantities.text import significant, unit_text
from linkwright.quantities.unit_systems import SYSTEMS, shown_in

_FIXED = "\u00a0"
_AT_LEAST_ONE = 0.999
_MOST_DIGITS = 7
_TICK_LOW, _TICK_HIGH, _EDGE, _CLEAR = 0.22, 0.78, 0.04, 0.1


@dataclass(frozen=True)
class Display:
    """How numbers and words look: unit system, ``metric`` or ``inch``, and language."""

    units: str = "metric"
    wording: Wording = ENGLISH

    def __post_init__(self) -> None:
        if self.units not in SYSTEMS:
            raise UnknownName("units", self.units, SYSTEMS)

    def shown(self, name: str, value: float, *, difference: bool = False) -> tuple[float, str]:
        """The value of ``name`` and its unit suffix in this unit system."""
        shown, unit = shown_in(self.units, name, value, difference=difference)
        return shown, unit

    def say(self, text: str, *parts: str) -> str:
        """A text of the program in the language of the paper; see `Wording.say`."""
        return self.wording.say(text, *parts)

    def name(self, name: str) -> str:
        """A name with unit in words of the language."""
        return self.wording.say(words(name))

    def source(self, source: object) -> str:
        """A source as printed; what a standard or a file is called stays as it is written."""
        return self.wording.if_known(source_text(source))

    def number(self, value: float, digits: int = 4) -> str:
        """A bare number with minus sign and decimal mark."""
        return self.wording.number(significant(value, digits).replace("-", "−"))

    def unit(self, name: str) -> str:
        """The unit of ``name`` as printed; empty for a pure number."""
        suffix = self.shown(name, 0.0)[1]
        return unit_text(suffix) if suffix else ""

    def text(
        self, name: str, value: Any, digits: int = 4, *, difference: bool = False, unit: bool = True
    ) -> str:
        r"""Value and unit on one line that never breaks; a dash for what is not there.

        >>> Display().text("wire_diameter_mm", 8.0479), Display("inch").text("force_kN", 10.0)
        ('8.048\xa0mm', '2\xa0248\xa0lbf')
        """
        if value is None:
            return "–"
        if not isinstance(value, (int, float)):
            return str(value)
        number, suffix = self.shown(name, float(value), difference=difference)
        written = self.number(number, digits).replace(" ", _FIXED)
        shown = unit_text(suffix).replace(" ", _FIXED) if suffix and unit else ""
        apart = "" if shown == "°" else _FIXED
        return f"{written}{apart}{shown}" if shown else written

    def text_beside(self, name: str, value: Any, *limits: float | None) -> str:
        r"""The value with as many digits as it takes to tell it from limits that it misses.

        >>> Display().text_beside("spacing_mm", 479.993, None, 480.0)
        '479.99\xa0mm'
        """
        digits = 4
        apart = [limit for limit in limits if limit is not None and limit != value]
        while digits < _MOST_DIGITS and any(
            self.text(name, value, digits) == self.text(name, limit, digits) for limit in apart
        ):
            digits += 1
        return self.text(name, value, digits)

    def limits(self, name: str, least: float | None, greatest: float | None) -> str:
        """Limits in words: ``at least 80.4 kN``, ``23.3 to 24.7 mm``, or empty."""
        digits = 4 if self.shown(name, 0.0)[1] == split(name)[1] else 5  # converted: rounding shows
        if least is not None and greatest is not None:
            low = self.text(name, least, digits, unit=False)
            return self.say("{1} to {2}", low, self.text(name, greatest, digits))
        if least is not None:
            return self.say("at least {1}", self.text(name, least, digits))
        if greatest is not None:
            return self.say("at most {1}", self.text(name, greatest, digits))
        return ""


def percent(share: float | None, digits: int = 3) -> str:
    r"""A chance in per cent that never rounds to certainty.

    >>> percent(0.852), percent(0.99999), percent(1.0), percent(None)
    ('85.2\xa0%', '>\xa099.9\xa0%', '>\xa099.9\xa0%', '–')
    """
    if share is None:
        return "–"
    if share > _AT_LEAST_ONE:
        return f">{_FIXED}99.9{_FIXED}%"
    if share < 1 - _AT_LEAST_ONE:
        return f"<{_FIXED}0.1{_FIXED}%"
    return f"{significant(100 * share, digits)}{_FIXED}%"


def tolerance_mark(
    value: float | None, least: float | None, greatest: float | None, word: str = ""
) -> dict[str, Any]:
    """Where ticks and dot of a tolerance mark stand on a line from 0 to 1.

    A tick is None where there is no limit. With one limit the whole line is as long as the
    limit is large. What is outside stands clear of its tick. ``word`` is the verdict that
    stands beside it.

    >>> tolerance_mark(24.0, 23.3, 24.7)["at"]
    0.5
    """
    if value is None or (least is None and greatest is None):
        return {"at": None if value is None else 0.5, "least": None, "greatest": None,
                "word": word}  # fmt: skip
    low = _TICK_LOW if least is not None else None
    high = _TICK_HIGH if greatest is not None else None
    at = _place_between(value, least, greatest)
    if least is not None and value < least:
        at = min(at, _TICK_LOW - _CLEAR)
    if greatest is not None and value > greatest:
        at = max(at, _TICK_HIGH + _CLEAR)
    return {"at": min(max(at, _EDGE), 1 - _EDGE), "least": low, "greatest": high, "word": word}


def _place_between(value: float, least: float | None, greatest: float | None) -> float:
    if least is None:
        assert greatest is not None  # noqa: S101 - a mark without limits has no place to find
        return _TICK_HIGH - (greatest - value) / (abs(greatest) or 1.0)
    if greatest is None:
        return _TICK_LOW + (value - least) / (abs(least) or 1.0)
    band = greatest - least
    return _TICK_LOW + (_TICK_HIGH - _TICK_LOW) * ((value - least) / band if band else 0.5)
