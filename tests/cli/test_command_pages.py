"""The page of commands is what the program says."""

import importlib.util
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_the_page_of_commands_is_up_to_date() -> None:
    """docs/commands.md equals what the script writes from --help."""
    spec = importlib.util.spec_from_file_location(
        "write_command_pages", ROOT / "scripts" / "write_command_pages.py"
    )
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    assert (ROOT / "docs" / "commands.md").read_text(encoding="utf-8") == script.page()
