"""Bushings and thin rollers from coil to ring: settings agree, members run, limits are kept."""

from functools import cache

import numpy as np
import pytest
from processes.bushing_stock import job, machine, operations, wanted
from processes.furnace_stock import ENSEMBLE, bare_entries, conditions, differing

from linkwright.planning.draws import single
from linkwright.planning.plan import plan_line
from linkwright.route import settle, walk
from linkwright.route.setting import lacking
from linkwright.standards.reader import published_table
from linkwright.standards.roller_parts import roller_parts

CHAINS = [str(row.cells["chain_number"]) for row in published_table("iso606_chain")]
PARTS = [
    (chain, part)
    for chain in CHAINS
    for part in ("bushing", "roller")
    if getattr(roller_parts(chain), part) is not None
]
SHOWN = [("06B", "bushing"), ("16B", "bushing"), ("48B", "bushing"), ("16B", "roller")]


@cache
def _plan(chain, part):
    return plan_line(lambda: job(chain, part), ENSEMBLE)


@pytest.mark.parametrize(("chain", "part"), SHOWN)
def test_the_route_settles_and_no_number_loses_its_source(chain, part):
    plan = _plan(chain, part)
    assert bare_entries(plan.derivation) == []
    assert plan.chance.chance > 0.9


@pytest.mark.parametrize(("chain", "part"), PARTS)
def test_every_chain_of_the_table_gets_its_rings(chain, part):
    """Outside exactly; bore and wall by the strip of the store, rolled to 0.01 mm."""
    work, asked = job(chain, part), wanted(chain, part)
    settled = settle(work.route, asked, work.conditions, {})
    step = walk(work.route, settled.set_ups, work.conditions)[f"{part}/curling"]
    ring = step.stock
    assert ring.form == part
    assert ring[f"{part}_outside_mm"] == pytest.approx(float(asked[f"{part}_outside_mm"]), rel=1e-9)
    bore, wall = float(asked[f"{part}_bore_mm"]), ring[f"{part}_wall_mm"]
    assert ring[f"{part}_bore_mm"] == pytest.approx(bore, abs=0.01 + 0.008 * wall)
    assert ring[f"{part}_length_mm"] == pytest.approx(float(asked[f"{part}_length_mm"]))
    assert ring["seam_gap_mm"] < 0.01 * ring[f"{part}_outside_mm"]
    for found in step.findings:
        assert found.verdict != "outside", found.subject


def test_mandrel_and_die_lie_below_what_springs_out_of_them():
    set_up = _plan("16B", "bushing").settled.set_ups["bushing/curling"]
    asked = wanted("16B", "bushing")
    assert set_up["mandrel_diameter_mm"] < float(asked["bushing_bore_mm"])
    assert set_up["closing_die_mm"] < float(asked["bushing_outside_mm"])


def test_a_bushing_of_16b_weighs_what_its_ring_weighs():
    """2 x 25.2 mm of 11.28/8.33 mm ring are 9.0 g each."""
    ring = _plan("16B", "bushing").steps["bushing/curling"].stock
    volume = np.pi / 4.0 * (ring["bushing_outside_mm"] ** 2 - ring["bushing_bore_mm"] ** 2)
    mass = volume * ring["bushing_length_mm"] * 7.85e-6
    assert ring["piece_mass_kg"] == pytest.approx(mass, rel=4e-3)
    assert ring["steel_kg"] == pytest.approx(20000.0 * ring["piece_mass_kg"])


@pytest.mark.parametrize(("chain", "part"), [("16B", "bushing"), ("48B", "roller")])
def test_every_member_is_its_single_run(chain, part):
    work, route = operations(part), job(chain, part).route
    drawn = conditions(*work, ensemble=ENSEMBLE)
    settled = settle(route, wanted(chain, part), conditions(*work), {})
    whole = walk(route, settled.set_ups, drawn)
    for lot, link in ((0, 0), (ENSEMBLE.lots - 1, 1)):
        one = walk(route, settled.set_ups, single(drawn, lot, link))
        for key, step in whole.items():
            assert differing(step, one[key], lot, link) == [], key


def test_scatter_reaches_outside_bore_and_seam():
    """With less closing the seam of some members stays open."""
    work, route = operations("bushing"), job("16B", "bushing").route
    given = {"bushing/curling": {"closing_percent": 0.2}}
    settled = settle(route, wanted("16B", "bushing"), conditions(*work), given)
    ring = walk(route, settled.set_ups, conditions(*work, ensemble=ENSEMBLE))["bushing/curling"]
    for name in ("bushing_outside_mm", "bushing_bore_mm", "bushing_wall_mm", "seam_gap_mm"):
        assert np.std(ring.stock[name]) > 0.0, name
    assert np.max(ring.stock["seam_gap_mm"]) > 0.1


def test_scatter_bears_the_name_of_the_part():
    work = operations("roller")
    names = {source.name for operation in work for source in operation.scatter}
    assert all(name.split("/")[1] == "roller" for name in names)


def test_play_of_the_roller_is_that_of_the_drawing():
    """1 % of the bushing, but for the strip of the store."""
    found = _plan("16B", "roller").steps["roller/curling"].finding("roller_play_percent")
    assert found.value == pytest.approx(1.0, abs=0.2)
    assert found.verdict == "within"


def test_curves_of_the_picture():
    curves = _plan("16B", "bushing").steps["bushing/curling"].curves
    assert len(curves["mandrel_diameter_mm"]) == len(curves["seam_gap_mm"])
    assert np.all(np.diff(curves["seam_gap_mm"]) >= 0.0)
    assert curves["closing_force_kN"] > curves["u_bending_force_kN"] > 0.0


def test_a_press_too_weak_is_said():
    work = operations("bushing")[1]
    press = machine("curling").changed(press_force_kN=50.0)
    strip = _plan("16B", "bushing").steps["bushing/strip_slitting"].stock
    set_up = work.set_up({"main": strip}, wanted("16B", "bushing"), press, conditions(work), {})
    step = work.run({"main": strip}, set_up, press, conditions(work))
    assert step.finding("ram_force_kN").verdict == "outside"


def test_given_settings_are_taken():
    work = operations("bushing")[1]
    strip = _plan("16B", "bushing").steps["bushing/strip_slitting"].stock
    given = {"seam_position": "upward", "closing_die_mm": 11.3, "cut_length_mm": 30.2}
    set_up = work.set_up(
        {"main": strip}, wanted("16B", "bushing"), machine("curling"), conditions(work), given
    )
    assert {name: set_up[name] for name in given} == given


def test_the_card_lacks_only_words_of_the_works():
    work = operations("bushing")[1]
    set_up = _plan("16B", "bushing").settled.set_ups["bushing/curling"]
    assert set(lacking(set_up, work)) == {"lubricant"}
