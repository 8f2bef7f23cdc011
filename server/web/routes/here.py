"""What can be done at the place that was touched in the picture, and finding such a place by name."""

from collections.abc import Callable, Mapping
from dataclasses import replace

from fastapi import APIRouter, HTTPException, Request
from pydantic import ValidationError
from starlette.responses import Response

from server.actions import changes, library
from server.actions.changes import Change
from server.actions.rows_by_hand import WAYS, Way, row_edit
from server.actions.search import found_things
from server.actions.things import Thing, polarity_at, thing_named
from server.actions.troubles import EditError
from server.actions.yard import OpenBoat, open_boat
from server.boat.boat import Boat
from server.boat.parts import Panel
from server.web.bench import bench
from server.web.changing import changed, conflict_or, show
from server.web.dependencies import BoatId, Fields, Stamp, Yard, state_of
from server.web.render import fragments, is_htmx, page
from server.web.views.doing_answers import (
    Done,
    bank_answers,
    out_answers,
    put_answers,
    ways_answers,
    wire_answers,
)
from server.web.views.doings import doing_view, terminal_in_words
from server.web.views.state import ViewState
from server.web.views.thing import ThingView, found_view, thing_view

router = APIRouter()

NOTHING_THERE = "What was touched is not aboard any more. Load the page again."
NO_TERMINAL = "A cable lands on a terminal: touch a bar, a post, an empty way or a part."


@router.get("/boats/{boat_id}/here")
def ask(  # noqa: PLR0913, PLR0917 - each names one thing of the address
    request: Request, boat_id: BoatId, yard: Yard, do: str = "", what: str = "", to: str = ""
) -> Response:
    """The card of what is selected, with the questions about one thing to be done there."""
    state = state_of(request, boat_id, request.query_params)
    opened = open_boat(yard, boat_id)
    thing = thing_named(opened.boat, state.selected)
    if thing is None:
        raise HTTPException(404, NOTHING_THERE)
    return _asked(request, yard, opened, state, thing, do, what, to)


def _asked(  # noqa: PLR0913, PLR0917 - each names one thing of the question
    request: Request,
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    thing: Thing,
    do: str,
    what: str = "",
    to: str = "",
) -> Response:
    typed, told = {"what": what} if what else {}, ""
    if do == "wire" and to:
        head = _far_terminal(opened, thing, to)
        typed["head"], told = head, "" if head else NO_TERMINAL
    doing = doing_view(opened, state, thing, do, typed, library.catalogue(yard))
    waits = do == "wire" and not typed.get("head") and thing.part is not None
    view = thing_view(opened, state, doing, told=told, wires_from=thing.id if waits else "")
    return _card(request, yard, opened, state, view)


def _far_terminal(opened: OpenBoat, thing: Thing, to: str) -> str:
    """The terminal that a cable from here is meant for, in words; empty where none was touched."""
    like = None if thing.terminal is None else polarity_at(opened.boat, thing.terminal)
    far = thing_named(opened.boat, to, like)
    return "" if far is None else terminal_in_words(opened.boat, far.terminal)


@router.get("/boats/{boat_id}/find")
def find(request: Request, boat_id: BoatId, yard: Yard, q: str = "", wires_from: str = "") -> Response:
    """A part or a cable by what is written on it: selected where it is just one, else a list.

    While a cable is put in from ``wires_from``, what is found is where it goes.
    """
    state = state_of(request, boat_id, request.query_params)
    opened = open_boat(yard, boat_id)
    found = found_things(opened.boat, q)
    near = thing_named(opened.boat, wires_from)
    if len(found) != 1:
        from_here = "" if near is None else near.id
        return _card(request, yard, opened, state, found_view(state, q[:120], found, from_here))
    if near is not None:
        return _asked(request, yard, opened, state.selecting(near.id), near, "wire", to=found[0][0])
    return show(request, yard, opened, state.selecting(found[0][0]))


def _card(  # noqa: PLR0913, PLR0917 - each names one thing of the answer
    request: Request, yard: Yard, opened: OpenBoat, state: ViewState, view: ThingView, status: int = 200
) -> Response:
    """The card alone, or in its whole page."""
    if not is_htmx(request):
        whole = replace(bench(yard, opened, state), thing=view)
        return page(request, "workbench/page", whole, status=status)
    answer = fragments(request, ("workbench/thing", view), page_url="", status=status)
    answer.headers["HX-Retarget"] = "#thing"  # some of what is sent aims at the whole workbench
    return answer


@router.post("/boats/{boat_id}/here/put")
def put(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a part into a conductor, or onto a terminal."""

    def answers(boat: Boat, thing: Thing, typed: Mapping[str, str]) -> Done:
        return put_answers(boat, thing, typed, library.catalogue(yard))

    return _done(request, yard, boat_id, fields, "put", answers)


@router.post("/boats/{boat_id}/here/wire")
def wire(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a cable in between two terminals."""
    return _done(request, yard, boat_id, fields, "wire", lambda boat, _, typed: wire_answers(boat, typed))


@router.post("/boats/{boat_id}/here/bank")
def bank(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Chain more batteries to one."""
    return _done(request, yard, boat_id, fields, "bank", bank_answers)


@router.post("/boats/{boat_id}/here/ways")
def ways(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Give a panel its ways as a list."""

    def answers(boat: Boat, thing: Thing, typed: Mapping[str, str]) -> Done:
        if not isinstance(thing.part, Panel):
            raise EditError("part", "only a panel has ways.", "Touch a panel.")
        return ways_answers(boat, thing.part, typed)

    return _done(request, yard, boat_id, fields, "ways", answers)


@router.post("/boats/{boat_id}/here/out")
def out(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take a part or a conductor out."""
    return _done(request, yard, boat_id, fields, "out", out_answers)


@router.post("/boats/{boat_id}/here/row")
def row(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Move a row of the picture up or down, or give all rows back to the picture."""
    state = state_of(request, boat_id, fields)
    way: Way = next((one for one in WAYS if one == fields.get("way")), "own")

    def make(stamp: Stamp) -> Change:
        boat = open_boat(yard, boat_id).boat
        edit = row_edit(boat, state.mode, fields.get("part", ""), way)
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    try:
        return changed(request, yard, boat_id, fields, make)
    except EditError as error:
        opened = open_boat(yard, boat_id)
        view = thing_view(opened, state, told=_why(error))
        return _card(request, yard, opened, state, view, 422)


Answers = Callable[[Boat, Thing, Mapping[str, str]], Done]


def _done(  # noqa: PLR0913, PLR0917 - each names one thing of the answer
    request: Request, yard: Yard, boat_id: str, fields: Mapping[str, str], do: str, answers: Answers
) -> Response:
    """Do it; what was put in is selected afterwards, and what is wrong stands beside its field."""
    state = state_of(request, boat_id, fields)
    opened = open_boat(yard, boat_id)
    thing = thing_named(opened.boat, fields.get("at") or fields.get("part"))
    if thing is None:
        raise HTTPException(422, NOTHING_THERE)

    def refused(errors: Mapping[str, str], told: str = "") -> Response:
        seen = state.selecting(thing.id)
        doing = doing_view(opened, seen, thing, do, fields, library.catalogue(yard), errors)
        return _card(request, yard, opened, seen, thing_view(opened, seen, doing, told=told), 422)

    try:
        done = answers(opened.boat, thing, fields)
        if done.edit is None:
            return refused(done.errors or {})
        edit = done.edit

        def make(stamp: Stamp) -> Change:
            return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

        def after(change: Change) -> Response:
            seen = state.selecting(done.selects)
            return show(
                request, yard, change.after, seen.changed(change.after.id, change.after.revision.base)
            )

        return conflict_or(request, boat_id, fields, make, after)
    except ValidationError as error:
        return refused({"name": str(error.errors()[0]["msg"])})
    except EditError as error:
        return refused({}, _why(error))


def _why(error: EditError) -> str:
    return f"{error.message[:1].upper()}{error.message[1:]} {error.mend}"
