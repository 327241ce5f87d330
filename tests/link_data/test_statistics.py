"""Figures of charts from link data, held to plain numpy over the readings as they stand."""

from pathlib import Path

import numpy as np
import pytest
from weld_files import csv_text, map_text, written

from linkwright.link_data.dataset import opened
from linkwright.link_data.statistics import figures, hourly, individuals, joint, subgroups
from linkwright.quantities import ArgumentError, UnknownName
from linkwright.services.ingesting import IngestRequest, ingest

COLUMNS = ("current_A", "weld_energy_J")


@pytest.fixture(scope="module")
def links(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two machines with 203 and 57 readings."""
    folder = tmp_path_factory.mktemp("statistics")
    map_ = written(folder, map_text(), "map.toml")
    files = (
        written(folder, csv_text(203), "a.csv"),
        written(folder, csv_text(57, machine="W02"), "b.csv"),
    )
    ingest(IngestRequest(files, map_, folder / "links"))
    return folder / "links"


def test_subgroups_and_moving_ranges_are_those_of_numpy(links: Path) -> None:
    """Whole subgroups only; one column alone gives what several at once give."""
    with opened(links) as data:
        whole = figures(data, "weld", COLUMNS, 5)
        for place, machine in enumerate(("W01", "W02")):
            for column in COLUMNS:
                query = f"select {column} from weld where machine = ? order by clock, counter"
                x = np.array([one for (one,) in data.sql(query, [machine]).fetchall()])
                rows = x[: len(x) // 5 * 5].reshape(-1, 5)
                found, single = whole[place][column]
                np.testing.assert_allclose(found.mean, rows.mean(axis=1))
                np.testing.assert_allclose(found.range, np.ptp(rows, axis=1))
                np.testing.assert_allclose(found.deviation, rows.std(axis=1, ddof=1), atol=1e-9)
                assert single.mean_moving_range == pytest.approx(np.abs(np.diff(x)).mean())
                alone = subgroups(data, "weld", column, 5)[place]
                np.testing.assert_array_equal(alone.mean, found.mean)
                assert individuals(data, "weld", column)[place] == single


def test_hours_and_covariances_are_those_of_numpy(links: Path) -> None:
    """Readings beyond limits by hour; the matrix of each machine."""
    with opened(links) as data:
        hours = hourly(data, "weld", "weld_energy_J", 26_001.0, 26_009.0)
        (first, _) = joint(data, "weld", COLUMNS)
        rows = data.sql(
            "select current_A, weld_energy_J from weld where machine = 'W01'"
        ).fetchall()
    x = np.array(rows)
    assert int(hours.readings.sum()) == 260
    np.testing.assert_allclose(first.covariance, np.cov(x.T), rtol=1e-9)


def test_what_is_not_there_is_told(links: Path) -> None:
    """A column by its name, a subgroup of one."""
    with opened(links) as data:
        with pytest.raises(UnknownName):
            figures(data, "weld", ["energy"], 5)
        with pytest.raises(ArgumentError):
            subgroups(data, "weld", "current_A", 1)
