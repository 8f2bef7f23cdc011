"""Options of a boat: branched from any revision, described, put aside, taken over."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from server.actions.changes import Change
from server.actions.history import between, lineage
from server.actions.takings import TakingOver, taken_over, taking_json, taking_of
from server.actions.troubles import EditError, UnknownBoatError
from server.actions.yard import Yard, document, open_boat, revision_of
from server.boat.boat import Boat
from server.boat.document import boat_bytes
from server.boat.edits import apply, read_edit
from server.store.values import BoatRow, RevisionEntry, Role

Way = Literal["whole", "on-top"]


@dataclass(frozen=True)
class Option:
    """An option with where it came from.

    ``depth`` counts branches below the boat; ``steps`` are its own that still stand, ``moved_on`` those that
    the boat it came from has made since; ``is_taken`` tells whether what that boat is now includes it.
    """

    row: BoatRow
    depth: int
    source: BoatRow
    branched: RevisionEntry
    steps: tuple[RevisionEntry, ...]
    moved_on: tuple[RevisionEntry, ...]
    is_taken: bool


@dataclass(frozen=True)
class Family:
    """A boat with all options that came of it, each after the one it branched from."""

    root: BoatRow
    options: tuple[Option, ...]


def root_of(yard: Yard, boat_id: str) -> BoatRow:
    """The boat that an option, or an option of an option, came from; a boat that is none is its own.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    living = {row.id: row for row in yard.store.boats()}
    row = living.get(boat_id)
    if row is None:
        raise UnknownBoatError(f"there is no boat {boat_id}")
    while row.role == "option" and row.forked_from in living:
        row = living[row.forked_from]
    return row


def family(yard: Yard, boat_id: str) -> Family:
    """The boat that this one is or came from, with all its options, those put aside too.

    Raises:
        UnknownBoatError: there is no such boat, or it is deleted.
    """
    root = root_of(yard, boat_id)
    options = [row for row in yard.store.boats() if row.role == "option"]
    return Family(root, tuple(_below(yard, root, options, 1)))


def _below(yard: Yard, source: BoatRow, options: list[BoatRow], depth: int) -> Iterator[Option]:
    own = [row for row in options if row.forked_from == source.id]
    for row in sorted(own, key=lambda one: (one.created_us, one.id)):
        yield _option(yard, row, source, depth)
        yield from _below(yard, row, options, depth + 1)


def _option(yard: Yard, row: BoatRow, source: BoatRow, depth: int) -> Option:
    way = between(yard, (source.id, source.head), (row.id, row.head))
    stands = lineage(yard, source.id, source.head)
    branched = revision_of(yard, source.id, row.forked_rev or 1)
    taken = any((made := taken_over(one)) is not None and made.option == row.id for one in stands)
    return Option(row, depth, source, branched, way.steps, way.back, taken)


def option_of(yard: Yard, option_id: str) -> Option:
    """One option with where it came from.

    Raises:
        UnknownBoatError: there is no such boat, it is no option, or the boat it came from is deleted.
    """
    row = open_boat(yard, option_id).row
    if row.role != "option" or row.forked_from is None:
        raise UnknownBoatError(f"{option_id} is no option")
    return _option(yard, row, open_boat(yard, row.forked_from).row, 1)


def branch(  # noqa: PLR0913, PLR0917 - each names one thing of the new option
    yard: Yard, boat_id: str, rev: int, name: str, note: str, request_id: str
) -> BoatRow:
    """A new option that begins with a revision of a boat or of an option.

    Raises:
        UnknownBoatError, DeletedBoatError, UnknownRevisionError: there is nothing to branch from.
        RequestReusedError: the key was used for something else.
    """
    row = yard.store.duplicate(
        boat_id,
        name=name,
        role="option",
        author=yard.author,
        request_id=request_id,
        rev=rev,
        label="Option opened",
    )
    return yard.store.describe_option(row.id, name=name, note=note) if note else row


def describe(yard: Yard, option_id: str, name: str, note: str) -> BoatRow:
    """Give an option another name and note; its document and its history stay as they are.

    Raises:
        UnknownBoatError: there is no such option.
    """
    option_of(yard, option_id)
    return yard.store.describe_option(option_id, name=name, note=note)


def rename(yard: Yard, option_id: str, name: str) -> BoatRow:
    """Give an option another name alone, whether or not the boat it came from is still there.

    Raises:
        UnknownBoatError: there is no such boat, or it is deleted.
    """
    return yard.store.describe_option(option_id, name=name, note=open_boat(yard, option_id).row.note)


def put_aside(yard: Yard, option_id: str, *, aside: bool) -> BoatRow:
    """Put an option aside, or bring it back.

    Raises:
        UnknownBoatError: there is no such option.
    """
    option_of(yard, option_id)
    return yard.store.put_option_aside(option_id, aside=aside)


def take_over(  # noqa: PLR0913, PLR0917 - each names one thing of what is taken over
    yard: Yard, option_id: str, option_rev: int, base_rev: int, way: Way, request_id: str
) -> Change:
    """Make an option the boat it came from, as one new revision of that boat; undo takes it back.

    As a ``whole`` the boat becomes what the option is; ``on-top`` the option's own steps are made again on
    what the boat is now. The boat keeps its name. A boat as surveyed becomes one in work: its survey stays in
    the history.

    Raises:
        EditError: a step of the option does not fit the boat as it is now.
        StaleError: the boat has moved on since ``base_rev``.
        UnknownBoatError, UnknownRevisionError, RequestReusedError: as for an edit.
    """
    row = option_of(yard, option_id).row
    target = open_boat(yard, row.forked_from or "").row
    base, source = revision_of(yard, target.id, base_rev), revision_of(yard, option_id, option_rev)
    now = document(yard, base)
    made = (
        document(yard, source)
        if way == "whole"
        else _on_top(now, between(yard, (target.id, base_rev), (option_id, option_rev)).steps)
    )
    named = made if made.name == now.name else made.model_copy(update={"name": now.name})
    body = source.body if named is made and way == "whole" else boat_bytes(named)
    after: Role = "working" if target.role == "surveyed" else target.role
    edit = taking_json(
        TakingOver(option=option_id, rev=option_rev, way=way, role_before=target.role, role_after=after)
    )
    yard.store.append(
        target.id,
        base_rev,
        body=body,
        edit=edit,
        label=f"Taken over: {row.name}" if way == "whole" else f"Taken over on top: {row.name}",
        author=yard.author,
        request_id=request_id,
        request_sha=hashlib.sha256(f"{target.id}\0{option_id}\0{option_rev}\0{way}".encode()).hexdigest(),
        role=after,
    )
    opened = open_boat(yard, target.id)
    return Change(now, base.sha, opened, opened.revision.label)


def _on_top(boat: Boat, steps: tuple[RevisionEntry, ...]) -> Boat:
    """A boat with an option's own steps made again on it.

    Raises:
        EditError: a step does not fit, or brought in a whole document.
    """
    for step in steps:
        if step.edit is None or taking_of(step) is not None:
            raise EditError(
                "way",
                f"the step “{step.label}” brought in a whole document and cannot be made again alone.",
                "Take the option over as a whole, or make its steps by hand.",
            )
        try:
            boat = apply(boat, read_edit(step.edit))
        except EditError as error:
            raise EditError(
                "way",
                f"the step “{step.label}” does not fit the boat as it is now: {error.message}",
                "Take the option over as a whole, or make its steps by hand.",
            ) from None
    return boat
