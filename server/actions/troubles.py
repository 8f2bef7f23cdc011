"""Everything an action may refuse with, for the floors above to tell people."""

from server.actions.choices import UnknownChoiceError
from server.actions.photos_intake import NoPhotoError
from server.actions.put_downs import BarredPlaceError
from server.boat.document import DocumentError
from server.boat.edit_error import EditError
from server.store.errors import (
    DeletedBoatError,
    NameTakenError,
    NothingToRedoError,
    NothingToUndoError,
    RequestReusedError,
    StaleError,
    StoreBusyError,
    StoreError,
    StoreFullError,
    UnknownBoatError,
    UnknownPartError,
    UnknownPhotoError,
    UnknownRevisionError,
    UnknownTableError,
    UnstorableTextError,
)

__all__ = [
    "BarredPlaceError",
    "DeletedBoatError",
    "DocumentError",
    "EditError",
    "NameTakenError",
    "NoPhotoError",
    "NothingToRedoError",
    "NothingToUndoError",
    "RequestReusedError",
    "StaleError",
    "StoreBusyError",
    "StoreError",
    "StoreFullError",
    "UnknownBoatError",
    "UnknownChoiceError",
    "UnknownPartError",
    "UnknownPhotoError",
    "UnknownRevisionError",
    "UnknownTableError",
    "UnstorableTextError",
]
