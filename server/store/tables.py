"""The rows, seen only inside this package.

Every column names its type: SQLite's strict tables know INTEGER, TEXT, REAL and BLOB alone,
and these types exist on other databases too.
The classes describe the tables; statements are written on the tables themselves, which costs
a third of the time that objects with an identity would.
"""

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    ForeignKeyConstraint,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
)
from sqlmodel import Field, SQLModel

Microseconds = BigInteger().with_variant(Integer(), "sqlite")
STRICT = {"sqlite_strict": True}


class Row(SQLModel):
    """Own metadata, so that constraints have predictable names and nobody else's tables join in."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_name)s",
            "uq": "uq_%(table_name)s_%(column_0_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class BoatRecord(Row, table=True):
    """A boat and the number of its newest revision."""

    __tablename__ = "boat"
    __table_args__ = (
        CheckConstraint("head >= 1", name="head"),
        CheckConstraint("role IN ('surveyed', 'option', 'working')", name="role"),
        CheckConstraint("(forked_from IS NULL) = (forked_rev IS NULL)", name="forked"),
        STRICT,
    )

    id: str = Field(sa_type=Text, primary_key=True)
    name: str = Field(sa_type=Text)
    head: int = Field(sa_type=Integer)
    role: str = Field(sa_type=Text)
    forked_from: str | None = Field(default=None, sa_type=Text, foreign_key="boat.id")
    forked_rev: int | None = Field(default=None, sa_type=Integer)
    deleted_us: int | None = Field(default=None, sa_type=Microseconds)
    created_us: int = Field(sa_type=Microseconds)
    updated_us: int = Field(sa_type=Microseconds)


class BodyRecord(Row, table=True):
    """A document's bytes, compressed, filed under the hash of the uncompressed bytes."""

    __tablename__ = "body"
    __table_args__ = (CheckConstraint("length(sha) = 64", name="sha"), STRICT)

    sha: str = Field(sa_type=Text, primary_key=True)
    z: bytes = Field(sa_type=LargeBinary)


class RevisionRecord(Row, table=True):
    """One step of a boat's history; triggers forbid changing or deleting it."""

    __tablename__ = "revision"
    __table_args__ = (
        ForeignKeyConstraint(["boat_id", "base"], ["revision.boat_id", "revision.rev"]),
        ForeignKeyConstraint(
            ["boat_id", "restores"],
            ["revision.boat_id", "revision.rev"],
            name="fk_revision_restores_revision",
        ),
        CheckConstraint("(rev = 1) = (base IS NULL)", name="first"),
        CheckConstraint("base = rev - 1", name="base"),
        CheckConstraint("restores < base", name="restores"),
        STRICT,
    )

    boat_id: str = Field(sa_type=Text, primary_key=True, foreign_key="boat.id")
    rev: int = Field(sa_type=Integer, primary_key=True)
    base: int | None = Field(default=None, sa_type=Integer)
    restores: int | None = Field(default=None, sa_type=Integer)
    sha: str = Field(sa_type=Text, foreign_key="body.sha")
    name: str = Field(sa_type=Text)
    author: str = Field(sa_type=Text)
    edit: str | None = Field(default=None, sa_type=Text)
    label: str = Field(sa_type=Text)
    request_id: str = Field(sa_type=Text, unique=True)
    request_sha: str = Field(sa_type=Text)
    at_us: int = Field(sa_type=Microseconds)


class DerivedRecord(Row, table=True):
    """Something computed from a body by one version of the engine; may be dropped at any time."""

    __tablename__ = "derived"
    __table_args__ = (STRICT,)

    sha: str = Field(sa_type=Text, primary_key=True, foreign_key="body.sha")
    engine_version: str = Field(sa_type=Text, primary_key=True)
    kind: str = Field(sa_type=Text, primary_key=True)
    z: bytes = Field(sa_type=LargeBinary)


class OfficeTableRecord(Row, table=True):
    """An ampacity table as an office typed it; a trigger forbids changing what was typed."""

    __tablename__ = "office_table"
    __table_args__ = (STRICT,)

    id: str = Field(sa_type=Text, primary_key=True)
    standard: str = Field(sa_type=Text)
    edition: str = Field(sa_type=Text)
    clause: str = Field(sa_type=Text)
    typed_by: str = Field(sa_type=Text)
    checked_by: str = Field(sa_type=Text)
    content: str = Field(sa_type=Text)
    request_id: str = Field(sa_type=Text, unique=True)
    added_us: int = Field(sa_type=Microseconds)
    removed_us: int | None = Field(default=None, sa_type=Microseconds)


class PhotoRecord(Row, table=True):
    """A photo and its small form, filed under the hash of the photo's bytes; triggers keep what is used."""

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint("length(sha) = 64", name="sha"),
        CheckConstraint("used IN (0, 1)", name="used"),
        STRICT,
    )

    sha: str = Field(sa_type=Text, primary_key=True)
    width: int = Field(sa_type=Integer)
    height: int = Field(sa_type=Integer)
    picture: bytes = Field(sa_type=LargeBinary)
    small: bytes = Field(sa_type=LargeBinary)
    used: int = Field(sa_type=Integer)
    added_us: int = Field(sa_type=Microseconds)


class OwnPartRecord(Row, table=True):
    """A part that the yard uses often, under its own name; a trigger forbids changing what it is."""

    __tablename__ = "own_part"
    __table_args__ = (STRICT,)

    id: str = Field(sa_type=Text, primary_key=True)
    name: str = Field(sa_type=Text)
    content: str = Field(sa_type=Text)
    request_id: str = Field(sa_type=Text, unique=True)
    added_us: int = Field(sa_type=Microseconds)
    removed_us: int | None = Field(default=None, sa_type=Microseconds)


class OptionNoteRecord(Row, table=True):
    """A note on an option, and when it was put aside; what is in force may be changed."""

    __tablename__ = "option_note"
    __table_args__ = (STRICT,)

    boat_id: str = Field(sa_type=Text, primary_key=True, foreign_key="boat.id")
    note: str = Field(sa_type=Text)
    aside_us: int | None = Field(default=None, sa_type=Microseconds)


class PriceListRecord(Row, table=True):
    """The yard's own prices and hours as entered; triggers forbid changing or deleting a list."""

    __tablename__ = "price_list"
    __table_args__ = (STRICT,)

    id: str = Field(sa_type=Text, primary_key=True)
    content: str = Field(sa_type=Text)
    request_id: str = Field(sa_type=Text, unique=True)
    at_us: int = Field(sa_type=Microseconds)


BOAT: Table = Row.metadata.tables["boat"]
BODY: Table = Row.metadata.tables["body"]
REVISION: Table = Row.metadata.tables["revision"]
DERIVED: Table = Row.metadata.tables["derived"]
OFFICE_TABLE: Table = Row.metadata.tables["office_table"]
PHOTO: Table = Row.metadata.tables["photo"]
OWN_PART: Table = Row.metadata.tables["own_part"]
OPTION_NOTE: Table = Row.metadata.tables["option_note"]
PRICE_LIST: Table = Row.metadata.tables["price_list"]
