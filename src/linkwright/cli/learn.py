"""`linkwright learn` and `linkwright causes`: what tests and failed links teach."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from linkwright.cli.show import Json, NoColor, Screen, columns, number_text
from linkwright.quantities import ArgumentError, significant

if TYPE_CHECKING:
    from linkwright.services.failure_causes import Cause, CausesAnswer
    from linkwright.services.learning import LearningAnswer

LEARN_EPILOG = """
Examples:

\b
  linkwright learn demo-plan tests.csv --line 1
  linkwright learn demo-plan tests.csv --line 1 --out factors.toml

The file of tests is CSV with a column lot and one for each result, called as in the plan:
lot;breaking_force_kN;pitch_mm. A column breaking_force_u_kN holds the standard uncertainty of the
gauge. The plan's lots are weighted by the likelihood of the readings; what comes out are [[factor]]
tables for the works file, each with its next version.
"""
CAUSES_EPILOG = """
Examples:

\b
  linkwright causes links.csv --result breaking_force_kN --least 63kN
  linkwright causes links.csv --result breaking_force_kN --least 63kN --plan demo-plan --line 1

Every other column of numbers is a process variable. With a plan, those called after its results
(wire_diameter_mm, temper_temperature_degC) bring the sensitivity of the physics.
"""
_MOST_TOLD = 20


def learn(
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="Folder of a plan.")],
    tests: Annotated[Path, typer.Argument(metavar="TESTS", help="CSV file of readings.")],
    line: Annotated[str | None, typer.Option("--line", metavar="ID", help="Of the plan.")] = None,
    out: Annotated[
        Path | None, typer.Option("--out", metavar="FILE", help="Write the factors here (TOML).")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace the file if it exists.")] = False,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Learn the planner's factors from tests: the plan's lots weighted by their likelihood."""
    from linkwright.services.learning import learn_from_tests  # noqa: PLC0415

    made = learn_from_tests(plan, tests, line=line, out=out, force=force)
    screen = Screen(no_color=no_color)
    screen.data(made.to_dict()) if json else screen.result("\n".join(_learned(made)))
    for note in made.notes:
        screen.note(f"note: {note}")


def causes(
    file: Annotated[
        Path,
        typer.Argument(metavar="FILE|LINKS", help="CSV file, one line a link; or link data."),
    ],
    result: Annotated[
        str,
        typer.Option("--result", metavar="NAME", help="Column, or characteristic, that failed."),
    ],
    books: Annotated[
        str | None,
        typer.Option("--books", metavar="BOOKS", help="Lots and their results, for link data."),
    ] = None,
    least: Annotated[
        str | None, typer.Option("--least", metavar="VALUE", help="Failed are links below.")
    ] = None,
    greatest: Annotated[
        str | None, typer.Option("--greatest", metavar="VALUE", help="Failed are links above.")
    ] = None,
    link: Annotated[
        str | None, typer.Option("--link", metavar="NAME", help="Column that names the link.")
    ] = None,
    plan: Annotated[
        Path | None, typer.Option("--plan", metavar="DIR", help="Plan that knows the physics.")
    ] = None,
    line: Annotated[str | None, typer.Option("--line", metavar="ID", help="Of the plan.")] = None,
    doubt: Annotated[
        float, typer.Option("--doubt", help="Relative uncertainty of the physics.")
    ] = 0.3,
    json: Json = False,
    no_color: NoColor = False,
) -> None:
    """Why links failed: process variables ranked by what they explain, and the links affected."""
    from linkwright.services.failure_causes import causes_of_file  # noqa: PLC0415

    if (books is None) == file.is_dir():
        raise ArgumentError("books", books or "", "", "a CSV file alone, or link data with --books")
    if not 0.0 < doubt <= 100.0:
        raise ArgumentError("doubt", doubt, "", "more than 0, at most 100")
    if books is not None:
        from linkwright.services.books import opened  # noqa: PLC0415
        from linkwright.services.lot_causes import causes_of_lots  # noqa: PLC0415

        with opened(books) as store:
            made = causes_of_lots(
                file, store, result, least=least, greatest=greatest, plan=plan, line=line,
                doubt=doubt,
            )  # fmt: skip
    else:
        made = causes_of_file(
            file,
            result,
            least=least,
            greatest=greatest,
            ident=link,
            plan=plan,
            line=line,
            doubt=doubt,
        )
    screen = Screen(no_color=no_color)
    screen.data(made.to_dict()) if json else screen.result("\n".join(_ranked(made)))


def _learned(made: LearningAnswer) -> list[str]:
    rows = [
        ("tests", made.learned_from),
        ("lots that carry the weight", significant(made.learned.effective_lots, 3)),
        ("chance of tests as far off", significant(made.learned.surprise, 2)),
    ]
    for one in made.learned.expected:
        shift = f"{significant(one.before, 5)} planned, {significant(one.after, 5)} after the tests"
        rows.append((one.result, shift))
    texts = [columns(rows)]
    moved = [
        (
            one.name,
            f"median {significant(one.median)} -> {significant(one.new_median)}, "
            f"spread {significant(one.spread, 3)} -> {significant(one.new_spread, 3)}",
        )
        for one in made.factors
        if one.moved
    ]
    texts.append("\nFactors that moved" if moved else "\nno factor moved beyond sampling error")
    texts += [columns(moved)] if moved else []
    return [*texts, *(f"wrote {path}" for path in made.files)]


def _ranked(made: CausesAnswer) -> list[str]:
    rows = [
        ("failed", f"{len(made.failed)} of {made.pieces} links: {_few(made.failed)}"),
        ("gap", f"{number_text(made.gap, made.unit)} between failed and other links"),
        ("unexplained", f"{made.unexplained_percent:.0f} % of the gap"),
        ("also affected", f"{len(made.affected)} links: {_few(made.affected)}"),
    ]
    ranked = [(f"{at}. {one.variable}", _cause(one, made.unit))
              for at, one in enumerate(made.causes[:_MOST_TOLD], 1)]  # fmt: skip
    return [columns(rows), "\nRanked by what they explain", columns(ranked),
            f"Source: {made.source}"]  # fmt: skip


def _cause(one: Cause, unit: str) -> str:
    text = (
        f"{one.share_percent:.0f} % of the gap, {number_text(one.contribution, unit)}; failed "
        f"links lie {one.shift_of_s:+.2g} standard deviations off (p {significant(one.shift_p, 2)})"
    )
    if one.of_data is None and one.of_physics is None:
        text += "; too few pieces, and no plan to tell"
    elif one.of_data is None:
        text += "; the data cannot tell, the slope is that of the physics"
    elif one.of_physics is None:
        text += "; from the data"
    elif one.disagrees:
        text += "; data and physics disagree"
    return text


def _few(names: tuple[str, ...]) -> str:
    shown = ", ".join(names[:8])
    return f"{shown}, ..." if len(names) > 8 else shown or "none"
