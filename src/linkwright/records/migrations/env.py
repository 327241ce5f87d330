"""How the steps run: inside the transaction of the connection that is handed over."""

from alembic import context

from linkwright.records import kinds  # noqa: F401 - enters the tables
from linkwright.records.base import Base


def run() -> None:
    """Run the steps that were asked for."""
    context.configure(
        connection=context.config.attributes["connection"],
        target_metadata=Base.metadata,
        render_as_batch=True,
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()


if hasattr(context, "config"):  # only while a step is being run
    run()
