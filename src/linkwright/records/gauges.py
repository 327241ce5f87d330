"""Gauges, their calibration, and whether a result that they gave is evidence.

A result counts if the gauge measures that characteristic, if the newest calibration up to that day
was good and still held, covers the value, and if the calibration after it did not fail. `suspects`
lists what a failed one puts in doubt.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from linkwright.records.acts import CHECK, act
from linkwright.records.base import Row
from linkwright.records.errors import CannotRecord
from linkwright.records.given import day
from linkwright.records.kinds import Calibration, Certificate, Gauge, GaugeStudy, Requirement, Test
from linkwright.records.writing import Writing, all_latest, found, rule

GOOD, BAD = "good", "failed"


@act(CHECK)
def keep_gauge(writing: Writing, *, gauge: str, measures: str, unit: str) -> list[Row]:
    """Enter a gauge or test machine and the characteristic that it measures."""
    return [writing.new(Gauge, gauge, state="in use", measures=measures, unit=unit)]


@act(CHECK)
def retire_gauge(writing: Writing, *, gauge: str, seen: int | None = None) -> list[Row]:
    """Take a gauge out of use."""
    return [writing.next(found(writing.session, Gauge, gauge), state="retired", seen=seen)]


@act(CHECK)
def calibrate(
    writing: Writing, *, gauge: str, calibrated_on: str, valid_until: str, least: float,
    greatest: float, standard_uncertainty: float, good: bool, document: str | None = None,
) -> list[Row]:  # fmt: skip
    """Enter a calibration, good or failed: its range and standard uncertainty, in the unit."""
    of = found(writing.session, Gauge, gauge)
    begun, ends = day(calibrated_on, "calibrated_on"), day(valid_until, "valid_until")
    if begun > ends or begun > writing.today:
        raise CannotRecord("a calibration was made by today and ends after it was made")
    if not (least <= greatest and standard_uncertainty >= 0):
        raise CannotRecord("least is not above greatest, and an uncertainty is not negative")
    number = writing.next_of(Calibration, gauge_id=of.id)
    return [
        writing.new(
            Calibration, f"{of.name}/{number}", state=GOOD if good else BAD, gauge_id=of.id,
            calibrated_on=begun, valid_until=ends, least=least, greatest=greatest,
            standard_uncertainty=standard_uncertainty, document=document,
        )
    ]  # fmt: skip


@act(CHECK)
def keep_gauge_study(
    writing: Writing, *, gauge: str, studied_on: str, percent_of_tolerance: float,
    distinct_categories: int, document: str | None = None,
) -> list[Row]:  # fmt: skip
    """Keep a gauge study (`linkwright calc gauge_study_anova`): its share of the tolerance."""
    of = found(writing.session, Gauge, gauge)
    if not percent_of_tolerance >= 0 or distinct_categories < 0:
        raise CannotRecord("share and categories are not negative")
    number = writing.next_of(GaugeStudy, gauge_id=of.id)
    return [
        writing.new(
            GaugeStudy, f"{of.name}/{number}", gauge_id=of.id, document=document,
            studied_on=day(studied_on, "studied_on"), percent_of_tolerance=percent_of_tolerance,
            distinct_categories=distinct_categories,
        )
    ]  # fmt: skip


def no_evidence(session: Session, test: Test) -> str:
    """Why a result is no evidence, in words; empty if it is."""
    gauge = found(session, Gauge, test.gauge_id)
    wanted = found(session, Requirement, test.requirement_id)
    if gauge.measures != wanted.characteristic or gauge.unit != wanted.unit:
        return (
            f"{gauge.id} measures {gauge.measures} in {gauge.unit}, not "
            f"{wanted.characteristic} in {wanted.unit}"
        )
    coarse = _too_coarse(session, gauge, test.tested_on)
    if coarse:
        return coarse
    before, after = around(session, gauge.id, test.tested_on)
    if before is None:
        return f"{gauge.id} was not calibrated by {test.tested_on}"
    doubts = {
        f"{gauge.id} failed its calibration of {before.calibrated_on}": before.state == BAD,
        f"{gauge.id} was out of calibration since {before.valid_until}": (
            before.valid_until < test.tested_on
        ),
        f"{gauge.id} was calibrated from {before.least:g} to {before.greatest:g} only": not (
            before.least <= test.value <= before.greatest
        ),
    }
    if after is not None and after.state == BAD:
        doubts[f"{gauge.id} failed its next calibration of {after.calibrated_on}"] = True
    return next((said for said, true in doubts.items() if true), "")


def _too_coarse(session: Session, gauge: Gauge, on: str) -> str:
    """Whether the newest study by a day exceeds the works' rule; without a rule nothing does."""
    limit = rule(session, "greatest_gauge_percent", 0)
    held = [
        study
        for study in all_latest(session, GaugeStudy, gauge_id=gauge.id)
        if study.studied_on <= on
    ]
    newest = max(held, key=lambda study: (study.studied_on, study.sequence), default=None)
    if not limit or newest is None or newest.percent_of_tolerance <= limit:
        return ""
    return (
        f"{gauge.id} takes {newest.percent_of_tolerance:g} % of the tolerance "
        f"({newest.studied_on}); the works allows {limit} %"
    )


def uncertainty_of(session: Session, test: Test) -> float:
    """The standard uncertainty of a result by the gauge's calibration; 0 if there is none."""
    before, _ = around(session, test.gauge_id, test.tested_on)
    return before.standard_uncertainty if before else 0.0


def suspects(session: Session, gauge: str) -> list[dict[str, Any]]:
    """Every result of a gauge that is no evidence, with its lot, the certificates, the reason."""
    ident = found(session, Gauge, gauge).id
    said = []
    for test in all_latest(session, Test, gauge_id=ident):
        reason = no_evidence(session, test)
        if reason:
            papers = [row.id for row in all_latest(session, Certificate, lot_id=test.lot_id)]
            said.append({
                "test": test.id, "lot": test.lot_id, "tested_on": test.tested_on,
                "certificates": papers, "reason": reason,
            })  # fmt: skip
    return said


def around(session: Session, gauge: str, on: str) -> tuple[Calibration | None, Calibration | None]:
    """The newest calibration up to a day, and the first one after it."""
    held = sorted(
        all_latest(session, Calibration, gauge_id=gauge),
        key=lambda row: (row.calibrated_on, row.sequence),
    )
    upto = [row for row in held if row.calibrated_on <= on]
    later = [row for row in held if row.calibrated_on > on]
    return (upto[-1] if upto else None), (later[0] if later else None)
