"""What Tapchart judges by, and the office's own tables."""

from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse, Response

from server.actions.boats import fresh_request_id
from server.actions.yard import Yard as ActionsYard
from server.practice.office_text import TextProblem
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard
from server.web.render import page
from server.web.views.office import (
    KEPT,
    NONE,
    EntryView,
    entry_view,
    office_view,
    typed_text,
)
from server.web.views.rules import rules_view

router = APIRouter()

OFFICE_URL = "/rules#office"


def _page(request: Request, yard: ActionsYard, entry: EntryView, status: int = 200) -> Response:
    from server.actions.office import boat_tables, own_tables, tables_put_away
    from server.actions.rules import rule_sets, tables

    own = own_tables(yard)
    boats = boat_tables(yard, own)
    view = rules_view(rule_sets(), tables(), office_view(own, tables_put_away(yard), boats, entry))
    return page(request, "rules/page", view, status=status)


@router.get("/rules")
def rules(request: Request, yard: Yard) -> Response:
    """Every rule and table with its source and how it was verified; the office's own tables."""
    return _page(request, yard, entry_view())


@router.post("/rules/tables")
async def enter(request: Request, yard: Yard) -> Response:
    """Keep a table from what was typed or from a file; what is wrong stands beside what was typed (422)."""
    from server.actions.office import OfficeTextError, enter_table

    async with request.form(max_files=1, max_fields=10) as form:
        typed = {name: value for name, value in form.items() if isinstance(value, str)}
        upload = form.get("file")
        body = await upload.read() if isinstance(upload, UploadFile) else b""
    try:
        if body:
            typed["rows"] = body.decode("utf-8-sig")
        enter_table(yard, typed_text(typed), (typed.get("request_id") or fresh_request_id())[:64])
    except UnicodeDecodeError:
        problem = TextProblem(
            "file", "it is no text.", "Save the table as CSV in UTF-8, or paste its rows into the box."
        )
        return _page(request, yard, entry_view(typed, (problem,)), status=422)
    except OfficeTextError as error:
        return _page(request, yard, entry_view(typed, error.problems), status=422)
    return RedirectResponse(OFFICE_URL, status_code=303)


@router.get("/rules/tables/{table_id}")
def table_file(table_id: BoatId, yard: Yard) -> Response:
    """A stored table as a file that ``tapchart check --ampacity`` reads."""
    from server.actions.office import table_file as stored

    name, text = stored(yard, table_id)
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return Response(text, media_type="text/csv", headers=headers)


@router.post("/rules/tables/{table_id}/remove")
def remove(table_id: BoatId, yard: Yard) -> Response:
    """Take a table off the list; boats that use it keep their copy."""
    from server.actions.office import put_away

    put_away(yard, table_id)
    return RedirectResponse(OFFICE_URL, status_code=303)


@router.post("/rules/tables/{table_id}/bring-back")
def bring_back(table_id: BoatId, yard: Yard) -> Response:
    """Put a table that was put away on the list again."""
    from server.actions.office import bring_back as on_the_list

    on_the_list(yard, table_id)
    return RedirectResponse(OFFICE_URL, status_code=303)


@router.post("/boats/{boat_id}/ampacity-table")
def use(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Judge a boat by a stored table, or by the published ones again."""
    from server.actions.changes import Change
    from server.actions.office import use_table

    chosen = fields.get("table", "")
    after = RedirectResponse(f"/rules#own-boat-{boat_id}", status_code=303)
    if not chosen:
        raise HTTPException(422, "The form is not complete. Load the page again, then make the change there.")
    if chosen == KEPT:
        return after

    def make(stamp: Stamp) -> Change:
        table = None if chosen == NONE else chosen
        return use_table(yard, boat_id, stamp.revision, table, stamp.request_id)

    return conflict_or(request, boat_id, fields, make, lambda _: after)
