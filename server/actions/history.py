"""The history of a boat: who did what when, any revision looked at, and one brought back."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

from server.actions.changes import Change
from server.actions.choices import UnknownChoiceError
from server.actions.takings import Restoring, taken_over, taking_json
from server.actions.yard import OpenBoat, Yard, document, open_boat, revision_of
from server.boat.edit_error import EditError
from server.store.values import BoatRow, RevisionEntry

__all__ = [
    "Between",
    "Past",
    "RevisionEntry",
    "between",
    "boat_as_kept",
    "boat_at",
    "history",
    "lineage",
    "restore",
]


@dataclass(frozen=True)
class Past:
    """One revision in the list: whether the boat stands so now, and which options branched there.

    ``is_survey`` marks the boat as it was surveyed, before an option was taken over into it.
    """

    entry: RevisionEntry
    is_now: bool
    is_same_as_now: bool
    is_survey: bool
    branches: tuple[BoatRow, ...]


@dataclass(frozen=True)
class Between:
    """The steps that lead from one document to another.

    ``back`` are the first one's own steps since both were the same, ``steps`` the second one's; both oldest
    first. ``base`` is the revision at which they were the same, None for boats that have nothing in common.
    """

    base: RevisionEntry | None
    back: tuple[RevisionEntry, ...]
    steps: tuple[RevisionEntry, ...]


def history(yard: Yard, boat_id: str) -> tuple[Past, ...]:
    """Every revision, the newest first.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    entries = yard.store.history(boat_id)
    rows = [row for row in yard.store.boats() if row.forked_from == boat_id]
    head = entries[-1]
    surveys = {
        entry.base
        for entry in entries
        if (made := taken_over(entry)) is not None and made.role_before == "surveyed"
    }
    return tuple(
        Past(
            entry,
            is_now=entry.rev == head.rev,
            is_same_as_now=entry.sha == head.sha and entry.rev != head.rev,
            is_survey=entry.rev in surveys,
            branches=tuple(row for row in rows if row.forked_rev == entry.rev),
        )
        for entry in reversed(entries)
    )


def boat_at(yard: Yard, boat_id: str, rev: int | None = None) -> OpenBoat:
    """A boat at one of its revisions, the newest by default.

    Raises:
        UnknownBoatError: there is none of this id, or it is deleted.
        UnknownChoiceError: it has no such revision.
    """
    opened = open_boat(yard, boat_id)
    if rev is None or rev == opened.rev:
        return opened
    if not 1 <= rev < opened.rev:
        raise UnknownChoiceError(f"This boat has no revision {rev}. Choose one from its history.")
    revision = revision_of(yard, boat_id, rev)
    return replace(opened, revision=revision, boat=document(yard, revision), undo=None, redo=None)


def boat_as_kept(yard: Yard, boat_id: str, rev: int) -> OpenBoat:
    """A boat at one of its revisions, whether or not the boat is deleted by now.

    Raises:
        UnknownBoatError, UnknownRevisionError: there is none.
    """
    revision = revision_of(yard, boat_id, rev)
    return OpenBoat(boat_id, yard.store.boat(boat_id), revision, document(yard, revision), None, None)


def restore(yard: Yard, boat_id: str, base_rev: int, rev: int, request_id: str) -> Change:
    """Bring a revision back as a new one, byte for byte; undo takes that back.

    Raises:
        EditError: the boat stands like that already, or has no such revision.
        StaleError: the boat has moved on since ``base_rev``.
        RequestReusedError, UnknownBoatError, DeletedBoatError, UnknownRevisionError: as for an edit.
    """
    base = revision_of(yard, boat_id, base_rev)
    if not 1 <= rev < base_rev:
        raise EditError("to", f"there is no earlier revision {rev}.", "Choose one from the boat's history.")
    source = revision_of(yard, boat_id, rev)
    if source.sha == base.sha:
        raise EditError(
            "to", f"the boat already stands as in revision {rev}.", "Choose one that differs from it."
        )
    edit = taking_json(Restoring(rev=rev))
    yard.store.append(
        boat_id,
        base_rev,
        body=source.body,
        edit=edit,
        label=f"Again as in revision {rev}" + (f" ({source.label})" if source.label else ""),
        author=yard.author,
        request_id=request_id,
        request_sha=hashlib.sha256(f"{boat_id}\0{edit}".encode()).hexdigest(),
        name=None if source.name == base.name else source.name,
    )
    after = open_boat(yard, boat_id)
    return Change(document(yard, base), base.sha, after, after.revision.label)


def between(yard: Yard, first: tuple[str, int], second: tuple[str, int]) -> Between:
    """The steps from one revision to another, each named by boat and number, across branches.

    What was undone is no step.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    left, right = lineage(yard, *first), lineage(yard, *second)
    shared = sum(
        1
        for one, other in zip(left, right, strict=False)
        if (one.boat_id, one.rev) == (other.boat_id, other.rev)
    )
    if not shared:
        return Between(None, (), ())
    return Between(left[shared - 1], left[shared:], right[shared:])


def lineage(yard: Yard, boat_id: str, rev: int) -> tuple[RevisionEntry, ...]:
    """The steps whose work stands in a revision, oldest first, from the first boat of the line on.

    A branch goes on from the revision that it was made of; its own first revision, which shows the very same
    document, is left out.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    steps: list[RevisionEntry] = []
    while True:
        entries = {entry.rev: entry for entry in yard.store.history(boat_id)}
        row = yard.store.boat(boat_id)
        own = _own_steps(entries[entries[rev].position], entries)
        if row.forked_from is None or row.forked_rev is None:
            return tuple(reversed([*steps, *own]))
        steps += own[:-1]
        boat_id, rev = row.forked_from, row.forked_rev


def _own_steps(last: RevisionEntry, entries: dict[int, RevisionEntry]) -> Sequence[RevisionEntry]:
    """A boat's own steps, the last first, down to its creation."""
    steps = [last]
    while steps[-1].before is not None:
        steps.append(entries[steps[-1].before])
    return steps
