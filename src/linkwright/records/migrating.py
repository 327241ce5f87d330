"""Steps of the books' tables up and down, on SQLite and PostgreSQL, each whole or not at all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect

from linkwright.records.errors import CannotRecord
from linkwright.records.store import VERSION, engine_of, shown

STEPS = Path(__file__).parent / "migrations"
"""Where the steps stand."""


def migrate(place: str, to: str = VERSION) -> tuple[str, str]:
    """Bring the tables at a place to a version, up or down.

    Returns:
        The version before and after ("0000": no tables).

    Raises:
        CannotRecord: the tables are newer than this program, or the version is not known.
    """
    known = [step.revision for step in _script().walk_revisions()]
    if to not in (*known, "0000"):
        raise CannotRecord(f"{to} is no version; accepted: {', '.join(sorted(known))}")
    engine = engine_of(place)
    try:
        with engine.execution_options(writes=True).connect() as connection, connection.begin():
            before = _version(connection)
            if before not in (*known, "0000"):
                raise CannotRecord(
                    f"the books at {shown(place)} are newer ({before}) than this program"
                )
            step = command.upgrade if to >= before else command.downgrade
            _run(connection, step, "base" if to == "0000" else to)
            return before, _version(connection)
    finally:
        engine.dispose()


def difference(connection: Connection) -> list[Any]:
    """What the tables at a connection lack or have too much against the program's own."""
    from alembic.autogenerate import compare_metadata  # noqa: PLC0415

    from linkwright.records.base import Base  # noqa: PLC0415

    context = MigrationContext.configure(connection, opts={"compare_type": True})
    return list(compare_metadata(context, Base.metadata))


def _version(connection: Connection) -> str:
    if not inspect(connection).has_table("alembic_version"):
        return "0000"
    return MigrationContext.configure(connection).get_current_revision() or "0000"


def _run(connection: Connection, step: Callable[[Config, str], None], to: str) -> None:
    config = Config()
    config.set_main_option("script_location", str(STEPS).replace("%", "%%"))
    config.attributes["connection"] = connection
    step(config, to)


def _script() -> ScriptDirectory:
    config = Config()
    config.set_main_option("script_location", str(STEPS).replace("%", "%%"))
    return ScriptDirectory.from_config(config)
