"""Pass words and keys: from the environment, or from a file that nobody else can read."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from linkwright.link_data.live.collect_file import Server
from linkwright.quantities import InputErrors, Problem

_LONGEST = 4096


def password_of(server: Server, file: str) -> str | None:
    """The pass word of a server's user; raises `InputErrors` that never repeat it."""
    if server.password_env is not None:
        found = os.environ.get(server.password_env)
        if not found:
            words = f"the environment variable {server.password_env} is not set"
            raise _refused(file, words, "password_env", "a variable that holds the pass word")
        return found
    if server.password_file is None:
        return None
    private_file(server.password_file, file, "password_file")
    try:
        text = server.password_file.read_bytes()[: _LONGEST + 1].decode("utf-8")
    except UnicodeDecodeError:
        raise _refused(file, "is not UTF-8", "password_file", "one line of UTF-8") from None
    line = text.removesuffix("\n").removesuffix("\r")
    if not line or "\n" in line or len(text) > _LONGEST:
        raise _refused(file, "holds no pass word", "password_file", "one line")
    return line


def private_file(path: Path, file: str, key: str) -> None:
    """Raise `InputErrors` unless the file is there and nobody but its owner may read it."""
    try:
        found = path.stat()
    except OSError as error:
        words = f"{path.name} cannot be opened: {error.strerror}"
        raise _refused(file, words, key, "a file of mode 600") from None
    mode = stat.S_IMODE(found.st_mode)
    if not stat.S_ISREG(found.st_mode) or mode & 0o077:
        words = f"{path.name} can be read by others (mode {mode:03o})"
        raise _refused(file, words, key, f"a file of mode 600: chmod 600 {path.name}")


def present_file(path: Path, file: str, key: str) -> None:
    """Raise `InputErrors` unless the file can be read."""
    if not os.access(path, os.R_OK) or not path.is_file():
        raise _refused(file, f"{path.name} cannot be opened", key, "a file that is there")


def _refused(file: str, message: str, key: str, accepted: str) -> InputErrors:
    return InputErrors([Problem("secret", message, file, None, f"server.{key}", accepted)])
