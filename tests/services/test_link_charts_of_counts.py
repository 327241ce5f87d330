"""Charts of counts from link data: readings beyond given limits, by hour or by sample."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from linkwright.link_data.arrow_schema import arrow_schema
from linkwright.link_data.dataset import opened
from linkwright.link_data.statistics import hourly
from linkwright.quantities import ArgumentError
from linkwright.services.control_charts import ChartRequest
from linkwright.services.link_charts import LinkChartRequest, chart_of_links

HOURS, EACH, BAD_HOUR = 20, 180, 12


@pytest.fixture(scope="module")
def links(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twenty invented hours of a welder; in the thirteenth every third weld is weak."""
    rows = []
    begin = datetime(2026, 11, 3, tzinfo=UTC)
    for k in range(HOURS * EACH):
        weak = k % 45 == 7 or (k // EACH == BAD_HOUR and k % 3 == 0)
        at = {"clock": begin + timedelta(seconds=20 * k), "strand": "S1", "position": k}
        row = {"machine": "W07", "counter": 1000 + k, "source": "0" * 16, "row": k}
        rows.append({**row, **at, "weld_energy_J": 4000.0 if weak else 5000.0})
    folder = tmp_path_factory.mktemp("counts") / "links"
    part = folder / "weld" / "day=2026-11-03" / "machine=W07"
    part.mkdir(parents=True)
    pq.write_table(pa.Table.from_pylist(rows, schema=arrow_schema("weld")), part / "a.parquet")
    return folder


def asked(links: Path, kind: str, **given: object) -> LinkChartRequest:
    """A request of one kind of chart; energy below 4500 J is counted."""
    chart = ChartRequest(links, kind, ("weld_energy_J",), subgroup=given.pop("subgroup", None))  # type: ignore[arg-type]
    return LinkChartRequest(chart, "weld", "W07", **({"least": 4500.0} | given))  # type: ignore[arg-type]


@pytest.mark.parametrize("kind", ["p", "u"])
def test_share_by_the_hour_is_the_hourly_count(links: Path, kind: str) -> None:
    """The points are those of the aggregate by hour; the bad hour stands out with its links."""
    found = chart_of_links(asked(links, kind))
    with opened(links) as data:
        hours = hourly(data, "weld", "weld_energy_J", 4500.0, np.inf)
    values = found.chart.chart.panels[0].values
    np.testing.assert_allclose(values, hours.beyond / hours.readings)
    (one,) = [link for link in found.links if link.point == BAD_HOUR + 1]
    first = BAD_HOUR * EACH
    assert (one.first_counter, one.last_counter) == (1000 + first, 1000 + first + EACH - 1)
    assert (one.strand, one.first_position, one.last_position) == ("S1", first, first + EACH - 1)


@pytest.mark.parametrize(("kind", "share"), [("np", 1), ("c", 1), ("p", 90), ("u", 90)])
def test_samples_in_a_row(links: Path, kind: str, share: int) -> None:
    """Of ninety in a row two are weak, in the bad hour more."""
    found = chart_of_links(asked(links, kind, subgroup=90))
    values = found.chart.chart.panels[0].values * share
    usual = np.delete(values, [2 * BAD_HOUR, 2 * BAD_HOUR + 1])
    np.testing.assert_allclose(usual, 2.0)
    assert {2 * BAD_HOUR + 1, 2 * BAD_HOUR + 2} <= {one.point for one in found.links}


def test_a_sample_that_is_not_full_is_left_out_and_told(links: Path) -> None:
    """3600 readings make five samples of 700; the hundred that are left are named."""
    found = chart_of_links(asked(links, "p", subgroup=700))
    assert len(found.chart.chart.panels[0].values) == 5
    assert any("100 readings at the end" in note for note in found.chart.notes)


@pytest.mark.parametrize(
    ("kind", "given"),
    [
        ("np", {}), ("c", {}), ("p", {"least": None}), ("individuals", {}),
        ("p", {"greatest": 4.0}), ("u", {"least": float("nan")}), ("p", {"subgroup": 1}),
        ("c", {"subgroup": 5000}),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused(links: Path, kind: str, given: dict[str, object]) -> None:
    """Counts without a limit, equal samples without a size, limits on a chart of readings."""
    with pytest.raises(ArgumentError):
        chart_of_links(asked(links, kind, **given))


def test_other_limits_are_another_quantity(links: Path) -> None:
    """Limits frozen for one pair of bounds are not taken for another."""
    assert asked(links, "p").quantity != asked(links, "p", least=4400.0).quantity
