"""The words of one language: sentences, numbers, and what its catalogue lacks.

Offers `Wording`, `ENGLISH`, `wording_of` and `languages`. A message is the English text with
its numbers taken out: ``feeler gauge, one link in 200`` is ``feeler gauge, one link in {1}``,
so that another number needs no other translation.
"""

from __future__ import annotations

import gettext
import re
from functools import cached_property
from importlib import resources
from pathlib import Path

from linkwright.quantities import ArgumentError

DOMAIN = "linkwright"
_NUMBER = re.compile(r"(?<![\w.{/\-–])[-−+]?\d+(?:[ \u00a0]\d{3}\b)*(?:\.\d+)?(?![\w}]|[.\-–/]\d)")
_PLACE = re.compile(r"\{(\d)\}")
_MOST_NUMBERS = 9
_SHOWN = 5


class Wording:
    """What the papers say in one language.

    language: its code as in a folder's name; name: what the language calls itself;
    decimal_mark: point or comma; missing: messages that were asked for and not found.
    """

    def __init__(self, language: str, catalogue: gettext.NullTranslations | None) -> None:
        self.language = language
        self.missing: dict[str, None] = {}
        self._catalogue = catalogue
        if catalogue is not None:
            catalogue.add_fallback(_Nothing())

    @cached_property
    def decimal_mark(self) -> str:
        """What stands between the units and the tenths: said in the catalogue's head."""
        head = self._catalogue.info() if self._catalogue else {}
        return head.get("x-decimal-mark", ".")

    def say(self, text: str, *parts: str) -> str:
        """The text in this language, ``{1}``, ``{2}`` ... filled with the parts.

        Without parts the numbers of the text are its parts. A message that the catalogue
        lacks stays English and is kept in ``missing``.

        >>> ENGLISH.say("solved for {1}", "the pitch"), ENGLISH.say("one link in 200")
        ('solved for the pitch', 'one link in 200')
        """
        if not text or (self._catalogue is None and not parts):
            return text
        pattern = text if parts else message_of(text)
        found = self._found(pattern)
        if not found:
            self.missing[pattern] = None
        return self._filled(found or pattern, text, parts)

    def if_known(self, text: str) -> str:
        """The text in this language where the catalogue has it, else as it is written."""
        found = self._found(message_of(text))
        return self._filled(found, text, ()) if found else text

    def _found(self, message: str) -> str:
        return self._catalogue.gettext(message) if self._catalogue else message

    def _filled(self, pattern: str, text: str, parts: tuple[str, ...]) -> str:
        """The pattern with its places filled; a place without a part stays as it is."""
        held = parts or [self.number(part) for part in _NUMBER.findall(text)]

        def part(place: re.Match[str]) -> str:
            index = int(place[1]) - 1
            return held[index] if 0 <= index < len(held) else place[0]

        return _PLACE.sub(part, pattern)

    def lack(self) -> str:
        """What was missing, in one sentence."""
        shown = "; ".join(list(self.missing)[:_SHOWN])
        more = f"; and {len(self.missing) - _SHOWN} more" if len(self.missing) > _SHOWN else ""
        return (
            f"in English on the set-up cards, for the catalogue of {self.language} has no words: "
            f"{shown}{more}"
        )

    def number(self, written: str) -> str:
        """A number written with a point, as this language writes it."""
        return written.replace(".", self.decimal_mark)


class _Nothing(gettext.NullTranslations):
    """The end of the line: an empty text says that no catalogue has the message."""

    def gettext(self, message: str) -> str:
        return ""


ENGLISH = Wording("en", None)


def message_of(text: str) -> str:
    """The message of a text: its numbers are places.

    >>> message_of("caliper, 5 pieces of 8.05 mm, EN 818-2, 5.4.1")
    'caliper, {1} pieces of {2} mm, EN 818-2, 5.4.1'
    """
    count = iter(range(1, _MOST_NUMBERS + 1))
    return _NUMBER.sub(lambda _: f"{{{next(count)}}}", text, count=_MOST_NUMBERS)


def languages() -> tuple[str, ...]:
    """The languages that there are, English first."""
    held = {path.parent.parent.name for path in _folder().glob(f"*/LC_MESSAGES/{DOMAIN}.mo")}
    return ("en", *sorted(held - {"en"}))


def wording_of(language: str) -> Wording:
    """The words of a language; `ArgumentError` with all that there are for another."""
    if language == "en":
        return ENGLISH
    if language not in languages():
        accepted = f"one of: {', '.join(languages())}"
        raise ArgumentError("language", language, "", accepted, "has no catalogue")
    return Wording(language, gettext.translation(DOMAIN, str(_folder()), [language]))


def recording() -> Wording:
    """A language that has no words yet: all that is asked for is kept as missing."""
    return Wording("en", gettext.NullTranslations())


def _folder() -> Path:
    return Path(str(resources.files(__package__)))
