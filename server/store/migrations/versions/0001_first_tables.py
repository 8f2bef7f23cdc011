"""Boats, bodies, revisions and what was computed from them."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

MICROSECONDS = sa.BigInteger().with_variant(sa.Integer(), "sqlite")

APPEND_ONLY = (
    ("revision", "UPDATE", "a revision is never changed"),
    ("revision", "DELETE", "a revision is never deleted"),
    ("body", "UPDATE", "a body is never changed"),
)


def upgrade() -> None:
    """Create the four tables and the triggers that keep history append-only."""
    op.create_table(
        "boat",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("head", sa.Integer(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("forked_from", sa.Text(), nullable=True),
        sa.Column("forked_rev", sa.Integer(), nullable=True),
        sa.Column("deleted_us", MICROSECONDS, nullable=True),
        sa.Column("created_us", MICROSECONDS, nullable=False),
        sa.Column("updated_us", MICROSECONDS, nullable=False),
        sa.CheckConstraint("head >= 1", name=op.f("ck_boat_head")),
        sa.CheckConstraint("role IN ('surveyed', 'option', 'working')", name=op.f("ck_boat_role")),
        sa.CheckConstraint("(forked_from IS NULL) = (forked_rev IS NULL)", name=op.f("ck_boat_forked")),
        sa.ForeignKeyConstraint(["forked_from"], ["boat.id"], name=op.f("fk_boat_forked_from_boat")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_boat")),
        sqlite_strict=True,
    )
    op.create_table(
        "body",
        sa.Column("sha", sa.Text(), nullable=False),
        sa.Column("z", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("length(sha) = 64", name=op.f("ck_body_sha")),
        sa.PrimaryKeyConstraint("sha", name=op.f("pk_body")),
        sqlite_strict=True,
    )
    op.create_table(
        "revision",
        sa.Column("boat_id", sa.Text(), nullable=False),
        sa.Column("rev", sa.Integer(), nullable=False),
        sa.Column("base", sa.Integer(), nullable=True),
        sa.Column("restores", sa.Integer(), nullable=True),
        sa.Column("sha", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("author", sa.Text(), nullable=False),
        sa.Column("edit", sa.Text(), nullable=True),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("request_id", sa.Text(), nullable=False),
        sa.Column("request_sha", sa.Text(), nullable=False),
        sa.Column("at_us", MICROSECONDS, nullable=False),
        sa.CheckConstraint("(rev = 1) = (base IS NULL)", name=op.f("ck_revision_first")),
        sa.CheckConstraint("base = rev - 1", name=op.f("ck_revision_base")),
        sa.CheckConstraint("restores < base", name=op.f("ck_revision_restores")),
        sa.ForeignKeyConstraint(["boat_id"], ["boat.id"], name=op.f("fk_revision_boat_id_boat")),
        sa.ForeignKeyConstraint(["sha"], ["body.sha"], name=op.f("fk_revision_sha_body")),
        sa.ForeignKeyConstraint(
            ["boat_id", "base"],
            ["revision.boat_id", "revision.rev"],
            name=op.f("fk_revision_boat_id_revision"),
        ),
        sa.ForeignKeyConstraint(
            ["boat_id", "restores"],
            ["revision.boat_id", "revision.rev"],
            name=op.f("fk_revision_restores_revision"),
        ),
        sa.PrimaryKeyConstraint("boat_id", "rev", name=op.f("pk_revision")),
        sa.UniqueConstraint("request_id", name=op.f("uq_revision_request_id")),
        sqlite_strict=True,
    )
    op.create_table(
        "derived",
        sa.Column("sha", sa.Text(), nullable=False),
        sa.Column("engine_version", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("z", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["sha"], ["body.sha"], name=op.f("fk_derived_sha_body")),
        sa.PrimaryKeyConstraint("sha", "engine_version", "kind", name=op.f("pk_derived")),
        sqlite_strict=True,
    )
    # SQLite's own words; a step for another database says the same in its own.
    for table, verb, message in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER {table}_no_{verb.lower()} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{message}'); END"
        )
