"""Evidence, proposal, decision: what stands against a release, and who may decide."""

from collections.abc import Callable
from typing import Any

import pytest
from kept_books import MEANS, Books

from linkwright.records.deciding import evidence
from linkwright.records.kinds import Lot
from linkwright.records.testing import standing
from linkwright.records.writing import found


def held(books: Books) -> dict[str, Any]:
    with books.store.reading() as session:
        return evidence(session, found(session, Lot, "L1"), MEANS.judge, "2026-11-25")


def against(books: Books) -> str:
    return "; ".join(
        f"{one['condition']}: {one['against']}"
        for one in held(books)["conditions"]
        if not one["met"]
    )


def test_two_people_release_a_lot_with_its_evidence(both: Books) -> None:
    """Proposed by one, decided by another; the evidence that was signed is kept."""
    both.released()
    assert both.state("lot:L1") == "released"
    row = both.store
    with row.reading() as session:
        from linkwright.records.kinds import Proposal

        kept = found(session, Proposal, "L1/1")
    assert (kept.proposed_by, kept.decided_by) == ("person:cleo", "person:dora")
    assert len(kept.evidence_digest) == 64


def test_one_alone_cannot_even_with_all_roles(books: Books, refused: Callable[..., Any]) -> None:
    """Unless the works' rule says so."""
    books.presented()
    books.tested()
    books.act("propose", "emil", lot="L1", disposition="release")
    with refused("another person decides"):
        books.act("decide", "emil", proposal="L1/1", agree=True)
    books.act("set_rule", "anna", rule="two_people", value=0, source="the works (invented)")
    books.act("decide", "emil", proposal="L1/1", agree=True)
    assert books.state("lot:L1") == "released"


def test_nobody_releases_on_tests_that_they_alone_recorded(
    books: Books, refused: Callable[..., Any]
) -> None:
    """Even where somebody else proposed."""
    books.presented()
    books.tested(person="emil")
    books.act("propose", "cleo", lot="L1", disposition="release")
    with refused("all tests of lot:L1 were recorded by person:emil"):
        books.act("decide", "emil", proposal="L1/1", agree=True)


@pytest.mark.parametrize(
    ("value", "verdict"), [(86.1, "met"), (80.6, "undecided"), (80.2, "undecided")]
)
def test_the_guard_band_decides_near_the_limit(books: Books, value: float, verdict: str) -> None:
    """80.4 kN with u = 0.3 kN: met from 80.89 on, by JCGM 106 with a risk of 5 %."""
    books.presented()
    books.tested(value)
    assert held(books)["requirements"][0]["verdict"] == verdict


def test_what_stands_against_a_release_is_said_and_refuses_it(
    books: Books, refused: Callable[..., Any]
) -> None:
    """No test, an open report, a held piece, an unsigned set-up."""
    books.presented()
    with refused("breaking force: no evidence"):
        books.act("propose", "cleo", lot="L1", disposition="release")
    books.tested()
    books.act("report", wording="a scratch", lot="L1")
    books.act("hold_piece", piece="L1-P1.2")
    books.act("change_set_up", set_up="O1/1/W07", settings=["current 11 kA"])
    with refused("cannot be released"):
        books.act("propose", "cleo", lot="L1", disposition="release")
    said = against(books)
    for word in ("awaits first article", "is open", "is held"):
        assert word in said


def test_changed_evidence_voids_a_proposal(books: Books, refused: Callable[..., Any]) -> None:
    """A calibration that fails between proposal and decision."""
    books.presented()
    books.tested()
    books.act("propose", "cleo", lot="L1", disposition="release")
    books.calibrated("2026-11-24", good=False)
    with refused("has changed since"):
        books.act("decide", "dora", proposal="L1/1", agree=True)


def test_metal_that_was_blocked_again_stands_against_a_release(books: Books) -> None:
    """A coil accepted, worked, and blocked later."""
    books.presented()
    books.act("block_coil", "cleo", coil="C1")
    assert "coil:C1 is blocked" in against(books)


def test_blocked_metal_is_not_worked(books: Books, refused: Callable[..., Any]) -> None:
    """Document and tag must agree, and our own checks."""
    books.line()
    books.act("start_lot", lot="L1", line="O1/1")
    books.act(
        "receive_coil",
        coil="C2",
        heat="H1",
        received_on="2026-11-02",
        mass_kg=900.0,
        diameter_mm=8.5,
        tag="H1/5",
        document_names="H1/6",
    )
    with refused("only accepted coils"):
        books.act("use_coil", lot="L1", coil="C2")
    row = books.act(
        "check_coil",
        "cleo",
        coil="C2",
        diameter_mm=8.8,
        tensile_strength_MPa=500.0,
        allowed_off_mm=0.1,
        least_MPa=550.0,
        greatest_MPa=700.0,
        surface_good=False,
    )[0]
    assert row["state"] == "refused"
    for word in ("the tag says H1/5", "diameter 8.8", "500 MPa", "surface"):
        assert word in row["own_check"]


def test_a_type_test_holds_within_its_band_only(books: Books, refused: Callable[..., Any]) -> None:
    """A change beyond it reopens; one inside is told to be none."""
    books.presented()
    books.tested()
    with refused("lies within 420 to 560"):
        books.act("reopen_type_test", "cleo", type_test="T8", quantity="temper_degC", value=500.0)
    books.act("reopen_type_test", "cleo", type_test="T8", quantity="temper_degC", value=600.0)
    assert "type_test:T8 is reopened" in against(books)


def test_gauges_out_of_calibration_or_range_give_no_evidence(books: Books) -> None:
    """And a failed recalibration names what it puts in doubt, certificates too."""
    books.released()
    books.act("issue_certificate", "dora", lot="L1")
    books.calibrated("2026-11-22", good=False)
    from linkwright.records.gauges import suspects

    with books.store.reading() as session:
        doubts = suspects(session, "P400")
    assert doubts[0]["lot"] == "lot:L1"
    assert doubts[0]["certificates"] == ["certificate:2026-00001"]
    assert "failed its next calibration of 2026-11-22" in doubts[0]["reason"]


@pytest.mark.parametrize(
    ("results", "retests", "again", "state"),
    [
        ([], 1, 2, "awaits samples"),
        ([(1, True)], 1, 2, "passed"),
        ([(1, False)], 0, 0, "failed"),
        ([(1, False)], 1, 2, "awaits retest samples"),
        ([(1, False), (2, True)], 1, 2, "awaits retest samples"),
        ([(1, False), (2, True), (2, True)], 1, 2, "passed"),
        ([(1, False), (2, True), (2, False)], 1, 2, "failed"),
    ],
)
def test_the_retest_is_a_state_machine(
    results: list[tuple[int, bool]], retests: int, again: int, state: str
) -> None:
    """Rounds by the works' rules, no more."""
    assert standing(1, results, retests, again).state == state


def test_there_is_no_silent_third_try(books: Books, refused: Callable[..., Any]) -> None:
    """After a failed retest only a decision leads on; rework begins a new cycle, results stay."""
    books.presented()
    for name, value in (("retests", 1), ("retest_samples", 1)):
        books.act("set_rule", "anna", rule=name, value=value, source="invented")
    books.tested(70.0)
    books.tested(71.0)
    with refused("no further try"):
        books.tested(90.0)
    books.act("propose", "cleo", lot="L1", disposition="rework")
    books.act("decide", "dora", proposal="L1/1", agree=True)
    assert books.state("lot:L1") == "in work"
    books.act("present_lot", lot="L1")
    books.tested(90.0)
    assert held(books)["requirements"][0]["state"] == "passed"
    assert books.state("test:L1/1") == "counts"


def test_a_passed_requirement_takes_no_more_results(
    books: Books, refused: Callable[..., Any]
) -> None:
    """Testing until one likes the answer is not possible either way."""
    books.presented()
    books.tested(86.0)
    with refused("has passed"):
        books.tested(90.0)


def test_who_recorded_a_result_cannot_take_it_out(
    books: Books, refused: Callable[..., Any]
) -> None:
    """Somebody else can, and it stays to be seen."""
    books.presented()
    books.tested(70.0, person="emil")
    with refused("somebody else takes it out"):
        books.act("void_test", "emil", test="L1/1")
    books.act("void_test", "cleo", "the grip slipped", test="L1/1")
    assert held(books)["requirements"][0]["results"][0]["void"] is True


def test_a_broken_sample_keeps_fracture_photo_and_judge(
    books: Books, refused: Callable[..., Any]
) -> None:
    """And a sample is tested once."""
    books.presented()
    row = books.tested(
        piece="L1-P1.1", fracture="ductile", judged_by="cleo", photo=b"\x89PNG invented"
    )
    assert row["judged_by"] == "person:cleo"
    assert len(row["photo"]) == 64
    with refused("judged by somebody"):
        books.act("void_test", "cleo", test="L1/1")
        books.tested(fracture="brittle")


def test_scrapping_a_lot_scraps_its_pieces(books: Books) -> None:
    """Tests stay tests; the sums hold."""
    books.presented()
    books.act("propose", "cleo", lot="L1", disposition="scrap")
    books.act("decide", "dora", proposal="L1/1", agree=True)
    sums = held(books)["balance"]
    assert (sums["scrap_mm"], sums["test_mm"], sums["difference_mm"]) == (99_000, 1000, 0)


def test_a_concession_wants_a_rule_of_the_works(books: Books, refused: Callable[..., Any]) -> None:
    """And is kept as what it is."""
    books.presented()
    books.tested(80.6)
    with refused("no concessions"):
        books.act("propose", "cleo", lot="L1", disposition="concession")
    books.act("set_rule", "anna", rule="concessions", value=1, source="invented")
    books.act("propose", "cleo", lot="L1", disposition="concession")
    books.act("decide", "dora", proposal="L1/1", agree=True)
    assert books.state("lot:L1") == "released"


def test_by_attributes_some_samples_may_lie_outside(books: Books) -> None:
    """As many as the plan accepts, no more."""
    books.presented()
    books.act(
        "ask_of_line",
        line="O1/1",
        characteristic="pitch",
        unit="mm",
        least=23.5,
        greatest=24.5,
        source="EN 818-2",
        samples=3,
        accept=1,
    )
    books.act("keep_gauge", "cleo", gauge="S1", measures="pitch", unit="mm")
    books.act(
        "calibrate",
        "cleo",
        gauge="S1",
        calibrated_on="2026-10-01",
        valid_until="2027-10-01",
        least=5.0,
        greatest=50.0,
        standard_uncertainty=0.01,
        good=True,
    )
    for value in (24.0, 24.9, 24.1):
        books.act(
            "record_test",
            lot="L1",
            characteristic="pitch",
            value=value,
            gauge="S1",
            tested_on="2026-11-20",
        )
    one = next(r for r in held(books)["requirements"] if r["characteristic"] == "pitch")
    assert (one["state"], one["verdict"]) == ("passed", "met")


@pytest.mark.parametrize(
    ("values", "verdict"), [((86.0, 86.5, 87.0), "met"), ((81.0, 90.0, 84.0), "not met")]
)
def test_by_variables_mean_and_spread_decide(
    books: Books, values: tuple[float, ...], verdict: str
) -> None:
    """(mean - L)/s >= k over all samples (ISO 3951)."""
    books.presented()
    books.act(
        "ask_of_line",
        line="O1/1",
        characteristic="hardness",
        unit="HV",
        least=80.4,
        source="invented",
        samples=3,
        k=1.5,
    )
    books.act("keep_gauge", "cleo", gauge="V1", measures="hardness", unit="HV")
    books.act(
        "calibrate",
        "cleo",
        gauge="V1",
        calibrated_on="2026-10-01",
        valid_until="2027-10-01",
        least=5.0,
        greatest=500.0,
        standard_uncertainty=0.1,
        good=True,
    )
    for value in values:
        books.act(
            "record_test",
            lot="L1",
            characteristic="hardness",
            value=value,
            gauge="V1",
            tested_on="2026-11-20",
        )
    one = next(r for r in held(books)["requirements"] if r["characteristic"] == "hardness")
    assert one["verdict"] == verdict


def test_a_gauge_that_is_too_coarse_gives_no_evidence(books: Books) -> None:
    """By the newest study up to the test and the rule of the works."""
    books.presented()
    books.tested()
    books.act(
        "keep_gauge_study",
        "cleo",
        gauge="P400",
        studied_on="2026-10-02",
        percent_of_tolerance=42.0,
        distinct_categories=2,
    )
    assert held(books)["requirements"][0]["state"] == "passed"
    books.act(
        "set_rule",
        "anna",
        rule="greatest_gauge_percent",
        value=30,
        source="common practice, no source",
    )
    one = held(books)["requirements"][0]
    assert one["state"] == "awaits samples"
    assert "42 % of the tolerance" in one["results"][0]["no_evidence"]


def test_a_setting_beyond_the_band_reopens_the_type_test(books: Books) -> None:
    """In the same act as the change of the set-up."""
    books.presented()
    books.act("change_set_up", set_up="O1/1/W07", settings=["temper_degC=500"])
    assert books.state("type_test:T8") == "valid"
    books.act("sign_first_article", "cleo", set_up="O1/1/W07", measured=["x"], good=True)
    books.act("change_set_up", set_up="O1/1/W07", settings=["temper_degC=600"])
    assert books.state("type_test:T8") == "reopened"
