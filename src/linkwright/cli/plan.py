"""`linkwright plan` and `linkwright demo`: from an order file to plan, members and papers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from linkwright.cli.show import InUnits, Json, NoColor, Screen, columns

if TYPE_CHECKING:
    from linkwright.languages.wording import Wording
    from linkwright.services.planning import OrderPlan

EPILOG = """
Examples:

\b
  linkwright plan order.toml --works works.toml --out plan
  linkwright plan order.toml --no-papers --json
  linkwright plan order.toml --out plan --must-pass
  linkwright plan order.toml --works works.toml --from lot.toml --after drawing
  linkwright plan order.toml --works works.toml --out plan --language de

Without --works an invented demo works is used and named as such. The folder gets plan.json,
members.parquet, papers.pdf and pictures, and copies of order and works for a later
comparison; it is complete or absent. Where a line fails, single changes are planned again (about
three seconds) to say the nearest that would work. A plan whose verdict is
that lots would fail is still a plan: exit code 0, with --must-pass 1.
"""
DEMO_EPILOG = """
Example:

\b
  linkwright demo --out demo-plan

Plans the invented demo order in the invented demo works.
"""

Out = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", help="Folder for the plan's files.")
]
Force = Annotated[bool, typer.Option("--force", help="Replace the folder if it exists.")]
Papers = Annotated[bool, typer.Option("--papers/--no-papers", help="Make PDF and pictures.")]
Language = Annotated[
    str, typer.Option("--language", metavar="CODE", help="Language of the set-up cards.")
]
Quiet = Annotated[bool, typer.Option("--quiet", help="No notes on standard error.")]
Seed = Annotated[int, typer.Option("--seed", min=0, max=2**31, help="Seed of the members.")]
Lots = Annotated[int, typer.Option("--lots", min=32, max=65536, help="Lots in the ensemble.")]
FromLot = Annotated[
    str | None, typer.Option("--from", metavar="LOT", help="lot.toml: plan on from this lot.")
]
After = Annotated[
    str | None,
    typer.Option("--after", metavar="OPERATION", help="Where the lot lies, if its file is silent."),
]
MustPass = Annotated[
    bool, typer.Option("--must-pass", help="Exit 1 if any finding lies outside its limits.")
]


def plan(
    order: Annotated[str, typer.Argument(metavar="ORDER", help="order.toml; - is standard input.")],
    works: Annotated[
        str | None, typer.Option("--works", metavar="FILE", help="works.toml of your works.")
    ] = None,
    lot: FromLot = None,
    after: After = None,
    out: Out = None,
    force: Force = False,
    papers: Papers = True,
    must_pass: MustPass = False,
    seed: Seed = 1,
    lots: Lots = 512,
    json: Json = False,
    units: InUnits = None,
    language: Language = "en",
    quiet: Quiet = False,
    no_color: NoColor = False,
) -> int:
    """Plan an order: every machine's settings, and the chance that its lots pass."""
    from linkwright.services.plan_files import lot_from, order_from, works_from  # noqa: PLC0415
    from linkwright.services.plan_folder import refuse_if_it_holds  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    wording = _wording(language)
    if out is not None:
        refuse_if_it_holds(out, (order, works, lot))
    if after is not None and lot is None:
        raise typer.BadParameter("--after belongs to a lot: --from LOT", param_hint="--after")
    beside: dict[str, bytes] = {}
    customer_order, beside["order.toml"] = order_from(order)
    the_works, beside["works.toml"] = works_from(works)
    the_lot = None
    if lot is not None:
        the_lot, beside["lot.toml"] = lot_from(lot)
    if works is None and not quiet:
        screen.note(f"no --works given: planned in the invented demo works, {the_works.name}")
    return _planned(
        screen, customer_order, the_works, out, force=force, papers=papers, must_pass=must_pass,
        seed=seed, lots=lots, json=json, units=units, wording=wording, quiet=quiet,
        beside=beside, lot=the_lot, after=after,
    )  # fmt: skip


def demo(
    out: Annotated[Path, typer.Option("--out", metavar="DIR", help="Folder for the files.")] = Path(
        "demo-plan"
    ),
    force: Force = False,
    papers: Papers = True,
    json: Json = False,
    units: InUnits = None,
    language: Language = "en",
    quiet: Quiet = False,
    no_color: NoColor = False,
) -> int:
    """Plan the invented demo order into a folder and say what to open."""
    from linkwright.services.plan_files import demo_files  # noqa: PLC0415

    screen = Screen(no_color=no_color)
    wording = _wording(language)
    order, works, written = demo_files()
    code = _planned(
        screen, order, works, out, force=force, papers=papers, must_pass=False,
        seed=1, lots=512, json=json, units=units, wording=wording, quiet=quiet, beside=written,
    )  # fmt: skip
    if not quiet:
        first = out / ("papers.pdf" if papers else "plan.json")
        screen.note(f"Invented order, invented works. Open {first} first.")
        screen.note(f"A number opens with: linkwright open {out / 'plan.json'} breaking_force_kN")
    return code


def _wording(language: str) -> Wording:
    """The words of the set-up cards; another language than there is ends the command early."""
    from linkwright.languages.wording import wording_of  # noqa: PLC0415

    return wording_of(language)


def _planned(
    screen: Screen,
    order: Any,
    works: Any,
    out: Path | None,
    *,
    force: bool,
    papers: bool,
    must_pass: bool,
    seed: int,
    lots: int,
    json: bool,
    units: Any,
    wording: Wording,
    quiet: bool,
    beside: dict[str, bytes] | None = None,
    lot: Any = None,
    after: str | None = None,
) -> int:
    from linkwright.services.continuing_plan import plan_from_lot  # noqa: PLC0415
    from linkwright.services.plan_files import ensemble_of  # noqa: PLC0415
    from linkwright.services.plan_folder import refuse_if_in_use, write_plan  # noqa: PLC0415
    from linkwright.services.planning import plan_order  # noqa: PLC0415

    if out is not None:
        refuse_if_in_use(out, force=force)
    ensemble = ensemble_of(lots, seed)
    if lot is None:
        made = plan_order(order, works, ensemble=ensemble, advise=True)
    else:
        made = plan_from_lot(order, works, lot, ensemble, after=after)
    if made.unused_factors and not quiet:
        names = ", ".join(made.unused_factors)
        screen.note(f"factors of the works file that no operation here uses: {names}")
    files: list[Path] = []
    if out is not None:
        files = write_plan(
            made,
            out,
            force=force,
            papers=papers,
            units=units.value if units else "metric",
            wording=wording,
            beside=beside,
        )
        if wording.missing and not quiet:
            screen.note(wording.lack())
    if json:
        screen.data(made.document())
    else:
        for text in summary(made, screen, units):
            screen.result(text)
    if out is not None and not quiet:
        screen.note(f"{len(files)} files in {out}")
    return 0 if made.passes or not must_pass else 1


def summary(made: OrderPlan, screen: Screen, units: Any) -> list[str]:
    """The plan for people: verdict, chances, settings, time and energy of each line."""
    from linkwright.services.plan_summary import line_summary  # noqa: PLC0415

    document = made.document()
    order = document["order"]
    head = f"{order['number']}, {order['customer']}, due {order['due']}"
    works = document["works"]["name"] + (" (invented)" if document["works"]["invented"] else "")
    texts = [f"Order {head}; planned in {works}"]
    if "lot" in document:
        lot = document["lot"]
        texts.append(f"From lot {lot['number']} as it lies after {lot['after']}")
    for line in document["lines"]:
        told = line_summary(line, units.value if units else None)
        texts.append(f"\nLine {line['id']}: {told.title}")
        texts.append(f"Verdict: {screen.paint(told.verdict, _COLOURS.get(told.word, 'green'))}")
        texts.append(f"Chance that a lot passes: {told.chance}")
        for title, rows in told.tables:
            texts.append(f"\n{title}")
            texts.append(columns(rows))
    texts.append(
        "\nLifting chain is lifting chain only after the tests of its standard; local codes and a "
        "competent person's judgement come first."
    )
    return texts


_COLOURS = {"within": "green", "close": "yellow", "outside": "red"}
