"""A calculation: a plain function of published physics, with source and validity as data.

    @calculation(source="Author, Title, edition, equation", valid={"reduction": (0.05, 0.45)})
    def drawing_stress(*, reduction: Values, ...) -> DrawingStress: ...

Arguments and results carry their unit as suffix of the name. Floats, lists and arrays
broadcast; a float in gives a float out. A function with one result returns it and names
it by ``gives``; one with several returns a NamedTuple whose fields are the names.

``needs`` is the hard domain of an argument (outside: `ArgumentError`), ``valid`` the range
in which the source's fit holds (outside: the result with a `ValidityWarning` that also
travels into the derivation, also from a calculation called inside another). Both are
(low, high) with None for open ends.

A statistic of readings takes them in any unit, as its formula does not know one. It names in
``carries`` the arguments and results that stand in the unit of the readings, in ``per`` the
results that stand in its reciprocal; the doors give them that unit (`services/carried.py`).
"""

from __future__ import annotations

import functools
import inspect
import math
import warnings
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

import numpy as np

from linkwright.catalogue.keeping import kept_results
from linkwright.catalogue.sourced import (
    Derivation,
    Entry,
    active,
    not_recording,
    reference,
    with_entry,
)
from linkwright.quantities import ArgumentError, split, unit_text

P = ParamSpec("P")
R = TypeVar("R")
Values = Any
"""A float or a numpy array of floats; every calculation broadcasts over both."""
Bounds = Mapping[str, tuple[float | None, float | None]]

_MOST_SHOWN = 12
_NO_NUMBER = "is not a number"
_SINGLE = (np.generic, np.ndarray)

POSITIVE = (5e-324, None)
"""Bounds for a quantity that must be greater than zero."""
NOT_NEGATIVE = (0.0, None)
"""Bounds for a quantity that must not be negative."""


class ValidityWarning(UserWarning):
    """A result was given outside the range in which its source holds."""


@dataclass(frozen=True)
class Calculation:
    """One entry of the catalogue: the function and all that is said about it."""

    name: str
    function: Callable[..., Any]
    source: str
    basis: str
    gives: tuple[str, ...]
    needs: Bounds
    valid: Bounds
    arguments: tuple[str, ...]
    required: tuple[str, ...]
    room: str
    carries: tuple[str, ...] = ()
    per: tuple[str, ...] = ()

    @property
    def summary(self) -> str:
        """First line of the docstring."""
        return (inspect.getdoc(self.function) or "").split("\n", 1)[0]

    @property
    def description(self) -> str:
        """The whole docstring: formula, symbols, validity, errors, references."""
        return inspect.getdoc(self.function) or ""

    def call(self, arguments: Mapping[str, Any]) -> dict[str, Any]:
        """Call by name and give the results by name, whatever form the function returns."""
        result = self.function(**arguments)
        if hasattr(result, "_asdict"):
            return dict(result._asdict())
        return {self.gives[0]: result}


CATALOGUE: dict[str, Calculation] = {}
"""Every calculation whose room has been imported, by name."""


def calculation(
    *,
    source: str,
    gives: str | None = None,
    needs: Bounds | None = None,
    valid: Bounds | None = None,
    basis: str = "published",
    costly: bool = False,
    carries: tuple[str, ...] = (),
    per: tuple[str, ...] = (),
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Put a function into the catalogue and guard its arguments.

    ``basis`` says on what the formula rests here: "published", "computed" (derived from
    published relations), "memory" (recalled, not looked at again) or "common practice".
    ``costly``: worth keeping while the same is reckoned again and again (`catalogue.keeping`).
    """

    def decorate(function: Callable[P, R]) -> Callable[P, R]:
        entry_name = function.__name__
        guard = _Guard(entry_name, source, dict(needs or {}), dict(valid or {}), function)

        @functools.wraps(function)
        def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
            return guard.run(args, kwargs)  # type: ignore[no-any-return]

        if entry_name in CATALOGUE and CATALOGUE[entry_name].room != function.__module__:
            raise RuntimeError(f"two calculations are called {entry_name}")
        guard.results = (gives,) if gives else _fields(function)
        guard.basis, guard.costly = basis, costly
        CATALOGUE[entry_name] = Calculation(
            name=entry_name,
            function=guarded,
            source=source,
            basis=basis,
            gives=guard.results,
            needs=guard.needs,
            valid=guard.valid,
            arguments=tuple(guard.signature.parameters),
            required=tuple(
                name
                for name, parameter in guard.signature.parameters.items()
                if parameter.default is parameter.empty
            ),
            room=function.__module__,
            carries=carries,
            per=per,
        )
        _refuse_strays(entry_name, (*carries, *per), (*guard.signature.parameters, *guard.results))
        return guarded

    return decorate


def _refuse_strays(name: str, named: tuple[str, ...], known: tuple[str, ...]) -> None:
    stray = set(named) - set(known)
    if stray or any(split(one)[1] for one in named):
        raise RuntimeError(f"{name}: carries names that it has not, or that have a unit: {stray}")


class _Guard:
    """Checks arguments, calls, records."""

    def __init__(
        self, name: str, source: str, needs: Bounds, valid: Bounds, function: Callable[..., Any]
    ) -> None:
        self.name, self.source, self.function = name, source, function
        self.needs, self.valid = dict(needs), dict(valid)
        self.signature = inspect.signature(function)
        self.defaults = {
            key: parameter.default
            for key, parameter in self.signature.parameters.items()
            if parameter.default is not parameter.empty
        }
        self.results: tuple[str, ...] = ()
        self.basis, self.costly = "", False
        stray = (set(self.needs) | set(self.valid)) - set(self.signature.parameters)
        if stray:
            raise RuntimeError(f"{name}: bounds for unknown arguments {sorted(stray)}")

    def run(self, args: tuple[Any, ...], given: dict[str, Any]) -> Any:
        if args:
            given = dict(self.signature.bind(*args, **given).arguments)
        plain = {key: _numeric(key, value) for key, value in given.items()}
        beyond = self._check(plain)
        book = active()
        if book is None:
            if beyond:
                for text in beyond:
                    warnings.warn(f"{self.name}: {text}", ValidityWarning, stacklevel=3)
            kept = kept_results() if self.costly else None
            if kept is None:
                return _floats(self.function(**plain))
            return kept.of(self.name, plain, lambda: _floats(self.function(**plain)))
        with not_recording(), _noting(beyond):
            result = _floats(self.function(**plain))
        return self._record(book, given, result, tuple(beyond))

    def _check(self, given: dict[str, Any]) -> list[str]:
        for name, value in given.items():
            if isinstance(value, str) and split(name)[1]:
                raise ArgumentError(name, value, "", f"a number of {split(name)[1]}", _NO_NUMBER)
        for name, (low, high) in self.needs.items():
            value = given.get(name)
            if value is not None and not isinstance(value, str) and not _inside(value, low, high):
                unit = unit_text(split(name)[1])
                raise ArgumentError(name, _worst(value, low, high), unit, _range(low, high, unit))
        beyond = []
        for name, (low, high) in self.valid.items():
            value = given.get(name)
            if value is not None and not isinstance(value, str) and not _inside(value, low, high):
                unit = unit_text(split(name)[1])
                beyond.append(
                    f"{name} = {_worst(value, low, high):.4g} {unit}".strip()
                    + f" is outside the source's range {_range(low, high, unit)}"
                )
        return beyond

    def _record(
        self, book: Derivation, given: dict[str, Any], result: Any, beyond: tuple[str, ...]
    ) -> Any:
        references = [(key, reference(book, key, value)) for key, value in given.items()]
        for key, value in self.defaults.items():
            if key not in given and value is not None and not isinstance(value, (str, bool)):
                ident = f"default of {self.name}|{key}"
                if ident not in book.entries:
                    book.entries[ident] = Entry(
                        ident, key, value, split(key)[1], "default", self.source
                    )
                references.append((key, ident))
        inputs = tuple(references)

        def note(name: str, value: Any) -> Any:
            if not isinstance(value, (int, float, np.floating, np.ndarray)):
                return value
            shown = float(value) if np.ndim(value) == 0 else _few(np.asarray(value))
            entry = book.add(
                f"{self.name}.{name}", shown, "calculation", self.source, inputs, beyond, self.basis
            )
            return with_entry(value, entry.id)

        if hasattr(result, "_fields"):
            return type(result)(*(note(n, v) for n, v in zip(result._fields, result, strict=True)))
        return note(self.results[0], result)


def _few(values: np.ndarray) -> list[Any] | None:
    """The values of a small array, so that they can be read where they are opened."""
    return np.asarray(values).tolist() if values.size <= _MOST_SHOWN else None


def _fields(function: Callable[..., Any]) -> tuple[str, ...]:
    returned = inspect.signature(function, eval_str=True).return_annotation
    fields = getattr(returned, "_fields", None)
    if fields is None:
        raise RuntimeError(f"{function.__name__} needs gives= or a NamedTuple as result")
    return tuple(fields)


@contextmanager
def _noting(beyond: list[str]) -> Iterator[None]:
    """Put the validity warnings of calculations inside the block on the list, each argument once.

    A solver may try many values; one of them tells the reader what is outside.
    """
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", ValidityWarning)
        yield
    seen: set[str] = set()
    for item in caught:
        text = str(item.message)
        subject = text.partition(" = ")[0]
        if not issubclass(item.category, ValidityWarning):
            warnings.warn_explicit(item.message, item.category, item.filename, item.lineno)
        elif subject not in seen:
            seen.add(subject)
            beyond.append(text)


def _numeric(name: str, value: Any) -> Any:
    if isinstance(value, (list, tuple)) and value and not isinstance(value[0], str):
        value = _array(name, value)
    if isinstance(value, (bool, str, list, tuple)) or value is None:
        return value
    if isinstance(value, (int, float, np.integer, np.floating)):
        return _finite(name, value)
    if isinstance(value, np.ndarray) and value.dtype.kind in "fiu":
        if not value.size:
            raise ArgumentError(name, "nothing", "", "at least one number", "is empty")
        if not np.isfinite(value).all():
            raise ArgumentError(name, "nan or inf", unit_text(split(name)[1]), "finite numbers")
        # whole numbers would overflow in powers and refuse negative ones
        return value.view(np.ndarray).astype(float, copy=False)
    return value


def _finite(name: str, value: Any) -> float:
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ArgumentError(name, value, unit_text(split(name)[1]), "a finite number")
    return number


def _array(name: str, values: Any) -> np.ndarray:
    try:
        return np.asarray(values, dtype=float)
    except (TypeError, ValueError, OverflowError):
        raise ArgumentError(name, values, "", "numbers in even rows", _NO_NUMBER) from None


def _floats(result: Any) -> Any:
    """Single values of numpy as plain numbers: a float in gives a float out."""
    if hasattr(result, "_fields"):
        if any(isinstance(value, _SINGLE) for value in result):
            return type(result)(*(_floats(value) for value in result))
        return result
    if isinstance(result, np.generic) or (isinstance(result, np.ndarray) and not result.ndim):
        return result.item()
    return result


def _inside(value: Any, low: float | None, high: float | None) -> bool:
    if isinstance(value, float):
        return (low is None or value >= low) and (high is None or value <= high)
    return (low is None or bool(np.min(value) >= low)) and (
        high is None or bool(np.max(value) <= high)
    )


def _worst(value: Any, low: float | None, high: float | None) -> float:
    if low is not None and np.min(value) < low:
        return float(np.min(value))
    return float(np.max(value))


def _range(low: float | None, high: float | None, unit: str) -> str:
    def text(bound: float) -> str:
        return f"{bound:.6g} {unit}".strip()

    if low is not None and 0 < low < 1e-300:
        return "greater than 0" + (f", at most {text(high)}" if high is not None else "")
    if low is None:
        return f"at most {text(high)}" if high is not None else "any"
    return f"at least {text(low)}" if high is None else f"{text(low)} to {text(high)}"
