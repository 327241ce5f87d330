"""The shape that all records share: a version of a thing, written by one act.

    act      who, when, why, what was asked, and the digest that chains it to the act before
    record   every thing that was ever named, so that references cannot point at nothing
    Row      one version of a thing: the tables in `kinds_*` are its kinds

Nothing is changed or deleted: a change is a new version in a later act. What may change stands
outside the chain: names of people, pass phrases (`KnownAs`, `Login`), and the bytes of papers,
which their digest in the chain holds fast (`Content`).
"""

from __future__ import annotations

from sqlalchemy import BigInteger, ForeignKey, LargeBinary, MetaData, Text, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column

CONVENTION = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}
"""Names of constraints: what has no name cannot be altered on SQLite."""


class Base(DeclarativeBase):
    """All tables; texts without a limit, whole numbers of 64 bit."""

    metadata = MetaData(naming_convention=CONVENTION)
    type_annotation_map = {str: Text(), int: BigInteger(), bytes: LargeBinary()}  # noqa: RUF012


class Act(Base):
    """One thing that a person did, and the link of the chain."""

    __tablename__ = "act"
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    at: Mapped[str]
    person_id: Mapped[str]
    action: Mapped[str]
    why: Mapped[str]
    asked: Mapped[str]
    key: Mapped[str | None] = mapped_column(unique=True)
    last_sequence: Mapped[int]
    previous: Mapped[str]
    digest: Mapped[str] = mapped_column(unique=True)


class Record(Base):
    """The name of a thing, ``kind:name``."""

    __tablename__ = "record"
    id: Mapped[str] = mapped_column(primary_key=True)
    act: Mapped[int] = mapped_column(
        ForeignKey("act.number", deferrable=True, initially="DEFERRED")
    )


class KnownAs(Base):
    """What a person or customer is called; erased after the years of keeping."""

    __tablename__ = "known_as"
    id: Mapped[str] = mapped_column(ForeignKey("record.id"), primary_key=True)
    name: Mapped[str | None]
    contact: Mapped[str | None]


class Login(Base):
    """How a person proves to be themselves."""

    __tablename__ = "login"
    id: Mapped[str] = mapped_column(ForeignKey("record.id"), primary_key=True)
    secret: Mapped[str]
    failures: Mapped[int] = mapped_column(default=0)
    not_before: Mapped[str] = mapped_column(default="")


class Content(Base):
    """The bytes of a paper, photo or certificate, under their SHA-256."""

    __tablename__ = "content"
    digest: Mapped[str] = mapped_column(primary_key=True)
    data: Mapped[bytes]


class Row(Base):
    """One version of a thing."""

    __abstract__ = True
    sequence: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    version: Mapped[int]
    state: Mapped[str]

    @declared_attr
    @classmethod
    def act(cls) -> Mapped[int]:
        """The act that wrote it."""
        return mapped_column(
            ForeignKey("act.number", deferrable=True, initially="DEFERRED"), index=True
        )

    @declared_attr
    @classmethod
    def id(cls) -> Mapped[str]:
        """``kind:name`` of the thing."""
        return mapped_column(ForeignKey("record.id"))

    @declared_attr.directive
    @classmethod
    def __table_args__(cls) -> tuple[UniqueConstraint, ...]:
        return (UniqueConstraint("id", "version"),)

    @property
    def name(self) -> str:
        """The thing's name without its kind."""
        return self.id.partition(":")[2]

    def to_dict(self) -> dict[str, object]:
        """What the row says, without what is not given: the content that is hashed.

        A column that is added later and left empty changes no digest.
        """
        held = {column.key: getattr(self, column.key) for column in self.__table__.columns}
        return {key: value for key, value in held.items() if value is not None}


def of(kind: str, *, index: bool = True) -> Mapped[str]:
    """A reference to a thing of another kind; ``kind`` is said for the reader."""
    return mapped_column(ForeignKey("record.id"), index=index, info={"kind": kind})


def maybe(kind: str) -> Mapped[str | None]:
    """A reference that may be left out."""
    return mapped_column(ForeignKey("record.id"), index=True, info={"kind": kind})
