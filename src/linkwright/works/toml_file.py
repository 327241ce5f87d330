"""From the bytes of a TOML file to data, with the line of every key.

``read_toml(path)`` and ``toml_of_bytes(raw, name)`` give a `TomlFile`; anything that keeps
the bytes from being read is an `InputErrors` with one sentence a problem: a file that is
missing, too big, not UTF-8, not TOML, nested too deep. A byte-order mark of UTF-8 is taken.
Limits: `LARGEST_FILE_BYTES`, and those of `linkwright.works.places`.
"""

from __future__ import annotations

import codecs
import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path as FilePath
from typing import Any

from linkwright.quantities import InputErrors, Problem
from linkwright.works.places import Path, Places, parse, places, too_much

LARGEST_FILE_BYTES = 1_000_000
LONGEST_SHOWN = 60

_UTF16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)


@dataclass(frozen=True)
class TomlFile:
    """Base name, data and places of one file that was read."""

    name: str
    data: Mapping[str, Any]
    places: Places

    def line(self, path: Path) -> int:
        """The line of a key; of the table around it if it is missing; else 1."""
        return self.places.line(path) or 1

    def value(self, path: Path) -> Any:
        """The value at ``path`` as the file gives it; None if there is none."""
        found: Any = self.data
        for part in path:
            try:
                found = found[part]
            except (KeyError, IndexError, TypeError):
                return None
        return found


def read_toml(path: str | os.PathLike[str]) -> TomlFile:
    """Read a file; raises `InputErrors`. Only its base name is kept."""
    return toml_of_bytes(file_bytes(path), FilePath(path).name)


def file_bytes(path: str | os.PathLike[str]) -> bytes:
    """What stands in a file, up to one byte more than may; raises `InputErrors`."""
    place = FilePath(path)
    try:
        with place.open("rb") as stream:
            return stream.read(LARGEST_FILE_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL byte in the name
        reason = getattr(error, "strerror", None) or str(error)
        raise _refused(place.name, "file", f"cannot be opened: {reason}") from None


def toml_of_bytes(raw: bytes, name: str) -> TomlFile:
    r"""Read the content of a file that is called ``name``; raises `InputErrors`.

    >>> toml_of_bytes(b'[order]\nnumber = "7"', "order.toml").line(("order", "number"))
    2
    """
    name = printable(name)
    if len(raw) > LARGEST_FILE_BYTES:
        words = f"the file is larger than {LARGEST_FILE_BYTES / 1e6:g} MB"
        raise _refused(name, "file-size", words, accepted="a smaller file")
    raw = raw.removeprefix(codecs.BOM_UTF8)
    text = _decoded(raw, name)
    tree = parse(raw)
    excess = too_much(tree)
    if excess:
        raise _refused(name, "too-much", *excess)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        _refuse_repeated(places(tree), name)
        raise _refused(name, "toml", *_syntax(str(error), text)) from None
    except RecursionError:
        raise _refused(name, "too-much", "brackets are nested too deep") from None
    except ValueError as error:  # for example too many digits
        raise _refused(name, "toml", f"a value cannot be read: {error}") from None
    return TomlFile(name, data, places(tree))


@lru_cache(maxsize=4096)
def printable(text: str) -> str:
    r"""A text of unknown origin without signs that a terminal would obey or hide.

    >>> printable("siz\u200be")
    'siz\\u200be'
    """
    shown = "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii")
        for sign in text[: 2 * LONGEST_SHOWN]
    )
    return shown if len(shown) <= LONGEST_SHOWN else shown[: LONGEST_SHOWN - 3] + "..."


def _decoded(raw: bytes, name: str) -> str:
    if raw[:2] in _UTF16:
        words = "the file is UTF-16, not UTF-8"
        raise _refused(name, "encoding", words, 1, "a file saved as UTF-8")
    nul = raw.find(b"\0")
    if nul >= 0:
        words = f"a NUL byte stands at byte {nul}; this is no text file in UTF-8"
        raise _refused(name, "encoding", words, _line(raw, nul), "a file saved as UTF-8")
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        words = f"byte {error.start} (0x{raw[error.start]:02X}) is not UTF-8"
        accepted = "a file saved as UTF-8 (an old Windows editor may have used another encoding)"
        raise _refused(name, "encoding", words, _line(raw, error.start), accepted) from None


def _line(raw: bytes, offset: int) -> int:
    return raw.count(b"\n", 0, offset) + 1


def _syntax(message: str, text: str) -> tuple[str, int]:
    """The reader's sentence and its line, which before Python 3.14 stands in the sentence."""
    words, _, place = message.rpartition(" (at ")
    numbers = [part for part in place.rstrip(")").replace(",", " ").split() if part.isdigit()]
    if not words or not numbers:
        return f"this is not TOML: {printable(words or message)}", text.count("\n") + 1
    column = f" (column {numbers[1]})" if len(numbers) > 1 else ""
    return f"this is not TOML: {printable(words)}{column}", int(numbers[0])


def _refuse_repeated(found: Places, name: str) -> None:
    problems = [
        Problem(
            code="repeated-key",
            message=f"stands twice, first in line {first}",
            file=name,
            line=again,
            key=dotted(path),
        )
        for path, first, again in found.repeated[:50]
    ]
    if problems:
        raise InputErrors(problems)


def dotted(path: Path) -> str:
    """A path as one key for people, without positions.

    All known keys are plain letters, so any other sign is shown by its code: a letter that
    only looks like one must be seen to be another.
    """
    keys = (part for part in path if isinstance(part, str))
    return ".".join(printable(key.encode("unicode_escape").decode("ascii")) for key in keys)


def _refused(
    name: str, code: str, message: str, line: int | None = None, accepted: str | None = None
) -> InputErrors:
    return InputErrors([Problem(code, message, printable(name), line, None, accepted)])
