"""The child process that sets the papers: JSON on standard input, PDF on standard output.

It is run as a script with ``-I`` and imports nothing of linkwright.
"""

import json
import sys
from pathlib import Path


def main() -> None:
    """Set a template with the data, fonts and time stamp that came on standard input."""
    import typst  # noqa: PLC0415 - only in the child

    order = json.loads(sys.stdin.buffer.read())
    made = typst.compile(
        str(Path(order["templates"]) / order["template"]),
        root=order["templates"],
        font_paths=[order["fonts"]],
        ignore_system_fonts=True,
        sys_inputs={"data": order["data"]},
        timestamp=order["timestamp"],
        pdf_standards=order["standards"],
        format="pdf",
    )
    sys.stdout.buffer.write(made)


if __name__ == "__main__":
    main()
