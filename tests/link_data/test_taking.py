"""Files are taken in once, wholly or not at all, whatever their dialect."""

import errno
import json
import threading

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from weld_files import HEAD, aside, csv_text, how, kept, row, written

from linkwright.link_data import parts, taking
from linkwright.link_data.dataset import LinkDataError
from linkwright.link_data.taking import take_in
from linkwright.quantities import InputErrors

PLAIN = csv_text(20)


def german(text: str) -> str:
    """The file with semicolons, decimal commas, kA and German times."""
    lines = [HEAD.replace(",", ";"), "-;-;-;-;kA;J"]
    for line in text.splitlines()[1:]:
        machine, counter, clock, coil, current, energy = line.split(",")
        day = f"02.03.2026 {clock[11:]}"
        amps = f"{float(current) / 1000:.3f}".replace(".", ",")
        joules = f"{int(energy):,}".replace(",", ".")
        lines.append(";".join([machine, counter, day, coil, amps, joules]))
    return "\n".join(lines) + "\n"


GERMAN = 'decimal = ","\nthousands = "."\nunits_row = true\n'
GERMAN_COLUMNS = {
    "clock": 'from = "clock"\nform = "day.month.year"',
    "current_A": 'from = "current_A"\nunit = "kA"',
}


@pytest.mark.parametrize(
    "raw",
    [
        PLAIN.encode(),
        b"\xef\xbb\xbf" + PLAIN.encode(),
        PLAIN.encode("utf-16"),
        PLAIN.replace("\n", "\r\n").encode(),
        PLAIN.replace("\n", "\r").encode(),
        PLAIN.rstrip("\n").encode(),
        PLAIN.encode() + b"\n\n,,,,,\n\r\n",
        PLAIN.replace(",", ";").encode(),
        PLAIN.replace(",", "\t").encode(),
        PLAIN.replace("C1", '"C1"').replace("9001", '"9001"').encode(),
        PLAIN.replace(row(7), f"{HEAD}\n{row(7)}").encode(),
        PLAIN.replace(row(7), f"# stopped\n\n{row(7)}").encode(),
        b"# a machine\n\nsep=,\n" + PLAIN.encode(),
        PLAIN.replace("26004", " +26004.0 ").encode(),
        PLAIN.replace("T06:00:03", "T06:00:03Z").encode(),
    ],
)
def test_every_dialect_gives_the_same_readings(raw, tmp_path):
    take_in(written(tmp_path, PLAIN, "plain.csv"), how(), tmp_path / "plain")
    taken = take_in(written(tmp_path, raw), how(), tmp_path / "links")
    assert taken.entry.rows == 20
    assert taken.entry.set_aside == 0
    assert kept(tmp_path / "links") == kept(tmp_path / "plain")


def test_units_decimals_thousands_and_dates_are_those_of_the_map(tmp_path):
    take_in(written(tmp_path, PLAIN, "plain.csv"), how(), tmp_path / "plain")
    take_in(written(tmp_path, german(PLAIN)), how(GERMAN, **GERMAN_COLUMNS), tmp_path / "links")
    assert kept(tmp_path / "links") == kept(tmp_path / "plain")


def test_a_units_row_that_contradicts_the_map_refuses_the_file(tmp_path):
    rules = how(GERMAN, **{**GERMAN_COLUMNS, "current_A": 'from = "current_A"'})
    path = written(tmp_path, german(PLAIN))
    with pytest.raises(InputErrors, match="row of units says 'kA', the map A"):
        take_in(path, rules, tmp_path / "links")
    assert not (tmp_path / "links").exists()


def test_cp1252_is_read_as_the_map_names_it(tmp_path):
    raw = PLAIN.replace("C1", "Dräht").encode("cp1252")
    take_in(written(tmp_path, raw), how('encoding = "cp1252"\n'), tmp_path / "links")
    assert kept(tmp_path / "links", "distinct coil, machine, counter, clock")[0][0] == "Dräht"


@pytest.mark.parametrize(
    "cell",
    ["1_000", "0x10", "nan", "inf", "-Infinity", "1e400", "１", "1,0", "--1", "1e", ".", "1 000"],
)
@pytest.mark.parametrize("column", ["counter", "weld_energy_J"])
def test_what_is_no_number_is_set_aside_with_its_row(cell, column, tmp_path):
    cells = row(5).split(",")
    cells[HEAD.split(",").index(column)] = f'"{cell}"'
    text = PLAIN.replace(row(5), ",".join(cells))
    taken = take_in(written(tmp_path, text), how(), tmp_path / "links")
    (one,) = aside(tmp_path / "links")
    assert taken.entry.rows == 19
    assert one["row"] == 7
    assert one["reason"].startswith(f"{column}: ")
    assert cell in one["text"]


def test_rows_are_counted_through_quoted_line_ends(tmp_path):
    text = PLAIN.replace("C1", '"C\n1"').replace(row(9).replace("C1", '"C\n1"'), "W01,9,bad")
    take_in(written(tmp_path, text), how(), tmp_path / "links")
    assert [one["row"] for one in aside(tmp_path / "links")] == [11]
    assert [one[0] for one in kept(tmp_path / "links", "row, machine")] == [
        at + 2 for at in range(20) if at != 9
    ]


def test_bounds_empty_cells_and_machine_names_set_rows_aside(tmp_path):
    text = PLAIN.replace(row(3), row(3, energy=99000)).replace(row(4), row(4, machine="../x"))
    text = text.replace(row(6), row(6).replace("W01,6", "W01,")).replace(row(8), row(8) + ",8")
    bound = 'from = "weld_energy_J"\nleast = 0\ngreatest = 50000'
    taken = take_in(written(tmp_path, text), how(weld_energy_J=bound), tmp_path / "links")
    assert taken.entry.rows + taken.entry.set_aside == 20
    assert [(one["row"], one["reason"]) for one in aside(tmp_path / "links")] == [
        (5, "weld_energy_J: 99000 is outside 0 to 50000 J"),
        (6, "machine: '../x' cannot be the name of a machine"),
        (8, "counter: is empty"),
        (10, "the row has 7 cells; the head has 6"),
    ]


def test_the_same_file_twice_changes_nothing_whatever_its_name(tmp_path):
    links = tmp_path / "links"
    take_in(written(tmp_path, PLAIN), how(), links)
    before = {path: path.read_bytes() for path in links.rglob("*") if path.is_file()}
    again = take_in(written(tmp_path, PLAIN, "other.csv"), how(), links)
    assert again.before
    assert {path: path.read_bytes() for path in links.rglob("*") if path.is_file()} == before


def test_rows_of_another_file_are_repeats_and_contradictions_are_set_aside(tmp_path):
    links = tmp_path / "links"
    take_in(written(tmp_path, PLAIN), how(), links)
    text = csv_text(30).replace(row(4), row(4, energy=1))
    taken = take_in(written(tmp_path, text, "b.csv"), how(), links)
    assert (taken.entry.rows, taken.entry.repeats, taken.entry.set_aside) == (10, 19, 1)
    (one,) = aside(links)
    assert one["row"] == 6
    assert "row 6 of file" in one["reason"]
    assert one["text"] == row(4, energy=1)
    assert len(kept(links)) == 30


def test_repeats_within_one_file_are_counted(tmp_path):
    text = PLAIN + row(3) + "\n" + row(5, energy=2) + "\n"
    taken = take_in(written(tmp_path, text), how(), tmp_path / "links")
    assert (taken.entry.rows, taken.entry.repeats, taken.entry.set_aside) == (20, 1, 1)


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "holds no rows"),
        (b"a,b\n1,2\n", "there is no column 'machine'"),
        (PLAIN.encode() + b'W01,"99', "never closed"),
        (b"\0\1\2\3", "NUL"),
    ],
)
def test_a_file_that_cannot_be_read_leaves_nothing(raw, words, tmp_path):
    with pytest.raises(InputErrors, match=words):
        take_in(written(tmp_path, raw), how(), tmp_path / "links")
    assert not list((tmp_path / "links").rglob("*.par*"))


def test_parquet_and_json_lines_give_the_same_readings(tmp_path):
    take_in(written(tmp_path, PLAIN, "plain.csv"), how(), tmp_path / "plain")
    rows = [dict(zip(HEAD.split(","), line.split(","), strict=True))
            for line in PLAIN.splitlines()[1:]]  # fmt: skip
    for one in rows:
        one["counter"], one["current_A"] = int(one["counter"]), float(one["current_A"])
    lines = "".join(json.dumps(one) + "\n" for one in rows)
    broken = lines + '{"machine": NaN}\n\n[1]\n{"machine": "W01", "machine": "W02"}\n'
    taken = take_in(written(tmp_path, broken, "a.jsonl"), how(), tmp_path / "json")
    assert taken.entry.set_aside == 3
    assert [one["row"] for one in aside(tmp_path / "json")] == [21, 23, 24]
    pq.write_table(pa.Table.from_pylist(rows), tmp_path / "a.parquet")
    take_in(tmp_path / "a.parquet", how(), tmp_path / "parquet")
    assert kept(tmp_path / "json") == kept(tmp_path / "plain")
    assert kept(tmp_path / "parquet") == kept(tmp_path / "plain")


def test_a_full_disk_is_named_and_nothing_is_taken(tmp_path, monkeypatch):
    links = tmp_path / "links"
    take_in(written(tmp_path, PLAIN), how(), links)
    before = kept(links)

    def full(_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(parts, "sync_file", full)
    with pytest.raises(LinkDataError, match=r"the disk at / ?.* is full; nothing of b.csv") as told:
        take_in(written(tmp_path, csv_text(9, first=50), "b.csv"), how(), links)
    assert told.value.exit_code == 1
    assert kept(links) == before
    assert not list((links / "staging").iterdir())
    monkeypatch.undo()
    assert take_in(tmp_path / "b.csv", how(), links).entry.rows == 9


def test_two_ingests_at_once_lose_and_double_nothing(tmp_path):
    links = tmp_path / "links"
    files = [written(tmp_path, csv_text(200, first=100 * at), f"{at}.csv") for at in range(6)]
    threads = [
        threading.Thread(target=lambda part: [take_in(one, how(), links) for one in part],
                         args=(part,))
        for part in (files[:4], files[2:])
    ]  # fmt: skip
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [one[0] for one in kept(links, "counter, machine, clock")] == list(range(700))


def test_pieces_ahead_keep_the_numbers_of_rows(tmp_path, monkeypatch):
    monkeypatch.setattr("linkwright.link_data.csv_text.PIECE_BYTES", 500)
    monkeypatch.setattr("linkwright.link_data.csv_text.LONGEST_HEAD", 100)
    monkeypatch.setattr(parts, "GROUP_ROWS", 64)
    monkeypatch.setattr(parts, "MOST_HELD", 50)
    text = csv_text(1000).replace(row(600), row(600).replace("C1", '"C\r\n1"'))
    text = text.replace(row(700), "bad").replace(row(900), row(900, energy="x"))
    taken = taking.take_in(written(tmp_path, text), how(), tmp_path / "links")
    assert taken.entry.rows == 998
    assert [one["row"] for one in aside(tmp_path / "links")] == [702, 902]
    found = kept(tmp_path / "links", "counter, row, machine, clock")
    assert all(one[1] == one[0] + 2 for one in found)
