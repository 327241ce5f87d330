"""Rounding of amounts and of measured values, and exact sizes of units; decimal, never binary.

Offers `money_rounding`, `iso80000_rounding` and `exact_unit`.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal, InvalidOperation
from typing import NamedTuple

from linkwright.catalogue import calculation
from linkwright.quantities import UNITS, ArgumentError, QuantityError, UnknownName, unit_of_text
from linkwright.standards.trade_terms import currency as currency_of

_LONGEST = 40
_SI = {
    "length": "m", "area": "m2", "volume": "m3", "mass": "kg", "force": "N", "stress": "Pa",
    "energy": "J", "power": "W", "time": "s", "moment": "Nm", "speed": "m/s",
}  # fmt: skip
_FORCES = {"short ton-force": "short_ton", "long ton-force": "long_ton"}
_POUNDS = {"long ton": 2240, "short ton": 2000}


class Money(NamedTuple):
    """Results of `money_rounding`."""

    half_up: str
    half_even: str


class Rounded(NamedTuple):
    """Results of `iso80000_rounding`."""

    rule_a: str
    rule_b: str


class ExactUnit(NamedTuple):
    """Results of `exact_unit`."""

    si: float
    unit: str


@calculation(
    source="ISO 4217 minor units; rounding modes of IEEE 754-2019 decimal (ties away from zero, "
    "ties to even)",
    basis="computed",
)
def money_rounding(*, amount: str, currency: str) -> Money:
    """Amount rounded to the minor unit of its currency, ties away from zero and ties to even.

    Args:
        amount: Decimal text, so that no binary fraction enters. currency: Three letters.

    References:
        ISO 4217; IEEE 754-2019, 4.3.
    """
    step = Decimal(1).scaleb(-currency_of(currency=currency).decimals)
    value = _decimal("amount", amount)
    return Money(*(str(value.quantize(step, mode)) for mode in (ROUND_HALF_UP, ROUND_HALF_EVEN)))


@calculation(
    source="ISO 80000-1:2009, Annex B (rounding of halves: rule A to even, rule B up)",
    basis="computed",
)
def iso80000_rounding(*, value: str, range: str) -> Rounded:
    """Value rounded to a multiple of the rounding range by rule A and by rule B.

    A half goes to the even multiple (A) or to the one greater in magnitude (B).

    Args:
        value: Decimal text. range: Rounding range, such as ``0.1`` or ``10``.

    References:
        ISO 80000-1:2009, Annex B.

    Example:
        >>> iso80000_rounding(value="12.25", range="0.1")
        Rounded(rule_a='12.2', rule_b='12.3')
    """
    step = _decimal("range", range)
    if step <= 0:
        raise ArgumentError("range", range, "", "more than 0")
    parts = _decimal("value", value) / step
    return Rounded(
        *(_plain(parts.to_integral_value(mode) * step) for mode in (ROUND_HALF_EVEN, ROUND_HALF_UP))
    )


@calculation(
    source="NIST SP 811 (2008), Appendix B; exact definitions of inch, pound and standard gravity",
    basis="computed",
)
def exact_unit(*, from_: str) -> ExactUnit:
    """Exact size of a unit in SI units.

    Args:
        from_: Unit, key ``from``; ``long ton`` and ``short ton`` are masses, with ``-force``
            forces.

    References:
        NIST SP 811 (2008), Appendix B.

    Example:
        >>> exact_unit(from_="in")
        ExactUnit(si=0.0254, unit='m')
    """
    word = from_.strip()
    if word in _POUNDS:
        return ExactUnit(float(_POUNDS[word] * UNITS["lb"].size), "kg")
    try:
        unit = UNITS[_FORCES.get(word) or unit_of_text(word)]
    except (QuantityError, KeyError):
        raise UnknownName("from", from_, [*_FORCES, *_POUNDS, *UNITS]) from None
    if unit.kind not in _SI or unit.offset:
        raise UnknownName("from", from_, [name for name, one in UNITS.items() if one.kind in _SI])
    return ExactUnit(float(unit.size), _SI[unit.kind])


def _decimal(name: str, text: str) -> Decimal:
    try:
        value = (
            Decimal(text.strip()) if len(text) <= _LONGEST and text.isascii() else Decimal("nan")
        )
    except InvalidOperation:
        value = Decimal("nan")
    if not value.is_finite() or "_" in text or abs(value.adjusted()) > _LONGEST // 2:
        raise ArgumentError(name, text, "", "a decimal number with a point, such as 12.25")
    return value


def _plain(value: Decimal) -> str:
    return format(value, "f")
