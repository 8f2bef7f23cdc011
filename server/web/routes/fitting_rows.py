"""Putting many cables in at once, from rows that were pasted or sent as a file; all cables as CSV."""

from collections.abc import Sequence
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import Response

from server.actions import boats, changes
from server.actions.boats import fresh_request_id
from server.actions.changes import Change
from server.actions.importing_tables import table_text
from server.actions.survey_list import rows_of, whole_edit
from server.actions.survey_text import TableError, TextRow, read_text, written
from server.actions.yard import OpenBoat, open_boat
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard
from server.web.render import page
from server.web.views.controls import head_view
from server.web.views.fitting_rows import Read, RowsView, read_on
from server.web.views.forms import FormView

router = APIRouter()


@router.get("/boats/{boat_id}/fitting/rows")
def ask(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Where rows are pasted or sent as a file."""
    return page(request, "fitting/rows", _view(open_boat(yard, boat_id), ""))


@router.post("/boats/{boat_id}/fitting/rows")
def take(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Show how rows are read; with ``go=in`` put the good ones in and keep the others to be mended."""
    opened, text = open_boat(yard, boat_id), fields.get("text", "")
    try:
        read = read_on(opened.boat, read_text(text))
    except TableError as error:
        return page(request, "fitting/rows", _view(opened, text, wrong=str(error)), status=422)
    edit = whole_edit(read.rows)
    if fields.get("go") != "in" or edit is None:
        return _shown(request, opened, text, read)

    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    def after(change: Change) -> Response:
        rest = read.left_over()
        view = _view(
            change.after, rest, _read_again(change.after, read.lines, read), told=f"{edit.label}: done."
        )
        return page(request, "fitting/rows", view)

    return conflict_or(request, boat_id, fields, make, after)


@router.post("/boats/{boat_id}/fitting/rows/file")
async def take_file(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Show how the rows of a file are read, before any is put in."""
    async with request.form(max_files=1, max_fields=10) as form:
        upload = form.get("file")
        body = await upload.read() if isinstance(upload, UploadFile) else b""
    return await run_in_threadpool(_file_shown, request, open_boat(yard, boat_id), body)


@router.get("/boats/{boat_id}/rows.csv")
def give_out(boat_id: BoatId, yard: Yard) -> Response:
    """The boat's conductors as CSV, to be read again here."""
    opened = open_boat(yard, boat_id)
    name, _ = boats.export(yard, boat_id)
    file_name = f"{name.removesuffix('.boat.json')}.cables.csv"
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(file_name)}"}
    return Response(written(rows_of(opened.boat)), media_type="text/csv; charset=utf-8", headers=headers)


def _file_shown(request: Request, opened: OpenBoat, body: bytes) -> Response:
    try:
        text = table_text(body)
        read = read_on(opened.boat, read_text(text))
    except TableError as error:
        told = f"The file was not read. {error}"
        return page(request, "fitting/rows", _view(opened, "", wrong=told), status=422)
    return _shown(request, opened, text, read)


def _read_again(opened: OpenBoat, lines: Sequence[TextRow], read: Read) -> Read:
    """The rows that were left over, on the boat with the others."""
    pairs = zip(lines, read.rows, strict=True)
    return read_on(opened.boat, [line for line, row in pairs if not row.is_good])


def _shown(request: Request, opened: OpenBoat, text: str, read: Read) -> Response:
    if not read.rows:
        view = _view(opened, text, wrong="There is no row in it.")
        return page(request, "fitting/rows", view, status=422)
    return page(request, "fitting/rows", _view(opened, text, read))


def _view(
    opened: OpenBoat, text: str, read: Read | None = None, *, told: str = "", wrong: str = ""
) -> RowsView:
    path = f"/boats/{opened.id}/fitting"
    stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
    return RowsView(
        title=f"Cables into {opened.row.name}",
        head=head_view(opened, "fitting"),
        form=FormView(f"{path}/rows", stamp),
        file_form=FormView(f"{path}/rows/file", ()),
        csv_url=f"/boats/{opened.id}/rows.csv",
        back_url=path,
        survey_url=f"/boats/{opened.id}/survey",
        text=text,
        rows=() if read is None else read.views(),
        good=0 if read is None else read.good,
        told=told,
        wrong=wrong,
    )
