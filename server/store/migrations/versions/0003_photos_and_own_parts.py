"""Photos beside the documents that refer to them, and the parts a yard keeps under its own names."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

MICROSECONDS = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Create both tables; a photo is never changed, an own part only renamed and put away."""
    op.create_table(
        "photo",
        sa.Column("sha", sa.Text(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("picture", sa.LargeBinary(), nullable=False),
        sa.Column("small", sa.LargeBinary(), nullable=False),
        sa.Column("used", sa.Integer(), nullable=False),
        sa.Column("added_us", MICROSECONDS, nullable=False),
        sa.CheckConstraint("length(sha) = 64", name=op.f("ck_photo_sha")),
        sa.CheckConstraint("used IN (0, 1)", name=op.f("ck_photo_used")),
        sa.PrimaryKeyConstraint("sha", name=op.f("pk_photo")),
        sqlite_strict=True,
    )
    op.create_table(
        "own_part",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("request_id", sa.Text(), nullable=False),
        sa.Column("added_us", MICROSECONDS, nullable=False),
        sa.Column("removed_us", MICROSECONDS, nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_part")),
        sa.UniqueConstraint("request_id", name=op.f("uq_own_part_request_id")),
        sqlite_strict=True,
    )
    op.execute(
        "CREATE TRIGGER photo_no_rewrite BEFORE UPDATE OF sha, width, height, picture, small ON photo "
        "BEGIN SELECT RAISE(ABORT, 'a photo is never changed'); END"
    )
    op.execute(
        "CREATE TRIGGER photo_used_stays BEFORE DELETE ON photo WHEN OLD.used = 1 "
        "BEGIN SELECT RAISE(ABORT, 'a photo that a boat refers to is never deleted'); END"
    )
    op.execute(
        "CREATE TRIGGER own_part_no_rewrite BEFORE UPDATE OF content ON own_part "
        "BEGIN SELECT RAISE(ABORT, 'an own part is never changed'); END"
    )
