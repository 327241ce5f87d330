"""The first tables.

Each kind with its own columns: a name is a text; ``/`` marks a number, ``#`` a whole number, ``>``
a reference to a record, ``?`` a column that may be empty.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

from linkwright.records.errors import CannotRecord
from linkwright.records.guards import freeing, guarding

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_KINDS = {
    "person": "roles",
    "rule": "value# source",
    "paper": "of_id> title media_type digest",
    "customer": "",
    "enquiry": "customer_id> received_on wording",
    "quotation": "enquiry_id> revision# valid_until price/ currency terms",
    "order": "customer_id> quotation_id>? quotation_revision#? due_on",
    "line": "order_id> product standard grade? size_mm/? number? length_mm#",
    "amendment": "order_id> wording due_on? line_id>? length_mm#?",
    "heat": "steel analysis document?",
    "coil": """
        heat_id> received_on mass_kg/ diameter_mm/ tag document_names own_diameter_mm/?
        own_tensile_strength_MPa/? own_check?
    """,
    "machine": "work",
    "set_up": "machine_id> line_id> card_digest settings measured? signed_by>?",
    "type_test": """
        product standard grade? size_mm/ steel route band tested_on valid_until?
        document?
    """,
    "lot": "line_id> cycle# set_up_id>? plan_digest? type_test_id>?",
    "lot_coil": "lot_id> coil_id>",
    "piece": """
        lot_id> length_mm# made_mm# parent_id>? other_parent_id>? strand?
        first_position#? last_position#? serials?
    """,
    "repair": "piece_id> link# links_hardened_again# proofed_on? proof_force_N/?",
    "gauge": "measures unit",
    "calibration": """
        gauge_id> calibrated_on valid_until least/ greatest/ standard_uncertainty/
        document?
    """,
    "requirement": "line_id> characteristic unit least/? greatest/? source samples#",
    "test": """
        lot_id> requirement_id> piece_id>? gauge_id> tested_on cycle# round# value/
        fracture? judged_by>? photo?
    """,
    "proposal": "lot_id> cycle# disposition evidence evidence_digest proposed_by> decided_by>?",
    "non_conformity": "lot_id>? piece_id>? coil_id>? wording cause? action?",
    "chart_limits": "machine_id> quantity limits",
    "signal": "chart_limits_id> limits_version# point rule cause? action?",
    "factor_set": "factors learned_from",
    "certificate": "lot_id> proposal_id> type fingerprint data paper? replaces_id>? reason?",
    "certified_piece": "certificate_id> piece_id>",
    "withdrawal_list": "number# paper",
    "delivery": "order_id> sent_on?",
    "position": "delivery_id> piece_id> number#",
    "claim": "position_id> received_on wording answer?",
}
_GUARDED = ("act", "record", "content", *_KINDS)


def upgrade() -> None:
    """Make every table, and the guards that keep it."""
    whole, text = sa.BigInteger, sa.Text
    op.create_table(
        "act",
        *(sa.Column(name, whole, nullable=False) for name in ("number", "last_sequence")),
        *(
            sa.Column(name, text, nullable=False)
            for name in ("at", "person_id", "action", "why", "asked", "previous", "digest")
        ),
        sa.Column("key", text),
        sa.PrimaryKeyConstraint("number", name="pk_act"),
        sa.UniqueConstraint("key", name="uq_act_key"),
        sa.UniqueConstraint("digest", name="uq_act_digest"),
    )
    op.create_table(
        "record",
        sa.Column("id", text, nullable=False),
        sa.Column("act", whole, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_record"),
        _to_act("record"),
    )
    op.create_table(
        "known_as",
        sa.Column("id", text, nullable=False),
        sa.Column("name", text),
        sa.Column("contact", text),
        sa.PrimaryKeyConstraint("id", name="pk_known_as"),
        _to_record("known_as", "id"),
    )
    op.create_table(
        "login",
        *(sa.Column(name, text, nullable=False) for name in ("id", "secret", "not_before")),
        sa.Column("failures", whole, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_login"),
        _to_record("login", "id"),
    )
    op.create_table(
        "content",
        sa.Column("digest", text, nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("digest", name="pk_content"),
    )
    for kind, columns in _KINDS.items():
        _make(kind, columns.split())
    for statement in guarding(op.get_bind().dialect.name, _GUARDED, first=True):
        op.execute(statement)


def downgrade() -> None:
    """Take everything away, if no act was written yet."""
    if op.get_bind().execute(sa.text("SELECT count(*) FROM act")).scalar():
        raise CannotRecord("the books have begun; without tables there is no place for their acts")
    for statement in freeing(op.get_bind().dialect.name, _GUARDED, last=True):
        op.execute(statement)
    for table in (*reversed(_KINDS), "content", "login", "known_as", "record", "act"):
        op.drop_table(table)


def _make(kind: str, columns: list[str]) -> None:
    names = [column.rstrip("?>#/") for column in columns]
    references = [n for n, column in zip(names, columns, strict=True) if ">" in column]
    op.create_table(
        kind,
        *(sa.Column(name, sa.BigInteger, nullable=False) for name in ("sequence", "version")),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("state", "id")),
        sa.Column("act", sa.BigInteger, nullable=False),
        *(
            sa.Column(name, _type(column), nullable="?" in column)
            for name, column in zip(names, columns, strict=True)
        ),
        sa.PrimaryKeyConstraint("sequence", name=f"pk_{kind}"),
        sa.UniqueConstraint("id", "version", name=f"uq_{kind}_id_version"),
        _to_act(kind),
        *(_to_record(kind, name) for name in ("id", *references)),
    )
    for name in ("act", *references):
        op.create_index(f"ix_{kind}_{name}", kind, [name])


def _type(column: str) -> sa.types.TypeEngine[Any]:
    return sa.Double() if "/" in column else sa.BigInteger() if "#" in column else sa.Text()


def _to_act(table: str) -> sa.ForeignKeyConstraint:
    name = f"fk_{table}_act_act"
    return sa.ForeignKeyConstraint(
        ["act"], ["act.number"], name=name, deferrable=True, initially="DEFERRED"
    )


def _to_record(table: str, column: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], ["record.id"], name=f"fk_{table}_{column}_record")
