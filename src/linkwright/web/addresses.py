"""Where each page is: every state of the pages has an address that can be sent and kept."""

from __future__ import annotations

from urllib.parse import quote, urlencode


def order_at(draft: str) -> str:
    """A draft of an order."""
    return f"/orders/{draft}"


def line_at(draft: str, line: int, place: str = "") -> str:
    """A line of a draft (from 1), with one of its operations open."""
    address = f"{order_at(draft)}/lines/{line}"
    return f"{address}/at/{quote(place)}" if place else address


def number_at(draft: str, line: int, place: str, name: str) -> str:
    """A number of an operation, opened."""
    return f"{order_at(draft)}/lines/{line}/number?{urlencode({'of': f'{place}.{name}'})}"


def pictures_at(draft: str, line: int, place: str) -> str:
    """The pictures of an operation."""
    return f"{order_at(draft)}/lines/{line}/pictures?{urlencode({'place': place})}"


def calculation_at(name: str) -> str:
    """A calculation of the catalogue."""
    return f"/calculations/{quote(name)}"
