"""What the store answers with: plain frozen values, never rows.

Times are integer microseconds since 1970 in UTC.
A hash is the SHA-256 of a body's bytes, as 64 hexadecimal digits.
"""

from dataclasses import dataclass
from typing import Literal

Role = Literal["surveyed", "option", "working"]
Step = Literal["created", "edit", "undo", "redo"]


@dataclass(frozen=True, slots=True)
class BoatRow:
    """One boat with what its newest revision says, but without the document itself.

    Attributes:
        label: what the edit did whose body is shown: after an undo the one before it, not the one undone.
        note: what a person says of an option; empty where nothing is said.
        aside_us: when an option was put aside; None while it stands for choice.
    """

    id: str
    name: str
    role: Role
    head: int
    sha: str
    author: str
    label: str
    forked_from: str | None
    forked_rev: int | None
    deleted_us: int | None
    created_us: int
    updated_us: int
    note: str = ""
    aside_us: int | None = None


@dataclass(frozen=True, slots=True)
class PriceListRow:
    """The yard's own prices and hours as entered; `content` is read by the caller alone."""

    id: str
    content: str
    at_us: int


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a table comes from: standard, edition, clause, who typed it and who checked it."""

    standard: str
    edition: str
    clause: str
    typed_by: str
    checked_by: str


@dataclass(frozen=True, slots=True)
class OfficeTableRow:
    """An office's own table as typed; `content` is read by the caller alone."""

    id: str
    standard: str
    edition: str
    clause: str
    typed_by: str
    checked_by: str
    content: str
    added_us: int
    removed_us: int | None


@dataclass(frozen=True, slots=True)
class PhotoRow:
    """What is known of a photo without its bytes; `used` says that some revision was seen to refer to it."""

    sha: str
    width: int
    height: int
    used: bool
    added_us: int


@dataclass(frozen=True, slots=True)
class OwnPartRow:
    """A part of the yard's own library; `content` is read by the caller alone."""

    id: str
    name: str
    content: str
    added_us: int
    removed_us: int | None


@dataclass(frozen=True, slots=True)
class RevisionEntry:
    """One step of a boat's history, without the document.

    Attributes:
        base: the revision this one was made on; None for the first.
        restores: the revision whose body an undo or redo brought back; None for an edit.
        before: the edit whose body stood before this revision; None for the first.
        edit: the edit as the caller's own JSON text; None where no edit was made.
    """

    boat_id: str
    rev: int
    base: int | None
    restores: int | None
    before: int | None
    sha: str
    name: str
    author: str
    edit: str | None
    label: str
    request_id: str
    request_sha: str
    at_us: int

    @property
    def position(self) -> int:
        """The edit whose body this revision shows: its own, or the one it restored."""
        return self.rev if self.restores is None else self.restores

    @property
    def step(self) -> Step:
        """How this revision came about."""
        if self.before is None:
            return "created"
        if self.restores is None:
            return "edit"
        return "undo" if self.restores < self.before else "redo"

    @property
    def subject(self) -> int:
        """The edit an undo took back or a redo brought back; otherwise the revision itself."""
        if self.before is not None and self.step == "undo":
            return self.before
        return self.position


@dataclass(frozen=True, slots=True)
class Revision(RevisionEntry):
    """One step of a boat's history with the document's bytes exactly as they were handed in."""

    body: bytes


@dataclass(frozen=True, slots=True)
class TakeBack:
    """What the next undo (or redo) would do: whose edit, and which body would return."""

    rev: int
    label: str
    author: str
    at_us: int
    returns_to: int


@dataclass(frozen=True, slots=True)
class CheckReport:
    """What a check of the whole store counted and found; no problems means all is well."""

    boats: int
    revisions: int
    bodies: int
    problems: tuple[str, ...]
