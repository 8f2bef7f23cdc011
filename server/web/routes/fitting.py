"""Putting parts and cables into a boat one by one, and taking them out."""

from urllib.parse import urlencode

from fastapi import APIRouter, Request
from pydantic import ValidationError
from starlette.responses import Response

from server.actions import changes, fitting, library
from server.actions.changes import Change
from server.actions.coming_aboard import guessed_word, met_by_loose_ends, new_part, part_name, ways_spoken_of
from server.actions.rejoining import Rejoined, rejoined
from server.actions.troubles import EditError
from server.actions.yard import open_boat
from server.boat.edits import AddPart, AnyEdit, Several
from server.boat.parts import Panel
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard
from server.web.render import fragments, is_htmx, page
from server.web.views.fitting import BACK, REJOIN, FittingView, fitting_view
from server.web.views.fitting_answers import (
    LONGEST_NAME,
    cable_answers,
    lead_answers,
    next_cable,
    next_part,
    part_answers,
)

router = APIRouter()


@router.get("/boats/{boat_id}/fitting")
def look(  # noqa: PLR0913, PLR0917 - each names one thing of the address
    request: Request, boat_id: BoatId, yard: Yard, what: str = "", name: str = "", back: str = ""
) -> Response:
    """What is aboard, and the questions about what is to come; ``what`` is a word of the catalogue.

    A ``name`` comes from a loose end of the survey, to which the way leads ``back``.
    """
    catalogue = library.catalogue(yard)
    named = part_name(name)[:LONGEST_NAME]
    word = what or (guessed_word(catalogue, named) if named else "")
    opened = open_boat(yard, boat_id)
    part = {"name": named} if named else {}
    if named and (ways := ways_spoken_of(opened.boat, named)):
        part["ways"] = ways
    view = fitting_view(opened, catalogue, word, part=part, back=back)
    if is_htmx(request):
        return fragments(request, ("fitting/fitting", view), page_url="")
    return page(request, "fitting/page", view)


@router.post("/boats/{boat_id}/fitting/part")
def put_part_in(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a part in."""
    opened, word = open_boat(yard, boat_id), fields.get("what", "")
    catalogue = library.catalogue(yard)
    entry = catalogue.get(word)
    if entry is None:
        return _refused(request, fitting_view(opened, catalogue, word, told="Choose a part from the list."))
    name, answers, errors = part_answers(entry, fields)
    leads, wrong_leads = lead_answers(opened.boat, entry, fields)
    wrong = {**errors, **wrong_leads}
    met = None
    if not wrong:
        try:
            met = met_by_loose_ends(opened.boat, fitting.part_edit(opened.boat, entry, name, answers, leads))
        except ValidationError as error:
            wrong = {"name": str(error.errors()[0]["msg"])}
        except EditError as error:
            wrong = {"name": f"{error.message} {error.mend}"}
    if met is None:
        back = fields.get("back", "")
        view = fitting_view(opened, catalogue, word, part=fields, part_errors=wrong, back=back)
        return _refused(request, view)
    laid = f" {met.ends} loose end{'s lie' if met.ends > 1 else ' lies'} on it now." if met.ends else ""
    return _changed(request, yard, boat_id, fields, met.edit, f"{name} is in.{laid}{_unrated(met.edit)}")


@router.post("/boats/{boat_id}/fitting/cable")
def put_cable_in(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Put a cable in."""
    opened, word = open_boat(yard, boat_id), fields.get("what", "")
    answers, errors = cable_answers(opened.boat, fields)
    if errors:
        return _refused(
            request, fitting_view(opened, library.catalogue(yard), word, cable=fields, cable_errors=errors)
        )
    edit = fitting.cable_edit(answers)
    told = f"Cable {answers.number} is in." if answers.number else "The cable is in."
    return _changed(request, yard, boat_id, fields, edit, told)


@router.post("/boats/{boat_id}/fitting/out")
def take_out(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take a part or a conductor out."""
    opened, conductor = open_boat(yard, boat_id), fields.get("conductor", "")
    boat = opened.boat
    part = next((one for one in boat.parts if one.id == fields.get("part")), None)
    joined = rejoined(boat, part) if part is not None and fields.get("hanging") == REJOIN else ""
    if isinstance(joined, Rejoined):
        return _changed(request, yard, boat_id, fields, joined.edit, "It is out, its cable joined again.")
    if part is None and all(one.id != conductor for one in boat.conductors):
        word, told = fields.get("what", ""), "That is not aboard any more."
        return _refused(request, fitting_view(opened, library.catalogue(yard), word, told=told))
    edit = fitting.take_out_conductor(boat, conductor) if part is None else fitting.take_out_part(part.id)
    return _changed(request, yard, boat_id, fields, edit, "It is out.")


@router.post("/boats/{boat_id}/fitting/undo")
def undo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the last change back and stay on this page."""

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "undo", stamp.request_id)

    def after(change: Change) -> Response:
        word = fields.get("what", "")
        return _shown(
            request, word, fitting_view(change.after, library.catalogue(yard), word, told="Taken back.")
        )

    return conflict_or(request, boat_id, fields, make, after)


def _unrated(edit: Several) -> str:
    """The ways of a new panel of which no amperes were said."""
    panels = [one.part for one in edit.edits if isinstance(one, AddPart) and isinstance(one.part, Panel)]
    ways = [way for panel in panels for section in panel.sections for way in section.ways]
    names = [way.name for way in ways if way.device is None or way.device.rating_a is None]
    return f" Without amperes: {'; '.join(names)}." if names else ""


def _changed(  # noqa: PLR0913, PLR0917 - each names one thing of the change
    request: Request, yard: Yard, boat_id: str, fields: Fields, edit: AnyEdit, told: str
) -> Response:
    """Make an edit and show the page after it; what the boat refuses is told on the page as it was."""
    word = fields.get("what", "")

    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    def after(change: Change) -> Response:
        if fields.get("back") == BACK and not is_htmx(request):
            came = new_part(edit)
            return fragments(request, page_url=f"/boats/{change.after.id}/survey?{urlencode({'came': came})}")
        part, cable = next_part(fields), next_cable(fields)
        return _shown(
            request,
            word,
            fitting_view(change.after, library.catalogue(yard), word, part=part, cable=cable, told=told),
        )

    try:
        return conflict_or(request, boat_id, fields, make, after)
    except EditError as error:
        why = f"{error.message} {error.mend}"
        return _refused(
            request, fitting_view(open_boat(yard, boat_id), library.catalogue(yard), word, told=why)
        )


def _shown(request: Request, word: str, view: FittingView) -> Response:
    return fragments(request, ("fitting/fitting", view), page_url=f"{view.url}?{urlencode({'what': word})}")


def _refused(request: Request, view: FittingView) -> Response:
    answer = fragments(
        request, ("fitting/fitting", view), page_url="", status=422, whole=lambda: ("fitting/page", view)
    )
    answer.headers.update({"HX-Retarget": "#fitting", "HX-Reswap": "outerHTML"})
    return answer
