"""What is said of an option besides its document, and the yard's own prices and hours."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

MICROSECONDS = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Create both tables; a price list as kept is never changed, a newer one takes its place."""
    op.create_table(
        "option_note",
        sa.Column("boat_id", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("aside_us", MICROSECONDS, nullable=True),
        sa.ForeignKeyConstraint(["boat_id"], ["boat.id"], name=op.f("fk_option_note_boat_id_boat")),
        sa.PrimaryKeyConstraint("boat_id", name=op.f("pk_option_note")),
        sqlite_strict=True,
    )
    op.create_table(
        "price_list",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("request_id", sa.Text(), nullable=False),
        sa.Column("at_us", MICROSECONDS, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price_list")),
        sa.UniqueConstraint("request_id", name=op.f("uq_price_list_request_id")),
        sqlite_strict=True,
    )
    for verb in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER price_list_no_{verb.lower()} BEFORE {verb} ON price_list "
            "BEGIN SELECT RAISE(ABORT, 'a price list as kept is never changed'); END"
        )
