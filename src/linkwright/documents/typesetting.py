"""Setting the papers: typst in a child process that is stopped when it takes too long.

Offers `typeset`. The child reads only the templates and fonts of this room, has no network
and gets its data as JSON text, so that text stays text.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

from linkwright.quantities import CannotPlan

TIME_LIMIT_S = 60.0
_DAY_S = 86_400
_LONGEST_MESSAGE = 500


class PapersFailed(CannotPlan):
    """The papers could not be set; says why."""

    code = "papers"


def typeset(
    data: Mapping[str, Any],
    *,
    template: str = "papers.typ",
    due: str = "",
    at_s: int | None = None,
    standard: str = "",
    time_limit_s: float = TIME_LIMIT_S,
) -> bytes:
    """Papers by one of our templates as PDF bytes; the same data and due date give the same bytes.

    The time stamp in the file is ``at_s`` (seconds from 1970) if given, else midnight (UTC) of the
    due date, or 1970-01-01 without one. ``standard``: of PDF that the file must keep, such as
    ``a-3a``. Raises `PapersFailed` if the child fails or takes longer than ``time_limit_s``.
    """
    here = Path(str(resources.files("linkwright.documents")))
    order = {
        "templates": str(here / "templates"),
        "template": template,
        "fonts": str(here / "fonts"),
        "timestamp": _timestamp(due) if at_s is None else at_s,
        "standards": [standard] if standard else [],
        "data": json.dumps(data, ensure_ascii=False, allow_nan=False),
    }
    command = [sys.executable, "-I", str(here / "typesetting_child.py")]
    try:
        done = subprocess.run(  # noqa: S603 - our own interpreter and script, no shell
            command,
            input=json.dumps(order).encode(),
            capture_output=True,
            timeout=time_limit_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise PapersFailed(f"the papers took longer than {time_limit_s:g} s to set") from None
    if done.returncode != 0 or not done.stdout.startswith(b"%PDF"):
        said = done.stderr.decode(errors="replace").strip()[-_LONGEST_MESSAGE:]
        raise PapersFailed(f"the papers could not be set: {said}")
    return done.stdout


def _timestamp(due: str) -> int:
    """Seconds from 1970 to the due date; 0 where it is missing or earlier."""
    try:
        days = (date.fromisoformat(due) - date(1970, 1, 1)).days
    except ValueError:
        return 0
    return max(days, 0) * _DAY_S
