"""Rollers extruded from wire: settings agree, members run, limits are kept."""

from functools import cache

import numpy as np
import pytest
from processes.bushing_stock import extruded, machine, wanted, wire
from processes.furnace_stock import ENSEMBLE, bare_entries, conditions, differing

from linkwright.planning.draws import single
from linkwright.planning.plan import plan_line
from linkwright.processes.roller_extrusion import RollerExtrusion
from linkwright.quantities import ArgumentError
from linkwright.route import MAIN, settle, walk
from linkwright.route.setting import lacking
from linkwright.standards.reader import published_table
from linkwright.standards.roller_parts import roller_parts

KEY = "roller/roller_extrusion"
CHAINS = [
    str(row.cells["chain_number"])
    for row in published_table("iso606_chain")
    if roller_parts(str(row.cells["chain_number"])).roller is not None
]
THIN = {"24B", "28B", "32B", "40B", "48B", "56B", "64B", "72B"}
"""Rollers whose wall is below a sixth of the bore: the punch would have to stand too much."""


@cache
def _plan(chain):
    return plan_line(lambda: extruded(chain), ENSEMBLE)


@pytest.mark.parametrize("chain", ["06B", "16B", "48B"])
def test_the_route_settles_and_no_number_loses_its_source(chain):
    plan = _plan(chain)
    assert bare_entries(plan.derivation) == []
    assert plan.chance.chance > 0.9


@pytest.mark.parametrize("chain", CHAINS)
def test_every_roller_of_the_table_has_its_sizes(chain):
    work, asked = extruded(chain), wanted(chain, "roller")
    settled = settle(work.route, asked, work.conditions, {})
    step = walk(work.route, settled.set_ups, work.conditions)[KEY]
    for name, size in asked.items():
        assert step.stock[name] == pytest.approx(float(size), rel=1e-9)
    assert step.stock.form == "roller"
    assert step.stock["roller_wall_mm"] == pytest.approx(
        float(roller_parts(chain).roller.roller_wall_mm)
    )
    outside = {found.subject for found in step.findings if found.verdict == "outside"}
    # a roller with a thin wall is one to be curled: the punch says so
    assert ("punch_pressure_MPa" in outside) == (chain in THIN)
    assert outside <= {"punch_pressure_MPa", "ram_force_kN"}


def test_masses_of_slug_roller_and_scrap_agree():
    step = _plan("16B").steps[KEY]
    slug = np.pi / 4.0 * 13.8**2 * _plan("16B").settled.set_ups[KEY]["slug_length_mm"] * 7.85e-6
    parts = step.stock["piece_mass_kg"] + step.finding("scrap_mass_kg").value
    assert parts == pytest.approx(slug, rel=1e-9)
    assert step.use["steel_kg"] == pytest.approx(20000.0 * slug / 0.99, rel=1e-9)


@pytest.mark.parametrize("chain", ["08A", "72B"])
def test_every_member_is_its_single_run(chain):
    work, route = RollerExtrusion(), extruded(chain).route
    drawn = conditions(work, ensemble=ENSEMBLE)
    settled = settle(route, wanted(chain, "roller"), conditions(work), {})
    whole = walk(route, settled.set_ups, drawn)
    for lot, link in ((0, 0), (ENSEMBLE.lots - 1, 1)):
        one = walk(route, settled.set_ups, single(drawn, lot, link))
        assert differing(whole[KEY], one[KEY], lot, link) == []


def test_scatter_reaches_sizes_cup_and_pressure():
    work, route = RollerExtrusion(), extruded("16B").route
    settled = settle(route, wanted("16B", "roller"), conditions(work), {})
    step = walk(route, settled.set_ups, conditions(work, ensemble=ENSEMBLE))[KEY]
    for name in ("roller_outside_mm", "roller_bore_mm"):
        assert np.std(step.stock[name]) > 0.0, name
    for name in ("cup_height_mm", "punch_pressure_MPa"):
        assert np.std(step.finding(name).value) > 0.0, name


def test_pressure_rises_along_the_stroke_to_that_of_the_finding():
    step = _plan("16B").steps[KEY]
    pressure = step.curves["punch_pressure_MPa"]
    assert np.all(np.diff(pressure) > 0.0)
    assert pressure[-1] == pytest.approx(float(step.finding("punch_pressure_MPa").value))


def test_thinner_wire_makes_longer_slugs_and_thick_wire_is_refused():
    work = RollerExtrusion()
    stock = wire("16B")
    made = []
    for diameter in (13.0, 13.8):
        came = {MAIN: stock.changed(shape={"wire_diameter_mm": diameter})}
        set_up = work.set_up(
            came, wanted("16B", "roller"), machine(work.name), conditions(work), {}
        )
        made.append(set_up["slug_length_mm"])
    assert made[0] > made[1]
    thick = {MAIN: stock.changed(shape={"wire_diameter_mm": 16.5})}
    former, near = machine(work.name), conditions(work)
    set_up = work.set_up(thick, wanted("16B", "roller"), former, near, {})
    with pytest.raises(ArgumentError):
        work.run(thick, set_up, former, near)


def test_the_card_lacks_only_words_of_the_works():
    set_up = _plan("16B").settled.set_ups[KEY]
    assert set(lacking(set_up, RollerExtrusion())) == {"slug_anneal", "slug_coating"}
