"""Which edit an undo takes back and a redo brings back.

Every revision shows the body of one edit, its position.
Undo walks from a position to the edit before it; redo walks back up towards the newest edit.
A new edit starts a new branch, and what was undone before it can no longer be redone.
"""

from sqlalchemy import Connection

from server.store import reading
from server.store.values import RevisionEntry, TakeBack


def next_undo(connection: Connection, head: RevisionEntry) -> TakeBack | None:
    """What undo would do at this revision; None where the boat stands as created."""
    undone = reading.entry(connection, head.boat_id, head.position)
    return None if undone.before is None else _take_back(undone, undone.before)


def next_redo(connection: Connection, head: RevisionEntry) -> TakeBack | None:
    """What redo would do at this revision; None unless it is an undo or redo with more to bring back."""
    if head.restores is None:
        return None
    # All steps between here and the newest edit lie in this range, for an edit comes after its base.
    since = {
        entry.rev: entry
        for entry in reading.entries_between(connection, head.boat_id, head.position, head.rev)
    }
    step = max((entry for entry in since.values() if entry.restores is None), key=lambda entry: entry.rev)
    if step.rev == head.position:
        return None
    while step.before is not None and step.before != head.position:
        step = since[step.before]
    return _take_back(step, step.rev)


def _take_back(subject: RevisionEntry, returns_to: int) -> TakeBack:
    return TakeBack(subject.rev, subject.label, subject.author, subject.at_us, returns_to)
