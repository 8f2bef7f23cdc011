"""The one-page sheet for the owner of a boat, or of what an option would make of it."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.actions import in_time
from server.actions.prices import prices
from server.actions.yard import OpenBoat, open_boat
from server.actions.yard import Yard as ActionsYard
from server.web.dependencies import BoatId, Yard
from server.web.render import fragments, page
from server.web.views.compare_work import total_words
from server.web.views.owner import SheetView, owner_view, sheet_view

router = APIRouter()


@router.get("/boats/{boat_id}/owner")
def owner(request: Request, boat_id: BoatId, yard: Yard, waits: str = "") -> Response:
    """The sheet; of a large boat what the starts do follows once the page is there."""
    from server.actions.owner import is_known

    opened = open_boat(yard, boat_id)
    now = _until_then(yard, opened)
    is_small = len(opened.boat.conductors) <= in_time.LARGEST_WAITED
    is_whole = is_small or waits == "yes" or is_known(yard, opened, now)
    sheet = _sheet(yard, opened, now) if is_whole else _planned_sheet(yard, opened, now)
    return page(request, "owner/page", owner_view(opened, sheet))


@router.get("/boats/{boat_id}/owner/sheet")
def sheet(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The sheet alone."""
    opened = open_boat(yard, boat_id)
    part = ("owner/sheet", _sheet(yard, opened, _until_then(yard, opened)))
    return fragments(request, part, page_url=f"/boats/{boat_id}/owner?waits=yes", is_late=True)


def _until_then(yard: ActionsYard, opened: OpenBoat) -> OpenBoat:
    """The boat as it is until an option's work is done: the one it came from, else the boat itself."""
    row = opened.row
    if row.role != "option" or row.forked_from not in {one.id for one in yard.store.boats()}:
        return opened
    return open_boat(yard, row.forked_from)


def _sheet(yard: ActionsYard, opened: OpenBoat, now: OpenBoat) -> SheetView:
    from server.actions.owner import owner_facts
    from server.papers.owner_sheet import owner_sheet

    return sheet_view(opened, now, owner_sheet(owner_facts(yard, opened, now, _cost(yard, opened, now))))


def _planned_sheet(yard: ActionsYard, opened: OpenBoat, now: OpenBoat) -> SheetView:
    """What is known at once; the rest is asked for."""
    from server.actions.owner_work import work_told
    from server.papers.owner_sheet import planned

    told = planned(work_told(now.boat, opened.boat), _cost(yard, opened, now))
    return sheet_view(opened, now, told, is_whole=False)


def _cost(yard: ActionsYard, opened: OpenBoat, now: OpenBoat) -> str:
    from server.actions.comparing_copper import copper
    from server.actions.comparing_work import cost

    if now.sha == opened.sha:
        return ""
    listed, before, after = prices(yard)[0], now.boat, opened.boat
    found = cost(before, after, copper(before, after), listed)
    note = f" ({found.note})" if found.note else ""
    told = f"{total_words(found).rstrip('.')}{note}."
    if found.missing:
        told += " The yard has not yet stated everything that it is worked out from."
    return told
