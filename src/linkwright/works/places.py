"""The line of every key of a TOML text, from its syntax tree.

``places(raw)`` gives `Places`: the line of each key by its path, and the keys that stand
twice. ``too_much(tree)`` finds what a reader should not be asked to take: nesting, numbers
and counts beyond the stated limits. No line is ever found by searching the text.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

import tree_sitter_toml
from tree_sitter import Language, Node, Parser, Tree

Path = tuple[str | int, ...]
"""The way to a value: keys and, in arrays of tables, positions counted from 0."""

DEEPEST_NESTING = 48
LONGEST_NUMBER = 66  # a sign, 0b and 64 binary digits: more does not fit 64 bits
MOST_NODES = 100_000


@dataclass
class Places:
    """Lines by path; repeated holds (path, line of the first, line of the second)."""

    lines: dict[Path, int] = field(default_factory=dict)
    repeated: list[tuple[Path, int, int]] = field(default_factory=list)
    _defined: dict[Path, int] = field(default_factory=dict)

    def line(self, path: Path) -> int | None:
        """The line of the key, or of the nearest table around it that has one."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return None

    def _note(self, path: Path, line: int, header: Path = ()) -> None:
        """A key defined at ``path``; the parts that it only passes through get its line too."""
        for length in range(len(header) + 1, len(path)):
            self.lines.setdefault(path[:length], line)
        if path in self._defined:
            self.repeated.append((path, self._defined[path], line))
        else:
            self._defined[path] = line
            self.lines[path] = line


def places(tree: Tree) -> Places:
    """The places of all keys of a tree that `too_much` let pass."""
    found = Places()
    counts: dict[Path, int] = {}
    for node in tree.root_node.named_children:
        if node.type == "pair":
            _pair(node, (), found)
        elif node.type in ("table", "table_array_element"):
            _table(node, counts, found)
    return found


def parse(raw: bytes) -> Tree:
    """The syntax tree of a TOML text in UTF-8."""
    return _parser().parse(raw)


def too_much(tree: Tree) -> tuple[str, int] | None:
    """What goes beyond the limits, in words, with its line; None if nothing does."""
    if tree.root_node.descendant_count > MOST_NODES:
        return f"the file holds more than {MOST_NODES} keys, values and signs", 1
    for node, depth in _walk(tree):
        if depth > DEEPEST_NESTING:
            words = f"tables, arrays or dotted keys are nested more than {DEEPEST_NESTING} deep"
            return words, _line(node)
        if node.type in ("integer", "float") and node.end_byte - node.start_byte > LONGEST_NUMBER:
            return f"a number has more than {LONGEST_NUMBER} signs", _line(node)
    return None


@lru_cache(maxsize=1)
def _parser() -> Parser:
    return Parser(Language(tree_sitter_toml.language()))


def _walk(tree: Tree) -> Iterator[tuple[Node, int]]:
    """All nodes with their depth, without recursion: a hostile file may be deep."""
    cursor = tree.walk()
    depth = 0
    while True:
        node = cursor.node
        if node is not None:
            yield node, depth
        if cursor.goto_first_child():
            depth += 1
            continue
        while not cursor.goto_next_sibling():
            if not cursor.goto_parent():
                return
            depth -= 1


def _table(node: Node, counts: dict[Path, int], found: Places) -> None:
    head, *rest = node.named_children
    line = _line(node)
    path: Path = ()
    names = _key(head)
    for position, name in enumerate(names):
        path = (*path, name)
        last = position == len(names) - 1
        if last and node.type == "table_array_element":
            counts[path] = counts.get(path, -1) + 1
            found.lines.setdefault(path, line)
        if path in counts:
            path = (*path, counts[path])
    found._note(path, line)
    for child in rest:
        if child.type == "pair":
            _pair(child, path, found)


def _pair(node: Node, table: Path, found: Places) -> None:
    key, *rest = [child for child in node.named_children if child.type != "comment"]
    path = (*table, *_key(key))
    found._note(path, _line(node), table)
    for value in rest:
        _value(value, path, found)


def _value(node: Node, path: Path, found: Places) -> None:
    # recursion is bounded: `too_much` has refused deeper trees
    if node.type == "inline_table":
        for child in node.named_children:
            if child.type == "pair":
                _pair(child, path, found)
    elif node.type == "array":
        items = [child for child in node.named_children if child.type != "comment"]
        for position, child in enumerate(items):
            found.lines[(*path, position)] = _line(child)
            _value(child, (*path, position), found)


def _key(node: Node) -> tuple[str, ...]:
    if node.type == "dotted_key":
        return tuple(part for child in node.named_children for part in _key(child))
    text = (node.text or b"").decode("utf-8", "replace")
    if node.type != "quoted_key":
        return (text,)
    try:  # the reader itself knows best what an escaped key says
        return tuple(tomllib.loads(f"{text} = 0"))
    except tomllib.TOMLDecodeError:
        return (text,)


def _line(node: Node) -> int:
    return node.start_point[0] + 1
