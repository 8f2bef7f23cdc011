"""The history of a boat: the list, a revision to look at, and one brought back."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.actions.changes import Change
from server.actions.history import boat_at, history, restore
from server.actions.yard import open_boat
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard, is_whole_number
from server.web.looking import looked_at, looking_state
from server.web.render import fragments, page
from server.web.views.guide import guide_view
from server.web.views.history import history_view, revision_view
from server.web.views.loads import rows

router = APIRouter()


@router.get("/boats/{boat_id}/history")
def past(request: Request, boat_id: BoatId, yard: Yard, before: str = "") -> Response:
    """Every revision, the newest first."""
    last = int(before) if is_whole_number(before) else None
    view = history_view(open_boat(yard, boat_id), history(yard, boat_id), last, yard.author)
    return page(request, "history/page", view)


@router.post("/boats/{boat_id}/history/restore")
def bring_back(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Bring a revision back as a new one."""
    to = fields.get("to", "")

    def make(stamp: Stamp) -> Change:
        rev = int(to) if is_whole_number(to) else 0
        return restore(yard, boat_id, stamp.revision, rev, stamp.request_id)

    def after(change: Change) -> Response:
        return fragments(request, page_url=f"/boats/{change.after.id}/history#revision-{change.after.rev}")

    return conflict_or(request, boat_id, fields, make, after)


@router.get("/boats/{boat_id}/history/{rev}")
def look(request: Request, boat_id: BoatId, rev: int, yard: Yard) -> Response:
    """The boat as it was at a revision."""
    from server.actions.comparing_words import differences

    opened = boat_at(yard, boat_id, rev)
    now, standing = looked_at(yard, opened, looking_state(request, boat_id))
    head = open_boat(yard, boat_id)
    view = revision_view(
        opened,
        now.state,
        guide=guide_view(opened.boat, now.state, now.answer, (), standing),
        diagram=now.diagram(),
        loads=() if now.answer is None else rows(now.answer, now.state.event, now.state, standing.basis),
        differs=differences(opened.boat, head.boat),
        side=now.side(),
    )
    return page(request, "history/revision", view)


@router.get("/boats/{boat_id}/history/{rev}/picture")
def picture(request: Request, boat_id: BoatId, rev: int, yard: Yard) -> Response:
    """The picture of that page alone, for paper drawn wide."""
    now, _ = looked_at(yard, boat_at(yard, boat_id, rev), looking_state(request, boat_id))
    page_url = f"/boats/{boat_id}/history/{rev}"
    return fragments(request, ("workbench/diagram", now.diagram()), page_url=page_url)
