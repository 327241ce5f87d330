"""Catalogues as files: the .po that people edit, the .mo that programs read.

Offers `read_po`, `po_text` and `compiled`. Only what the catalogues here use: one message and
its translation, in one or more quoted lines, and comments; no plurals, no contexts.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Mapping

from linkwright.quantities import InputErrors, Problem

_LINE = re.compile(r'(msgid|msgstr)?\s*"((?:[^"\\]|\\.)*)"')
_ESCAPES = {"n": "\n", "t": "\t", '"': '"', "\\": "\\"}
_MAGIC = 0x950412DE
_HEAD_BYTES = 28


def read_po(text: str, file: str = "") -> dict[str, str]:
    """Messages and translations in their order; the head stands under the empty message.

    Raises `InputErrors` with file and line for anything that is not understood.
    """
    found: dict[str, str] = {}
    parts: dict[str, list[str]] = {}
    now = ""
    number = 0
    for number, line in enumerate(text.split("\n"), start=1):
        if not line.strip() or line.startswith("#"):
            continue
        read = _LINE.fullmatch(line.strip())
        if read is None or not (read[1] or now):
            raise InputErrors([_problem(file, number, line, 'msgid "...", msgstr "..." or "..."')])
        if read[1] == "msgid":
            _keep(found, parts, file, number)
            parts = {}
        now = read[1] or now
        parts.setdefault(now, []).append(_unescaped(read[2]))
    _keep(found, parts, file, number)
    return found


def po_text(messages: Mapping[str, str]) -> str:
    """The file of some messages, the head first, the others by alphabet."""
    order = sorted(messages, key=lambda message: (message.casefold(), message))
    return "\n".join(_entry(message, messages[message]) for message in order)


def compiled(messages: Mapping[str, str]) -> bytes:
    """The bytes of the .mo file; messages without a translation are left out.

    Format: GNU gettext manual, "The Format of GNU MO Files", little endian, no hash table.
    """
    kept = {message: said for message, said in messages.items() if said}
    pairs = sorted((message.encode(), said.encode()) for message, said in kept.items())
    count = len(pairs)
    tables: list[bytes] = []
    texts = b""
    start = _HEAD_BYTES + 16 * count
    for side in (0, 1):
        for pair in pairs:
            tables.append(struct.pack("<2I", len(pair[side]), start + len(texts)))
            texts += pair[side] + b"\0"
    head = struct.pack("<7I", _MAGIC, 0, count, _HEAD_BYTES, _HEAD_BYTES + 8 * count, 0, 0)
    return head + b"".join(tables) + texts


def _keep(found: dict[str, str], parts: Mapping[str, list[str]], file: str, number: int) -> None:
    """Add the entry that ends here; each message is translated once."""
    if not parts:
        return
    message = "".join(parts.get("msgid", ()))
    if "msgstr" not in parts or message in found:
        what = "a msgstr for each msgid, each msgid once"
        raise InputErrors([_problem(file, number, message, what)])
    found[message] = "".join(parts["msgstr"])


def _problem(file: str, number: int, text: str, accepted: str) -> Problem:
    return Problem(
        code="catalogue",
        message=f"{text.strip()[:60]!r} is not understood",
        file=file,
        line=number,
        key="",
        accepted=accepted,
    )


def _entry(message: str, said: str) -> str:
    return f"msgid {_quoted(message)}\nmsgstr {_quoted(said)}\n"


def _quoted(text: str) -> str:
    lines = text.splitlines(keepends=True) or [""]
    quoted = [f'"{_escaped(line)}"' for line in lines]
    return quoted[0] if len(quoted) == 1 else "\n".join(['""', *quoted])


def _escaped(text: str) -> str:
    for letter, plain in (("\\", "\\"), ('"', '"'), ("n", "\n"), ("t", "\t")):
        text = text.replace(plain, f"\\{letter}")
    return text


def _unescaped(text: str) -> str:
    return re.sub(r"\\(.)", lambda found: _ESCAPES.get(found[1], found[1]), text)
