"""What the actions refuse, as answers with the right status; nothing of it is our mistake."""

from typing import cast

from fastapi import FastAPI, Request
from starlette.responses import Response

from server.actions.choices import UnknownChoiceError
from server.actions.troubles import (
    BarredPlaceError,
    DeletedBoatError,
    DocumentError,
    EditError,
    NameTakenError,
    NoPhotoError,
    NothingToRedoError,
    NothingToUndoError,
    RequestReusedError,
    StaleError,
    StoreBusyError,
    StoreFullError,
    UnknownBoatError,
    UnknownPartError,
    UnknownPhotoError,
    UnknownRevisionError,
    UnknownTableError,
    UnstorableTextError,
)
from server.web.errors import error_response

_ANSWERS: tuple[tuple[type[Exception], int, str], ...] = (
    (
        UnknownBoatError,
        404,
        "There is no such boat here, or it was deleted. Go back to the boats and choose one.",
    ),
    (DeletedBoatError, 404, "This boat was deleted. Bring it back on the page of boats, then go on."),
    (UnknownChoiceError, 404, ""),
    (UnknownPhotoError, 404, "This photo is not here. Bring it along with the boat's file with photos."),
    (UnknownPartError, 404, "There is no such part among your own. Choose one from the list."),
    (NameTakenError, 422, "Another of your own parts has this name. Choose another name."),
    (NoPhotoError, 422, ""),
    (UnknownTableError, 404, "There is no such table here. Choose one on the page of rules and sources."),
    (UnknownRevisionError, 422, "The form names a revision this boat never had. Load the page again."),
    (RequestReusedError, 422, "This form was already used for another change. Load the page again."),
    (UnstorableTextError, 422, "The text holds a character that cannot be kept. Type it again."),
    (EditError, 422, ""),
    (DocumentError, 422, ""),
    (NothingToUndoError, 409, "There is nothing to undo: the boat stands as it was created."),
    (NothingToRedoError, 409, "There is nothing to do again."),
    (StaleError, 409, "Somebody changed this boat meanwhile. Load the page again; nothing was overwritten."),
    (
        StoreFullError,
        507,
        "There is no space left on the disk. Nothing was changed; free some space and try again.",
    ),
    (StoreBusyError, 503, "The boats are in use by another program. Nothing was changed; try again."),
)


def install(app: FastAPI) -> None:
    """Give an app these answers."""
    app.add_exception_handler(BarredPlaceError, _barred)
    for kind, status, words in _ANSWERS:
        app.add_exception_handler(kind, _handler(status, words))


async def _barred(request: Request, error: Exception) -> Response:
    return error_response(request, 422, str(error), cast("BarredPlaceError", error).reasons)


def _handler(status: int, words: str):  # type: ignore[no-untyped-def]  # noqa: ANN202 - Starlette's own union
    async def handle(request: Request, error: Exception) -> Response:
        return error_response(request, status, words or str(error))

    return handle
