"""The plan of a boat: cable runs, places and zones, and what a change of them does."""

from collections.abc import Mapping
from urllib.parse import urlencode

from fastapi import APIRouter, HTTPException, Request
from pydantic import ValidationError
from starlette.responses import Response

from server.actions import changes
from server.actions.changes import Change
from server.actions.choices import Chosen, UnknownChoiceError, choose
from server.actions.plan import plan_facts
from server.actions.plan_changes import plan_change
from server.actions.plan_edits import NUDGE_M, moved_edit, place_of
from server.actions.troubles import EditError
from server.actions.yard import OpenBoat, open_boat
from server.boat.edits import AnyEdit, TakeOffPlan
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard, is_whole_number, stamp_of
from server.web.forms import Wrong, number
from server.web.render import fragments, is_htmx, page
from server.web.views.plan import PlanView, plan_view
from server.web.views.plan_answers import edit_of
from server.web.views.plan_change import plan_change_view
from server.web.views.plan_forms import stamped
from server.web.views.plan_typed import LONGEST_M

router = APIRouter()

_NUDGES = {"fore": (-1, 0), "aft": (1, 0), "port": (0, -1), "starboard": (0, 1)}
_GONE = "That is no longer on the plan. Load the page again, then change it there."


@router.get("/boats/{boat_id}/plan")
def look(  # noqa: PLR0913, PLR0917 - each names one thing of the address
    request: Request,
    boat_id: BoatId,
    yard: Yard,
    on: str = "",
    mode: str = "",
    shown: str = "",
    since: str = "",
) -> Response:
    """The plan with one thing chosen on it or none, and what the changes since a revision did."""
    opened = open_boat(yard, boat_id)
    asked = {"mode": mode, "shown": shown, "on": on}
    view = _view(yard, opened, asked, since=int(since) if is_whole_number(since) else None)
    if not is_htmx(request):
        return page(request, "plan/page", view)
    answer = fragments(request, ("plan/plan", view), page_url="")
    answer.headers["HX-Push-Url"] = _url(boat_id, asked)
    return answer


@router.post("/boats/{boat_id}/plan/put")
def put(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a run, waypoint, part, zone or the hull on the plan, or change what is there."""
    stamp_of(fields)
    opened = open_boat(yard, boat_id)
    edit, errors = edit_of(opened.boat, fields.get("on", ""), fields)
    if errors:
        return _refused(request, _view(yard, opened, fields, typed=fields, errors=errors))
    if edit is None:
        raise HTTPException(422, _GONE)
    return _changed(request, yard, opened, fields, edit)


@router.post("/boats/{boat_id}/plan/off")
def off(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take a run, a waypoint or a zone off the plan."""
    stamp_of(fields)
    try:
        edit = TakeOffPlan(id=fields.get("on", ""))
    except ValidationError:
        raise HTTPException(422, _GONE) from None
    return _changed(request, yard, open_boat(yard, boat_id), fields, edit)


@router.post("/boats/{boat_id}/plan/move")
def move(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a waypoint or a part elsewhere on the plan, as it was dragged or touched."""
    stamp_of(fields)
    opened = open_boat(yard, boat_id)
    x, y = (
        number(fields.get(name, ""), "m", "3.5", at_most=LONGEST_M, above=-LONGEST_M) for name in ("x", "y")
    )
    if isinstance(x, Wrong) or isinstance(y, Wrong):
        raise HTTPException(422, "The place is not complete. Load the page again, then move it there.")
    return _moved(request, yard, opened, fields, (x, y))


@router.post("/boats/{boat_id}/plan/nudge")
def nudge(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Move a waypoint or a part by one step."""
    stamp_of(fields)
    opened, on = open_boat(yard, boat_id), fields.get("on", "")
    place, step = place_of(opened.boat, on), _NUDGES.get(fields.get("step", ""))
    if place is None or step is None:
        raise HTTPException(422, _GONE)
    x, y = place.from_bow_m + step[0] * NUDGE_M, place.from_centreline_m + step[1] * NUDGE_M
    return _moved(request, yard, opened, fields, (x, y))


@router.post("/boats/{boat_id}/plan/undo")
def undo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the last change back and stay on this page."""

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "undo", stamp.request_id)

    def after(change: Change) -> Response:
        return _shown(request, yard, change.after, fields)

    return conflict_or(request, boat_id, fields, make, after)


def _moved(
    request: Request, yard: Yard, opened: OpenBoat, fields: Mapping[str, str], to: tuple[float, float]
) -> Response:
    edit = moved_edit(opened.boat, fields.get("on", ""), *to, shown=fields.get("shown", ""))
    if edit is None:
        raise HTTPException(422, _GONE)
    return _changed(request, yard, opened, fields, edit)


def _changed(
    request: Request, yard: Yard, opened: OpenBoat, fields: Mapping[str, str], edit: AnyEdit
) -> Response:
    """Make an edit and show the page after it; what the boat refuses is told on the page as it was."""

    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, opened.id, stamp.revision, edit, stamp.request_id)

    def after(change: Change) -> Response:
        return _shown(request, yard, change.after, fields)

    try:
        return conflict_or(request, opened.id, fields, make, after)
    except EditError as error:
        told = f"{error.message} {error.mend}"
        return _refused(request, _view(yard, opened, fields, typed=fields, told=told))


def _shown(request: Request, yard: Yard, opened: OpenBoat, fields: Mapping[str, str]) -> Response:
    since = opened.revision.base
    view = _view(yard, opened, fields, since=since)
    return fragments(request, ("plan/plan", view), page_url=_url(opened.id, fields, since))


def _refused(request: Request, view: PlanView) -> Response:
    answer = fragments(
        request, ("plan/plan", view), page_url="", status=422, whole=lambda: ("plan/page", view)
    )
    answer.headers.update({"HX-Retarget": "#plan", "HX-Reswap": "outerHTML"})
    return answer


def _view(  # noqa: PLR0913 - each names one thing of the page
    yard: Yard,
    opened: OpenBoat,
    asked: Mapping[str, str],
    *,
    since: int | None = None,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    told: str = "",
) -> PlanView:
    chosen = _chosen(yard, opened, asked.get("mode", ""))
    on = asked.get("on", "")
    change = None
    if since is not None and 0 < since < opened.rev:
        change = plan_change_view(
            opened.boat,
            plan_change(yard, opened, since, chosen),
            stamped(opened, "undo", asked) if opened.undo else None,
        )
    facts = plan_facts(yard, opened, chosen)
    return plan_view(
        opened,
        facts,
        chosen,
        on,
        shown=asked.get("shown", ""),
        change=change,
        typed=typed,
        errors=errors,
        told=told,
    )


def _chosen(yard: Yard, opened: OpenBoat, mode: str) -> Chosen | None:
    try:
        return choose(yard, opened.sha, opened.boat, mode or None, None)
    except UnknownChoiceError:
        return choose(yard, opened.sha, opened.boat, None, None)


def _url(boat_id: str, asked: Mapping[str, str], since: int | None = None) -> str:
    told = {name: asked.get(name, "") for name in ("mode", "shown", "on")}
    told["since"] = "" if since is None else str(since)
    query = urlencode({key: value for key, value in told.items() if value})
    return f"/boats/{boat_id}/plan" + (f"?{query}" if query else "")
