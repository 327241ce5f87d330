"""`linkwright open`: one number of a plan, and everything that it rests on."""

from __future__ import annotations

from typing import Annotated

import typer

from linkwright.cli.show import Json, NoColor, Screen

EPILOG = """
Examples:

\b
  linkwright open plan/plan.json breaking_force_kN
  linkwright open plan/plan.json welding.secondary_current_kA
  linkwright open plan/plan.json tempering.temperature_degC --json

The number is a setting or a finding, with its operation before it where the name alone is
not enough. What it rests on is shown down to lines of the order and works file and rows of
standards and tables.
"""


def open_number(
    plan: Annotated[str, typer.Argument(metavar="PLAN", help="plan.json; - is standard input.")],
    number: Annotated[str, typer.Argument(metavar="NUMBER", help="A setting or finding.")],
    line: Annotated[str | None, typer.Option("--line", help="Line of the order.")] = None,
    depth: Annotated[int, typer.Option("--depth", min=1, max=60, help="Levels shown.")] = 60,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Open a number of a plan down to its sources."""
    from linkwright.services.opening import open_in_plan, tree_text  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    opened = open_in_plan(plan, number, line)
    if json:
        screen.data(opened.to_dict())
    else:
        screen.result(tree_text(opened, depth))
