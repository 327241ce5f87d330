"""Numbers for people: as many digits as the reader can use, always with the unit."""

from __future__ import annotations

import math

_SHOWN = {
    "degC": "°C", "degF": "°F", "deg": "°", "percent": "%", "um": "µm", "microohm": "µΩ",
    "milliohm": "mΩ", "ohm": "Ω", "uH": "µH", "kg_per_m2s": "kg/(m²s)",
    "microohm_m": "µΩ m", "ohm_m": "Ω m", "kJ_kgK": "kJ/(kg K)",
}  # fmt: skip


def significant(value: float, digits: int = 4) -> str:
    """``value`` with at most ``digits`` significant digits, without exponent if readable.

    >>> significant(86.1234), significant(1234567.0), significant(0.00012345)
    ('86.12', '1 235 000', '0.0001234')
    """
    if not math.isfinite(value):
        return "–"
    if value == 0:
        return "0"
    magnitude = math.floor(math.log10(abs(value)))
    decimals = digits - 1 - magnitude
    if magnitude < -5 or magnitude > 9:
        return f"{value:.{digits - 1}e}"
    text = f"{round(value, decimals):,.{max(decimals, 0)}f}".replace(",", " ")
    return text.rstrip("0").rstrip(".") if "." in text else text


def unit_text(suffix: str) -> str:
    """The unit as printed: ``W_per_m2K`` becomes ``W/(m²K)``.

    >>> unit_text("W_per_m2K"), unit_text("degC"), unit_text("m_per_min")
    ('W/(m²K)', '°C', 'm/min')
    """
    if suffix in _SHOWN:
        return _SHOWN[suffix]
    above, _, below = suffix.partition("_per_")
    if suffix.startswith("per_"):
        above, below = "1", suffix[4:]
    shown = _raised(above.replace("_", " "))
    if not below:
        return shown
    bottom = _raised(below)
    return (
        f"{shown}/({bottom})"
        if len(below.rstrip("0123456789")) > 1 and "K" in below[1:]
        else f"{shown}/{bottom}"
    )


def value_text(value: float, suffix: str, digits: int = 4) -> str:
    """Value and unit together, ``–`` for a value that is not there."""
    unit = unit_text(suffix) if suffix else ""
    return f"{significant(value, digits)} {unit}".strip()


def bounds_text(bounds: tuple[float | None, float | None]) -> str:
    """Least and greatest value that there may be, in words; None is no bound.

    >>> bounds_text((0.0, 1.0)), bounds_text((5e-324, None)), bounds_text((None, None))
    ('from 0 to 1', 'greater than 0', 'any')
    """
    low, high = bounds
    if low is not None and 0 < low < 1e-300:
        return "greater than 0" + (f", at most {high:g}" if high is not None else "")
    if low is None:
        return "any" if high is None else f"at most {high:g}"
    return f"at least {low:g}" if high is None else f"from {low:g} to {high:g}"


def _raised(text: str) -> str:
    return text.replace("2", "²").replace("3", "³")
