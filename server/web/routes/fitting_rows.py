"""Putting many cables in at once, from rows."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.actions import changes
from server.actions.boats import fresh_request_id
from server.actions.changes import Change
from server.actions.yard import OpenBoat, open_boat
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard
from server.web.render import page
from server.web.views.controls import head_view
from server.web.views.fitting_rows import MOST_ROWS, Read, RowsView, left_over, read_rows, whole_edit
from server.web.views.forms import FormView

router = APIRouter()


@router.get("/boats/{boat_id}/fitting/rows")
def ask(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Where rows are pasted."""
    return page(request, "fitting/rows", _view(open_boat(yard, boat_id), ""))


@router.post("/boats/{boat_id}/fitting/rows")
def take(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Show how rows are read; with ``go=in`` put the good ones in and keep the others to be mended."""
    opened, text = open_boat(yard, boat_id), fields.get("text", "")
    if (count := len(text.splitlines())) > MOST_ROWS:
        told = f"These are {count} rows: paste {MOST_ROWS} at most at once."
        return page(request, "fitting/rows", _view(opened, text, (), told), status=422)
    read = read_rows(opened.boat, text)
    edit = whole_edit(read)
    if fields.get("go") != "in" or edit is None:
        told = "" if read else "There is no row in it."
        return page(request, "fitting/rows", _view(opened, text, read, told))

    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    def after(change: Change) -> Response:
        rest = left_over(read)
        view = _view(change.after, rest, read_rows(change.after.boat, rest), f"{edit.label}: done.")
        return page(request, "fitting/rows", view)

    return conflict_or(request, boat_id, fields, make, after)


def _view(opened: OpenBoat, text: str, rows: tuple[Read, ...] = (), told: str = "") -> RowsView:
    path = f"/boats/{opened.id}/fitting"
    stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
    return RowsView(
        title=f"Cables into {opened.row.name}",
        head=head_view(opened, "fitting"),
        form=FormView(f"{path}/rows", stamp),
        back_url=path,
        text=text,
        rows=tuple(row.view for row in rows),
        good=sum(bool(row.edits) for row in rows),
        told=told,
    )
