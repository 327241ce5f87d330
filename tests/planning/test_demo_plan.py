"""The promises that a plan keeps, held on the demo order in the demo works."""

from __future__ import annotations

import json
import os
import random
import re
import subprocess
import sys
import warnings
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

import linkwright
import linkwright.works
from linkwright.catalogue import ValidityWarning
from linkwright.planning.draws import single
from linkwright.quantities import CannotPlan, InputErrors
from linkwright.route import walk
from linkwright.services.opening import open_in_document
from linkwright.works import demo_bytes, demo_line_bytes, order_of_bytes, works_of_bytes


@pytest.fixture(scope="module")
def plan() -> linkwright.OrderPlan:
    """The demo order planned in the demo works."""
    return linkwright.plan_order(linkwright.works.demo_line_order(), linkwright.demo_works())


def order_with(**replaced: str) -> linkwright.Order:
    """The demo order with some of its text replaced, and settings appended."""
    text = demo_line_bytes().decode()
    settings = replaced.pop("settings", "")
    for old, new in replaced.items():
        text = text.replace(old.replace("_", " "), new)
    return order_of_bytes((text + settings).encode())


def extreme_members(plan: linkwright.OrderPlan) -> list[tuple[int, int]]:
    """32 members at the ends of the ranges of what varies between lots and links."""
    members: list[tuple[int, int]] = []
    for draw in plan.lines[0].plan.members.draws.values():
        for flat in (int(np.argmax(draw)), int(np.argmin(draw))):
            lot, link = np.unravel_index(flat, draw.shape)
            members.append((int(lot), int(link)))
    return list(dict.fromkeys(members))[:32]


def test_members_run_singly_equal_their_places_in_the_ensemble(plan: linkwright.OrderPlan) -> None:
    """Each of 32 extreme members, run alone, gives the ensemble's values to 1e-9."""
    line = plan.lines[0]
    chosen = extreme_members(plan)
    assert len(chosen) == 32
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ValidityWarning)
        for lot, link in chosen:
            conditions = single(line.plan.members, lot, link)
            steps = walk(line.job.route, line.plan.settled.set_ups, conditions)
            alone = {found.subject: found.value for s in steps.values() for found in s.findings}
            for subject, values in line.plan.results.items():
                expected = values[lot, link if values.shape[1] > 1 else 0]
                obtained = float(np.ravel(np.asarray(alone[subject], float))[0])
                assert obtained == pytest.approx(expected, rel=1e-9), (subject, lot, link)


def test_no_number_of_the_plan_lost_its_source(plan: linkwright.OrderPlan) -> None:
    """Every entry ends in files, tables, defaults or choices; none is bare."""
    entries = {entry["id"]: entry for entry in plan.document()["lines"][0]["derivation"]}
    assert len(entries) > 300
    for entry in entries.values():
        assert entry["kind"] != "bare", entry
        if not entry["inputs"]:
            assert entry["kind"] in {"file", "table", "default", "choice"}, entry
        assert all(reference in entries for _, reference in entry["inputs"])


def test_every_setting_and_finding_has_an_entry(plan: linkwright.OrderPlan) -> None:
    """Whatever stands on a card can be opened."""
    for step in plan.document()["lines"][0]["steps"]:
        for item in [*step["settings"], *step["findings"]]:
            assert item["entry"] or item.get("text"), (step["operation"], item)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_three_numbers_picked_at_random_open_down_to_sources(
    plan: linkwright.OrderPlan, seed: int
) -> None:
    """Sources that are lines of the demo files really hold that key and that value."""
    document = plan.document()
    steps = document["lines"][0]["steps"]
    named = [f"{s['operation']}.{one['name']}" for s in steps for one in s["settings"]
             if one["entry"]]  # fmt: skip
    rows = {name: demo_bytes(name).decode().splitlines() for name in ("order.toml", "works.toml")}
    for number in random.Random(seed).sample(named, 3):
        opened = open_in_document(document, number)
        assert opened.sources
        for source in opened.sources:
            place = re.match(r"(order\.toml|works\.toml):(\d+) \S+ (\S+)$", source["source"])
            if source["kind"] == "file" and place:
                row = rows[place[1]][int(place[2]) - 1]
                assert row.split("=")[0].strip() == place[3]
                digits = re.search(r"[-\d.]+", row.split("=")[1])
                assert digits is not None
                if not source["name"].startswith(("least_", "greatest_")):
                    assert float(digits[0]) == pytest.approx(source["value"])


def test_a_plan_is_the_same_bytes_whatever_the_surroundings(tmp_path: Path) -> None:
    """Hash seed, locale, time zone and working folder do not enter any file."""
    made = []
    for index, (locale, seed, zone) in enumerate(
        [("C", "1", "UTC"), ("de_DE.UTF-8", "99", "Asia/Tokyo")]
    ):
        where = tmp_path / f"run {index}"
        where.mkdir()
        surroundings = os.environ | {"LC_ALL": locale, "PYTHONHASHSEED": seed, "TZ": zone}
        command = [sys.executable, "-m", "linkwright", "demo", "--out", "out", "--quiet"]
        subprocess.run(command, cwd=where, env=surroundings, check=True, capture_output=True)  # noqa: S603
        files = sorted(path for path in (where / "out").rglob("*") if path.is_file())
        made.append({path.relative_to(where): path.read_bytes() for path in files})
    assert made[0] == made[1]
    assert len(made[0]) >= 10


def test_members_file_holds_what_varied_and_what_came_of_it(
    plan: linkwright.OrderPlan, tmp_path: Path
) -> None:
    """4,096 rows with units in the metadata, equal to the results in memory."""
    linkwright.write_plan(plan, tmp_path / "out", papers=False)
    table = pq.read_table(tmp_path / "out" / "members.parquet")
    assert table.num_rows == 4096
    field = table.schema.field("breaking_force_kN")
    assert field.metadata == {
        b"kind": b"result", b"meaning": b"finding of the plan", b"unit": b"kN"
    }  # fmt: skip
    results = plan.lines[0].plan.results["breaking_force_kN"]
    assert np.array_equal(table["breaking_force_kN"].to_numpy(), results.ravel())
    assert json.loads((tmp_path / "out" / "plan.json").read_text("utf-8")) == plan.document()


def test_what_settles_is_handed_on(plan: linkwright.OrderPlan) -> None:
    """Sizes that were asked for come out: pitch, wire and width of the chain."""
    line = plan.lines[0].plan
    for key, wanted in line.settled.wanted.items():
        stock = line.steps[key].stock
        for name in ("wire_diameter_mm", "cut_length_mm"):
            if name in wanted and key != "wire/receiving":
                assert float(stock[name]) == pytest.approx(float(wanted[name]), rel=1e-6)
    end = line.steps["chain/calibrating"].stock
    assert float(end["pitch_mm"]) == pytest.approx(24.0, rel=1e-5)


def test_a_given_setting_is_kept_and_the_rest_follows(plan: linkwright.OrderPlan) -> None:
    """A temper given colder makes the chain stronger, and the pitch still comes out right."""
    settings = "\n[line.settings]\ntempering.temperature_degC = 500.0\n"
    colder = linkwright.plan_order(order_with(settings=settings), linkwright.demo_works())
    base, other = plan.lines[0].plan, colder.lines[0].plan
    temper = other.settled.set_ups["chain/tempering"]
    setting = next(one for one in temper.settings if one.name == "temperature_degC")
    assert (float(setting.value), setting.how) == (500.0, "given")
    force = "breaking_force_kN"
    inspected = "chain/inspection"
    assert float(other.steps[inspected].finding(force).value) > float(
        base.steps[inspected].finding(force).value
    )
    assert float(other.steps[inspected].finding("pitch_mm").value) == pytest.approx(24.0, rel=1e-5)
    for name, draw in base.members.draws.items():
        assert np.array_equal(draw, other.members.draws[name])


@pytest.mark.parametrize(
    ("key", "says"),
    [("temper.temperature_degC", "is no operation"), ("tempering.heat_degC", "is no setting")],
)
def test_an_unknown_setting_is_refused_with_its_place(key: str, says: str) -> None:
    """The error names file, line, key and what would be accepted."""
    order = order_with(settings=f"\n[line.settings]\n{key} = 500.0\n")
    with pytest.raises(InputErrors) as error:
        linkwright.plan_order(order, linkwright.demo_works())
    problem = error.value.found[0]
    assert says in problem.message
    assert problem.file == "order.toml"
    assert problem.line is not None
    assert problem.accepted


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("rod 8.5", "rod 8.5 lean", "Ni 0.28 %, at least 0.4 %"),
        ("8 mm", "26 mm", "flash-butt"),
        ("8 mm", "18 mm", "no rod in stock is thick enough"),
    ],
)
def test_what_cannot_be_planned_is_told_with_its_reason(old: str, new: str, says: str) -> None:
    """Steel outside the standard, an operation that is not modelled, no rod."""
    text = demo_line_bytes().decode().replace(f'"{old}"', f'"{new}"')
    with pytest.raises(CannotPlan, match=re.escape(says)):
        linkwright.plan_order(order_of_bytes(text.encode()), linkwright.demo_works())


def test_a_setting_out_of_the_machines_range_is_refused() -> None:
    """The machine, the setting and the range are named."""
    order = order_with(settings="\n[line.settings]\ntempering.temperature_degC = 900.0\n")
    with pytest.raises(CannotPlan, match=r"'temper coil' cannot hold"):
        linkwright.plan_order(order, linkwright.demo_works())


def test_learned_factors_raise_the_chance(plan: linkwright.OrderPlan) -> None:
    """A works that has narrowed its factors by tests stands at a better chance."""
    learned = "".join(
        f'\n[[factor]]\nname = "{name}"\nmedian = 1.0\nspread = 0.005\n'
        for name in ("factor/inspection/breaking_force", "factor/tempering/hardness")
    )
    works = works_of_bytes(demo_bytes("works.toml") + learned.encode())
    better = linkwright.plan_order(linkwright.works.demo_line_order(), works)
    assert better.lines[0].plan.chance.chance > plan.lines[0].plan.chance.chance + 0.02


def test_influences_name_the_two_model_factors_first(plan: linkwright.OrderPlan) -> None:
    """Most of the doubt about the breaking force is not scatter but untested factors."""
    shares = plan.lines[0].plan.influences["breaking_force_kN"].shares
    assert {name for name, _, _ in shares[:2]} == {
        "factor/inspection/breaking_force",
        "factor/tempering/hardness",
    }


def test_parts_of_the_chance_bound_the_whole(plan: linkwright.OrderPlan) -> None:
    """All requirements together are met no oftener than the least of them."""
    chance = plan.lines[0].plan.chance
    assert chance.chance <= min(part.chance for part in chance.parts) + 3 * chance.error
    assert chance.at_factors >= chance.chance
    assert 0.0 < chance.error < 0.01


def test_totals_are_the_sums_of_the_steps(plan: linkwright.OrderPlan) -> None:
    """Energy of the line is the sum over its steps; prices are amounts times rates."""
    line = plan.document()["lines"][0]
    energy = sum(step["use"].get("electricity_kWh", 0.0) for step in line["steps"])
    assert line["totals"]["electricity_kWh"] == pytest.approx(energy)
    for row in line["prices"]:
        assert row["price_EUR"] == pytest.approx(row["amount"] * row["rate_EUR"])


def test_a_cold_plan_loads_no_more_than_it_needs() -> None:
    """Neither scipy.stats nor the tests' oracles nor the typesetter are loaded by a plan."""
    code = (
        "import sys, linkwright;"
        "linkwright.plan_order(linkwright.works.demo_line_order(), linkwright.demo_works());"
        "print(sorted({'scipy.stats', 'pint', 'matplotlib', 'sqlalchemy', 'typst', 'typer'}"
        " & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)  # noqa: S603
    assert done.stdout.strip() == "[]"
