"""The database: boats as append-only histories of whole documents.

A body is stored once under the SHA-256 of its bytes and never written anew.
A revision is one step of one boat: an edit, an undo or a redo; undo and redo are new revisions
that show an older body again. Times are integer microseconds since 1970 in UTC.
"""

from server.store.repository import Repository, system_clock_us
from server.store.values import BoatRow, CheckReport, Revision, RevisionEntry, Role, Step, TakeBack

__all__ = [
    "BoatRow",
    "CheckReport",
    "Repository",
    "Revision",
    "RevisionEntry",
    "Role",
    "Step",
    "TakeBack",
    "system_clock_us",
]
