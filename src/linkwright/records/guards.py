"""Triggers that let nothing be changed or deleted, whoever asks: on SQLite and PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterable

_SQLITE = """
CREATE TRIGGER "{table}_no_{verb}" BEFORE {verb} ON "{table}"
BEGIN SELECT RAISE(ABORT, 'records are never changed or deleted'); END
"""
_FUNCTION = """
CREATE FUNCTION linkwright_keep() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION 'records are never changed or deleted'; END $$
"""
_POSTGRESQL = """
CREATE TRIGGER "{table}_kept" BEFORE UPDATE OR DELETE ON "{table}"
FOR EACH ROW EXECUTE FUNCTION linkwright_keep();
CREATE TRIGGER "{table}_kept_whole" BEFORE TRUNCATE ON "{table}"
FOR EACH STATEMENT EXECUTE FUNCTION linkwright_keep()
"""


def guarding(dialect: str, tables: Iterable[str], *, first: bool = False) -> list[str]:
    """The statements that guard some tables; ``first``: with what all guards share."""
    if dialect == "sqlite":
        return [
            _SQLITE.format(table=table, verb=verb)
            for table in tables
            for verb in ("UPDATE", "DELETE")
        ]
    made = [part for table in tables for part in _POSTGRESQL.format(table=table).split(";")]
    return [_FUNCTION, *made] if first else made


def freeing(dialect: str, tables: Iterable[str], *, last: bool = False) -> list[str]:
    """The statements that take the guards away, for a step of migration."""
    if dialect == "sqlite":
        return [
            f'DROP TRIGGER IF EXISTS "{table}_no_{verb}"'
            for table in tables
            for verb in ("UPDATE", "DELETE")
        ]
    made = [
        f'DROP TRIGGER IF EXISTS "{table}_kept{whole}" ON "{table}"'
        for table in tables
        for whole in ("", "_whole")
    ]
    return [*made, "DROP FUNCTION IF EXISTS linkwright_keep()"] if last else made
