"""All findings of a boat, in all its modes and events."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.actions.yard import open_boat
from server.web.bench import all_findings_view, rest_parts
from server.web.dependencies import BoatId, Yard, state_of
from server.web.render import fragments, page
from server.web.views.controls import head_view
from server.web.views.findings import AllFindingsView

router = APIRouter()


@router.get("/boats/{boat_id}/findings")
def findings(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Every finding with its mends."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    view = AllFindingsView(
        title=f"Findings of {opened.row.name}",
        head=head_view(opened, "findings"),
        findings=all_findings_view(yard, opened, state),
    )
    return page(request, "findings/page", view)


@router.get("/boats/{boat_id}/findings/rest")
def rest(request: Request, boat_id: BoatId, yard: Yard, guide: str = "") -> Response:
    """The findings of all modes, for the workbench that was shown with one mode's."""
    opened = open_boat(yard, boat_id)
    state = state_of(request, boat_id, request.query_params)
    parts = rest_parts(yard, opened, state, with_guide=guide == "late")
    return fragments(request, *parts, page_url=state.url("/findings"), is_late=True)
