"""Goods-in for parts of roller chain: paper against limits, own checks, the heat on its way."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from linkwright.materials.steels import steel
from linkwright.planning.draws import Ensemble, drawn
from linkwright.planning.plan import nominal
from linkwright.route import walk
from linkwright.services.chain_jobs import chain_job, machines_of
from linkwright.services.line_jobs import job_to_plan
from linkwright.works import Works, demo_bytes, demo_works, order_of_bytes, works_of_bytes

ORDER = (
    '[order]\nnumber = "Q"\ncustomer = "invented"\ndue = 2026-12-18\n[[line]]\n'
    'product = "roller"\nstandard = "ISO 606"\nsize = "16B"\nlength = "300 m"\n'
)


def _job(works: Works) -> Any:
    line = order_of_bytes(ORDER.encode(), "order.toml").lines[0]
    return job_to_plan(line, works, chain_job(line, works, machines_of(line, works)))


def _works(*replaced: tuple[str, str]) -> Works:
    """The demo works with texts replaced in the steel of bushings, strip 16MnCr5."""
    text = demo_bytes("works.toml").decode()
    start = text.index('name                 = "strip 16MnCr5"')
    end = text.index("[[steel]]", start)
    part = text[start:end]
    for old, new in replaced:
        assert part.count(old) == 1
        part = part.replace(old, new)
    return works_of_bytes((text[:start] + part + text[end:]).encode())


def _received(works: Works, branch: str = "bushing") -> Any:
    return nominal(lambda: _job(works)).steps[f"{branch}/receiving"]


def test_the_certificate_is_held_against_the_grade():
    """Within EN ISO 683-3 (remembered) as delivered; too much carbon is outside and said so."""
    usual = _received(demo_works())
    assert {one.verdict for one in usual.findings if one.source.startswith("EN ISO")} == {"within"}
    rich = _received(_works(("C_percent  = 0.16", "C_percent  = 0.21"))).finding("C_percent")
    assert rich.verdict == "outside"
    assert (rich.least, rich.greatest) == steel("16MnCr5").limits["C"]
    assert "16MnCr5" in rich.source


def test_a_grade_that_is_not_held_is_judged_by_nothing():
    own = _received(_works(('grade                = "16MnCr5"', 'grade = "our own"')))
    assert not [one for one in own.findings if one.subject == "C_percent"]


def test_own_checks_stand_on_the_card_with_their_tolerance():
    set_up = nominal(lambda: _job(demo_works())).set_ups["pin/receiving"]
    rows = {one.name: one for one in set_up.settings}
    assert rows["C_percent"].tolerance == 0.02
    assert "spectrometer" in rows["C_percent"].check
    assert rows["diameter_mm"].tolerance > 0.0
    # ISO 18265: 620 MPa is 193 HV
    assert float(rows["received_hardness_HV"].value) == pytest.approx(193.0, abs=1.0)
    assert rows["received_hardness_HV"].tolerance == 12.0
    assert "certificate" in rows


def test_a_works_without_tolerances_judges_no_size_and_takes_no_time():
    text = demo_bytes("works.toml").decode()
    for line in ("received_size_tolerance_percent", "received_hardness_tolerance_HV",
                 "heat_check_time_min"):  # fmt: skip
        start = text.index(line)
        text = text[:start] + text[text.index("\n", start) + 1 :]
    step = _received(works_of_bytes(text.encode()))
    assert step.finding("received_plate_thickness_mm").verdict == "no limit given"
    assert step.use == {}
    assert _received(demo_works()).use["machine_time_h"] > 0.0


def test_the_heat_reaches_hardness_and_case():
    """A spread of its own of one element, alone in the ensemble, moves what hardening gives."""
    job = _job(demo_works())
    settled = nominal(lambda: job)
    draws = drawn(job.conditions.scatter.values(), job.conditions.factors.values(),
                  Ensemble(lots=32)).draws  # fmt: skip
    for branch, place, subject in (
        ("inner_plate", "inner_plate/plate_hardening", "quenched_hardness_HV"),
        ("inner_plate", "outer_plate/plate_hardening", "quenched_hardness_HV"),
        ("bushing", "bushing/case_hardening", "case_depth_mm"),
        ("bushing", "bushing/case_hardening", "core_hardness_HV"),
        ("pin", "pin/case_hardening", "retained_austenite_percent"),
    ):
        moved = f"heat/{branch}/receiving/C_percent"
        still = {name: draw if name == moved else np.zeros_like(draw)
                 for name, draw in draws.items()}  # fmt: skip
        conditions = type(job.conditions)(job.conditions.scatter, job.conditions.factors, still)
        value = np.asarray(walk(job.route, settled.set_ups, conditions)[place]
                           .finding(subject).value)  # fmt: skip
        assert np.corrcoef(value[:, 0], draws[moved][:, 0])[0, 1] > 0.95, (place, subject)


def test_the_steels_own_spread_goes_before_the_usual_one():
    spread = _works(("[steel.analysis]", "[steel.spread]\nC_percent = 0.011\n\n[steel.analysis]"))
    scatter = _job(spread).conditions.scatter["heat/bushing/receiving/C_percent"]
    assert scatter.sd == 0.011
    assert "works.toml" in scatter.source


def test_one_heat_is_analysed_once():
    """Outer plates are of the heat of inner ones: their card says so and judges it no more."""
    settled = nominal(lambda: _job(demo_works()))
    inner, outer = (settled.set_ups[f"{side}_plate/receiving"] for side in ("inner", "outer"))
    assert "C_percent" in inner
    assert "C_percent" not in outer
    assert "inner plate" in outer["analysis"]
    subjects = {one.subject for one in settled.steps["outer_plate/receiving"].findings}
    assert subjects == {"received_plate_thickness_mm", "received_tensile_strength_MPa"}
