"""`linkwright ingest` and `linkwright chart` of link data, as typed."""

import json
import threading
import time
from pathlib import Path

import pytest
from weld_files import csv_text, kept, map_text, row, written

from linkwright.cli.main import run
from linkwright.link_data.map_file import map_schema_text
from linkwright.services import ingesting


def typed(capsys, *words: object) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        run([str(word) for word in words])
    told = capsys.readouterr()
    return ended.value.code, told.out, told.err


def test_files_are_taken_in_charted_and_known_again(tmp_path, capsys):
    written(tmp_path, map_text(), "map.toml")
    (tmp_path / "in").mkdir()
    written(tmp_path / "in", csv_text(100).replace(row(52), row(52, energy=27000)), "a.csv")
    words = ["ingest", tmp_path / "in", "--map", tmp_path / "map.toml", "--into", tmp_path / "l"]
    assert typed(capsys, *words, "--preview")[0] == 0
    assert not (tmp_path / "l").exists()
    code, out, _ = typed(capsys, *words, "--json")
    assert (code, json.loads(out)["rows"]) == (0, 100)
    assert "taken in before" in typed(capsys, *words)[1]
    chart = ["chart", tmp_path / "l", "--of", "weld", "--column", "weld_energy_J", "--json"]
    code, out, _ = typed(capsys, *chart, "--kind", "xbar-r", "--subgroup", "5")
    found = json.loads(out)
    assert (code, found["machine"], found["limits"]["points"]) == (0, "W01", 20)
    assert (50, 54) in [(one["first_counter"], one["last_counter"]) for one in found["links"]]
    assert typed(capsys, *chart, "--machine", "W9")[0] == 2


def test_a_file_that_cannot_be_read_ends_with_exit_code_2(tmp_path, capsys):
    written(tmp_path, map_text(), "map.toml")
    bad = written(tmp_path, "a,b\n1,2\n", "bad.csv")
    code, _, told = typed(capsys, "ingest", bad, "--map", tmp_path / "map.toml", "--into",
                          tmp_path / "l")  # fmt: skip
    assert code == 2
    assert "there is no column 'machine'" in told
    assert not (tmp_path / "l").exists()


def test_watching_takes_files_when_they_are_still(tmp_path):
    written(tmp_path, map_text(), "map.toml")
    (tmp_path / "in").mkdir()
    links = tmp_path / "l"
    asked = ingesting.IngestRequest((tmp_path / "in",), tmp_path / "map.toml", links)
    outcomes = ingesting.watch(asked, still_s=0.2, poll_s=0.02)
    path = tmp_path / "in" / "a.csv"
    text = csv_text(40)

    def write() -> None:
        with path.open("w") as stream:
            for at in range(0, len(text), len(text) // 4):
                stream.write(text[at : at + len(text) // 4])
                stream.flush()
                time.sleep(0.05)

    writer = threading.Thread(target=write)
    writer.start()
    taken = next(outcomes)
    writer.join()
    outcomes.close()
    assert taken.taken.entry.rows == 40
    assert len(kept(links)) == 40


def test_the_published_schema_of_maps_is_that_of_the_program():
    path = Path(__file__).parents[2] / "schemas" / "map.schema.json"
    assert path.read_text("utf-8") == map_schema_text()
