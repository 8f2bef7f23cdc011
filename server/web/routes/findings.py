"""All findings of a boat, in all its modes and events; one opened; let stand, or no longer."""

from typing import Annotated

from fastapi import APIRouter, Query, Request
from pydantic import ValidationError
from starlette.responses import Response

from server.actions import accepting, changes
from server.actions.changes import Change
from server.actions.findings import all_findings
from server.actions.yard import OpenBoat, open_boat
from server.actions.yard import Yard as ActionsYard
from server.boat.edits import WithdrawAcceptance
from server.web.bench import rest_parts
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard, state_of
from server.web.finding_lists import all_findings_view, mends_of, opened_finding
from server.web.render import fragments, is_htmx, page
from server.web.views.controls import head_view
from server.web.views.finding_filter import FindingFilter, filter_view
from server.web.views.finding_opened import OpenedView, Typed
from server.web.views.findings import AllFindingsView, Listing
from server.web.views.lists import as_of_words
from server.web.views.state import ViewState

router = APIRouter()
Shown = Annotated[int, Query(ge=0, le=1000)]
"""How many mends of a finding stand there already."""

INCOMPLETE = "Enter who accepts this and why: both are printed beside it, in up to 120 and 2,000 characters."


@router.get("/boats/{boat_id}/findings")
def findings(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Every finding, or those of a choice."""
    opened = open_boat(yard, boat_id)
    state, chosen = state_of(request, boat_id, request.query_params), FindingFilter.of(request.query_params)
    view = _page_view(yard, opened, state, chosen)
    if is_htmx(request):
        return fragments(request, ("workbench/findings", view.findings), page_url=state.url("/findings"))
    return page(request, "findings/page", view)


@router.get("/boats/{boat_id}/findings/one")
def one(  # noqa: PLR0913, PLR0917 - what the address may hold
    request: Request, boat_id: BoatId, yard: Yard, finding: str = "", bench: str = "", mends: str = ""
) -> Response:
    """One finding opened: in its row, or in the page of all; with ``mends=all`` once all mends were tried."""
    opened = open_boat(yard, boat_id)
    state, chosen = state_of(request, boat_id, request.query_params), FindingFilter.of(request.query_params)
    waits = mends == "all"
    view = opened_finding(
        yard, opened, state, finding, kept=chosen.pairs, in_place=bench == "yes", waits=waits
    )
    if not is_htmx(request):
        return page(request, "findings/page", _page_view(yard, opened, state, chosen, view))
    return fragments(request, ("findings/opened", view), page_url=state.url("/findings"), is_late=True)


@router.get("/boats/{boat_id}/findings/mends")
def mends(  # noqa: PLR0913, PLR0917 - what the address may hold
    request: Request, boat_id: BoatId, yard: Yard, finding: str = "", bench: str = "", shown: Shown = 0
) -> Response:
    """The next mends of a finding, each with what it does to the others; they follow once it was opened."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    view = mends_of(yard, opened, state, finding, in_place=bench == "yes", shown=shown)
    page_url = state.url("/findings/one", finding=finding)
    return fragments(request, ("findings/mends", view), page_url=page_url, is_late=True)


@router.get("/boats/{boat_id}/findings/rest")
def rest(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The findings of all modes, for the workbench that was shown with one mode's."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    parts = rest_parts(yard, opened, state)
    return fragments(request, *parts, page_url=state.url("/findings"), is_late=True)


@router.post("/boats/{boat_id}/findings/accept")
def accept(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Let a finding stand, with name and reason."""
    finding, by, reason = (fields.get(name, "").strip() for name in ("finding", "by", "reason"))

    def make(stamp: Stamp) -> Change:
        edit = accepting.accept_edit(yard, boat_id, stamp.revision, finding, by, reason)
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    try:
        return conflict_or(request, boat_id, fields, make, lambda change: _after(request, change, fields))
    except ValidationError:
        typed = Typed(fields.get("by", ""), fields.get("reason", ""), INCOMPLETE)
        return _refused(request, yard, boat_id, fields, typed)


@router.post("/boats/{boat_id}/findings/withdraw")
def withdraw(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Let a finding no longer stand."""

    def make(stamp: Stamp) -> Change:
        edit = WithdrawAcceptance(finding=fields.get("finding", ""))
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    return conflict_or(request, boat_id, fields, make, lambda change: _after(request, change, fields))


def _page_view(
    yard: ActionsYard,
    opened: OpenBoat,
    state: ViewState,
    chosen: FindingFilter,
    shown: OpenedView | None = None,
) -> AllFindingsView:
    found = all_findings(yard, opened.sha, opened.boat)
    listing = Listing(opened.boat, state, more=chosen.pairs, opened=shown)
    return AllFindingsView(
        title=f"Findings of {opened.row.name}",
        head=head_view(opened, "findings"),
        as_of=as_of_words(opened),
        filter=filter_view(opened.boat, found, chosen, state.path("/findings"), state.pairs),
        findings=all_findings_view(yard, opened, listing, chosen),
    )


def _after(request: Request, change: Change, fields: Fields) -> Response:
    """The same choice of findings, loaded again."""
    state = state_of(request, change.after.id, fields)
    kept = dict(FindingFilter.of(fields).pairs)
    return fragments(request, page_url=state.url("/findings", **kept))


def _refused(request: Request, yard: ActionsYard, boat_id: str, fields: Fields, typed: Typed) -> Response:
    """The page with the finding opened and what was typed kept (422)."""
    opened, chosen = open_boat(yard, boat_id), FindingFilter.of(fields)
    state = state_of(request, boat_id, fields)
    shown = opened_finding(yard, opened, state, fields.get("finding", ""), kept=chosen.pairs, typed=typed)
    return page(request, "findings/page", _page_view(yard, opened, state, chosen, shown), status=422)
