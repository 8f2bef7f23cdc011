"""An event in time: its strip, its picture at an instant, and all events of a boat."""

from dataclasses import replace
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.responses import PlainTextResponse, Response

from server.actions.yard import open_boat
from server.web.bench import bench, refined_parts
from server.web.dependencies import BoatId, Yard, state_of
from server.web.events import deck, heavies, strip
from server.web.fed import fed_deck_named, fed_view
from server.web.instants import picture_at
from server.web.render import fragments, is_htmx, page
from server.web.views.controls import head_view
from server.web.views.event_heavies import HeaviesPageView
from server.web.views.event_strip import EventPageView

router = APIRouter()


@router.get("/boats/{boat_id}/event")
def event(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The event of a view in time, at an instant, perhaps between two probes."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    shown = strip(yard, opened, state, request.query_params, on_bench=is_htmx(request))
    status = 422 if shown.is_wrong else 200
    if is_htmx(request):
        part = ("events/strip", shown.view)
        refined = refined_parts(yard, opened, state) if request.query_params.get("refines") else ()
        return fragments(
            request, part, *refined, page_url="", status=status, whole=lambda: part, is_late=True
        )
    title = f"{shown.view.title} on {opened.row.name}"
    view = EventPageView(title, head_view(opened, "event"), shown.view, state.url())
    return page(request, "events/page", view, status=status)


@router.get("/boats/{boat_id}/event/deck")
def event_deck(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The event of a view as a deck for a circuit simulator, to keep."""
    opened = open_boat(yard, boat_id)
    return _kept(*deck(yard, opened, state_of(request, boat_id, request.query_params)))


@router.get("/boats/{boat_id}/event/picture")
def event_picture(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The wiring at an instant of the event."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    shown = picture_at(yard, opened, state, request.query_params)
    if is_htmx(request):
        parts = ("workbench/diagram", shown), ("workbench/instant", shown)
        return fragments(request, *parts, page_url="", is_late=True)
    return page(request, "workbench/page", replace(bench(yard, opened, state), diagram=shown))


@router.get("/boats/{boat_id}/supply")
def supply(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """A mode of the boat fed by a published starting profile in the place of its batteries."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    return page(request, "events/fed", fed_view(yard, opened, state, request.query_params))


@router.get("/boats/{boat_id}/supply/deck")
def supply_deck(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The same as a deck for a circuit simulator, to keep."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    return _kept(*fed_deck_named(yard, opened, state, request.query_params))


@router.get("/boats/{boat_id}/events")
def events(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Every event of the boat in time, each with the load that it hits worst."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    found = heavies(yard, opened, state)
    if is_htmx(request):
        return fragments(request, ("events/heavies", found), page_url="", is_late=True)
    view = HeaviesPageView(f"Events of {opened.row.name}", head_view(opened, "event"), found, state.url())
    return page(request, "events/all", view)


def _kept(name: str, text: str) -> Response:
    """A text to keep under a name."""
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return PlainTextResponse(text, headers=headers)
