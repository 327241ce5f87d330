"""The rows of a book of external checks, read from TOML.

A book is a file of ``[[case]]`` tables: id, subject, source, basis, inputs, expect, rtol
or atol, note, and in our own book ``calculation``, the name that the row exercises. A key
that looks like one of these is taken for a slip; any other is the writer's own remark.
Offers `Row`, `shipped_rows`, `read_book`. Every mistake of a file is told at once with
its line; nothing in a file is ever evaluated.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path, PurePosixPath
from typing import Any

from linkwright.quantities import InputErrors, Problem, nearest
from linkwright.services.columns import FromFile, means_file
from linkwright.services.reading import LONGEST_TEXT, MOST_VALUES

LARGEST_BOOK = 20_000_000
"""Bytes that a book may have."""
_KEYS = (
    "id", "subject", "source", "basis", "inputs", "expect", "rtol", "atol", "note", "calculation",
)  # fmt: skip
_NEEDED = {"id": str, "source": str, "inputs": dict, "expect": dict}


@dataclass(frozen=True)
class Row:
    """One external value that the program is held against."""

    id: str
    source: str
    inputs: Mapping[str, Any]
    expect: Mapping[str, Any]
    subject: str = ""
    basis: str = ""
    rtol: float | None = None
    atol: float | None = None
    note: str = ""
    calculation: str | None = None
    file: str = ""
    folder: Path = Path()

    def given(self) -> dict[str, Any]:
        """The inputs, with the place of a file of readings below the folder of the book.

        Raises `InputErrors` for a file outside that folder.
        """
        return {key: self._placed(key, value) for key, value in self.inputs.items()}

    def _placed(self, key: str, value: Any) -> Any:
        if not means_file(key, value):
            return value
        at, name = ("@", value[1:]) if value.startswith("@") else ("", value)
        path = PurePosixPath(name)
        if path.is_absolute() or ".." in path.parts or "\\" in name:
            accepted = "a file in the folder of the book, such as data/readings.csv"
            raise InputErrors([Problem("file", name[:80], self.file, None, key, accepted)])
        return FromFile(f"{at}{self.folder / path}")


@lru_cache(maxsize=1)
def shipped_rows() -> tuple[Row, ...]:
    """All rows of the book that comes with the program, by file name, in their order."""
    folder = resources.files("linkwright.services").joinpath("book")
    if not folder.is_dir():
        return ()
    files = sorted((item.name, item) for item in folder.iterdir() if item.name.endswith(".toml"))
    place = Path(str(folder))
    return tuple(row for name, item in files for row in read_book(item.read_bytes(), name, place))


def read_book_file(path: Path) -> tuple[Row, ...]:
    """The rows of a user's book. Raises `InputErrors`, `OSError` if it cannot be read."""
    if not path.is_file():
        message = "is a folder" if path.is_dir() else "there is no such file"
        raise InputErrors([Problem("file", message, file=str(path), accepted="a TOML file")])
    if path.stat().st_size > LARGEST_BOOK:
        raise InputErrors([_too_large(str(path))])
    return read_book(path.read_bytes(), str(path), path.parent)


def read_book(content: bytes, file: str, folder: Path = Path()) -> tuple[Row, ...]:
    """The rows in ``content``; ``file`` is its name for messages. Raises `InputErrors`.

    ``folder`` is where the files of readings lie that rows name.
    """
    if len(content) > LARGEST_BOOK:
        raise InputErrors([_too_large(file)])
    data = _toml(content, file)
    cases = data.get("case")
    problems: list[Problem] = []
    if not isinstance(cases, list) or not all(isinstance(case, dict) for case in cases):
        problems.append(Problem("no-rows", "holds no rows", file=file, accepted="[[case]] tables"))
        raise InputErrors(problems)
    for index, case in enumerate(cases):
        found = list(_faults(case))
        line = _line_of_case(content, index) if found else None
        problems += [Problem(*fault[:2], file, line, *fault[2:]) for fault in found]
    if problems:
        raise InputErrors(problems)
    return tuple(_row(case, file, folder) for case in cases)


def _toml(content: bytes, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        problem = Problem("encoding", "is not UTF-8 text", file=file, accepted="UTF-8")
    except tomllib.TOMLDecodeError as error:
        place = re.search(r"at line (\d+)", str(error))
        line = int(place[1]) if place else None
        problem = Problem("syntax", f"is not TOML: {error}", file=file, line=line)
    except RecursionError:
        problem = Problem("syntax", "is nested too deeply", file=file)
    except ValueError as error:  # integers of thousands of digits
        problem = Problem("syntax", f"holds a value that cannot be read: {error}", file=file)
    raise InputErrors([problem])


def _faults(case: Mapping[str, Any]) -> Iterator[tuple[str, str, str | None, str | None]]:
    """What is wrong in one row: code, message, key, accepted."""
    name = str(case.get("id", "a row without id"))[:80]
    for key, kind in _NEEDED.items():
        if not isinstance(case.get(key), kind) or (not case.get(key) and key != "inputs"):
            accepted = "a text" if kind is str else "a table of names and values"
            yield "missing-key", f"{name} needs {key}", key, accepted
    for key in case:
        near = nearest(key[:60], _KEYS)
        if key not in _KEYS and near:
            accepted = ", ".join(near)
            yield "unknown-key", f"{name}: {key[:60]} is not known here", key[:60], accepted
    for key in ("rtol", "atol"):
        value = case.get(key, 0.0)
        if not _is_number(value) or not 0 <= value < math.inf:
            yield "value", f"{name}: {key} = {str(value)[:60]}", key, "a number, 0 or more"
    for key in ("subject", "basis", "note", "calculation"):
        if not isinstance(case.get(key, ""), str):
            yield "value", f"{name}: {key} is not a text", key, "a text"
    for side in ("inputs", "expect"):
        table = case.get(side)
        for key, value in table.items() if isinstance(table, dict) else ():
            reason = _unusable(value)
            if reason:
                yield "value", f"{name}: {side}.{key[:60]} {reason}", key[:60], _ACCEPTED


_ACCEPTED = "finite numbers, texts, true or false, or lists of them"


def _unusable(value: Any) -> str:
    """Why a value of a row cannot be used; "" if it can."""
    waiting, count = [value], 0
    while waiting:
        item = waiting.pop()
        count += 1
        if count > MOST_VALUES:
            return f"holds more than {MOST_VALUES} values"
        if isinstance(item, list):
            waiting += item
        elif isinstance(item, str):
            if len(item) > LONGEST_TEXT:
                return f"has more than {LONGEST_TEXT} characters"
        elif isinstance(item, float) and not math.isfinite(item):
            return "is not finite"
        elif isinstance(item, int) and abs(item) > 2**1000:
            return "is too large"
    return "is an empty list" if value == [] else ""


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _row(case: Mapping[str, Any], file: str, folder: Path) -> Row:
    return Row(**{key: case[key] for key in _KEYS if key in case}, file=file, folder=folder)


def _too_large(file: str) -> Problem:
    return Problem("too-large", "is too large", file=file, accepted=f"at most {LARGEST_BOOK} bytes")


def _line_of_case(content: bytes, index: int) -> int | None:
    """The line on which the row of this index begins."""
    # only a file with a mistake needs the parser that knows places
    import tree_sitter_toml  # noqa: PLC0415
    from tree_sitter import Language, Parser  # noqa: PLC0415

    parser = Parser(Language(tree_sitter_toml.language()))
    root = parser.parse(content).root_node
    tables = [node for node in root.children if node.type == "table_array_element"]
    return tables[index].start_point[0] + 1 if index < len(tables) else None
