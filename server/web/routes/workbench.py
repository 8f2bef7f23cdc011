"""The workbench of one boat: look, pick up, put down, take back, mend."""

from dataclasses import replace

from fastapi import APIRouter, HTTPException, Request
from pydantic import ValidationError
from starlette.responses import Response

from server.actions import both_leads, changes
from server.actions.changes import Change
from server.actions.mending import mend_edit
from server.actions.put_downs import refuse_barred
from server.actions.yard import open_boat
from server.boat.edits import MoveLead
from server.boat.value import TerminalRef
from server.web.bench import advice, bench, best_place_of, parts_of
from server.web.bench_held import Held, both, tap_parts
from server.web.bench_way import way_of
from server.web.changing import changed
from server.web.dependencies import BoatId, Fields, Stamp, Yard, state_of
from server.web.render import fragments, is_htmx, page

router = APIRouter()


@router.get("/boats/{boat_id}")
def look(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The boat in a mode and event, with a load selected or none."""
    state = state_of(request, boat_id, request.query_params)
    view = bench(yard, open_boat(yard, boat_id), state, hurried=is_htmx(request))
    if is_htmx(request):
        return fragments(request, *parts_of(view), page_url=state.url())
    return page(request, "workbench/page", view)


@router.get("/boats/{boat_id}/picture")
def picture(request: Request, boat_id: BoatId, yard: Yard, show: str = "after") -> Response:
    """The picture alone, before the last change or after it."""
    state = replace(state_of(request, boat_id, request.query_params), looks_back=show == "before")
    view = bench(yard, open_boat(yard, boat_id), state)
    if is_htmx(request):
        return fragments(request, ("workbench/diagram", view.diagram), page_url=state.url())
    return page(request, "workbench/page", view)


@router.get("/boats/{boat_id}/shape")
def shape(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """What depends on how the screen is held and which side is shown: the picture, and the selected load.

    The event in time is asked for anew, as its answer brings the picture with it.
    """
    state = state_of(request, boat_id, request.query_params)
    view = bench(yard, open_boat(yard, boat_id), state, hurried=True)
    names = ("diagram", "overlay", "overview", "event_ask", *(("selected",) if view.selected.name else ()))
    parts = tuple((f"workbench/{name}", getattr(view, name)) for name in names)
    return fragments(request, *parts, page_url=state.url(), is_late=True)


@router.get("/boats/{boat_id}/best-place")
def best_place(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """What the best place would bring the selected load, for a workbench that was shown without it."""
    state = state_of(request, boat_id, request.query_params)
    view = best_place_of(yard, open_boat(yard, boat_id), state)
    return fragments(request, ("workbench/best_place", view), page_url=state.url(), is_late=True)


@router.get("/boats/{boat_id}/way")
def way(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The way of the selected load with the places for its leads, for a workbench shown without them."""
    state = state_of(request, boat_id, request.query_params)
    view = way_of(yard, open_boat(yard, boat_id), state)
    return fragments(request, ("workbench/strip", view), page_url=state.url(), is_late=True)


@router.get("/boats/{boat_id}/advice")
def what_to_do(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """What one move would do about the load that is worst off, for a workbench that says what happens."""
    state = state_of(request, boat_id, request.query_params)
    view = advice(yard, open_boat(yard, boat_id), state)
    return fragments(request, ("workbench/advice", view), page_url=state.url(), is_late=True)


@router.get("/boats/{boat_id}/pick-up")
def pick_up(  # noqa: PLR0913, PLR0917 - each names one thing of the address
    request: Request,
    boat_id: BoatId,
    yard: Yard,
    part: str = "",
    terminal: str = "",
    refined: str = "",
) -> Response:
    """What every tap would bring for one lead; a page asks once more for it by the event in time."""
    state = state_of(request, boat_id, request.query_params)
    opened = open_boat(yard, boat_id)
    held = Held(part, terminal)
    if is_htmx(request):
        is_late = refined == "yes"
        parts = tap_parts(yard, opened, state, held, waits=is_late)
        return fragments(request, *parts, page_url=state.url(), is_late=is_late)
    return page(request, "workbench/page", bench(yard, opened, state, held=held))


@router.get("/boats/{boat_id}/pick-up-both")
def pick_up_both(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The panels that would take both leads of the selected load."""
    state = state_of(request, boat_id, request.query_params)
    opened = open_boat(yard, boat_id)
    held = both(yard, opened, state)
    if is_htmx(request):
        return fragments(request, *held.parts(), page_url=state.url())
    view = replace(bench(yard, opened, state), both=held.list, overlay=held.overlay, diagram=held.diagram)
    return page(request, "workbench/page", view)


@router.post("/boats/{boat_id}/put-down-both")
def put_down_both(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put both leads down on one panel, as one edit; on a boat as surveyed that opens an option."""
    numbers = [number for number in ("0", "1") if f"part_{number}" in fields]
    moves = tuple(_move(fields, f"_{number}") for number in numbers)
    if not moves:
        raise HTTPException(422, "The form does not say which leads are put down where.")

    def make(stamp: Stamp) -> Change:
        edit = both_leads.both_edit(open_boat(yard, boat_id).boat, moves)
        refuse_barred(yard, boat_id, stamp.revision, edit, fields.get("mode"), fields.get("event"))
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    return changed(request, yard, boat_id, fields, make)


@router.post("/boats/{boat_id}/put-down")
def put_down(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put the held lead down at a tap; on a boat as surveyed that opens an option."""
    edit = _move(fields)

    def make(stamp: Stamp) -> Change:
        refuse_barred(yard, boat_id, stamp.revision, edit, fields.get("mode"), fields.get("event"))
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    return changed(request, yard, boat_id, fields, make)


@router.post("/boats/{boat_id}/undo")
def undo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the last edit back."""

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "undo", stamp.request_id)

    return changed(request, yard, boat_id, fields, make)


@router.post("/boats/{boat_id}/redo")
def redo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Bring back what was undone."""

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "redo", stamp.request_id)

    return changed(request, yard, boat_id, fields, make)


@router.post("/boats/{boat_id}/mend")
def mend(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Apply a mend of a finding."""

    def make(stamp: Stamp) -> Change:
        edit = mend_edit(yard, boat_id, stamp.revision, fields.get("finding", ""), fields.get("mend", ""))
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    return changed(request, yard, boat_id, fields, make)


def _move(fields: Fields, suffix: str = "") -> MoveLead:
    def field(name: str) -> str:
        return fields.get(f"{name}{suffix}", "")

    try:
        to = TerminalRef(part=field("to_part"), terminal=field("to_terminal"))
        return MoveLead(part=field("part"), terminal=field("terminal"), to=to)
    except ValidationError:
        message = "The form does not say which lead is put down where. Pick the lead up again."
        raise HTTPException(422, message) from None
