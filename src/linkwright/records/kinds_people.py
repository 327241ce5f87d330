"""People with their roles, the rules of the works, and papers that are kept."""

from __future__ import annotations

from sqlalchemy.orm import Mapped

from linkwright.records.base import Row, of


class Person(Row):
    """Somebody who may write; the name and pass phrase stand outside the chain."""

    __tablename__ = "person"
    roles: Mapped[str]


class Rule(Row):
    """A rule of the works: a whole number under a name, with where it comes from."""

    __tablename__ = "rule"
    value: Mapped[int]
    source: Mapped[str]


class Paper(Row):
    """A document or photo that belongs to a record."""

    __tablename__ = "paper"
    of_id: Mapped[str] = of("record")
    title: Mapped[str]
    media_type: Mapped[str]
    digest: Mapped[str]
