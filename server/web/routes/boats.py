"""All boats: cards, taking in and giving out, duplicating, renaming, deleting and bringing back."""

from urllib.parse import quote

from fastapi import APIRouter, HTTPException, Request
from pydantic import TypeAdapter, ValidationError
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse, Response

from server.actions import boats, cards, changes, options
from server.actions.boats import fresh_request_id
from server.actions.troubles import DocumentError
from server.actions.yard import BoatRow, open_boat
from server.actions.yard import Yard as ActionsYard
from server.boat.edits import Rename
from server.boat.value import Name
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard, stamp_of
from server.web.render import fragments, page
from server.web.views.boats import (
    BoatsView,
    CardView,
    ProblemView,
    card_view,
    deleted_view,
    group_view,
    grouped,
)

router = APIRouter()

_NAME: TypeAdapter[str] = TypeAdapter(Name)


def list_page(  # noqa: PLR0913 - each names one thing that may be shown
    request: Request,
    yard: ActionsYard,
    *,
    problems: tuple[ProblemView, ...] = (),
    file_name: str = "",
    renaming: tuple[str, str, str] = ("", "", ""),
    status: int = 200,
) -> Response:
    """The page of all boats; ``renaming`` is a boat, what was typed, and what is wrong with it."""
    groups = grouped(boats.all_boats(yard))
    known = cards.known_summaries(yard, (row for group in groups for row in group))
    boat, typed, wrong = renaming
    deleted = boats.deleted_boats(yard)
    just = next((row for row in deleted if row.id == request.query_params.get("deleted")), None)

    def shown(row: BoatRow) -> CardView:
        is_typed = row.id == boat
        return card_view(row, known.get(row.id), wrong if is_typed else "", typed if is_typed else "")

    view = BoatsView(
        groups=tuple(group_view(group, shown) for group in groups),
        deleted=tuple(deleted_view(row) for row in deleted if row is not just),
        just_deleted=None if just is None else deleted_view(just),
        import_request_id=fresh_request_id(),
        problems=problems,
        problems_file=file_name,
        demo_request_id=fresh_request_id(),
        has_demo=boats.teaching_boat(yard) is not None,
    )
    return page(request, "boats/page", view, status=status)


@router.get("/boats")
def all_boats(request: Request, yard: Yard) -> Response:
    """Every boat as a card."""
    return list_page(request, yard)


@router.post("/boats/demo")
def put_in_demo_boats(yard: Yard) -> Response:
    """Put the demo boats in beside the person's own; a first visit goes on to the teaching boat."""
    boats.put_in_demo_boats(yard)
    return RedirectResponse("/", status_code=303)


@router.post("/boats/import")
async def take_in(request: Request, yard: Yard) -> Response:
    """Keep a boat from a file; a file that is no boat is answered with each problem and its place."""
    async with request.form(max_files=1, max_fields=10) as form:
        upload = form.get("file")
        if not isinstance(upload, UploadFile) or not upload.filename:
            problem = ProblemView("file", "No file was chosen.", "Choose a boat file, then send it.")
            return list_page(request, yard, problems=(problem,), status=422)
        body, file_name = await upload.read(), upload.filename[:120]
        request_id = str(form.get("request_id") or fresh_request_id())[:64]
    try:
        taken = boats.take_in(yard, body, request_id)
    except DocumentError as error:
        problems = tuple(ProblemView(one.path, one.message, one.mend) for one in error.problems[:10])
        return list_page(request, yard, problems=problems, file_name=file_name, status=422)
    return RedirectResponse(f"/boats/{taken.row.id}", status_code=303)


@router.get("/boats/{boat_id}/card")
def card(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """One card, worked out if it has to be."""
    found = cards.summary(yard, boat_id)
    view = card_view(boats.row(yard, boat_id), found)
    return fragments(request, ("boats/card", view), page_url="/boats", is_late=True)


@router.get("/boats/{boat_id}/export")
def export(boat_id: BoatId, yard: Yard) -> Response:
    """The document, byte for byte as it is kept."""
    name, body = boats.export(yard, boat_id)
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return Response(body, media_type="application/json", headers=headers)


@router.post("/boats/{boat_id}/duplicate")
def duplicate(boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """A copy under another name."""
    row = boats.duplicate(yard, boat_id, _name(fields.get("name", "")), stamp_of(fields).request_id)
    return RedirectResponse(f"/boats#card-{row.id}", status_code=303)


@router.post("/boats/{boat_id}/rename")
def rename(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Another name for a boat; that of an option stands beside its document, which stays as it is."""
    typed = fields.get("name", "")
    try:
        name = _name(typed)
    except HTTPException as error:
        return list_page(request, yard, renaming=(boat_id, typed, error.detail), status=422)

    if open_boat(yard, boat_id).row.role == "option":
        options.rename(yard, boat_id, name)
        return RedirectResponse("/boats", status_code=303)

    def make(stamp: Stamp) -> changes.Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, Rename(name=name), stamp.request_id)

    return conflict_or(request, boat_id, fields, make, lambda _: RedirectResponse("/boats", status_code=303))


@router.post("/boats/{boat_id}/delete")
def delete(boat_id: BoatId, yard: Yard) -> Response:
    """Put a boat away; the next page offers to bring it back."""
    row = boats.delete(yard, boat_id)
    return RedirectResponse(f"/boats?deleted={row.id}", status_code=303)


@router.post("/boats/{boat_id}/restore")
def restore(boat_id: BoatId, yard: Yard) -> Response:
    """Bring a deleted boat back."""
    row = boats.restore(yard, boat_id)
    return RedirectResponse(f"/boats#card-{row.id}", status_code=303)


def _name(typed: str) -> str:
    name = typed.strip()
    try:
        _NAME.validate_python(name)
    except ValidationError:
        raise HTTPException(
            422, "Enter a name of 120 characters at most, without control characters."
        ) from None
    if not name:
        raise HTTPException(422, "Enter a name.")
    return name
