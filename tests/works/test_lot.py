"""lot.toml: a lot under way, and all that can be wrong with its file."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linkwright.catalogue import recording
from linkwright.quantities import InputErrors, Problem
from linkwright.works.lot import Lot, LotFile, lot_of_bytes, read_lot
from linkwright.works.schema import schema_text
from linkwright.works.shape import shape_of

BAD = Path(__file__).parents[1] / "bad"
SCHEMAS = Path(__file__).parents[2] / "schemas"
HEAD = '[lot]\nnumber = "L-0317"\norder = "Q-1042"\nline = 1\nafter = "drawing"\n'
BODY = (
    '[measured]\nwire_diameter = "8.12 mm"\n[measured_spread]\nwire_diameter_mm = 0.008\n'
    "[done]\ndrawing.die_diameter_mm = 8.11\n"
)


def read(body: str = BODY, head: str = HEAD) -> Lot:
    return lot_of_bytes((head + body).encode())


def problems(body: str = BODY, head: str = HEAD) -> dict[str, Problem]:
    with pytest.raises(InputErrors) as caught:
        read(body, head)
    return {problem.key or "": problem for problem in caught.value.found}


def test_a_lot_is_read_with_its_numbers() -> None:
    """Number, order, line and place, what was measured and what was really used."""
    lot = read()
    assert (lot.number, lot.order, lot.line, lot.after) == ("L-0317", "Q-1042", "1", "drawing")
    assert lot.measured["wire_diameter_mm"] == 8.12
    assert lot.measured_spread["wire_diameter_mm"] == 0.008
    assert lot.done.under("drawing").to_dict() == {"die_diameter_mm": 8.11}


def test_only_number_and_order_are_needed() -> None:
    """A lot with nothing measured is one that was made as planned."""
    lot = lot_of_bytes(b'[lot]\nnumber = 7\norder = "Q-1042"\n')
    assert (lot.number, lot.line, lot.after, dict(lot.measured)) == ("7", None, None, {})


def test_numbers_know_their_line() -> None:
    """While a derivation is recorded, a number carries file, line and key."""
    lot = read()
    with recording() as book:
        measured = lot.measured["wire_diameter_mm"]
        used = lot.done.under("drawing")["die_diameter_mm"]
    assert book.entries[measured.entry].source == "lot.toml:7 [measured] wire_diameter"
    assert book.entries[used.entry].source == "lot.toml:11 [done] drawing.die_diameter_mm"


def test_a_spread_of_a_temperature_is_a_difference() -> None:
    """A spread may be in kelvin or degrees: 3 K about 925 °C are 3 °C."""
    body = "[measured]\nstraight_temperature_degC = 925\n[measured_spread]\n%s = 3.0\n"
    for name in ("straight_temperature_K", "straight_temperature_degC"):
        assert read(body % name).measured_spread["straight_temperature_degC"] == 3.0


def test_every_problem_is_found_at_once_with_its_line() -> None:
    """Unit, comma, spread of nothing, negative spread, setting of no operation, strange table."""
    found = problems(
        '[measured]\nwire_diameter_mn = 8.12\npitch = "23,3 mm"\n'
        "[measured_spread]\nwidth_mm = 0.1\npitch_mm = -1\n"
        "[done]\ndie_diameter_mm = 8\n[measurd]\n",
        HEAD.replace("drawing", "drwing"),
    )
    assert {key: problem.line for key, problem in found.items()} == {
        "lot.after": 5,
        "measured.wire_diameter_mn": 7,
        "measured.pitch": 8,
        "measured_spread.width_mm": 10,
        "measured_spread.pitch_mm": 11,
        "done.die_diameter_mm": 13,
        "measurd": 14,
    }
    assert 'nearest is "drawing"' in found["lot.after"].message
    assert "decimal comma" in found["measured.pitch"].message
    assert "not measured" in found["measured_spread.width_mm"].message
    assert all(problem.file == "lot.toml" and problem.accepted for problem in found.values())


@pytest.mark.parametrize("line", ["number", "order"])
def test_what_is_needed_is_asked_for(line: str) -> None:
    """Without number or order a lot belongs nowhere."""
    head = "\n".join(row for row in HEAD.splitlines() if not row.startswith(line)) + "\n"
    assert problems(head=head)[f"lot.{line}"].message == "is missing"


def test_hash_is_that_of_the_content() -> None:
    """Spelling and comments do not enter; a measured value does."""
    plain = read().content_hash()
    written = BODY.replace('wire_diameter = "8.12 mm"', "wire_diameter_mm = 8.12 # gauge")
    assert read(written).content_hash() == plain
    assert read(BODY.replace("8.12", "8.13")).content_hash() != plain


def test_file_on_disk_is_read_by_its_base_name(tmp_path: Path) -> None:
    """Only the name of the file is kept, not where it lies."""
    (tmp_path / "a lot.toml").write_text(HEAD + BODY)
    lot = read_lot(tmp_path / "a lot.toml")
    assert lot.measured.place("wire_diameter_mm") == "a lot.toml:7"


@pytest.mark.parametrize(
    "name", sorted(path.name for path in BAD.glob("*.toml") if path.stat().st_size < 100_000)
)
def test_bad_files_of_the_corpus_end_in_sentences(name: str) -> None:
    """No file of the corpus is taken for a lot or ends in anything but sentences."""
    with pytest.raises(InputErrors) as caught:
        read_lot(BAD / name)
    assert all(problem.sentence().isprintable() for problem in caught.value.found)


@given(data=st.data())
@settings(derandomize=True, max_examples=60, deadline=None)
def test_damaged_file_is_read_or_refused(data: st.DataObject) -> None:
    """Cutting, doubling or overwriting any part of a good file never raises anything else."""
    raw = (HEAD + BODY).encode()
    start = data.draw(st.integers(0, len(raw)))
    end = data.draw(st.integers(start, min(len(raw), start + 60)))
    put = data.draw(st.binary(max_size=6) | st.sampled_from([b"nan", b"-1", b"[", b'"', b"="]))
    found: tuple[Problem, ...] = ()
    try:
        lot_of_bytes(raw[:start] + put + raw[end:])
    except InputErrors as error:
        found = error.found
    assert all(problem.sentence().isprintable() for problem in found)


def test_published_schema_is_made_from_the_model() -> None:
    """After a change of the model: linkwright.works.schema.write_schemas(Path("schemas"))."""
    published = (SCHEMAS / "lot.schema.json").read_text(encoding="utf-8")
    assert published == schema_text("lot")
    made = json.loads(published)
    tables = [made, *made["$defs"].values()]
    assert all(one["description"] for table in tables for one in table["properties"].values())
    assert set(shape_of(LotFile).tables) <= set(made["properties"])
    assert '"null"' not in published
