"""What can go wrong in the store, each in words that can be shown to a person."""

from server.store.values import Revision, RevisionEntry


class StoreError(Exception):
    """Anything the store refuses or cannot do."""


class UnknownBoatError(StoreError):
    """No boat has this id."""


class UnknownTableError(StoreError):
    """No office's table has this id."""


class UnknownPhotoError(StoreError):
    """No photo is filed under this hash."""


class UnknownPartError(StoreError):
    """No part of the yard's library has this id."""


class NameTakenError(StoreError):
    """Another part of the yard's library has this name."""


class UnknownRevisionError(StoreError):
    """The boat exists, but not in this revision."""


class DeletedBoatError(StoreError):
    """The boat is marked deleted; restore it before editing it."""


class BoatExistsError(StoreError):
    """The id asked for belongs to another boat."""


class StaleError(StoreError):
    """The edit was made on a revision that is no longer the newest.

    Attributes:
        head: the newest revision, with its body.
        since: every revision after the one the edit was made on, oldest first.
    """

    def __init__(self, head: Revision, since: tuple[RevisionEntry, ...]) -> None:
        """Keep what changed meanwhile, so that the person can be shown it."""
        super().__init__(f"{head.boat_id} has moved on to revision {head.rev}")
        self.head = head
        self.since = since


class RequestReusedError(StoreError):
    """The request id was already used for something else."""


class NothingToUndoError(StoreError):
    """The boat stands as it was created."""


class NothingToRedoError(StoreError):
    """The newest revision is neither an undo nor a redo, or everything is already redone."""


class UnstorableTextError(StoreError):
    """A text holds a character no database can keep: a zero byte or half a surrogate pair."""


class CorruptBodyError(StoreError):
    """Stored bytes no longer match the hash they are filed under."""


class StoreFullError(StoreError):
    """No space left to write; reading goes on, and writing resumes once space is freed."""


class StoreBusyError(StoreError):
    """Another program holds the database; trying again may help."""


class StoreDamagedError(StoreError):
    """The file is not a database, or its pages are damaged."""


class StoreFailedError(StoreError):
    """The database refused for another reason, which the message quotes."""


class StoreSettingsError(StoreError):
    """The database does not run with the settings that keep an acknowledged edit safe."""


class NewerSchemaError(StoreError):
    """The data folder was written by a newer version of this program."""


class ForeignDatabaseError(StoreError):
    """The file is a database, but not one of ours."""


class MigrationError(StoreError):
    """Bringing the tables up to date failed; they are unchanged."""


class BackupExistsError(StoreError):
    """There is already a file where the backup should go; backups are never overwritten."""


class NoBackupError(StoreError):
    """The file named as a backup is not there, or holds nothing."""
