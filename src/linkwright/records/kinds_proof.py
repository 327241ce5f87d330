"""What is asked of a lot, what was measured and with what, and what was decided."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from linkwright.records.base import Row, maybe, of


class Machine(Row):
    """A machine of the works."""

    __tablename__ = "machine"
    work: Mapped[str]


class Gauge(Row):
    """A gauge or test machine and the characteristic that it measures."""

    __tablename__ = "gauge"
    measures: Mapped[str]
    unit: Mapped[str]


class Calibration(Row):
    """One calibration: from when to when, over which range, with which standard uncertainty."""

    __tablename__ = "calibration"
    gauge_id: Mapped[str] = of("gauge")
    calibrated_on: Mapped[str]
    valid_until: Mapped[str]
    least: Mapped[float]
    greatest: Mapped[float]
    standard_uncertainty: Mapped[float]
    document: Mapped[str | None]


class GaugeStudy(Row):
    """A study of repeatability and reproducibility, as share of the tolerance."""

    __tablename__ = "gauge_study"
    gauge_id: Mapped[str] = of("gauge")
    studied_on: Mapped[str]
    percent_of_tolerance: Mapped[float]
    distinct_categories: Mapped[int]
    document: Mapped[str | None]


class SetUp(Row):
    """A machine set up for a line, by a card of the plan."""

    __tablename__ = "set_up"
    machine_id: Mapped[str] = of("machine")
    line_id: Mapped[str] = of("line")
    card_digest: Mapped[str]
    settings: Mapped[str]
    measured: Mapped[str | None]
    signed_by: Mapped[str | None] = maybe("person")


class TypeTest(Row):
    """A type test: valid for a size, steel and route within a band (canonical JSON)."""

    __tablename__ = "type_test"
    product: Mapped[str]
    standard: Mapped[str]
    grade: Mapped[str | None]
    size_mm: Mapped[float]
    steel: Mapped[str]
    route: Mapped[str]
    band: Mapped[str]
    tested_on: Mapped[str]
    valid_until: Mapped[str | None]
    document: Mapped[str | None]


class Requirement(Row):
    """What the lots of a line must show; `samples`: how many are tested.

    accept: samples of them that may lie outside (by attributes; none if left out). k: acceptance
    constant by variables: mean and spread of the samples decide together.
    """

    __tablename__ = "requirement"
    line_id: Mapped[str] = of("line")
    characteristic: Mapped[str]
    unit: Mapped[str]
    least: Mapped[float | None]
    greatest: Mapped[float | None]
    source: Mapped[str]
    samples: Mapped[int]
    accept: Mapped[int | None]
    k: Mapped[float | None]


class Test(Row):
    """One result. `fracture`: class of the break; `judged_by`: who judged it; `photo`: digest."""

    __tablename__ = "test"
    __test__ = False  # no test of ours, for those who collect such classes by name
    lot_id: Mapped[str] = of("lot")
    requirement_id: Mapped[str] = of("requirement")
    piece_id: Mapped[str | None] = maybe("piece")
    gauge_id: Mapped[str] = of("gauge")
    tested_on: Mapped[str]
    cycle: Mapped[int]
    round: Mapped[int]
    value: Mapped[float]
    fracture: Mapped[str | None]
    judged_by: Mapped[str | None] = maybe("person")
    photo: Mapped[str | None]


class Proposal(Row):
    """What one person proposes for a lot, and what another decides.

    evidence: canonical JSON of every requirement as it stood; evidence_digest is what is signed.
    """

    __tablename__ = "proposal"
    lot_id: Mapped[str] = of("lot")
    cycle: Mapped[int]
    disposition: Mapped[str]
    evidence: Mapped[str]
    evidence_digest: Mapped[str]
    proposed_by: Mapped[str] = of("person")
    decided_by: Mapped[str | None] = maybe("person")


class NonConformity(Row):
    """Something that is not as it should be, and what became of it."""

    __tablename__ = "non_conformity"
    lot_id: Mapped[str | None] = maybe("lot")
    piece_id: Mapped[str | None] = maybe("piece")
    coil_id: Mapped[str | None] = maybe("coil")
    wording: Mapped[str]
    cause: Mapped[str | None]
    action: Mapped[str | None]


class ChartLimits(Row):
    """Frozen limits of a control chart, a version each time they are set anew."""

    __tablename__ = "chart_limits"
    machine_id: Mapped[str] = of("machine")
    quantity: Mapped[str]
    limits: Mapped[str]


class Signal(Row):
    """A point out of control: it stays open until cause and action are said."""

    __tablename__ = "signal"
    chart_limits_id: Mapped[str] = of("chart_limits")
    limits_version: Mapped[int]
    point: Mapped[str]
    rule: Mapped[str]
    cause: Mapped[str | None]
    action: Mapped[str | None]


class FactorSet(Row):
    """The works' own factors of the planner's models, before and after tests (canonical JSON)."""

    __tablename__ = "factor_set"
    factors: Mapped[str]
    learned_from: Mapped[str]


class Certificate(Row):
    """A certificate: what it is of, its fingerprint, and what it replaces."""

    __tablename__ = "certificate"
    lot_id: Mapped[str] = of("lot")
    proposal_id: Mapped[str] = of("proposal")
    type: Mapped[str]
    fingerprint: Mapped[str]
    data: Mapped[str]
    paper: Mapped[str | None]
    replaces_id: Mapped[str | None] = maybe("certificate")
    reason: Mapped[str | None]


class CertifiedPiece(Row):
    """A piece that a certificate is for."""

    __tablename__ = "certified_piece"
    certificate_id: Mapped[str] = of("certificate")
    piece_id: Mapped[str] = of("piece")


class WithdrawalList(Row):
    """A published list of withdrawn certificates, numbered (its bytes are kept as content)."""

    __tablename__ = "withdrawal_list"
    number: Mapped[int]
    paper: Mapped[str]
