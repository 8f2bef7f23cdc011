"""Changing a boat: apply an edit, move a lead, undo, redo; nothing is lost when others edit too."""

import hashlib
from dataclasses import dataclass, replace
from typing import Literal

from server.actions.takings import taken_over
from server.actions.yard import OpenBoat, Yard, document, open_boat, revision_of
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import (
    AnyEdit,
    EditError,
    MoveConductorEnd,
    MoveLead,
    Rename,
    SetOn,
    SetPosition,
    Several,
    Splice,
    apply,
    edit_json,
    label,
)
from server.boat.parts import Load
from server.store.errors import StaleError
from server.store.values import Revision, RevisionEntry, Role


@dataclass(frozen=True)
class Change:
    """What an edit led to: the boat before, the boat after, and whether an option was opened for it."""

    before: Boat
    before_sha: str
    after: OpenBoat
    label: str
    opened_option: bool = False


MOST_TRIES = 8
"""How often an edit that overwrites nothing is tried anew where somebody else's came first."""

_LAYOUT = (MoveLead, MoveConductorEnd, Splice, SetPosition, SetOn)
"""Edits of the layout and of what is switched: on a boat as surveyed they open an option,
and the evidence stays as found. Figures entered belong to the survey."""


def apply_edit(yard: Yard, boat_id: str, base_rev: int, edit: AnyEdit, request_id: str) -> Change:
    """Apply one edit as one revision; an edit of the layout of a boat as surveyed opens an option for it.

    Raises:
        EditError: the edit does not fit the boat; it names the field, what is wrong and the mend.
        StaleError: the boat has moved on since ``base_rev``; it tells what changed meanwhile.
        RequestReusedError: the key was used for something else.
        UnknownBoatError, DeletedBoatError, UnknownRevisionError: there is nothing to edit.
    """
    row = yard.store.boat(boat_id)
    # Tried before any option is opened, so that a refused edit leaves no empty one behind.
    tried = _Tried.on(revision_of(yard, boat_id, base_rev), yard, edit)
    if row.role != "surveyed" or not _is_layout(edit):
        return _applied(yard, boat_id, base_rev, tried, request_id)
    fork_request = f"option-{request_id}"
    option = yard.store.duplicate(
        boat_id,
        name=_option_name(yard, boat_id, row.name, fork_request),
        role="option",
        author=yard.author,
        request_id=fork_request,
        rev=base_rev,
        label="Option opened",
    )
    return replace(_applied(yard, option.id, 1, tried, request_id), opened_option=True)


def apply_on_head(yard: Yard, boat_id: str, edit: AnyEdit, request_id: str) -> Change:
    """Apply an edit that overwrites nothing to a boat as it stands now, whatever others do meanwhile.

    Raises:
        EditError, RequestReusedError, UnknownBoatError, DeletedBoatError: as for ``apply_edit``.
        StaleError: others came first again and again.
    """
    for left in range(MOST_TRIES, 0, -1):
        try:
            return apply_edit(yard, boat_id, open_boat(yard, boat_id).rev, edit, request_id)
        except StaleError:
            if left == 1:
                raise
    raise AssertionError  # pragma: no cover - the last try returns or raises


def _is_layout(edit: AnyEdit) -> bool:
    return any(isinstance(one, _LAYOUT) for one in (edit.edits if isinstance(edit, Several) else (edit,)))


@dataclass(frozen=True)
class _Tried:
    """An edit with the document it was made on and the one it makes."""

    edit: AnyEdit
    before: Boat
    before_sha: str
    after: Boat

    @classmethod
    def on(cls, base: Revision, yard: Yard, edit: AnyEdit) -> "_Tried":
        """The edit on a revision."""
        before = document(yard, base)
        return cls(edit, before, base.sha, apply(before, edit))


def _applied(yard: Yard, boat_id: str, base_rev: int, tried: _Tried, request_id: str) -> Change:
    """The edit as a new revision of a boat whose revision ``base_rev`` holds the document it was tried on."""
    edit, after = tried.edit, tried.after
    text, body = edit_json(edit), boat_bytes(after)
    revision = yard.store.append(
        boat_id,
        base_rev,
        body=body,
        edit=text,
        label=label(tried.before, edit),
        author=yard.author,
        request_id=request_id,
        request_sha=_sha("edit", boat_id, text),
        name=edit.name if isinstance(edit, Rename) and edit.id is None else None,
    )
    if revision.body == body:  # a request sent again is answered with what it made the first time
        _remember(yard, revision, after)
    return Change(tried.before, tried.before_sha, open_boat(yard, boat_id), revision.label)


def _remember(yard: Yard, revision: Revision, boat: Boat) -> None:
    """Keep a new revision and its document: what the edit left alone is then shared with the boat before."""
    yard.revisions.get((revision.boat_id, revision.rev), lambda: revision)
    yard.boats.get(revision.sha, lambda: boat)


def _option_name(yard: Yard, boat_id: str, name: str, fork_request: str) -> str:
    """The name of the next option of a boat; of the one that this request already opened, if it did."""
    options = [
        row for row in (*yard.store.boats(), *yard.store.deleted_boats()) if row.forked_from == boat_id
    ]
    for row in options:
        first = yard.store.history(row.id)[0]
        if first.request_id == fork_request:
            return first.name
    return f"{name}, option {len(options) + 1}"


def take_back(
    yard: Yard, boat_id: str, base_rev: int, way: Literal["undo", "redo"], request_id: str
) -> Change:
    """Undo or redo one step.

    Raises:
        NothingToUndoError, NothingToRedoError: there is none.
        StaleError, RequestReusedError, UnknownBoatError, UnknownRevisionError: as for ``apply_edit``.
    """
    base = revision_of(yard, boat_id, base_rev)
    step = yard.store.undo if way == "undo" else yard.store.redo
    revision = step(
        boat_id,
        base_rev,
        author=yard.author,
        request_id=request_id,
        request_sha=_sha(way, boat_id),
        role=_role_after(yard, boat_id, base_rev, way),
    )
    return Change(document(yard, base), base.sha, open_boat(yard, boat_id), revision.label)


def _role_after(yard: Yard, boat_id: str, base_rev: int, way: Literal["undo", "redo"]) -> Role | None:
    """What a boat is again when an option's taking over is undone or done again; None for other steps."""
    ask = yard.store.can_undo if way == "undo" else yard.store.can_redo
    step = ask(boat_id, base_rev)
    made = None if step is None else taken_over(revision_of(yard, boat_id, step.rev))
    if made is None:
        return None
    return made.role_before if way == "undo" else made.role_after


def changed_meanwhile(since: tuple[RevisionEntry, ...]) -> tuple[str, ...]:
    """In words, what others did since the revision a person was looking at, oldest first."""
    verbs = {"undo": "Undone: ", "redo": "Done again: ", "edit": "", "created": ""}
    return tuple(f"{verbs[entry.step]}{entry.label or 'an edit'} ({entry.author})" for entry in since)


def _sha(*words: str) -> str:
    return hashlib.sha256("\0".join(words).encode()).hexdigest()


def input_number(yard: Yard, boat_id: str, part: str, name: str) -> int:
    """Where an input stands in its load, for the path of an edit.

    Raises:
        EditError: the boat has no such load or input.
        UnknownBoatError: there is no such boat.
    """
    boat = open_boat(yard, boat_id).boat
    for one in boat.parts:
        if one.id == part and isinstance(one, Load):
            for number, given in enumerate(one.inputs):
                if given.id == name:
                    return number
    raise EditError(
        "input", f"there is no input “{name}” on “{part}”.", "It may have been removed: load the page again."
    )
