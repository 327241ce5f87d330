"""`linkwright schema`: the JSON Schema of the files that people write."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from linkwright.cli.show import Screen

EPILOG = """
Example:

\b
  linkwright schema order > order.schema.json
"""


class Files(StrEnum):
    """Files with a schema."""

    order = "order"
    works = "works"
    lot = "lot"
    chain = "chain"
    parts = "parts"


def schema(file: Annotated[Files, typer.Argument(help="Which file.")]) -> None:
    """Print the JSON Schema of order.toml, works.toml, lot.toml, a chain table or part drawings."""
    from linkwright.services.plan_files import schema_text  # noqa: PLC0415

    Screen().result(schema_text(file.value).rstrip("\n"))
