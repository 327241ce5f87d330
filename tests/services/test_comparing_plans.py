"""Comparing plans with their files: single changes taken over, and what they moved."""

from pathlib import Path

import pytest

from linkwright.planning.comparison import ALL
from linkwright.planning.draws import Ensemble
from linkwright.quantities import CannotPlan, InputErrors
from linkwright.services.comparing_plans import PLANS, SLOPES, Files, compare_plans, read_plan
from linkwright.services.continuing_plan import plan_from_lot
from linkwright.services.plan_folder import write_plan
from linkwright.services.planning import plan_order
from linkwright.services.taking_over import BESIDE, State, differences, grouped
from linkwright.works import (
    demo_bytes,
    demo_line_bytes,
    demo_line_order,
    demo_works,
    order_of_bytes,
    works_of_bytes,
)
from linkwright.works.lot import lot_of_bytes

ENSEMBLE = Ensemble(lots=128)
MARGIN = (b"breaking_force_margin_percent = 8.5", b"breaking_force_margin_percent = 7.0")
PITCH = (b"link_pitch_mm = 0.05", b"link_pitch_mm = 0.12")
PRICE = (b"price_EUR_per_h = 54.0", b"price_EUR_per_h = 60.0")
STEEL = (b"diameter_mm          = 9.0\n", b"diameter_mm          = 9.1\n")


def works_raw(*pairs: tuple[bytes, bytes]) -> bytes:
    raw = demo_bytes("works.toml")
    for old, new in pairs:
        assert old in raw, old
        raw = raw.replace(old, new, 1)
    return raw


def folder(
    place: Path, works: bytes, order: bytes | None = None, ensemble: Ensemble = ENSEMBLE
) -> str:
    """A plan's folder with the files that it was made from beside it."""
    order = order or demo_line_bytes()
    made = plan_order(order_of_bytes(order), works_of_bytes(works), ensemble=ensemble)
    files = {"order.toml": order, "works.toml": works}
    write_plan(made, place, papers=False, beside=files)
    return str(place)


@pytest.fixture(scope="module")
def plans(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """The demo, and the same with three changes in the works file."""
    base = tmp_path_factory.mktemp("plans")
    return folder(base / "a", works_raw()), folder(base / "b", works_raw(MARGIN, PITCH, PRICE))


def state(works: bytes, order: bytes | None = None) -> State:
    read = order_of_bytes(order) if order else demo_line_order()
    return State(read.lines[0], works_of_bytes(works), ENSEMBLE)


def test_planned_again_each_change_has_its_share(plans: tuple[str, str]) -> None:
    """Margin, gauge spread and price apart; the shares add up to the documents' difference."""
    made = compare_plans(*plans)
    attribution, (line,) = made.attributions["1"], made.comparison.lines
    assert attribution.way == PLANS
    shares = {one.name: one.moves for one in attribution.changes}
    assert list(shares) == [
        "machine test bench spread.link_pitch_mm",
        "works aim.breaking_force_margin_percent",
        "machine hardening coil price_EUR_per_h",
    ]
    for chance in line.chances:
        total = sum(moves[chance.subject] for moves in shares.values())
        assert total == pytest.approx(chance.difference, abs=1e-9)
    margin = shares["works aim.breaking_force_margin_percent"]
    pitch = shares["machine test bench spread.link_pitch_mm"]
    assert margin["breaking_force_kN"] < -0.03
    assert abs(pitch["breaking_force_kN"]) < 1e-12
    assert pitch["pitch_mm"] < -0.001
    assert set(shares["machine hardening coil price_EUR_per_h"].values()) == {0.0}
    assert attribution.plans == 6


def test_shares_are_the_average_over_both_orders(plans: tuple[str, str]) -> None:
    """Two changes by hand: each alone and each last, averaged."""
    chance = {}
    for name, pairs in {
        "": (), "m": (MARGIN,), "p": (PITCH,), "mp": (MARGIN, PITCH),
    }.items():  # fmt: skip
        works = works_of_bytes(works_raw(*pairs))
        made = plan_order(demo_line_order(), works, ensemble=ENSEMBLE)
        chance[name] = made.lines[0].plan.chance.chance
    by_hand = 0.5 * (chance["m"] - chance[""] + chance["mp"] - chance["p"])
    (share,) = (
        one.moves[ALL]
        for one in compare_plans(*plans).attributions["1"].changes
        if "margin" in one.name
    )
    assert share == pytest.approx(by_hand, abs=1e-12)


def test_the_same_comparison_is_the_same_data(plans: tuple[str, str]) -> None:
    """Twice compared, the data are equal; B with A is the mirror image of A with B."""
    made = compare_plans(*plans)
    assert made.to_dict() == compare_plans(*plans).to_dict()
    back = compare_plans(plans[1], plans[0]).attributions["1"].changes
    for there, again in zip(made.attributions["1"].changes, back, strict=True):
        assert there.name == again.name
        assert again.moves == pytest.approx({k: -v for k, v in there.moves.items()}, abs=1e-12)


def test_without_the_files_the_slopes_are_used(plans: tuple[str, str], tmp_path: Path) -> None:
    """A works file that is nowhere: slopes, with the reason; the shares still add up."""
    alone = tmp_path / "plan.json"
    alone.write_bytes((Path(plans[1]) / "plan.json").read_bytes())
    (tmp_path / "order.toml").write_bytes(demo_line_bytes())
    made = compare_plans(plans[0], str(alone))
    attribution = made.attributions["1"]
    assert attribution.way == SLOPES
    assert "not at hand: the works of B" in attribution.method
    total = sum(one.moves[ALL] for one in attribution.changes)
    assert total == pytest.approx(made.comparison.lines[0].chances[0].difference, abs=1e-9)
    assert "tempering coil_current_A" in [one.name for one in attribution.changes]
    with pytest.raises(CannotPlan, match="the works of B"):
        compare_plans(plans[0], str(alone), way=PLANS)
    named = Files(works=str(Path(plans[1]) / "works.toml"))
    assert compare_plans(plans[0], str(alone), files_b=named).attributions["1"].way == PLANS


def test_a_file_of_another_plan_is_refused(plans: tuple[str, str]) -> None:
    """A named works file must be the one that the plan was made from."""
    other = str(Path(plans[1]) / "works.toml")
    with pytest.raises(InputErrors, match="not the file that the plan was made from"):
        compare_plans(*plans, files_a=Files(works=other))


def test_a_bad_file_beside_a_plan_is_passed_over(plans: tuple[str, str], tmp_path: Path) -> None:
    """A file that nobody named need not be good; the demo's own file counts as at hand."""
    (tmp_path / "plan.json").write_bytes((Path(plans[0]) / "plan.json").read_bytes())
    (tmp_path / "works.toml").write_text("not toml")
    (tmp_path / "order.toml").write_bytes(demo_line_bytes())
    assert compare_plans(plans[0], str(tmp_path)).attributions["1"].way == PLANS


def test_other_members_are_a_change_of_their_own(tmp_path: Path) -> None:
    """Another seed moves the chance by its sampling noise alone."""
    a = folder(tmp_path / "a", works_raw())
    b = folder(tmp_path / "b", works_raw(), ensemble=Ensemble(lots=128, seed=2))
    made = compare_plans(a, b)
    (change,) = made.attributions["1"].changes
    assert (change.name, change.b) == ("members", "128 lots of 8, seed 2")
    chance = made.comparison.lines[0].chances[0]
    assert change.moves[ALL] == pytest.approx(chance.difference, abs=1e-12)
    assert abs(chance.difference or 0.0) < 5 * (chance.error or 0.0)


def test_a_lot_s_plan_is_compared_by_slopes(plans: tuple[str, str], tmp_path: Path) -> None:
    """A plan from a lot is not planned again; its measured wire is an input."""
    lot = lot_of_bytes(
        b'[lot]\nnumber = 1\norder = "Q-1042"\nafter = "drawing"\n'
        b"[measured]\nwire_diameter_mm = 8.12\n"
    )
    made = plan_from_lot(demo_line_order(), demo_works(), lot, ENSEMBLE)
    write_plan(made, tmp_path / "lot", papers=False)
    comparison = compare_plans(plans[0], str(tmp_path / "lot"))
    assert "starts from a lot" in comparison.attributions["1"].method
    inputs = {row.where.split()[0]: row for row in comparison.comparison.lines[0].inputs}
    assert inputs["[measured]"].b == 8.12


@pytest.mark.parametrize("content", [b"", b"{}", b"[1]", b"\xff", b'{"lines": []}', b"[" * 100000])
def test_what_is_no_plan_is_refused(content: bytes, tmp_path: Path) -> None:
    """A sentence with the file's name, whatever the content."""
    (tmp_path / "plan.json").write_bytes(content)
    with pytest.raises(InputErrors, match=r"plan\.json.*is not a plan of this program"):
        read_plan(str(tmp_path))


def test_differences_made_all_at_once_give_b() -> None:
    """Every change in place, the works has the content of B, whatever kind it was."""
    second = demo_line_bytes().replace(b'"8 mm"', b'"10 mm"')
    raw = works_raw(MARGIN, PITCH, PRICE, STEEL, (b'name            = "temper coil"',
                    b'name            = "second coil"'))  # fmt: skip
    raw = raw.replace(b"[aim]\n", b"[aim]\nextra_margin_percent = 1.0\n")
    raw = raw.replace(b"start_temperature_degC = 40.0\n", b"")
    raw = raw.replace(b"force_kN = [5.0, 250.0]", b"force_kN = [5.0, 300.0]")
    raw = raw.replace(b'"rod 8.5 8620"', b'"rod 8.5 Ni"').replace(b"[tariff]", b"[tariff]\n# x")
    a, b = state(works_raw()), state(raw, second)
    changes = differences(a, b)
    made = a
    for one in changes:
        made = one.made(made)
    assert made.works.content_hash() == b.works.content_hash()
    assert made.line.size_mm == 10.0
    names = [one.name for one in changes]
    assert "held.start_temperature_degC" in names
    assert "range.force_kN" in names
    assert names.count("rod 8.5 8620") == names.count("rod 8.5 Ni") == 1
    assert changes[-1].where == BESIDE
    assert [one.made(a).works.content_hash() for one in changes].count(a.works.content_hash()) == 1


def test_equal_files_read_twice_have_no_difference() -> None:
    """Two readings of one content are equal, with other comments and another order of keys."""
    assert differences(state(works_raw()), state(b"# again\n" + works_raw())) == []


def test_machines_in_another_order_are_a_change() -> None:
    """The first machine of an operation is the one that is planned with."""
    raw = works_raw()
    head, _, rest = raw.partition(b'[[machine]]\noperation       = "marking"')
    marking, _, bench = rest.partition(b'[[machine]]\noperation       = "inspection"')
    bench, _, steel = bench.partition(b"# ---")
    moved = (
        head + b'[[machine]]\noperation       = "inspection"' + bench
        + b'[[machine]]\noperation       = "marking"' + marking + b"# ---" + steel
    )  # fmt: skip
    (change,) = differences(state(raw), state(moved))
    assert (change.name, change.where) == ("order", "machines")
    assert change.made(state(raw)).works.content_hash() == works_of_bytes(moved).content_hash()


def test_too_many_changes_are_joined_by_table() -> None:
    """Changes of one machine become one, and still make B of A."""
    pairs = (MARGIN, PITCH, (b"dwell_s                = 1.0", b"dwell_s                = 2.0"),
             (b"greatest_force_ratio   = 0.75", b"greatest_force_ratio   = 0.8"))  # fmt: skip
    a, b = state(works_raw()), state(works_raw(*pairs))
    joined = grouped(differences(a, b), most=3)
    assert [one.where for one in joined] == ["machine calibrator", "machine test bench", "works"]
    assert joined[0].name == "2 values"
    made = joined[0].made(joined[1].made(joined[2].made(a)))
    assert made.works.content_hash() == b.works.content_hash()
    assert [one.kind for one in grouped(differences(a, b), most=2)] == ["machine", "works"]


def test_a_change_that_cannot_stand_alone_is_told(tmp_path: Path) -> None:
    """Rod and the steel that the order names go together: alone neither can be planned."""
    works = works_raw((b'name                 = "rod 8.5"\n', b'name                 = "rod X"\n'))
    order = demo_line_bytes().replace(b'"rod 8.5"', b'"rod X"')
    a = folder(tmp_path / "a", works_raw(PITCH))
    b = folder(tmp_path / "b", works, order)
    attribution = compare_plans(a, b).attributions["1"]
    assert "cannot be made" in attribution.method
    total = sum(one.moves["pitch_mm"] for one in attribution.changes)
    documents = [read_plan(one)["lines"][0]["chance"]["parts"] for one in (a, b)]
    pitch = [next(p["chance"] for p in one if p["subject"] == "pitch_mm") for one in documents]
    assert total == pytest.approx(pitch[1] - pitch[0], abs=1e-9)
