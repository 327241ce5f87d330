"""Texts of cells turned into numbers, whole numbers, times and lists by our own strict grammar.

Vectorised over a column: ``numbers``, ``wholes``, ``lists`` and, in `clocks`, times take an
array of texts without blanks at their ends and give `Read`: the values, and for each text that
is none the reason. Never guessed: underscores, full-width digits, hexadecimal, ``nan``, ``inf``,
a decimal or thousands sign other than the map says. Digits are correctly rounded.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from linkwright.link_data.columns import Form

LONGEST_SHOWN = 40
MOST_DIGITS = 18
"""Digits of a whole number; more do not fit."""
_ZEROS = "0*"


class Read(NamedTuple):
    """The values with null for every text that is none, and where and why."""

    values: pa.Array
    faults: list[tuple[int, str]]


class Sign(NamedTuple):
    """Decimal sign, and the sign between thousands or nothing."""

    decimal: str = "."
    thousands: str = ""


def numbers(texts: pa.Array, sign: Sign) -> Read:
    """Numbers: digits with or without a decimal part and an exponent.

    >>> numbers(pa.array(["1.5", "1_000", "nan", None]), Sign()).faults
    [(1, "'1_000' is not a number"), (2, "'nan' is not a number")]
    """
    point = re.escape(sign.decimal)
    whole = _whole_part(sign)
    form = rf"^[+-]?(?:{whole}(?:{point}[0-9]*)?|{point}[0-9]+)(?:[eE][+-]?[0-9]+)?$"
    good = _matches(texts, form)
    plain = _plain(_only(texts, good), sign)
    values = pc.cast(plain, pa.float64())
    finite = pc.fill_null(pc.is_finite(values), True)
    faults = [*_told(texts, good, "is not a number"), *_told(texts, finite, "is too large")]
    return Read(_only(values, finite), faults)


def wholes(texts: pa.Array, sign: Sign) -> Read:
    """Whole numbers; a decimal part of zeros is taken.

    >>> wholes(pa.array(["7", "7.0", "7.5", "0x10"]), Sign()).faults
    [(2, "'7.5' is not a whole number"), (3, "'0x10' is not a whole number")]
    """
    point = re.escape(sign.decimal)
    good = _matches(texts, rf"^[+-]?{_whole_part(sign)}(?:{point}{_ZEROS})?$")
    plain = pc.replace_substring_regex(_plain(_only(texts, good), sign), r"\.0*$", "")
    plain = pc.replace_substring_regex(plain, r"^(-?)0+([0-9])", r"\1\2")
    short = pc.fill_null(
        pc.less_equal(pc.utf8_length(pc.utf8_ltrim(plain, characters="-")), MOST_DIGITS), True
    )
    faults = [*_told(texts, good, "is not a whole number"), *_told(texts, short, "is too large")]
    return Read(pc.cast(_only(plain, short), pa.int64()), faults)


def lists(texts: pa.Array, sign: Sign) -> Read:
    """Lists of numbers with blanks between, in brackets or not."""
    made: list[list[float] | None] = []
    faults: list[tuple[int, str]] = []
    for place, text in enumerate(texts.to_pylist()):
        inner = None if text is None else text.removeprefix("[").removesuffix("]").split()
        read = None if inner is None else numbers(pa.array(inner, pa.string()), sign)
        if read is not None and read.faults:
            faults.append((place, read.faults[0][1]))
        made.append(None if read is None or read.faults else read.values.to_pylist())
    return Read(pa.array(made, pa.list_(pa.float64())), faults)


def of_form(texts: pa.Array, form: Form, sign: Sign, clock: Callable[[], Read]) -> Read:
    """Texts as values of a column's form; ``clock`` reads them as times."""
    if form == "text":
        return Read(texts, [])
    if form == "clock":
        return clock()
    if form == "whole":
        return wholes(texts, sign)
    return numbers(texts, sign) if form == "number" else lists(texts, sign)


def shown(text: object) -> str:
    """A text of a cell for a sentence."""
    plain = str(text)
    return repr(plain if len(plain) <= LONGEST_SHOWN else plain[: LONGEST_SHOWN - 3] + "...")


def trimmed(texts: pa.Array) -> pa.Array:
    """The texts without blanks and tabs at their ends; null where nothing is left."""
    bare = pc.utf8_trim(texts, characters=" \t")
    return pc.if_else(pc.equal(bare, ""), pa.scalar(None, bare.type), bare)


def _whole_part(sign: Sign) -> str:
    if not sign.thousands:
        return "[0-9]+"
    return rf"(?:[0-9]{{1,3}}(?:{re.escape(sign.thousands)}[0-9]{{3}})+|[0-9]+)"


def _plain(texts: pa.Array, sign: Sign) -> pa.Array:
    """Matched texts as the machine reads them: no thousands, a point, no plus in front."""
    if sign.thousands:
        texts = pc.replace_substring(texts, sign.thousands, "")
    if sign.decimal != ".":
        texts = pc.replace_substring(texts, sign.decimal, ".")
    return pc.utf8_ltrim(texts, characters="+")


def _matches(texts: pa.Array, form: str) -> pa.Array:
    """Which texts have the form; a null has it."""
    return pc.fill_null(pc.match_substring_regex(texts, form), True)


def _only(values: pa.Array, good: pa.Array) -> pa.Array:
    return pc.if_else(good, values, pa.scalar(None, values.type))


def _told(texts: pa.Array, good: pa.Array, words: str) -> Iterator[tuple[int, str]]:
    if pc.all(good).as_py():
        return
    for place in np.flatnonzero(~np.asarray(good)):
        yield int(place), f"{shown(texts[int(place)].as_py())} {words}"
