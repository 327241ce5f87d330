"""Write docs/commands.md from the --help of every command; with --check only compare.

python scripts/write_command_pages.py
python scripts/write_command_pages.py --check
"""

from __future__ import annotations

import sys
from pathlib import Path

import typer

from linkwright.cli.main import app

PAGE = Path(__file__).parents[1] / "docs" / "commands.md"
WIDTH = 88
HEAD = """# Commands

This page is written from the help of the program by `python scripts/write_command_pages.py`;
a test compares the two. What `--json` prints is described in [json.md](json.md).
"""


def page() -> str:
    """The whole page: the program itself, then each command in the order of its help."""
    group = typer.main.get_command(app)
    top = typer.Context(
        group, info_name="linkwright", terminal_width=WIDTH, **group.context_settings
    )
    parts = [HEAD, _section("linkwright", group.get_help(top))]
    for name, command in getattr(group, "commands", {}).items():
        context = typer.Context(command, info_name=name, parent=top, terminal_width=WIDTH)
        parts.append(_section(f"linkwright {name}", command.get_help(context)))
    return "\n".join(parts)


def _section(title: str, text: str) -> str:
    lines = "\n".join(line.rstrip() for line in text.strip().splitlines())
    return f"## {title}\n\n```text\n{lines}\n```\n"


def main() -> int:
    """Write or compare the page; the exit code is 1 if the page is not up to date."""
    if "--check" in sys.argv[1:]:
        if PAGE.read_text(encoding="utf-8") == page():
            return 0
        print(f"{PAGE} is not what --help says; run this script without --check", file=sys.stderr)
        return 1
    PAGE.write_text(page(), encoding="utf-8")
    print(PAGE)
    return 0


if __name__ == "__main__":
    sys.exit(main())
