"""Ampacity tables that an office entered from its own copy of a standard."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

MICROSECONDS = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Create the table; what was typed is never changed, only put away."""
    op.create_table(
        "office_table",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("standard", sa.Text(), nullable=False),
        sa.Column("edition", sa.Text(), nullable=False),
        sa.Column("clause", sa.Text(), nullable=False),
        sa.Column("typed_by", sa.Text(), nullable=False),
        sa.Column("checked_by", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("request_id", sa.Text(), nullable=False),
        sa.Column("added_us", MICROSECONDS, nullable=False),
        sa.Column("removed_us", MICROSECONDS, nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_office_table")),
        sa.UniqueConstraint("request_id", name=op.f("uq_office_table_request_id")),
        sqlite_strict=True,
    )
    op.execute(
        "CREATE TRIGGER office_table_no_rewrite BEFORE UPDATE OF "
        "standard, edition, clause, typed_by, checked_by, content ON office_table "
        "BEGIN SELECT RAISE(ABORT, 'a table as typed is never changed'); END"
    )
