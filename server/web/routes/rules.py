"""What Tapchart judges by."""

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.web.render import page
from server.web.views.rules import rules_view

router = APIRouter()


@router.get("/rules")
def rules(request: Request) -> Response:
    """Every rule and table with its source and how it was verified."""
    from server.actions.rules import rule_sets, tables

    return page(request, "rules/page", rules_view(rule_sets(), tables()))
