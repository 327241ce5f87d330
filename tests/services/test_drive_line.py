"""A line that is a duty is planned as the chain that is chosen for it."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from linkwright.planning.draws import Ensemble
from linkwright.quantities import CannotPlan
from linkwright.services.drive_choice import choose_drive
from linkwright.services.plan_folder import write_plan
from linkwright.services.planning import OrderPlan, plan_order
from linkwright.works import demo_order, demo_works, order_of_bytes

_HEAD = '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n[line.drive]\n'
_DRUM = (
    'power = "30 kW"\ndriver_speed = "96 rpm"\ndriven_speed = "16 rpm"\nhours_per_day = 16\n'
    'shock = "heavy shocks"\nenvironment = "dusty"\n'
)
_ROOM = 'greatest_sprocket_diameter = "2000 mm"\n'


def _order(duty: str) -> Any:
    return order_of_bytes((_HEAD + duty).encode(), "order.toml")


@cache
def _plan(duty: str) -> OrderPlan:
    return plan_order(_order(duty), demo_works(), ensemble=Ensemble(lots=32))


def test_the_first_drive_of_the_ranking_is_planned():
    best = choose_drive(_order(_DRUM + _ROOM).lines[0].drive).rows[0]
    line = _plan(_DRUM + _ROOM).document()["lines"][0]
    assert (line["product"], line["size"]) == ("roller", f"{best.chain_number}-{best.strands}")
    assert line["pitches"] == best.pitches
    assert line["length_m"] == pytest.approx(float(best.numbers.length_m))
    assert line["drive"]["rows"][0]["teeth_small"] == best.teeth_small
    assert line["drive"]["sprockets"]["large"]["teeth"] == best.teeth_large


def test_room_for_the_sprocket_leads_to_two_strands():
    """The wide sprocket of one coarse strand does not fit, the duplex does."""
    assert _plan(_DRUM + _ROOM).document()["lines"][0]["size"] == "32A-2"


def test_pitches_open_to_the_duty():
    """The number of pitches names the line of the duty that it was chosen for."""
    derivation = _plan(_DRUM + _ROOM).document()["lines"][0]["derivation"]
    (pitches,) = [one for one in derivation if one["name"] == "pitches"]
    assert pitches["source"] == "chosen for the duty at order.toml:6"


def test_a_duty_that_no_chain_does_is_told():
    with pytest.raises(CannotPlan, match="no drive is admissible"):
        _plan('power = "9000 kW"\ndriver_speed = "20 rpm"\nratio = 3\nshock = "smooth"\n')


def test_the_folder_holds_the_page_of_the_drive(tmp_path):
    order = demo_order()
    assert order.lines[1].drive is not None
    plan = _plan(_DRUM + _ROOM)
    names = {path.name for path in write_plan(plan, tmp_path / "plan")}
    assert "drive.pdf" in names
    assert (tmp_path / "plan" / "drive.pdf").read_bytes().startswith(b"%PDF")
