"""A plan's folder is complete or absent, and nothing of the user is lost on the way."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path
from typing import Any

import numpy as np
import planned
import pyarrow.parquet as pq
import pytest

from linkwright.quantities import CannotPlan, split
from linkwright.services import plan_folder
from linkwright.services.plan_folder import FolderInUse, refuse_if_it_holds, write_plan

FILES = ["members.parquet", "plan.json"]


def write(out: Path, **options: Any) -> list[Path]:
    """Write a small plan without papers."""
    return write_plan(planned.with_settings(""), out, papers=False, **options)


def held(folder: Path) -> list[str]:
    """All names in a folder, hidden ones too."""
    return sorted(path.name for path in folder.iterdir())


def test_the_files_are_named_in_a_fixed_order(tmp_path: Path) -> None:
    """Final paths are given; the folder may lie deeper than what is there."""
    out = tmp_path / "a" / "b c" / "plän"
    assert write(out) == [out / name for name in FILES]
    assert held(out) == FILES
    assert held(out.parent) == ["plän"]


def test_the_file_is_the_document(tmp_path: Path) -> None:
    """UTF-8, a final newline, the same content."""
    write(tmp_path / "out")
    raw = (tmp_path / "out" / "plan.json").read_bytes()
    assert raw.endswith(b"}\n")
    assert json.loads(raw.decode("utf-8")) == planned.with_settings("").document()


def test_files_beside_are_written_too(tmp_path: Path) -> None:
    """The order that was planned may lie beside its plan."""
    write(tmp_path / "out", beside={"order.toml": b"[order]\n"})
    assert (tmp_path / "out" / "order.toml").read_bytes() == b"[order]\n"


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    """Nothing can be lost in it."""
    (tmp_path / "out").mkdir()
    write(tmp_path / "out")
    assert held(tmp_path / "out") == FILES


def test_a_folder_that_holds_something_is_left_as_it_is(tmp_path: Path) -> None:
    """The sentence names --force."""
    out = tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("mine")
    with pytest.raises(FolderInUse, match="--force") as error:
        write(out)
    assert error.value.exit_code == 1
    assert held(out) == ["mine.txt"]
    assert held(tmp_path) == ["out"]


def test_forced_it_is_replaced_whole(tmp_path: Path) -> None:
    """Nothing of the old plan stays, and nothing lies beside it."""
    out = tmp_path / "out"
    write(out)
    (out / "papers.pdf").write_bytes(b"old")
    write(out, force=True)
    assert held(out) == FILES
    assert held(tmp_path) == ["out"]


def test_the_folder_one_works_in_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither the folder itself nor one above it is replaced under one's feet."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    for name in (".", "..", str(tmp_path)):
        with pytest.raises(FolderInUse):
            write(Path(name), force=True)
    assert held(tmp_path) == ["here"]


@pytest.mark.parametrize("name", ["order.toml", "deep/order.toml", "../out/order.toml"])
def test_a_file_that_is_read_is_not_replaced_with_its_folder(tmp_path: Path, name: str) -> None:
    """An order that lies in the folder it is to be planned into is safe, even if forced."""
    out = tmp_path / "out"
    with pytest.raises(FolderInUse, match="would be replaced"):
        refuse_if_it_holds(out, (None, "-", str(out / name)))
    refuse_if_it_holds(out, (None, "-", str(tmp_path / "order.toml")))


@pytest.mark.parametrize("where", ["write_members", "_write"])
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_what_fails_midway_leaves_no_trace(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str, error: BaseException
) -> None:
    """Full disk or interruption while a file is written: no new folder, the old one unharmed."""
    out = tmp_path / "out"
    write(out)
    before = (out / "plan.json").read_bytes()

    def fail(*_: Any, **__: Any) -> None:
        raise error

    monkeypatch.setattr(plan_folder, where, fail)
    with pytest.raises(type(error)):
        write(out, force=True)
    with pytest.raises(type(error)):
        write(tmp_path / "new")
    assert held(tmp_path) == ["out"]
    assert (out / "plan.json").read_bytes() == before


def test_the_old_folder_comes_back_if_the_new_one_cannot_take_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between moving the old away and the new in, a failure puts the old back."""
    out = tmp_path / "out"
    write(out)
    before = (out / "plan.json").read_bytes()
    rename = Path.rename
    # as on a system that cannot let two folders change names at one stroke
    monkeypatch.setattr(plan_folder, "_exchanged", lambda *_: False)

    def fail_for_the_new(self: Path, target: Path) -> Path:
        if Path(target) == out and self.name != "was":
            raise OSError(5, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", fail_for_the_new)
    with pytest.raises(OSError, match="Input/output"):
        write(out, force=True)
    assert (out / "plan.json").read_bytes() == before
    assert held(tmp_path) == ["out"]


def test_what_a_killed_run_left_is_swept_and_nothing_else(tmp_path: Path) -> None:
    """Only an old half-written folder of this very plan goes; a user's own hidden ones stay."""
    hour_ago = time.time() - 4000
    for name in (".out-abcd.part", ".out-mine", ".out-old-x.was", ".outer-x.part", ".out-new.part"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "mine.txt").write_text("mine")
        if name != ".out-new.part":
            os.utime(tmp_path / name, (hour_ago, hour_ago))
    write(tmp_path / "out")
    assert held(tmp_path) == [
        ".out-mine", ".out-new.part", ".out-old-x.was", ".outer-x.part", "out"
    ]  # fmt: skip


@pytest.mark.parametrize("exchange", [True, False])
def test_both_ways_of_replacing_leave_one_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, exchange: bool
) -> None:
    """At one stroke or by two renames: the new plan, and nothing beside it."""
    if not exchange:
        monkeypatch.setattr(plan_folder, "_exchanged", lambda *_: False)
    out = tmp_path / "out"
    write(out)
    (out / "old.txt").write_text("old")
    write(out, force=True)
    assert held(out) == FILES
    assert held(tmp_path) == ["out"]


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    """A file under the folder's name is not replaced without being asked."""
    (tmp_path / "out").write_text("mine")
    with pytest.raises(CannotPlan):
        write(tmp_path / "out")
    assert (tmp_path / "out").read_text() == "mine"


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """members.parquet of the demo, all 512 lots."""
    out = tmp_path_factory.mktemp("members") / "out"
    write_plan(planned.demo(), out, papers=False)
    return pq.read_table(out / "members.parquet")


def test_one_row_is_one_member(table: Any) -> None:
    """4,096 rows: 512 lots of 8 links, in order."""
    assert table.num_rows == 4096
    assert table["lot"].to_pylist() == [row // 8 for row in range(4096)]
    assert table["link"].to_pylist() == [row % 8 for row in range(4096)]


def test_columns_are_place_scatter_factors_and_results(table: Any) -> None:
    """Every draw and every result has its column, with kind, unit and meaning."""
    plan = planned.demo().lines[0].plan
    assert table.schema.names == ["lot", "link", *plan.members.draws, *plan.results]
    for field in table.schema:
        kind, unit, meaning = (field.metadata[key].decode() for key in
                               (b"kind", b"unit", b"meaning"))  # fmt: skip
        assert meaning
        if field.name in plan.results:
            assert (kind, unit) == ("result", split(field.name)[1])
        elif field.name in plan.members.factors:
            assert (kind, unit) == ("factor", "")
        else:
            assert kind in ("place", "scatter")
    assert table.schema.metadata == {b"schema_version": b"1", b"seed": b"1"}


def test_values_are_those_of_the_plan_to_the_last_bit(table: Any) -> None:
    """What learning reads is what the chance was made of."""
    plan = planned.demo().lines[0].plan
    for name, values in {**plan.members.draws, **plan.results}.items():
        expected = np.broadcast_to(values, (512, 8)).ravel()
        assert np.array_equal(table[name].to_numpy(), expected), name


def test_the_second_half_of_the_links_mirrors_the_first(table: Any) -> None:
    """Four pairs (+u, -u) in each lot."""
    draws = table["link/chain/tempering/temperature_K"].to_numpy().reshape(512, 8)
    assert np.array_equal(draws[:, 4:], -draws[:, :4])


def test_each_line_has_its_members(tmp_path: Path) -> None:
    """The second line's table is members-2.parquet."""
    from linkwright.services.planning import plan_order

    second = '\n[[line]]\nid = "2"\nproduct = "welded"\nstandard = "EN 818-2"\nsize = "7 mm"\n'
    both = plan_order(
        planned.order_and(second + 'length = "50 m"\n'), planned.works(), ensemble=planned.FEW
    )
    write_plan(both, tmp_path / "out", papers=False)
    assert held(tmp_path / "out") == ["members-2.parquet", "members.parquet", "plan.json"]
