"""Drafts of orders: what was typed in the browser and not yet ordered.

A draft is an order file as it is written, kept under an address of its own that never changes
what it holds. A changed setting makes a new draft that names the one it came from, so that
undoing is going back, and comparing is with the draft that the changes began from.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from pathlib import Path

from linkwright.quantities import UnknownName
from linkwright.services.written_file import write_file

MOST_DRAFTS = 2000
"""Drafts that a folder holds; the oldest go first."""
_IDENT = re.compile(r"[0-9a-f]{16}")
_SUFFIX = ".json"


@dataclass(frozen=True)
class Draft:
    """An order file under its address; ``parent`` is the draft it was changed from."""

    ident: str
    text: str
    parent: str | None
    base: str

    @property
    def raw(self) -> bytes:
        """The file as it is written."""
        return self.text.encode()


class Drafts:
    """The drafts of a folder. A file is whole or absent; two that write the same agree."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)

    def add(self, text: str, parent: Draft | None = None) -> Draft:
        """Keep a text; the same text from the same parent is the same draft."""
        known = f"{parent.ident if parent else ''}\n{text}".encode()
        ident = hashlib.sha256(known).hexdigest()[:16]
        draft = Draft(
            ident, text, parent.ident if parent else None, parent.base if parent else ident
        )
        self._write(draft)
        return draft

    def get(self, ident: str) -> Draft:
        """The draft of that address. Raises `UnknownName` where there is none."""
        path = self.folder / f"{ident}{_SUFFIX}"
        if not _IDENT.fullmatch(ident) or not path.is_file():
            raise UnknownName("draft", ident[:40], ["one of the drafts on the page of enquiries"])
        held = json.loads(path.read_text(encoding="utf-8"))
        return Draft(ident, held["order"], held["parent"], held["base"])

    def recent(self, most: int) -> list[Draft]:
        """The drafts that changes began from, newest first."""
        found: list[Draft] = []
        for path in self._paths():
            draft = self.get(path.stem)
            if draft.parent is None:
                found.append(draft)
            if len(found) == most:
                break
        return found

    def _paths(self) -> list[Path]:
        """Newest first."""
        return sorted(
            (path for path in self.folder.glob(f"*{_SUFFIX}") if _IDENT.fullmatch(path.stem)),
            key=lambda path: (-path.stat().st_mtime_ns, path.name),
        )

    def _write(self, draft: Draft) -> None:
        held = {"order": draft.text, "parent": draft.parent, "base": draft.base}
        write_file(self.folder / f"{draft.ident}{_SUFFIX}", json.dumps(held, ensure_ascii=False))
        if sum(1 for _ in self.folder.glob(f"*{_SUFFIX}")) > MOST_DRAFTS:
            for path in self._paths()[MOST_DRAFTS:]:
                path.unlink(missing_ok=True)
