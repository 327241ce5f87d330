"""Sampling by attributes and variables, and gauge studies.

The step down refuses where its columns or table are in use: what acts wrote is never lost.
"""

import sqlalchemy as sa
from alembic import op

from linkwright.records.errors import CannotRecord
from linkwright.records.guards import freeing, guarding

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_STUDY = "gauge_study"


def upgrade() -> None:
    """Add what is empty at first, so that no digest changes."""
    op.add_column("requirement", sa.Column("accept", sa.BigInteger))
    op.add_column("requirement", sa.Column("k", sa.Double))
    whole, text = sa.BigInteger, sa.Text
    op.create_table(
        _STUDY,
        *(sa.Column(name, whole, nullable=False) for name in ("sequence", "version", "act")),
        *(
            sa.Column(name, text, nullable=False)
            for name in ("state", "id", "gauge_id", "studied_on")
        ),
        sa.Column("percent_of_tolerance", sa.Double, nullable=False),
        sa.Column("distinct_categories", whole, nullable=False),
        sa.Column("document", text),
        sa.PrimaryKeyConstraint("sequence", name=f"pk_{_STUDY}"),
        sa.UniqueConstraint("id", "version", name=f"uq_{_STUDY}_id_version"),
        sa.ForeignKeyConstraint(
            ["act"], ["act.number"], name=f"fk_{_STUDY}_act_act", deferrable=True,
            initially="DEFERRED",
        ),
        *(
            sa.ForeignKeyConstraint([name], ["record.id"], name=f"fk_{_STUDY}_{name}_record")
            for name in ("id", "gauge_id")
        ),
    )  # fmt: skip
    for name in ("act", "gauge_id"):
        op.create_index(f"ix_{_STUDY}_{name}", _STUDY, [name])
    for statement in guarding(op.get_bind().dialect.name, [_STUDY]):
        op.execute(statement)


def downgrade() -> None:
    """Take it away where it was never used."""
    used = op.get_bind().execute(
        sa.text(
            "SELECT (SELECT count(*) FROM gauge_study) + (SELECT count(*) FROM requirement "
            "WHERE accept IS NOT NULL OR k IS NOT NULL)"
        )
    )
    if used.scalar():
        raise CannotRecord("gauge studies or sampling rules are in use; version 0001 has no place")
    for statement in freeing(op.get_bind().dialect.name, [_STUDY]):
        op.execute(statement)
    op.drop_table(_STUDY)
    op.drop_column("requirement", "k")
    op.drop_column("requirement", "accept")
