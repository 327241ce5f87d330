"""Questions to link data, written once as expressions and put to any engine as its own SQL.

Each function gives an expression over tables called after the kinds; `sql` turns it into the words
of an engine. DuckDB answers from the Parquet files; PostgreSQL or Spark from tables of the same
columns. `ibis` is loaded on use.

- `readings_between`, `readings_counted`: readings of one machine by its clock, by its counter
- `strand_runs`, `coil_runs`: which numbers of a machine are which of a strand, of a coil
- `strokes`: links of each stroke; `passage_rows`: passages taken in
- `passed_both`: clocks of links that passed two machines
- `aggregates`: count, mean, spread and range of a number, by machine and subgroup of its counter
- `links_with`: process variables of links of a strand, side by side; the pull by position
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

from linkwright.link_data.columns import kind as kind_of_reading
from linkwright.quantities import ArgumentError, CannotPlan

DUCKDB, POSTGRESQL, SPARK = "duckdb", "postgres", "pyspark"
"""Engines, by the name of their SQL."""
_TYPES = {"text": "string", "whole": "int64", "number": "float64",
          "clock": 'timestamp("UTC", 6)', "numbers": "array<float64>"}  # fmt: skip
LINK_KINDS = ("weld", "harden", "temper")
"""Kinds with one row a link."""


def table(name: str) -> Any:
    """The table of a kind."""
    ibis = _expressions()

    columns = {one.name: _TYPES[one.form] for one in kind_of_reading(name).columns}
    return ibis.table(columns, name=name)


def sql(question: Any, engine: str = DUCKDB) -> str:
    """The question in the words of an engine."""
    ibis = _expressions()

    return str(ibis.to_sql(question, dialect=engine, pretty=False))


def readings_between(name: str, machine: str, first_us: int, last_us: int) -> Any:
    """Counter, clock, strand and position of a machine's readings in a span of its own clock."""
    held = table(name)
    chosen = held.filter(held.machine == machine, held.clock >= _time(first_us),
                         held.clock <= _time(last_us))  # fmt: skip
    return _placed(chosen, name)


def readings_counted(name: str, machine: str, ranges: Sequence[tuple[int, int]]) -> Any:
    """The same by ranges of the machine's counter."""
    held = table(name)
    return _placed(held.filter(held.machine == machine, _inside(held.counter, ranges)), name)


def strand_runs(name: str) -> Any:
    """Of each machine and strand: ends of counter and position, and of their difference and sum.

    One difference: the strand ran through as it is counted; one sum: the other end first.
    """
    held = table(name)
    held = held.filter(held.strand.notnull(), held.position.notnull())
    held = held.mutate(apart=held.position - held.counter, together=held.position + held.counter)
    return held.group_by("machine", "strand").agg(
        **{f"{end}_{of}": getattr(held[of], way)()
           for of in ("counter", "position", "apart", "together")
           for end, way in (("first", "min"), ("last", "max"))}
    ).order_by("machine", "strand")  # fmt: skip


def placed_readings(name: str, machines: Iterable[str], strands: Iterable[str]) -> Any:
    """Machine, strand, counter and position of these, for runs that turn or jump."""
    held = table(name)
    chosen = held.filter(held.strand.isin(list(strands)), held.machine.isin(list(machines)),
                         held.position.notnull())  # fmt: skip
    return chosen.select("machine", "strand", "counter", "position").order_by(
        "machine", "strand", "counter")  # fmt: skip


def coil_runs() -> Any:
    """Of each welder and coil: first and last counter, and how many readings."""
    held = table("weld")
    held = held.filter(held.coil.notnull())
    return held.group_by("machine", "coil").agg(
        first=held.counter.min(), last=held.counter.max(), links=held.count()
    ).order_by("machine", "first", "coil")  # fmt: skip


def coiled_readings(machines: Iterable[str]) -> Any:
    """Machine, coil and counter, for coils that were taken off and put on again."""
    held = table("weld")
    chosen = held.filter(held.machine.isin(list(machines)), held.coil.notnull())
    return chosen.select("machine", "coil", "counter").order_by("machine", "coil", "counter")


def strokes() -> Any:
    """Links of every stroke of a calibrator."""
    held = table("pull")
    held = held.filter(held.strand.notnull(), held.first_position.notnull(),
                       held.last_position.notnull())  # fmt: skip
    return held.select("machine", "counter", "strand", "first_position", "last_position")


def passage_rows() -> Any:
    """Passages that were taken in, as they stand."""
    held = table("passage")
    return held.select(*(one.name for one in kind_of_reading("passage").own))


def passed_both(here: tuple[str, str], there: tuple[str, str]) -> Any:
    """Clocks of links that passed two machines once each, in the order of the first's counter."""
    first, second = _once(*here), _once(*there)
    joined = first.join(second, ["strand", "position"], rname="{name}_there")
    return joined.select("counter", here=joined.clock, there=joined.clock_there).order_by("counter")


def aggregates(name: str, column: str, subgroup: int) -> Any:
    """Of every machine and subgroup of so many numbers of its counter: count, mean, spread, range.

    Raises `ArgumentError` for a column that is no number of the kind.
    """
    if column not in kind_of_reading(name).numbers:
        raise ArgumentError("column", column, "", ", ".join(kind_of_reading(name).numbers))
    held = table(name)
    held = held.filter(held[column].notnull()).mutate(
        subgroup=(held.counter / subgroup).floor().cast("int64"))  # fmt: skip
    value = held[column]
    return held.group_by("machine", "subgroup").agg(
        count=held.count(), mean=value.mean(), spread=value.std(how="sample"),
        least=value.min(), greatest=value.max(),
    ).order_by("machine", "subgroup")  # fmt: skip


def links_with(strand: str, ranges: Sequence[tuple[int, int]]) -> Any:
    """Process variables of links of a strand, side by side by position, with the pull they were in.

    Of a link that passed a machine twice the last reading stands. Columns are called after kind
    and column, such as ``weld_current_A``.
    """
    sides = [_latest(name, strand, ranges) for name in LINK_KINDS]
    joined = sides[0]
    for side in sides[1:]:
        joined = joined.outer_join(side, "position", rname="{name}_other")
        joined = joined.mutate(position=joined.position.coalesce(joined.position_other)).drop(
            "position_other")  # fmt: skip
    return _with_pull(joined, strand).order_by("position")


def _with_pull(links: Any, strand: str) -> Any:
    """The last stroke that each link was in."""
    pull = table("pull")
    numbers = kind_of_reading("pull").numbers
    pull = pull.filter(pull.strand == strand).select(
        "first_position", "last_position", "clock", "counter", **{f"pull_{one}": pull[one]
                                                                 for one in numbers})  # fmt: skip
    met = links.select("position").join(
        pull, [links.position >= pull.first_position, links.position <= pull.last_position]
    )
    met = _last_of(met, ["position"]).drop("first_position", "last_position", "clock", "counter")
    joined = links.left_join(met, "position", rname="{name}_pulled")
    return joined.drop("position_pulled")


def _latest(name: str, strand: str, ranges: Sequence[tuple[int, int]]) -> Any:
    held = table(name)
    held = held.filter(held.strand == strand, _inside(held.position, ranges))
    numbers = kind_of_reading(name).numbers
    held = held.select("position", "clock", "counter", **{f"{name}_{one}": held[one]
                                                          for one in numbers})  # fmt: skip
    return _last_of(held, ["position"]).drop("clock", "counter")


def _last_of(held: Any, by: list[str]) -> Any:
    """Of rows with the same ``by`` the one whose clock shows the latest time."""
    ibis = _expressions()

    place = ibis.row_number().over(
        group_by=by, order_by=[ibis.desc("clock"), ibis.desc("counter")])  # fmt: skip
    ranked = held.mutate(place_=place)
    return ranked.filter(ranked.place_ == 0).drop("place_")


def _once(name: str, machine: str) -> Any:
    held = table(name)
    held = held.filter(held.machine == machine, held.strand.notnull(), held.position.notnull())
    return held.group_by("strand", "position").agg(
        counter=held.counter.min(), clock=held.clock.min(), times=held.count()
    ).filter(lambda one: one.times == 1).drop("times")  # fmt: skip


def _placed(chosen: Any, name: str) -> Any:
    ends = ["first_position", "last_position"] if name == "pull" else ["position", "position"]
    return chosen.select(
        "counter", "strand", "clock", first=chosen[ends[0]], last=chosen[ends[1]]
    ).order_by("counter", "clock")  # fmt: skip


def _inside(column: Any, ranges: Sequence[tuple[int, int]]) -> Any:
    ibis = _expressions()

    tests = [column.between(first, last) for first, last in ranges]
    return ibis.or_(*tests) if tests else ibis.literal(False)


def _time(us: int) -> Any:
    """A time of whole microseconds since 1970, in UTC, as a literal."""
    ibis = _expressions()

    at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=us)
    return ibis.literal(at.isoformat()).cast(_TYPES["clock"])


def _expressions() -> Any:
    """The library of expressions. Raises `CannotPlan` if it is not installed."""
    try:
        import ibis  # type: ignore[import-untyped,unused-ignore] # noqa: PLC0415
    except ImportError:
        raise CannotPlan("this needs ibis-framework: install linkwright[engines]") from None
    return ibis
