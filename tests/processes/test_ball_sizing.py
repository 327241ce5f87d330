"""Ball sizing of plate holes at the end of the plates' route."""

from functools import cache

import numpy as np
import pytest
from processes.furnace_stock import ENSEMBLE, bare_entries, conditions, differing
from processes.plate_stock import job, operations, wanted

from linkwright.planning.draws import single
from linkwright.planning.plan import plan_line
from linkwright.processes.ball_sizing import BallSizing
from linkwright.route import settle, walk

KEY = "plate/ball_sizing"


def _job():
    return job(further=(BallSizing(),))


@cache
def _plan():
    return plan_line(_job, ENSEMBLE)


def test_the_route_settles_with_the_hole_wanted():
    plan = _plan()
    assert bare_entries(plan.derivation) == []
    step = plan.steps[KEY]
    assert step.stock["hole_diameter_mm"] == pytest.approx(
        float(wanted()["hole_diameter_mm"]), rel=2e-6
    )
    assert step.finding("plate_yielding_percent").verdict != "outside"
    assert step.finding("residual_hoop_stress_MPa").value < 0.0


def test_holes_are_pierced_smaller_and_the_ball_is_larger():
    set_ups = _plan().settled.set_ups
    hole = float(wanted()["hole_diameter_mm"])
    assert set_ups["plate/blanking"]["hole_punch_diameter_mm"] < hole
    assert set_ups[KEY]["sizing_ball_mm"] > hole


def test_every_member_is_its_single_run_and_holes_of_a_lot_scatter_less():
    work = _job()
    drawn = conditions(*operations(), BallSizing(), ensemble=ENSEMBLE)
    settled = settle(work.route, wanted(), work.conditions, {})
    whole = walk(work.route, settled.set_ups, drawn)
    for lot, link in ((0, 0), (ENSEMBLE.lots - 1, 1)):
        one = walk(work.route, settled.set_ups, single(drawn, lot, link))
        assert differing(whole[KEY], one[KEY], lot, link) == []
    # from lot to lot the strength of the plates scatters what springs back
    before, after = (
        np.mean(np.ptp(whole[key].stock["hole_diameter_mm"], axis=1))
        for key in ("plate/plate_tumbling", KEY)
    )
    assert after < 0.5 * before


def test_curves_of_the_picture():
    curves = _plan().steps[KEY].curves
    assert np.all(np.diff(curves["sized_hole_mm"]) >= -1e-9)
    assert curves["residual_hoop_stress_MPa"][-1] < 0.0
