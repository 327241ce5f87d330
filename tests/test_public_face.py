"""The Python interface."""

import ast
from pathlib import Path

import pytest

import linkwright


def test_every_public_name_is_there() -> None:
    """What `__all__` promises can be had, in order, and `dir` shows it."""
    assert list(linkwright.__all__) == sorted(linkwright.__all__)
    for name in linkwright.__all__:
        assert getattr(linkwright, name) is not None
    assert dir(linkwright) == sorted(linkwright.__all__)


def test_any_other_name_is_an_attribute_error() -> None:
    """An unknown name fails like that of any module."""
    with pytest.raises(AttributeError, match="has no attribute 'calcluate'"):
        linkwright.calcluate  # noqa: B018


def test_a_calculation_of_the_catalogue_by_its_name() -> None:
    """`calculate` gives results that are read by name, without printing anything."""
    entry = linkwright.calculations()[0]
    assert entry.name
    with pytest.raises(ValueError, match="not known"):
        linkwright.calculate("no_such_calculation")


def test_a_type_checker_sees_every_public_name() -> None:
    """What is loaded on use is declared for type checkers, name by name."""
    tree = ast.parse(Path(linkwright.__file__).read_text(encoding="utf-8"))
    (declared,) = (node for node in tree.body if isinstance(node, ast.If))
    names = {
        name
        for node in declared.body
        for name in (
            [alias.name for alias in node.names]
            if isinstance(node, ast.ImportFrom)
            else [ast.unparse(node).split(":")[0]]
        )
    }
    assert names == set(linkwright.__all__)
