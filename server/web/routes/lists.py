"""The trade lists of a boat."""

from collections import Counter

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.actions.boats import fresh_request_id
from server.actions.lists import cable_rows, part_rows
from server.actions.yard import open_boat
from server.web.dependencies import BoatId, Yard
from server.web.render import page
from server.web.views.controls import head_view
from server.web.views.forms import FormView
from server.web.views.lists import (
    DONE,
    ListsView,
    as_of_words,
    cable_view,
    part_view,
    size_totals,
    total_words,
)
from server.web.views.photos import counted

router = APIRouter()


@router.get("/boats/{boat_id}/lists")
def lists(request: Request, boat_id: BoatId, yard: Yard, done: str = "") -> Response:
    """Cables and parts, enough to wire the boat again; ``done`` says what was done with what was ticked."""
    opened = open_boat(yard, boat_id)
    cables = cable_rows(opened.boat)
    shown = Counter(photo.subject for photo in opened.boat.photos if photo.subject)
    view = ListsView(
        title=f"Lists of {opened.row.name}",
        head=head_view(opened, "lists"),
        cables=tuple(map(cable_view, cables)),
        has_ways=any(row.way for row in cables),
        as_of=as_of_words(opened),
        total=total_words(cables),
        sizes=size_totals(cables),
        parts=tuple(map(part_view, part_rows(opened.boat))),
        not_seen=tuple(gap.what for gap in opened.boat.not_seen),
        photos={name: counted(count, "photo") for name, count in shown.items()},
        photos_url=f"/boats/{boat_id}/photos?of=",
        told=DONE.get(done, ""),
        tick_url=f"/boats/{boat_id}/ticked",
        undo=FormView(
            f"/boats/{boat_id}/ticked/undo",
            (("revision", str(opened.rev)), ("request_id", fresh_request_id())),
        ),
        undo_words=opened.undo.label if opened.undo else "",
    )
    return page(request, "lists/page", view)
