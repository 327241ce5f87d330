"""Planning on from a lot of the demo: what was done is kept, what was measured holds."""

import json
from functools import cache

import numpy as np
import pytest

from linkwright.planning.draws import Ensemble
from linkwright.quantities import CannotPlan, InputErrors, Problem, UnknownName
from linkwright.route import Conditions, Finding, walk
from linkwright.services.continuing_plan import LotPlan, measurable, plan_from_lot
from linkwright.services.opening import open_in_document
from linkwright.services.planning import OrderPlan, plan_order
from linkwright.works import demo_line_bytes, demo_line_order, demo_works, order_of_bytes
from linkwright.works.lot import lot_of_bytes

ENSEMBLE = Ensemble(lots=64, pairs=2)
OPERATIONS = (
    "receiving", "drawing", "straightening", "cutting", "forming", "welding", "hardening",
    "quenching", "tempering", "calibrating", "marking",
)  # fmt: skip


@cache
def from_rod() -> OrderPlan:
    return plan_order(demo_line_order(), demo_works(), ensemble=ENSEMBLE)


@cache
def from_lot(after: str, body: str = "") -> LotPlan:
    head = f'[lot]\nnumber = "L-1"\norder = "Q-1042"\nafter = "{after}"\n'
    lot = lot_of_bytes((head + body).encode())
    return plan_from_lot(demo_line_order(), demo_works(), lot, ENSEMBLE)


def settings(plan: OrderPlan) -> dict[str, float]:
    return {
        f"{key.split('/')[1]}.{one.name}": float(one.value)
        for key, set_up in plan.lines[0].plan.settled.set_ups.items()
        for one in set_up.settings
        if not isinstance(one.value, str)
    }


def finding(plan: OrderPlan, operation: str, subject: str) -> Finding:
    (step,) = (s for key, s in plan.lines[0].plan.steps.items() if key.endswith(f"/{operation}"))
    return step.finding(subject)


def refused(body: str, after: str = "drawing") -> list[Problem]:
    with pytest.raises(InputErrors) as caught:
        from_lot(after, body)
    return list(caught.value.found)


@pytest.mark.parametrize("after", OPERATIONS)
def test_a_lot_made_as_planned_has_the_rest_of_the_plan(after: str) -> None:
    """With nothing measured, settings and members of the rest are those of the plan."""
    whole, rest = settings(from_rod()), settings(from_lot(after))
    assert rest
    assert rest == pytest.approx({name: whole[name] for name in rest}, rel=1e-6)
    mine, theirs = (plan.lines[0].plan for plan in (from_lot(after), from_rod()))
    assert mine.chance.chance == pytest.approx(theirs.chance.chance, abs=1e-9)
    for subject, values in mine.results.items():
        if subject in theirs.results and not subject.startswith("incoming_"):
            assert np.allclose(values, theirs.results[subject], rtol=1e-9)


@pytest.mark.parametrize("after", OPERATIONS)
def test_exactly_the_nominal_stock_has_the_rest_of_the_plan(after: str) -> None:
    """With every field measured at its nominal value the settings agree to 1e-6."""
    done = from_lot(after).rest.start.done
    names = [name for name in measurable(done) if name != "temper_temperature_degC"]
    stock, step = done.step.stock, done.step
    values = {n: float(stock[n] if n in stock else step.finding(n).value) for n in names}
    body = "[measured]\n" + "".join(f"{name} = {value!r}\n" for name, value in values.items())
    plan = from_lot(after, body)
    whole, rest = settings(from_rod()), settings(plan)
    assert rest == pytest.approx({name: whole[name] for name in rest}, rel=1e-6)
    assert set(names) <= plan.rest.start.stock.measured


@pytest.mark.parametrize(
    ("after", "body"),
    [
        ("drawing", "[measured]\nwire_diameter_mm = 8.12\n[done]\ndrawing.die_diameter_mm = 8.1\n"),
        ("welding", "[measured]\npitch_mm = 23.3\n"),
        ("hardening", "[measured]\nstraight_temperature_degC = 925\n"),
        ("tempering", "[measured]\nhardness_HV = 368\n"),
    ],
)
def test_no_number_of_the_rest_lost_its_source(after: str, body: str) -> None:
    """Every number opens down to a line of a file or a row of a table."""
    entries = from_lot(after, body).lines[0].plan.derivation.entries
    assert [entry.id for entry in entries.values() if entry.kind == "bare"] == []


PYROMETER = (
    "[measured]\nstraight_temperature_degC = 925\n"
    "[measured_spread]\nstraight_temperature_degC = 3\n"
)
WIRE = "[measured]\nwire_diameter_mm = 8.12\n[measured_spread]\nwire_diameter_mm = 0.006\n"


def test_thick_wire_keeps_the_pitch_by_its_cut_length() -> None:
    """Wire of 8.12 mm: the cut length is asked anew, the pitch is right, the wire is not."""
    plan, whole = from_lot("drawing", WIRE), from_rod()
    assert float(finding(plan, "inspection", "pitch_mm").value) == pytest.approx(24.0, abs=1e-4)
    assert float(finding(plan, "inspection", "material_diameter_mm").value) == 8.12
    mine, theirs = settings(plan), settings(whole)
    # a thicker wire in a link of the same pitch and width: its centreline, by hand
    stretch = float(finding(plan, "hardening", "hot_stretch_percent").value) / 100
    p = float(finding(plan, "calibrating", "pitch_before_mm").value) / (1 + stretch)
    w = 26.896
    centreline = np.pi * (w - 8.12) + 2 * (p + 2 * 8.12 - w)
    assert mine["cutting.cut_length_mm"] == pytest.approx(centreline + 0.25 * 8.12, abs=2e-3)
    assert abs(mine["cutting.cut_length_mm"] - theirs["cutting.cut_length_mm"]) > 0.05
    assert mine["tempering.temperature_degC"] > theirs["tempering.temperature_degC"] + 5.0


def test_thick_wire_moves_a_verdict() -> None:
    """The inner width shrinks by twice the wire's excess and comes close to its limit."""
    inner = finding(from_lot("drawing", WIRE), "inspection", "inner_width_mm")
    assert float(inner.value) == pytest.approx(26.896 - 2 * 8.12, abs=1e-6)
    assert (inner.verdict, finding(from_rod(), "inspection", "inner_width_mm").verdict) == (
        "close",
        "within",
    )


def test_wire_out_of_tolerance_is_outside_whatever_is_set() -> None:
    """Wire of 8.40 mm cannot be made thinner: the diameter's finding says so."""
    plan = from_lot("drawing", "[measured]\nwire_diameter_mm = 8.40\n")
    assert finding(plan, "inspection", "material_diameter_mm").verdict == "outside"
    assert float(finding(plan, "inspection", "pitch_mm").value) == pytest.approx(24.0, abs=1e-3)
    assert not plan.passes


def test_a_measured_number_opens_to_its_line() -> None:
    """The wire in the last finding is line 6 of the lot file."""
    document = from_lot("drawing", WIRE).document()
    assert open_in_document(document, "material_diameter_mm").entries[0]["source"] == (
        "lot.toml:6 [measured] wire_diameter_mm"
    )
    lines = {entry["source"] for entry in open_in_document(document, "cut_length_mm").sources}
    assert "lot.toml:6 [measured] wire_diameter_mm" in lines


def test_members_have_the_measured_spread_and_no_other() -> None:
    """The wire varies by the gauge's spread; the bench's own scatter is gone."""
    plan = from_lot("drawing", WIRE).lines[0].plan
    wire = plan.results["material_diameter_mm"]
    assert wire.mean() == pytest.approx(8.12, abs=1e-9)
    assert wire.std() == pytest.approx(0.006, rel=0.05)
    assert "lot/wire/drawing/wire_diameter_mm" not in plan.members.scatter
    spread = plan.members.scatter["link/wire/drawing/wire_diameter_mm"]
    assert (spread.sd, spread.source) == (0.006, "lot.toml:8")
    # what was not measured keeps its scatter
    assert "lot/wire/receiving/tensile_strength_MPa" in plan.members.scatter


def test_without_a_spread_every_link_is_alike() -> None:
    """A field with no measured spread does not vary, and nothing else stops varying."""
    plan = from_lot("drawing", "[measured]\nwire_diameter_mm = 8.12\n").lines[0].plan
    assert np.ptp(plan.results["material_diameter_mm"]) == 0.0
    assert np.ptp(plan.results["pitch_mm"]) > 0.1


@pytest.mark.filterwarnings("ignore::linkwright.catalogue.ValidityWarning")
@pytest.mark.parametrize(
    ("after", "body"),
    [
        ("drawing", WIRE),
        ("hardening", PYROMETER),
        ("tempering", "[measured]\nhardness_HV = 368\n[measured_spread]\nhardness_HV = 4\n"),
    ],
)
def test_a_member_run_singly_equals_the_ensemble(after: str, body: str) -> None:
    """Each member starts from its own stock on the bench, measured and modelled fields."""
    made = from_lot(after, body)
    plan, route = made.lines[0].plan, made.rest.route
    subjects = ("breaking_force_kN", "pitch_mm", "material_diameter_mm")
    for lot, link in ((0, 0), (17, 3), (63, 1)):
        draws = {
            name: np.array([[draw[lot, min(link, draw.shape[1] - 1)]]])
            for name, draw in plan.members.draws.items()
        }
        single = Conditions(plan.members.scatter, plan.members.factors, draws)
        last = walk(route, plan.settled.set_ups, single)["chain/inspection"]
        for subject in subjects:
            value = np.broadcast_to(plan.results[subject], (64, 4))[lot, link]
            own = np.asarray(last.finding(subject).value).item()
            assert own == pytest.approx(float(value), rel=1e-9)


def test_lot_hardened_at_925_degrees_as_used() -> None:
    """The setting that was used is kept; current and quench follow from it."""
    plan = from_lot("hardening", "[done]\nhardening.temperature_degC = 925\n")
    done = {(one["operation"], one["name"]): one for one in plan.document()["lot"]["done"]}
    assert done["hardening", "temperature_degC"]["how"] == "given"
    assert done["hardening", "temperature_degC"]["source"] == "lot.toml:6"
    current = done["hardening", "coil_current_A"]
    assert current["how"] == "solved"
    assert current["value"] < settings(from_rod())["hardening.coil_current_A"] - 20.0
    assert "hardening.temperature_degC" not in settings(plan)
    whole = finding(from_rod(), "quenching", "ring_exit_temperature_degC")
    assert float(finding(plan, "quenching", "ring_exit_temperature_degC").value) < float(
        whole.value
    )


def test_lot_hardened_at_925_degrees_as_measured() -> None:
    """A pyrometer's reading fits the coil's model: every zone follows, to its own line."""
    plan = from_lot("hardening", PYROMETER)
    step = plan.rest.start.done.step
    # resistivity steps from kelvin to kelvin, so the reading may fall into a step of the result
    assert float(step.finding("straight_temperature_degC").value) == pytest.approx(925, abs=5e-3)
    cooler = step.finding("contact_temperature_degC").value
    assert float(cooler) < float(finding(from_rod(), "hardening", "contact_temperature_degC").value)
    entries = plan.lines[0].plan.derivation.behind(
        finding(plan, "quenching", "ring_exit_temperature_degC").entry
    )
    assert "lot.toml:6 [measured] straight_temperature_degC" in {one.source for one in entries}


@pytest.mark.filterwarnings("ignore::linkwright.catalogue.ValidityWarning")
def test_members_have_the_spread_of_a_reading() -> None:
    """The section varies as the pyrometer's reading does; current and speed move it no more."""
    plan = from_lot("hardening", PYROMETER)
    stock = plan.rest.start.members(plan.lines[0].plan.members)
    straight = np.asarray(stock["section_temperature_degC"])[:, 0].mean(axis=0)
    assert straight.shape == (64, 1)
    assert straight.std() == pytest.approx(3.0, rel=0.05)


def test_a_hardness_that_was_measured_gives_the_strength() -> None:
    """368 HV is softer than planned: strength falls with it, model doubts of the temper go."""
    plan, whole = from_lot("tempering", "[measured]\nhardness_HV = 368\n"), from_rod()
    brought = finding(plan, "calibrating", "incoming_tensile_strength_MPa")
    planned = float(finding(whole, "tempering", "tensile_strength_MPa").value)
    assert float(brought.value) < planned - 10.0
    assert brought.least is not None
    assert brought.verdict == "within"
    assert "breaking_force_kN" in brought.source
    spread = [one.lines[0].plan.results["breaking_force_kN"].std() for one in (plan, whole)]
    assert spread[0] < 0.85 * spread[1]


def test_closed_links_measured_at_23_30() -> None:
    """A pitch that is too short cannot be set any more: a finding with limits asked back."""
    plan = from_lot("welding", "[measured]\npitch_mm = 23.30\n[measured_spread]\npitch_mm = 0.05\n")
    brought = finding(plan, "hardening", "incoming_pitch_mm")
    assert float(brought.value) == 23.30
    assert brought.note == "asked of the lot: 23.5693"
    end = finding(plan, "inspection", "pitch_mm")
    # hot stretch 0.13 % and the calibrator's set stand between the two
    assert float(end.value) == pytest.approx(23.30 * 1.0013 + 0.41, abs=0.02)
    assert settings(plan)["tempering.temperature_degC"] == pytest.approx(
        settings(from_rod())["tempering.temperature_degC"], abs=5.0
    )


@pytest.mark.parametrize("side", ["least", "greatest"])
def test_limits_asked_back_are_the_limits_of_the_end(side: str) -> None:
    """A lot at the limit that was asked back ends at the standard's own limit."""
    pitch = float(getattr(finding(from_lot("welding"), "hardening", "incoming_pitch_mm"), side))
    plan = from_lot("welding", f"[measured]\npitch_mm = {pitch!r}\n")
    end = finding(plan, "inspection", "pitch_mm")
    assert float(end.value) == pytest.approx(float(getattr(end, side)), abs=0.002)


def test_what_an_operation_makes_itself_is_not_asked_of_the_lot() -> None:
    """Rod of 8.5 mm is not blamed for not being wire of 8.05 mm."""
    subjects = {
        one.subject for step in from_lot("receiving").lines[0].plan.steps.values()
        for one in step.findings
    }  # fmt: skip
    assert not [subject for subject in subjects if subject.startswith("incoming_")]


def test_settings_not_stated_are_those_of_the_plan() -> None:
    """Pieces cut to the plan's length for planned wire keep it, whatever the wire is."""
    plan = from_lot("cutting", "[done]\ndrawing.die_diameter_mm = 8.1\n")
    done = {(one["operation"], one["name"]): one for one in plan.document()["lot"]["done"]}
    planned = settings(from_rod())["cutting.cut_length_mm"]
    assert done["cutting", "cut_length_mm"]["value"] == pytest.approx(planned, rel=1e-12)
    assert done["cutting", "cut_length_mm"]["source"] == "the plan from the rod"
    assert float(plan.rest.start.stock["wire_diameter_mm"]) == 8.1
    assert finding(plan, "forming", "incoming_cut_length_mm").note.startswith("asked of the lot")


def test_settings_of_the_order_hold_beside_those_that_were_used() -> None:
    """An angle that the order fixes stays, where the lot states only the die."""
    raw = demo_line_bytes() + b"\n[line.settings]\ndrawing.die_half_angle_deg = 7.0\n"
    lot = lot_of_bytes(
        b'[lot]\nnumber = 1\norder = "Q-1042"\nafter = "drawing"\n'
        b"[done]\ndrawing.die_diameter_mm = 8.1\n"
    )
    plan = plan_from_lot(order_of_bytes(raw), demo_works(), lot, ENSEMBLE)
    done = {one["name"]: one["value"] for one in plan.document()["lot"]["done"]}
    assert (done["die_diameter_mm"], done["die_half_angle_deg"]) == (8.1, 7.0)


def test_units_of_the_lot_file_are_free() -> None:
    """A gauge may read in inches."""
    plan = from_lot("drawing", '[measured]\nwire_diameter = "0.32 in"\n')
    wire = finding(plan, "inspection", "material_diameter_mm")
    assert float(wire.value) == pytest.approx(8.128, rel=1e-12)


def test_document_says_what_was_measured_modelled_done_and_asked() -> None:
    """plan.json names the lot, each measured field with its line, and what the models filled."""
    made = from_lot("drawing", WIRE).document()
    json.dumps(made, allow_nan=False)
    lot = made["lot"]
    assert len(made["hashes"]["lot"]) == 64
    assert (lot["number"], lot["after"]) == ("L-1", "drawing")
    assert lot["measured"] == [
        {
            "name": "wire_diameter_mm", "value": 8.12, "unit": "mm", "spread": 0.006,
            "level": "link", "source": "lot.toml:6",
            "entry": "lot.toml:6 [measured] wire_diameter_mm|wire_diameter_mm",
        }
    ]  # fmt: skip
    assert "prestrain" in lot["modelled"]
    assert "wire_diameter_mm" not in lot["modelled"]
    assert {"name": "wire_diameter_mm", "asked": 8.048, "has": 8.12} in lot["asked"]
    first = made["lines"][0]["steps"][0]
    assert first["operation"] == "straightening"
    assert "wire_diameter_mm" in first["stock"]["measured"]


def test_the_command_may_say_where_the_lot_lies() -> None:
    """``after`` of the call takes the place of the file's own."""
    lot = lot_of_bytes(b'[lot]\nnumber = 1\norder = "Q-1042"\n')
    plan = plan_from_lot(demo_line_order(), demo_works(), lot, ENSEMBLE, after="marking")
    assert list(plan.lines[0].plan.steps) == ["chain/inspection", "chain/packing"]
    with pytest.raises(UnknownName, match="marking"):
        plan_from_lot(demo_line_order(), demo_works(), lot, ENSEMBLE, after="markng")


def test_a_lot_that_lies_nowhere_is_refused() -> None:
    """Neither file nor call says after which operation."""
    lot = lot_of_bytes(b'[lot]\nnumber = 1\norder = "Q-1042"\n')
    with pytest.raises(InputErrors, match=r"lot\.toml:1: lot\.after: is missing"):
        plan_from_lot(demo_line_order(), demo_works(), lot, ENSEMBLE)


def test_after_the_last_operation_nothing_is_left() -> None:
    """A lot that was inspected is not planned on."""
    with pytest.raises(CannotPlan, match="nothing is left to plan after inspection"):
        from_lot("inspection")


@pytest.mark.parametrize(
    ("body", "words", "accepted"),
    [
        ("[measured]\nwire_diametr_mm = 8.1\n", "cannot be measured on what lies there after "
         "drawing", "wire_diameter_mm"),
        ("[measured]\npitch_mm = 23.3\n", "cannot be measured", ""),
        ("[measured]\nwire_diameter_mm = 0.812\n", "far from the 8.048", "4.024 to 16.1 mm"),
        ("[done]\nwelding.weld_time_s = 0.4\n", "is not done after drawing", "drawing"),
        ("[done]\ndrawing.die_diametr_mm = 8.1\n", "is no setting of drawing", "die_diameter_mm"),
    ],
)  # fmt: skip
def test_what_does_not_fit_the_route_is_refused(body: str, words: str, accepted: str) -> None:
    """File, line and key, and what would be accepted."""
    (problem,) = refused(body)
    assert (problem.file, problem.line) == ("lot.toml", 6)
    assert words in problem.message
    assert accepted in (problem.accepted or "")


def test_two_readings_of_one_setting_are_refused() -> None:
    """Hardness and temperature both say how the temper ran: one of the two."""
    (problem,) = refused(
        "[measured]\nhardness_HV = 370\ntemper_temperature_degC = 550\n", "tempering"
    )
    assert "hardness_HV is given too" in problem.message


def test_a_reading_that_no_setting_gives_cannot_be_planned_on() -> None:
    """A straight at 1800 °C is beyond what the coil's model can be fitted to."""
    with pytest.raises(CannotPlan, match="no coil_current_A from"):
        from_lot("hardening", "[measured]\nstraight_temperature_degC = 1800\n")


@pytest.mark.parametrize(
    ("head", "words"),
    [
        ('order = "Q-1"\n', "'Q-1' is not the order that is planned"),
        ('order = "Q-1042"\nline = "2"\n', "'2' is no line of the order"),
    ],
)
def test_a_lot_of_another_order_is_refused(head: str, words: str) -> None:
    """The lot file says which order and line it belongs to."""
    lot = lot_of_bytes(f'[lot]\nnumber = 1\n{head}after = "drawing"\n'.encode())
    with pytest.raises(InputErrors, match=words):
        plan_from_lot(demo_line_order(), demo_works(), lot, ENSEMBLE)
