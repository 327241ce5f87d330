"""Write the table of lives in docs/books.md from the program's own; with --check only compare.

python scripts/write_lives.py
python scripts/write_lives.py --check
"""

from __future__ import annotations

import sys
from pathlib import Path

from linkwright.records.acts import acts
from linkwright.records.life import NEW, TABLE

PAGE = Path(__file__).parents[1] / "docs" / "books.md"
BEGIN, END = "<!-- written by scripts/write_lives.py -->", "<!-- end of what is written -->"


def table() -> str:
    """One line a kind and state: what may be done, by whom, and where it leads."""
    lines = ["| kind | state | act | who | leads to |", "|---|---|---|---|---|"]
    seen: dict[tuple[str, str, str], list[str]] = {}
    for step in TABLE:
        seen.setdefault((step.kind, step.before, step.act), []).append(step.after)
    for (kind, before, act), afters in seen.items():
        state = "–" if before == NEW else before
        who = ", ".join(acts()[act].roles)
        words = kind.replace("_", " ")
        lines.append(f"| {words} | {state} | `{act}` | {who} | {' or '.join(afters)} |")
    return "\n".join(lines)


def page(text: str) -> str:
    """The page with the table as it is now."""
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}\n\n{table()}\n\n{END}{after}"


def main() -> int:
    """Write or compare; the exit code is 1 if the page is not up to date."""
    text = PAGE.read_text(encoding="utf-8")
    if "--check" in sys.argv[1:]:
        if text == page(text):
            return 0
        print(f"{PAGE} lacks the table as it is; run this script without --check", file=sys.stderr)
        return 1
    PAGE.write_text(page(text), encoding="utf-8")
    print(PAGE)
    return 0


if __name__ == "__main__":
    sys.exit(main())
