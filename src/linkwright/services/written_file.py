"""One file written whole or not at all, and never over another without leave.

Offers `refuse_existing`, `write_file` and `FileInUse`.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterable
from pathlib import Path

from linkwright.quantities import CannotPlan, InputErrors, Problem


class FileInUse(CannotPlan):
    """A file that would be written exists already; says how to replace it."""

    code = "file-in-use"


def refuse_existing(path: Path, *, force: bool, read: Iterable[Path] = ()) -> None:
    """Raise if the file cannot be written there; ``read``: files that it must never replace."""
    if path.is_dir() or not path.parent.is_dir():
        raise InputErrors([Problem("file", "is no place for a file", str(path))])
    if any(one.exists() and path.exists() and path.samefile(one) for one in read):
        raise FileInUse(f"{path}: is a file that is read")
    if path.exists() and not force:
        raise FileInUse(f"{path}: is there already; --force replaces it")


def write_file(path: Path, content: str | bytes, *, private: bool = False) -> Path:
    """Write beside the place and move there when it is whole; two at once do not meet.

    ``private``: nobody but the owner may read it (mode 600), from its first byte on.
    """
    part = path.with_name(f"{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    raw = content.encode("utf-8") if isinstance(content, str) else content
    mode = 0o600 if private else 0o666
    try:
        with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as held:
            held.write(raw)
            held.flush()
            os.fsync(held.fileno())
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)
    return path
