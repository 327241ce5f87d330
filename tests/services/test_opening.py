"""Opening a number of a plan: down to lines of files, rows of tables, stated defaults."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import planned
import pytest

from linkwright.quantities import InputErrors, UnknownName
from linkwright.services.opening import Opened, open_in_document, open_in_plan, tree_text
from linkwright.works import demo_bytes

FILES = {name: demo_bytes(name).decode().splitlines() for name in ("order.toml", "works.toml")}
ENDS = {"file", "table", "default", "choice"}


def opened(number: str) -> Opened:
    """A number of the demo plan."""
    return open_in_document(planned.document(), number)


def numbers() -> Iterator[str]:
    """Every setting, finding and use of the demo plan as ``operation.name``."""
    for step in planned.line()["steps"]:
        for one in step["settings"]:
            if one["text"] is None:
                yield f"{step['operation']}.{one['name']}"
        for one in step["findings"]:
            yield f"{step['operation']}.{one['subject']}"
        for name in step["use"]:
            yield f"{step['operation']}.{name}"


def test_every_number_of_the_plan_opens_down_to_its_ends() -> None:
    """More than a hundred numbers; each has a source that rests on nothing else."""
    count = 0
    for number in numbers():
        count += 1
        for source in opened(number).sources:
            assert source["kind"] in ENDS, (number, source)
            assert source["source"]
    assert count > 100


def test_the_graph_has_no_circle() -> None:
    """An entry rests only on entries that were made before it."""
    place = {entry["id"]: index for index, entry in enumerate(planned.line()["derivation"])}
    for entry in planned.line()["derivation"]:
        for _, reference in entry["inputs"]:
            assert place[reference] < place[entry["id"]], entry["id"]


def test_every_line_of_a_file_that_is_named_holds_that_key_and_value() -> None:
    """file:line is true: the key stands there, and so does the number."""
    looked = 0
    for entry in planned.line()["derivation"]:
        if entry["kind"] != "file":
            continue
        place = re.fullmatch(r"(\w+\.toml):(\d+) (\[+.*?\]+) (without )?(\S+)", entry["source"])
        assert place, entry
        row = FILES[place[1]][int(place[2]) - 1]
        if place[4]:  # left out of the file: what stands for it, and the table where it may stand
            assert (row.strip(), place[5], entry["value"]) == (place[3], "count", 1.0)
            continue
        inside = row.find("{ name")  # a row of a card stands in one line
        row = row if inside < 0 else row[row.index(f"{place[5]} =") :]
        key, _, written = row.partition("=")
        if row.strip().startswith("{"):  # a row of a card, keys and values on one line
            key, _, written = re.search(rf"\b({place[5]})( =)([^,}}]*)", row).groups()  # type: ignore[union-attr]
        assert key.strip() == place[5], (entry, row)
        numbers_written = [float(part) for part in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", written)]
        assert any(entry["value"] == pytest.approx(one) for one in numbers_written), (entry, row)
        looked += 1
    assert looked > 80


def test_the_table_of_a_line_is_the_one_it_stands_in() -> None:
    """[machine.held] in the source is the head above that line of the file."""
    for entry in planned.line()["derivation"]:
        place = re.fullmatch(r"(order\.toml|works\.toml):(\d+) (\[+.*?\]+) \S+", entry["source"])
        if place:
            above = FILES[place[1]][: int(place[2])]
            heads = [row.strip() for row in above if row.startswith("[")]
            assert heads[-1] == place[3], entry


def test_a_factor_that_is_not_learned_is_a_default_and_a_learned_one_a_line() -> None:
    """Only what a file of the works gives is called a file."""
    factors = {e["name"]: e for e in planned.line()["derivation"] if e["name"].startswith("factor")}
    learned = factors.pop("factor/drawing/force")
    assert learned["kind"] == "file"
    assert re.match(r"works\.toml:\d+ \[\[factor\]\] median", learned["source"])
    assert factors
    assert {entry["kind"] for entry in factors.values()} == {"default"}


def test_the_plain_name_is_that_of_the_last_step() -> None:
    """pitch_mm alone is the pitch that the inspection finds."""
    assert opened("pitch_mm").step == "inspection"
    assert opened("hardening.coil_current_A").step == "hardening"
    assert opened("coil_current_A").step == "tempering"


@pytest.mark.parametrize("number", ["braking_force_kN", "hardening.coil_curent_A", ""])
def test_an_unknown_number_names_the_nearest(number: str) -> None:
    """Exit code 2 and what may have been meant."""
    with pytest.raises(UnknownName) as error:
        opened(number)
    assert error.value.exit_code == 2
    assert error.value.accepted


def test_an_unknown_line_names_the_lines() -> None:
    """The lines of the plan are told."""
    with pytest.raises(UnknownName, match="accepted: 1"):
        open_in_document(planned.document(), "pitch_mm", "7")


def test_the_tree_shows_each_entry_once_in_full() -> None:
    """A number that was shown is only named again."""
    found = opened("breaking_force_kN")
    text = tree_text(found, 60)
    assert text.startswith("breaking_force_kN = ")
    assert text.count("[file: works.toml:") >= 5
    sources = [row.split("  [", 1)[1] for row in text.splitlines() if "  [" in row]
    assert len(sources) == len(found.entries)
    assert "(above)" in text


def test_depth_cuts_the_tree() -> None:
    """One level is the number itself."""
    assert len(tree_text(opened("breaking_force_kN"), 1).splitlines()) == 1
    two = tree_text(opened("breaking_force_kN"), 2).splitlines()
    assert all(not row.startswith("    ") for row in two)


def test_data_of_an_opened_number_has_its_step_and_entries() -> None:
    """The shape of `open --json`."""
    data = opened("hardness_HV").to_dict()
    assert list(data) == ["schema_version", "number", "step", "entries"]
    assert data["entries"][0]["unit"] == "HV"
    assert json.loads(json.dumps(data)) == data


def test_a_plan_is_read_from_a_file_and_from_standard_input(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both give what the document gives."""
    text = json.dumps(planned.document())
    path = tmp_path / "mein plan.json"
    path.write_text(text, encoding="utf-8")
    assert open_in_plan(str(path), "pitch_mm").to_dict() == opened("pitch_mm").to_dict()

    class Stdin:
        buffer = io.BytesIO(text.encode())

    monkeypatch.setattr("sys.stdin", Stdin)
    assert open_in_plan("-", "pitch_mm").to_dict() == opened("pitch_mm").to_dict()


@pytest.mark.parametrize(
    "content",
    [
        b"", b"x", b"[]", b"{}", b'{"lines": []}', b"\xff\xfe\x00", b"[" * 100_000,
        b'{"lines": [1]}', b'{"lines": [{}]}', b'{"lines": {"a": 1}}', b'{"lines": [{"id": "1"}]}',
        b'{"lines": [{"id": "1", "steps": [], "derivation": [{}]}]}',
    ],
)  # fmt: skip
def test_a_file_that_is_no_plan_is_wrong_input(tmp_path: Path, content: bytes) -> None:
    """A sentence with the file's name, never a traceback."""
    path = tmp_path / "plan.json"
    path.write_bytes(content)
    with pytest.raises((InputErrors, UnknownName)) as error:
        open_in_plan(str(path), "pitch_mm")
    assert error.value.exit_code == 2


def test_a_damaged_derivation_is_wrong_input() -> None:
    """An entry that is named but not there is told as a damaged plan."""
    damaged: dict[str, Any] = json.loads(json.dumps(planned.document()))
    damaged["lines"][0]["derivation"] = damaged["lines"][0]["derivation"][:10]
    with pytest.raises(InputErrors):
        open_in_document(damaged, "breaking_force_kN")
