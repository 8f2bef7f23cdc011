"""A survey row by row: each is put in or changed by itself, on whatever stands then, and once only."""

import re

from fastapi import APIRouter, Request
from starlette.responses import JSONResponse, Response

from server.actions import changes, survey_list, survey_mending
from server.actions.changes import Change
from server.actions.survey_rows import SurveyRow
from server.actions.yard import open_boat
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard
from server.web.render import fragments, is_htmx, page
from server.web.views.survey import (
    Looked,
    SurveyView,
    list_url,
    list_view,
    next_row,
    row_of,
    survey_view,
    told_after,
    told_of,
)

router = APIRouter()
_REQUEST_ID = re.compile(r"^[A-Za-z0-9-]{8,64}$")
EMPTY = SurveyRow()
SIDES = ("tail", "head")
INCOMPLETE = {"number": "The form is not complete. Load the page again, then write the row there."}


@router.get("/boats/{boat_id}/survey")
def look(  # noqa: PLR0913, PLR0917 - each names one thing of the address
    request: Request,
    boat_id: BoatId,
    yard: Yard,
    put: str = "",
    show: str = "",
    row: str = "",
    came: str = "",
) -> Response:
    """The rows that are there, one perhaps open, and one to be written.

    Of a row that was just put in, or of a part that came aboard for rows, it is said.
    """
    opened, looked = open_boat(yard, boat_id), Looked(show, row)
    if is_htmx(request):
        return fragments(request, ("survey/list", list_view(opened, looked)), page_url="")
    told = told_of(opened.boat, came) or told_after(opened.boat, put)
    return page(request, "survey/page", survey_view(opened, told=told, looked=looked))


@router.post("/boats/{boat_id}/survey")
def put_in(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a row in; a row that waited on a tablet asks for JSON and is told when it is safe here."""
    row, request_id = row_of(fields), fields.get("request_id", "")
    waited = request.headers.get("accept", "") == "application/json"
    errors = _errors(row, request_id)
    opened, looked = open_boat(yard, boat_id), Looked(fields.get("show", ""))
    if not errors:
        opened, read = survey_list.put_in(yard, boat_id, row, request_id)
        errors = dict(read.errors)
        if not errors:
            told = " ".join(("The row is in.", *read.told))
            if waited:
                return JSONResponse({"told": told}, status_code=201)
            view = survey_view(opened, next_row(row, opened.boat), told=told, looked=looked)
            url = list_url(f"/boats/{boat_id}", looked.show, put=read.wire)
            return fragments(request, ("survey/survey", view), page_url=url)
    if waited:
        return JSONResponse({"message": " ".join(errors.values())}, status_code=422)
    return _refused(request, survey_view(opened, fields, errors, looked=looked))


@router.post("/boats/{boat_id}/survey/row")
def change(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Change a row where it stands, or take it out."""
    row, request_id, wire = row_of(fields), fields.get("request_id", ""), fields.get("wire", "")
    show = fields.get("show", "")
    if not _REQUEST_ID.match(request_id):
        looked = Looked(show, wire, fields, INCOMPLETE)
        return _mend_refused(request, survey_view(open_boat(yard, boat_id), looked=looked))
    seen, end = (
        fields.get("seen", ""),
        {side: fields[f"lay-{side}"] for side in SIDES if f"lay-{side}" in fields},
    )
    if "out" in fields:
        opened, read = survey_mending.take_out(yard, boat_id, wire, request_id)
    elif end:
        opened, read = survey_mending.lay(yard, boat_id, wire, seen, end, request_id)
    else:
        opened, read = survey_mending.mend(yard, boat_id, wire, seen, row, request_id)
    if read.errors:
        looked = Looked(show, wire, None if end else fields, read.errors)
        told = survey_mending.GONE if survey_mending.GONE in read.errors.values() else ""
        if survey_mending.is_overtaken(read):
            told = survey_mending.CHANGED
        return _mend_refused(request, survey_view(opened, told=told, looked=looked))
    url = list_url(f"/boats/{boat_id}", show)
    if "out" in fields:
        listed = list_view(opened, Looked(show), "The row is out.")
    else:
        told = " ".join(("The row is changed." if read.is_good else "Nothing was changed.", *read.told))
        listed = list_view(opened, Looked(show, changed=wire, told=told))
    return fragments(request, ("survey/list", listed), page_url=url)


@router.post("/boats/{boat_id}/survey/undo")
def undo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the last change back and stay with the list."""
    show = fields.get("show", "")

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "undo", stamp.request_id)

    def after(change: Change) -> Response:
        listed = list_view(change.after, Looked(show), "Taken back.")
        return fragments(request, ("survey/list", listed), page_url=list_url(f"/boats/{boat_id}", show))

    return conflict_or(request, boat_id, fields, make, after)


def _errors(row: SurveyRow, request_id: str) -> dict[str, str]:
    if not _REQUEST_ID.match(request_id):
        return INCOMPLETE
    return {"what": "Write something into the row first."} if row == EMPTY else {}


def _refused(request: Request, view: SurveyView) -> Response:
    answer = fragments(
        request, ("survey/survey", view), page_url="", status=422, whole=lambda: ("survey/page", view)
    )
    answer.headers.update({"HX-Retarget": "#survey", "HX-Reswap": "outerHTML"})
    return answer


def _mend_refused(request: Request, view: SurveyView) -> Response:
    answer = fragments(
        request, ("survey/list", view.listed), page_url="", status=422, whole=lambda: ("survey/page", view)
    )
    answer.headers.update({"HX-Retarget": "#survey-list", "HX-Reswap": "outerHTML"})
    return answer
