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
    map = "map"
    collect = "collect"
    certificate = "certificate"
    certificate_xml = "certificate-xml"


def schema(file: Annotated[Files, typer.Argument(help="Which file.")]) -> None:
    """Print the JSON Schema of order.toml, works.toml, lot.toml, a chain table or part drawings.

    Also of map.toml, collect.toml and of a certificate's data; certificate-xml prints the XML
    Schema of it.
    """
    if file in (Files.certificate, Files.certificate_xml):
        from linkwright.services.certifying import certificate_schema  # noqa: PLC0415

        text = certificate_schema(xml=file is Files.certificate_xml)
    elif file is Files.map:
        from linkwright.services.ingesting import map_schema_text  # noqa: PLC0415

        text = map_schema_text()
    elif file is Files.collect:
        from linkwright.services.collecting import collect_schema_text  # noqa: PLC0415

        text = collect_schema_text()
    else:
        from linkwright.services.plan_files import schema_text  # noqa: PLC0415

        text = schema_text(file.value)
    Screen().result(text.rstrip("\n"))
