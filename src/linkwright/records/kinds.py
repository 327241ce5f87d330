"""Every kind of record, in one place: `KINDS` by its word."""

from __future__ import annotations

from linkwright.records.base import Row
from linkwright.records.kinds_metal import Coil, Heat, Lot, LotCoil, Piece, Repair
from linkwright.records.kinds_people import Paper, Person, Rule
from linkwright.records.kinds_proof import (
    Calibration,
    Certificate,
    CertifiedPiece,
    ChartLimits,
    FactorSet,
    Gauge,
    GaugeStudy,
    Machine,
    NonConformity,
    Proposal,
    Requirement,
    SetUp,
    Signal,
    Test,
    TypeTest,
    WithdrawalList,
)
from linkwright.records.kinds_trade import (
    Amendment,
    Claim,
    Customer,
    Delivery,
    Enquiry,
    Line,
    Order,
    Position,
    Quotation,
)

_ALL: tuple[type[Row], ...] = (
    Person, Rule, Paper, Customer, Enquiry, Quotation, Order, Line, Amendment, Heat, Coil, Machine,
    SetUp, TypeTest, Lot, LotCoil, Piece, Repair, Gauge, Calibration, GaugeStudy, Requirement, Test,
    Proposal,
    NonConformity, ChartLimits, Signal, FactorSet, Certificate, CertifiedPiece, WithdrawalList,
    Delivery, Position, Claim,
)  # fmt: skip
KINDS: dict[str, type[Row]] = {kind.__tablename__: kind for kind in _ALL}
"""The kinds of record by their word, which begins the id of each thing."""
__all__ = [
    "KINDS",
    "Amendment",
    "Calibration",
    "Certificate",
    "CertifiedPiece",
    "ChartLimits",
    "Claim",
    "Coil",
    "Customer",
    "Delivery",
    "Enquiry",
    "FactorSet",
    "Gauge",
    "GaugeStudy",
    "Heat",
    "Line",
    "Lot",
    "LotCoil",
    "Machine",
    "NonConformity",
    "Order",
    "Paper",
    "Person",
    "Piece",
    "Position",
    "Proposal",
    "Quotation",
    "Repair",
    "Requirement",
    "Rule",
    "SetUp",
    "Signal",
    "Test",
    "TypeTest",
    "WithdrawalList",
]
