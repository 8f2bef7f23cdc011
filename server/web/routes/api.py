"""The JSON interface: boats with their revision as ETag, edits by If-Match and Idempotency-Key, answers."""

import re
from typing import Annotated

from fastapi import APIRouter, Depends, Header, Request
from starlette.responses import JSONResponse, Response

from server.actions import changes, in_time
from server.actions.answer_document import answer_document, answer_schema
from server.actions.choices import choose
from server.actions.findings import not_assessed
from server.actions.mending import all_mended
from server.actions.put_downs import refuse_barred
from server.actions.troubles import (
    BarredPlaceError,
    DeletedBoatError,
    EditError,
    RequestReusedError,
    StaleError,
)
from server.actions.yard import open_boat
from server.boat.document import schema
from server.boat.edits import read_edit
from server.web.dependencies import BoatId, Yard, is_whole_number

router = APIRouter(prefix="/api")

_KEY = re.compile(r"^[\x21-\x7e]{8,64}$")


async def _body(request: Request) -> bytes:
    """The body as it was sent: the framework's own reading would fail on nesting and half characters."""
    return await request.body()


@router.get("/schema/boat.json")
def boat_schema() -> JSONResponse:
    """The schema of a boat document."""
    return JSONResponse(schema())


@router.get("/schema/answer.json")
def schema_of_answers() -> JSONResponse:
    """The schema of an answer."""
    return JSONResponse(answer_schema())


@router.get("/boats/{boat_id}")
def boat(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The document, byte for byte; its ETag is what an edit names in If-Match."""
    opened = open_boat(yard, boat_id)
    headers = {"ETag": _etag(opened.rev), "Cache-Control": "no-cache"}
    if request.headers.get("if-none-match") == headers["ETag"]:
        return Response(status_code=304, headers=headers)
    return Response(opened.revision.body, media_type="application/json", headers=headers)


@router.get("/boats/{boat_id}/answer")
def answer(boat_id: BoatId, yard: Yard, mode: str | None = None, event: str | None = None) -> Response:
    """Everything worked out in one mode, or in all of them when none is named."""
    opened = open_boat(yard, boat_id)
    if mode is None and event is None:
        wanted = [one.id for one in opened.boat.modes]
    else:
        chosen = choose(yard, opened.sha, opened.boat, mode, event)
        wanted = [] if chosen is None else [chosen.mode]
    solved = [in_time.whole_answer(yard, opened.sha, opened.boat, one) for one in wanted]
    found = [
        one for one in all_mended(yard, opened.sha, opened.boat) if one.mode is None or one.mode in wanted
    ]
    left_open = not_assessed(yard, opened.sha, opened.boat)
    not_in_time = {one.mode: in_time.not_in_time(yard, opened.sha, one) for one in solved}
    document = answer_document(opened.boat, solved, found, left_open, not_in_time)
    return Response(
        document.model_dump_json(), media_type="application/json", headers={"ETag": _etag(opened.rev)}
    )


@router.post("/boats/{boat_id}/edits")
def edit(  # noqa: PLR0911, PLR0913, PLR0917 - one line an answer; each names one thing of the request
    request: Request,
    boat_id: BoatId,
    yard: Yard,
    body: Annotated[bytes, Depends(_body)],
    mode: str | None = None,
    event: str | None = None,
    if_match: Annotated[str | None, Header()] = None,
    idempotency_key: Annotated[str | None, Header()] = None,
) -> Response:
    """Apply one edit to the revision named in If-Match; sent again under its key, it is done once.

    A lead put down where something would break is refused, as judged in the mode named, else in the worst.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip() != "application/json":
        return _problem(415, "Send the edit as application/json.")
    revision = _revision(if_match)
    if revision is None or idempotency_key is None:
        return _problem(
            428, "Say which revision the edit was made on (If-Match: the ETag) and send an Idempotency-Key."
        )
    if not _KEY.match(idempotency_key):
        return _problem(422, "An Idempotency-Key has 8 to 64 printable characters.")
    try:
        made = read_edit(body)
        refuse_barred(yard, boat_id, revision, made, mode, event)
        change = changes.apply_edit(yard, boat_id, revision, made, idempotency_key)
    except BarredPlaceError as barred:
        return _problem(422, str(barred), place=barred.place, reasons=list(barred.reasons))
    except StaleError as stale:
        changed = changes.changed_meanwhile(stale.since)
        return _problem(409, "The boat has moved on.", revision=stale.head.rev, changes=list(changed))
    except EditError as error:
        return _problem(422, error.message, field=error.field, mend=error.mend)
    except RequestReusedError:
        return _problem(422, "This Idempotency-Key was already used for another edit.")
    except DeletedBoatError:
        return _problem(404, "This boat was deleted.")
    after = change.after
    content = {"boat": after.id, "revision": after.rev, "label": change.label, "sha256": after.sha}
    return JSONResponse(content, headers={"ETag": _etag(after.rev)})


def _etag(revision: int) -> str:
    return f'"{revision}"'


def _revision(if_match: str | None) -> int | None:
    text = (if_match or "").strip().removeprefix("W/").strip('"')
    return int(text) if is_whole_number(text) else None


def _problem(status: int, message: str, **more: object) -> JSONResponse:
    content = {"error": message, **more}
    return JSONResponse(content, status)
