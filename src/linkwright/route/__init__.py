"""Metal flows along a route: stock, settings, findings, steps, operations, walk, settle."""

from linkwright.route.conditions import LOT_LEVELS, Conditions, Factor, Scatter
from linkwright.route.finding import CLOSE, NO_LIMIT, OUTSIDE, WITHIN, Finding
from linkwright.route.kept import Kept, KeptRuns
from linkwright.route.operation import (
    MAIN,
    Joining,
    KeepsSizes,
    Machine,
    Operation,
    Stocks,
    Wanted,
)
from linkwright.route.requirement import Requirement
from linkwright.route.setting import FOLLOWS, GIVEN, HELD, SOLVED, Setting, SetUp
from linkwright.route.step import Caution, Step
from linkwright.route.stock import Stock
from linkwright.route.walk import Place, Route, Settled, place_names, settle, walk

__all__ = [
    "CLOSE",
    "FOLLOWS",
    "GIVEN",
    "HELD",
    "LOT_LEVELS",
    "MAIN",
    "NO_LIMIT",
    "OUTSIDE",
    "SOLVED",
    "WITHIN",
    "Caution",
    "Conditions",
    "Factor",
    "Finding",
    "Joining",
    "KeepsSizes",
    "Kept",
    "KeptRuns",
    "Machine",
    "Operation",
    "Place",
    "Requirement",
    "Route",
    "Scatter",
    "SetUp",
    "Setting",
    "Settled",
    "Step",
    "Stock",
    "Stocks",
    "Wanted",
    "place_names",
    "settle",
    "walk",
]
