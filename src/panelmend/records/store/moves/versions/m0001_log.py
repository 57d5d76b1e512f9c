"""The log, its papers, its secrets, and triggers that refuse to change or remove any of them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_FIRST = "0" * 64


def upgrade() -> None:
    """Make everything."""
    op.create_table(
        "entries",
        sa.Column("number", sa.BigInteger, primary_key=True, autoincrement=False),
        sa.Column("before", sa.String(64), nullable=False, unique=True),
        sa.Column("hash", sa.String(64), nullable=False, unique=True),
        sa.Column("text", sa.Text, nullable=False),
    )
    op.create_table(
        "papers",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("data", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "secrets",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("hash", sa.Text, nullable=False),
    )
    triggers = _sqlite() if op.get_bind().dialect.name == "sqlite" else _postgresql()
    for statement in triggers:
        op.execute(sa.text(statement))


def downgrade() -> None:
    """Records are never moved back."""
    raise RuntimeError("records only grow")


def _sqlite() -> list[str]:
    made = []
    for table in ("entries", "papers", "secrets"):
        for change in ("UPDATE", "DELETE"):
            made.append(
                f"CREATE TRIGGER {table}_no_{change.lower()} BEFORE {change} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'records only grow: {table}'); END"
            )
    for table in ("papers", "secrets"):  # INSERT OR REPLACE would remove without a DELETE
        made.append(
            f"CREATE TRIGGER {table}_once BEFORE INSERT ON {table} "
            f"WHEN EXISTS (SELECT 1 FROM {table} WHERE digest = NEW.digest) "
            f"BEGIN SELECT RAISE(ABORT, 'records only grow: {table}'); END"
        )
    made.append(
        "CREATE TRIGGER entries_follow BEFORE INSERT ON entries WHEN "
        "NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM entries) "
        "OR NEW.before <> COALESCE((SELECT hash FROM entries ORDER BY number DESC LIMIT 1), "
        f"'{_FIRST}') OR EXISTS (SELECT 1 FROM entries WHERE hash = NEW.hash) "
        "BEGIN SELECT RAISE(ABORT, 'records only grow: an entry follows the last one'); END"
    )
    return made


def _postgresql() -> list[str]:
    made = [
        "CREATE FUNCTION records_only_grow() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "RAISE EXCEPTION 'records only grow: %', TG_TABLE_NAME; END $$",
        "CREATE FUNCTION entries_follow() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        "IF NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM entries) OR NEW.before <> "
        f"COALESCE((SELECT hash FROM entries ORDER BY number DESC LIMIT 1), '{_FIRST}') THEN "
        "RAISE EXCEPTION 'records only grow: an entry follows the last one'; END IF; RETURN NEW; END $$",
    ]
    for table in ("entries", "papers", "secrets"):
        made += [
            f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
            "FOR EACH ROW EXECUTE FUNCTION records_only_grow()",
            f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION records_only_grow()",
        ]
    made.append(
        "CREATE TRIGGER entries_follow BEFORE INSERT ON entries "
        "FOR EACH ROW EXECUTE FUNCTION entries_follow()"
    )
    return made
