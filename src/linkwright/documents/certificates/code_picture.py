"""The square code on a certificate: ISO/IEC 18004, error level M or better, as one vector path.

Offers `code_picture`.
"""

from __future__ import annotations

_QUIET = 4
"""Modules left white around the code, as the standard asks."""


def code_picture(text: str) -> str:
    """The code of a text as SVG; the same text gives the same picture."""
    import segno  # noqa: PLC0415 - only where a certificate is made

    made = segno.make(text, error="m", micro=False, boost_error=True)
    rows = [bytes(row) for row in made.matrix]
    size = len(rows) + 2 * _QUIET
    path = "".join(
        f"M{column + _QUIET} {line + _QUIET}h1v1h-1z"
        for line, row in enumerate(rows)
        for column, dark in enumerate(row)
        if dark
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{size}" height="{size}" '
        f'viewBox="0 0 {size} {size}"><path d="{path}" fill="#000"/></svg>'
    )
