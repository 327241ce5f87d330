"""Link plates from coil to tumbled plate: settings agree, members run, limits are kept."""

from functools import cache

import numpy as np
import pytest
from processes.furnace_stock import ENSEMBLE, bare_entries, conditions, differing
from processes.plate_stock import coil, job, machine, operations, wanted

from linkwright.catalogue import recording
from linkwright.planning.draws import single
from linkwright.planning.plan import plan_line
from linkwright.processes.plate_blanking import Blanking
from linkwright.processes.plate_hardening import PlateHardening
from linkwright.processes.plate_tumbling import PlateTumbling
from linkwright.route import MAIN, settle, walk
from linkwright.route.setting import lacking


@cache
def _plan():
    return plan_line(job, ENSEMBLE)


def test_the_route_settles_and_no_number_loses_its_source():
    plan = _plan()
    assert bare_entries(plan.derivation) == []
    assert 0.0 <= plan.chance.chance <= 1.0


def test_finished_plates_have_the_sizes_wanted():
    plate, asked = _plan().steps["plate/plate_tumbling"].stock, wanted()
    for name in ("hole_spacing_mm", "hole_diameter_mm", "plate_height_mm", "waist_height_mm"):
        assert plate[name] == pytest.approx(float(asked[name]), rel=1e-6)
    # the strip is what the store holds
    assert plate["plate_thickness_mm"] == pytest.approx(4.0 - 2 * 30.0 / 7850.0)
    assert plate["tensile_strength_MPa"] == pytest.approx(1250.0, rel=2e-3)


def test_punches_stand_nearer_by_what_hardening_adds():
    """0.06 % of 25.386 mm is 15 um."""
    spacing = _plan().settled.set_ups["plate/blanking"]["hole_punch_spacing_mm"]
    assert spacing == pytest.approx(25.386 / 1.0006, rel=1e-9)


def test_the_punch_allows_for_tumbling_growth_and_closing():
    punch = _plan().settled.set_ups["plate/blanking"]["hole_punch_diameter_mm"]
    hole = float(wanted()["hole_diameter_mm"])
    assert punch == pytest.approx((hole - 2 * 30.0 / 7850.0) / 1.0006 + 0.008, rel=1e-9)


def test_every_member_is_its_single_run():
    work, route = operations(), job().route
    drawn = conditions(*work, ensemble=ENSEMBLE)
    settled = settle(route, wanted(), conditions(*work), {})
    whole = walk(route, settled.set_ups, drawn)
    for lot, link in ((0, 0), (ENSEMBLE.lots - 1, 1)):
        one = walk(route, settled.set_ups, single(drawn, lot, link))
        for key, step in whole.items():
            assert differing(step, one[key], lot, link) == [], key


def test_scatter_reaches_the_finished_plate():
    work, route = operations(), job().route
    settled = settle(route, wanted(), conditions(*work), {})
    plate = walk(route, settled.set_ups, conditions(*work, ensemble=ENSEMBLE))[
        "plate/plate_tumbling"
    ].stock
    for name in ("hole_spacing_mm", "hole_diameter_mm", "plate_thickness_mm",
                 "tensile_strength_MPa"):  # fmt: skip
        assert np.std(plate[name]) > 0.0, name


def test_sums_of_mass_agree():
    """Plates, skeleton and slugs are the strip; the coil has the trim as well."""
    step = _plan().steps["plate/blanking"]
    plates = step.stock["steel_kg"]
    assert step.finding("strip_kg").value == pytest.approx(
        plates + step.finding("skeleton_kg").value
    )
    assert step.use["steel_kg"] > step.finding("strip_kg").value


def test_a_full_heap_heats_through_and_quenches_hard():
    """880 °C, 42CrMo4, 4 mm in slow oil: martensite nearly throughout."""
    step = _plan().steps["plate/plate_hardening"]
    assert step.finding("soak_time_min").value == pytest.approx(12.0, abs=0.3)
    assert step.finding("martensite_fraction").value > 0.9
    assert 550.0 < step.finding("quenched_hardness_HV").value < 720.0
    assert step.finding("flash_point_margin_K").verdict == "within"
    assert step.curves["time_s"][-1] > 0.0


def test_plain_carbon_steel_in_a_slower_bath_hardens_less():
    """C45E has a fraction of the hardenability of 42CrMo4; a third of the bath shows it."""
    work = PlateHardening()
    oven = machine("plate_hardening")
    slow = oven.changed(boiling_W_per_m2K=oven.held["boiling_W_per_m2K"] / 3.0)
    plate = _plan().steps["plate/blanking"].stock
    made = {}
    for steel in ("C45E", "42CrMo4"):
        stocks = {MAIN: plate.changed(condition=coil(steel).condition)}
        set_up = work.set_up(stocks, wanted(), slow, conditions(work), {})
        step = work.run(stocks, set_up, slow, conditions(work))
        made[steel] = step.finding("martensite_fraction").value
    assert made["C45E"] < 0.95 < made["42CrMo4"]


def test_the_plate_carries_its_share_of_the_chain():
    step = _plan().steps["plate/plate_tempering"]
    found = step.finding("plate_breaking_force_kN")
    assert found.least == 30.0
    assert found.verdict == "within"
    assert step.finding("inside_hardness_HV").value >= step.finding("outside_hardness_HV").value


@pytest.mark.parametrize("operation", operations(), ids=lambda one: one.name)
def test_the_card_lacks_only_words_of_the_works(operation):
    set_up = _plan().settled.set_ups[f"plate/{operation.name}"]
    words = {"lubricant", "bath_agitation", "water_in_oil_test", "atmosphere",
             "cooling_after_temper", "tumbling_medium", "drying"}  # fmt: skip
    assert set(lacking(set_up, operation)) <= words


def test_a_smaller_press_cuts_fewer_plates_a_stroke():
    stocks = {MAIN: _strip()}
    counts = []
    for force in (4903.0, 1600.0, 400.0):
        press = machine("blanking").changed(
            press_force_kN=force, greatest_plates_per_stroke_count=16.0
        )
        work = Blanking()
        set_up = work.set_up(stocks, wanted(), press, conditions(work), {})
        counts.append(set_up["plates_per_stroke_count"])
    assert counts == sorted(counts, reverse=True)
    assert counts[0] % 2 == 0
    # not below one a row, and then the stroke says that it is too much for the press
    step = work.run(stocks, set_up, press, conditions(work))
    assert counts[-1] == 2.0
    assert step.finding("stroke_force_kN").verdict == "outside"


def test_a_given_row_is_taken():
    work = Blanking()
    set_up = work.set_up(
        {MAIN: _strip()}, wanted(), machine("blanking"), conditions(work), {"rows_count": 1.0}
    )
    assert set_up["rows_count"] == 1.0
    assert set_up["row_distance_mm"] == 0.0


def test_hot_oil_near_its_flash_point_is_outside():
    work = PlateHardening()
    oven = machine("plate_hardening").changed(flash_point_degC=100.0)
    plate = _plan().steps["plate/blanking"].stock
    with recording():
        set_up = work.set_up({MAIN: plate}, wanted(), oven, conditions(work), {})
        step = work.run({MAIN: plate}, set_up, oven, conditions(work))
    assert step.finding("flash_point_margin_K").verdict == "outside"


def test_tumbling_asks_for_what_it_takes():
    asked = PlateTumbling().ask(wanted(), None, machine("plate_tumbling"), conditions())[MAIN]
    assert asked["plate_thickness_mm"] > wanted()["plate_thickness_mm"]
    assert asked["hole_diameter_mm"] < wanted()["hole_diameter_mm"]


def _strip():
    return coil().changed("strip", shape={"strip_width_mm": 99.0, "slit_share": 0.95})
