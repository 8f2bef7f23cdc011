"""A survey row by row: each is put in by itself, on whatever stands then, and once only."""

import re

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from server.actions import changes, survey_list
from server.actions.changes import Change
from server.actions.survey_rows import SurveyRow
from server.actions.yard import open_boat
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard
from server.web.render import fragments, page
from server.web.views.survey import SurveyView, next_row, row_of, survey_view, told_after

router = APIRouter()
_REQUEST_ID = re.compile(r"^[A-Za-z0-9-]{8,64}$")
EMPTY = SurveyRow()


@router.get("/boats/{boat_id}/survey")
def look(request: Request, boat_id: BoatId, yard: Yard, put: str = "") -> Response:
    """The rows that are there, and one to be written; of one that was just put in, what is to be said."""
    opened = open_boat(yard, boat_id)
    return page(request, "survey/page", survey_view(opened, told=told_after(opened.boat, put)))


@router.post("/boats/{boat_id}/survey")
def put_in(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a row in; a row that waited on a tablet asks for JSON and is told when it is safe here."""
    row, request_id = row_of(fields), fields.get("request_id", "")
    waited = request.headers.get("accept", "") == "application/json"
    errors = _errors(row, request_id)
    opened = open_boat(yard, boat_id)
    if not errors:
        opened, read = survey_list.put_in(yard, boat_id, row, request_id)
        errors = dict(read.errors)
        if not errors:
            told = " ".join(("The row is in.", *read.told))
            if waited:
                return JSONResponse({"told": told}, status_code=201)
            return _shown(request, survey_view(opened, next_row(row), told=told), read.wire)
    if waited:
        return JSONResponse({"message": " ".join(errors.values())}, status_code=422)
    return _refused(request, survey_view(opened, fields, errors))


@router.post("/boats/{boat_id}/survey/undo")
def undo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the last change back and stay with the list."""

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "undo", stamp.request_id)

    def after(change: Change) -> Response:
        return _shown(request, survey_view(change.after, told="Taken back."))

    return conflict_or(request, boat_id, fields, make, after)


def _errors(row: SurveyRow, request_id: str) -> dict[str, str]:
    if not _REQUEST_ID.match(request_id):
        return {"number": "The form is not complete. Load the page again, then write the row there."}
    return {"what": "Write something into the row first."} if row == EMPTY else {}


def _shown(request: Request, view: SurveyView, put: str = "") -> Response:
    url = f"{view.form.action}?put={put}" if put else view.form.action
    return fragments(request, ("survey/survey", view), page_url=url)


def _refused(request: Request, view: SurveyView) -> Response:
    answer = fragments(
        request, ("survey/survey", view), page_url="", status=422, whole=lambda: ("survey/page", view)
    )
    answer.headers.update({"HX-Retarget": "#survey", "HX-Reswap": "outerHTML"})
    return answer
