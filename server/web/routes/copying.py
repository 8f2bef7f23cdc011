"""What is ticked in a boat's lists: duplicated, copied into another boat, taken out, or saved."""

from collections.abc import Callable

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from server.actions import boats, changes, copying, library
from server.actions.changes import Change
from server.actions.copying import Ticked, ticked
from server.actions.library import LibraryFullError
from server.actions.troubles import EditError, NameTakenError
from server.actions.yard import OpenBoat, open_boat
from server.boat.edits import AnyEdit
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard, stamp_of
from server.web.render import page
from server.web.routes.library import BAD_NAME, TAKEN_NAME, own_name
from server.web.views.copying import ticked_view

router = APIRouter()


@router.get("/boats/{boat_id}/ticked")
def look(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """What is ticked, what hangs on it, and what can be done with it."""
    opened = open_boat(yard, boat_id)
    chosen = ticked(opened.boat, request.query_params.getlist("ticked"))
    return page(request, "copying/page", ticked_view(opened, chosen, boats.all_boats(yard)))


@router.post("/boats/{boat_id}/ticked/duplicate")
def duplicate(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """The ticked things once more in the same boat."""

    def edit(opened: OpenBoat, chosen: Ticked, stamp: Stamp) -> AnyEdit:
        return copying.duplicate_edit(opened.boat, chosen, stamp.request_id)

    return _edited(request, boat_id, yard, fields, edit, "duplicated")


@router.post("/boats/{boat_id}/ticked/remove")
def remove(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the ticked things out, and the cables on them where that was asked."""

    def edit(opened: OpenBoat, chosen: Ticked, _: Stamp) -> AnyEdit:
        return copying.removal_edit(opened.boat, chosen, cables_too=fields.get("cables") == "too")

    return _edited(request, boat_id, yard, fields, edit, "removed")


@router.post("/boats/{boat_id}/ticked/copy")
def copy(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Copy the ticked things into another boat, and go there."""
    stamp, target = stamp_of(fields), fields.get("to", "")
    try:
        change = copying.copy_into(yard, boat_id, target, _ids(fields), stamp.request_id)
    except EditError as error:
        return _refused(request, boat_id, yard, fields, error)
    is_alike = open_boat(yard, boat_id).boat.nominal_voltage_v == change.after.boat.nominal_voltage_v
    done = "copied" if is_alike else "copied-volts"
    return RedirectResponse(f"/boats/{change.after.id}/lists?done={done}", status_code=303)


@router.post("/boats/{boat_id}/ticked/save")
def save(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Keep one of the ticked parts among the yard's own."""
    part, typed = fields.get("part", ""), fields.get("name", "")
    name, wrong = own_name(typed), BAD_NAME
    if name is not None:
        try:
            library.save(yard, boat_id, part, name, stamp_of(fields).request_id)
        except NameTakenError:
            wrong = TAKEN_NAME
        except LibraryFullError as error:
            wrong = str(error)
        else:
            return _shown(request, boat_id, yard, fields, told=f"“{name}” is among your own parts.")
    return _shown(request, boat_id, yard, fields, refused={part: (typed, wrong)})


@router.post("/boats/{boat_id}/ticked/undo")
def undo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the last change back and stay with the lists."""

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "undo", stamp.request_id)

    def after(change: Change) -> Response:
        return RedirectResponse(f"/boats/{change.after.id}/lists?done=undone", status_code=303)

    return conflict_or(request, boat_id, fields, make, after)


def _ids(fields: Fields) -> list[str]:
    return fields.get("ticked", "").split()


def _edited(  # noqa: PLR0913, PLR0917 - each names one thing of the change
    request: Request,
    boat_id: str,
    yard: Yard,
    fields: Fields,
    edit: Callable[[OpenBoat, Ticked, Stamp], AnyEdit],
    done: str,
) -> Response:
    def make(stamp: Stamp) -> Change:
        opened = open_boat(yard, boat_id)
        made = edit(opened, ticked(opened.boat, _ids(fields)), stamp)
        return changes.apply_edit(yard, boat_id, stamp.revision, made, stamp.request_id)

    def after(change: Change) -> Response:
        return RedirectResponse(f"/boats/{change.after.id}/lists?done={done}", status_code=303)

    try:
        return conflict_or(request, boat_id, fields, make, after)
    except EditError as error:
        return _refused(request, boat_id, yard, fields, error)


def _refused(request: Request, boat_id: str, yard: Yard, fields: Fields, error: EditError) -> Response:
    told = f"{error.message[:1].upper()}{error.message[1:]} {error.mend}"
    return _shown(request, boat_id, yard, fields, told=told, status=422)


def _shown(  # noqa: PLR0913 - each names one thing of the page
    request: Request,
    boat_id: str,
    yard: Yard,
    fields: Fields,
    *,
    told: str = "",
    refused: dict[str, tuple[str, str]] | None = None,
    status: int = 200,
) -> Response:
    opened = open_boat(yard, boat_id)
    chosen = ticked(opened.boat, _ids(fields))
    view = ticked_view(opened, chosen, boats.all_boats(yard), told=told, refused=refused)
    return page(request, "copying/page", view, status=422 if refused else status)
