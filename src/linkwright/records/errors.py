"""What a record refuses: not allowed, overtaken, not as the chain of acts says."""

from __future__ import annotations

from linkwright.quantities import LinkwrightError


class CannotRecord(LinkwrightError):
    """The books refuse it as they stand: the sentence says why, and what could be done."""

    exit_code = 1
    code = "cannot-record"


class NotAllowed(CannotRecord):
    """The person lacks the role, or the pass phrase is not theirs."""

    code = "not-allowed"


class Overtaken(CannotRecord):
    """Somebody else changed the record meanwhile; both versions are in ``details``.

    Args:
        message: The sentence.
        seen: The version that the person had before them.
        now: The newest version, as plain data.
    """

    code = "overtaken"

    def __init__(self, message: str, seen: int, now: dict[str, object]) -> None:
        """Keep both versions for whoever shows them."""
        super().__init__(message)
        self.seen = seen
        self.now = now


class BooksDamaged(LinkwrightError):
    """The chain of acts is broken, or the database is not one of ours."""

    exit_code = 1
    code = "books-damaged"
