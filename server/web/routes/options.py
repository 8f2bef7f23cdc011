"""The options of a boat: listed, begun, described, put aside, taken over."""

from urllib.parse import quote

from fastapi import APIRouter, Request
from pydantic import TypeAdapter, ValidationError
from starlette.responses import Response

from server.actions import cards, options
from server.actions.boats import fresh_request_id
from server.actions.history import boat_at
from server.actions.options import Family
from server.actions.troubles import EditError, StaleError
from server.actions.yard import OpenBoat, open_boat
from server.actions.yard import Yard as ActionsYard
from server.boat.value import Name, Text
from server.web.dependencies import BoatId, Fields, Yard, is_whole_number, stamp_of
from server.web.looking import looked_at
from server.web.render import fragments, page
from server.web.views.findings import standing_words
from server.web.views.guide import guide_view
from server.web.views.history import moment_words
from server.web.views.options import (
    StandingView,
    TypedOption,
    options_view,
    take_over_view,
)
from server.web.views.state import ViewState

router = APIRouter()

_NAME: TypeAdapter[str] = TypeAdapter(Name)
_NOTE: TypeAdapter[str] = TypeAdapter(Text)
WRONG_NAME = "Enter a name of 120 characters at most, without control characters."
WRONG_NOTE = "Enter a note of 2,000 characters at most, without control characters."


@router.get("/boats/{boat_id}/options")
def listed(request: Request, boat_id: BoatId, yard: Yard, worked: str = "") -> Response:
    """The boat with all its options; with ``worked`` what happens on each is worked out at once."""
    asked = request.query_params.get("from", "")
    source = boat_at(yard, boat_id, int(asked) if is_whole_number(asked) else None)
    return _page(request, yard, source, waits=worked == "yes")


def _page(  # noqa: PLR0913 - each names one thing that is shown
    request: Request,
    yard: ActionsYard,
    source: OpenBoat,
    *,
    typed: TypedOption | None = None,
    waits: bool = False,
    status: int = 200,
) -> Response:
    family = options.family(yard, source.id)
    label = f"{source.row.name}, revision {source.rev} of {moment_words(source.revision)}"
    view = options_view(
        open_boat(yard, source.id),
        family,
        _standings(yard, source.id, family, waits=waits),
        source=(source.id, source.rev),
        source_label=label,
        typed=typed,
    )
    return page(request, "options/page", view, status=status)


def _standings(yard: ActionsYard, boat_id: str, family: Family, *, waits: bool) -> dict[str, StandingView]:
    ids = [family.root.id, *(one.row.id for one in family.options)]
    if waits:
        return {one: _standing(yard, one) for one in ids}
    path = f"/boats/{boat_id}/options"
    return {
        one: StandingView(
            f"standing-{one}", more_url=f"/boats/{one}/options/standing", page_url=f"{path}?worked=yes"
        )
        for one in ids
    }


def _standing(yard: ActionsYard, boat_id: str) -> StandingView:
    """What happens on a boat in its worst event, and its findings counted."""
    now, standing = looked_at(yard, open_boat(yard, boat_id), ViewState(boat_id))
    guide = guide_view(now.opened.boat, now.state, now.answer, (), standing)
    found = cards.summary(yard, boat_id)
    return StandingView(
        f"standing-{boat_id}",
        sentence=" ".join(words for words in (guide.sentence, guide.figures) if words),
        counts=standing_words(found.counts, found.accepted),
    )


@router.get("/boats/{boat_id}/options/standing")
def standing(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """What happens on one boat or option, for a page that was shown without it."""
    part = ("options/standing", _standing(yard, boat_id))
    return fragments(request, part, page_url=f"/boats/{boat_id}/options?worked=yes", is_late=True)


@router.post("/boats/{boat_id}/options")
def begin(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Open an option at a revision of a boat or of another option."""
    of, _, rev = fields.get("source", "").partition("~")
    source = boat_at(yard, of or boat_id, int(rev) if is_whole_number(rev) else None)
    typed = TypedOption("", fields.get("name", ""), fields.get("note", ""), "")
    if wrong := _wrong(typed):
        return _page(request, yard, boat_at(yard, boat_id), typed=wrong, status=422)
    request_id = fields.get("request_id", "")[:64] or fresh_request_id()
    row = options.branch(yard, source.id, source.rev, typed.name.strip(), typed.note.strip(), request_id)
    return fragments(request, page_url=f"/boats/{row.id}")


@router.post("/boats/{boat_id}/option/describe")
def describe(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Give an option another name and note."""
    typed = TypedOption(boat_id, fields.get("name", ""), fields.get("note", ""), "")
    options.option_of(yard, boat_id)
    if wrong := _wrong(typed):
        return _page(request, yard, boat_at(yard, boat_id), typed=wrong, status=422)
    options.describe(yard, boat_id, typed.name.strip(), typed.note.strip())
    return fragments(request, page_url=_listed_url(yard, boat_id))


@router.post("/boats/{boat_id}/option/aside")
def put_aside(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put an option aside, or bring it back."""
    options.put_aside(yard, boat_id, aside=fields.get("aside") == "yes")
    return fragments(request, page_url=_listed_url(yard, boat_id))


def _listed_url(yard: ActionsYard, option_id: str) -> str:
    return f"/boats/{options.root_of(yard, option_id).id}/options#option-{quote(option_id)}"


@router.get("/boats/{boat_id}/option/take-over")
def ask_take_over(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """What taking an option over would do."""
    return _take_over_page(request, yard, boat_id)


@router.post("/boats/{boat_id}/option/take-over")
def take_over(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take an option over; where the boat changed meanwhile, that is shown first."""
    options.option_of(yard, boat_id)
    stamp, rev = stamp_of(fields), fields.get("option_revision", "")
    way: options.Way = "on-top" if fields.get("way") == "on-top" else "whole"
    option = boat_at(yard, boat_id, int(rev) if is_whole_number(rev) else None)
    try:
        change = options.take_over(yard, boat_id, option.rev, stamp.revision, way, stamp.request_id)
    except StaleError:
        told = "The boat changed while you looked: nothing was taken over. This is how it stands now."
        return _take_over_page(request, yard, boat_id, told, 409)
    except EditError as error:
        told = f"Nothing was taken over: {error.message} {error.mend}"
        return _take_over_page(request, yard, boat_id, told, 422)
    return fragments(request, page_url=f"/boats/{change.after.id}?since={change.after.revision.base}")


def _take_over_page(
    request: Request, yard: ActionsYard, boat_id: str, error: str = "", status: int = 200
) -> Response:
    from server.actions.comparing_words import differences

    option, opened = options.option_of(yard, boat_id), open_boat(yard, boat_id)
    target = open_boat(yard, option.source.id)
    differs = differences(target.boat, opened.boat)
    return page(
        request,
        "options/take_over",
        take_over_view(opened, target, option, differs, error),
        status=status,
    )


def _wrong(typed: TypedOption) -> TypedOption | None:
    """What was typed with what is wrong with it; None where it can be kept."""
    for adapter, text, told in ((_NAME, typed.name.strip(), WRONG_NAME), (_NOTE, typed.note, WRONG_NOTE)):
        try:
            adapter.validate_python(text)
        except ValidationError:
            return TypedOption(typed.option, typed.name, typed.note, told)
    return None
