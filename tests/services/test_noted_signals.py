"""Charts against limits in the books: frozen once, signals noted once, open until explained."""

from pathlib import Path

import pytest
from kept_books import PHRASE, Books, _quick, books  # noqa: F401 - fixtures
from weld_files import csv_text, map_text, row, written

from linkwright.quantities import ArgumentError, LinkwrightError
from linkwright.records.kinds import Signal
from linkwright.records.writing import all_latest
from linkwright.services.control_charts import ChartRequest
from linkwright.services.ingesting import IngestRequest, ingest
from linkwright.services.link_charts import LinkChartRequest
from linkwright.services.noted_signals import chart_in_books


@pytest.fixture
def links(tmp_path: Path) -> Path:
    """A hundred welds, one far off."""
    map_ = written(tmp_path, map_text(), "map.toml")
    file = written(tmp_path, csv_text(100).replace(row(52), row(52, energy=27000)), "a.csv")
    ingest(IngestRequest((file,), map_, tmp_path / "l"))
    return tmp_path / "l"


def asked(links: Path, machine: str | None = "W01") -> LinkChartRequest:
    chart = ChartRequest(links, "xbar-r", ("weld_energy_J",), 5, rules=(1,))
    return LinkChartRequest(chart, "weld", machine)


def test_limits_are_frozen_and_a_signal_is_noted_once_until_explained(
    books: Books,  # noqa: F811
    links: Path,
) -> None:
    """The links of the point stand in its name; charting again notes nothing new."""
    books.act("add_machine", "cleo", machine="W01", work="welding")
    done = chart_in_books(asked(links), books.store, "cleo", f"{PHRASE} of cleo", why="shift")
    assert done.limits == "W01/weld_energy_J xbar-r"
    assert [one for one in done.noted if "counter 50-54" in one]
    again = chart_in_books(asked(links), books.store, "cleo", f"{PHRASE} of cleo", why="shift")
    assert (again.noted, again.limits_version) == ((), 1)
    with books.store.reading() as session:
        held = list(all_latest(session, Signal))
    assert {row_.state for row_ in held} == {"open"}
    books.act("explain_signal", signal=held[0].name, cause="electrode stuck", action="dressed")
    assert books.state(held[0].id) == "explained"


def test_a_machine_that_the_books_do_not_know_and_none_are_told(
    books: Books,  # noqa: F811
    links: Path,
) -> None:
    """The machine is entered first; without one there is nothing to freeze limits for."""
    with pytest.raises(LinkwrightError, match="machine = W01 is not known"):
        chart_in_books(asked(links), books.store, "cleo", f"{PHRASE} of cleo", why="x")
    with pytest.raises(ArgumentError, match="machine"):
        chart_in_books(asked(links, None), books.store, "cleo", f"{PHRASE} of cleo", why="x")
