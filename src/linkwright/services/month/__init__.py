"""An invented month of a chain works: raw machine files whose truth is not the planner's."""

from linkwright.services.month.making import (
    KINDS,
    MonthAnswer,
    MonthRequest,
    lines_of,
    make_month,
    signals_of,
)

__all__ = ["KINDS", "MonthAnswer", "MonthRequest", "lines_of", "make_month", "signals_of"]
