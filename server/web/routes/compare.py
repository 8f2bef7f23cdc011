"""Two boats side by side: a boat and its option, two options, or any two revisions."""

from dataclasses import replace
from typing import Literal

from fastapi import APIRouter, Request
from starlette.responses import Response

from server.actions.choices import Chosen
from server.actions.comparing import Compared, compared, default_sides, side_answer
from server.actions.history import boat_at
from server.actions.options import family, root_of
from server.actions.prices import prices
from server.actions.yard import OpenBoat, open_boat
from server.actions.yard import Yard as ActionsYard
from server.web.dependencies import BoatId, Yard, is_whole_number
from server.web.looking import looking_state
from server.web.picture import Scene
from server.web.render import fragments, page
from server.web.views.bench import DiagramView
from server.web.views.compare import CompareView, chooser_view, compare_title, groups_view, page_head
from server.web.views.compare_copper import copper_view
from server.web.views.compare_findings import FindingsBetweenView, findings_between_view
from server.web.views.compare_loads import loads_view
from server.web.views.compare_sides import Sides, side_name
from server.web.views.compare_steps import StepsView, steps_view
from server.web.views.compare_work import work_view
from server.web.views.forms import FormView
from server.web.views.history import GoOnView
from server.web.views.state import ViewState

router = APIRouter()
_OTHER: dict[str | None, str] = {"positive": "negative", "negative": "positive", None: ""}


def _sides(request: Request, boat_id: str, yard: ActionsYard) -> Sides:
    """What the address asks to compare; what it leaves out is chosen."""
    asked = [request.query_params.get(name, "") for name in ("left", "right")]
    if not all(asked):
        chosen = (one if rev is None else f"{one}~{rev}" for one, rev in default_sides(yard, boat_id))
        asked = [given or default for given, default in zip(asked, chosen, strict=True)]
    (left, first), (right, second) = (_side(yard, one) for one in asked)
    return Sides(boat_id, root_of(yard, boat_id), left, right, first, second)


def _side(yard: ActionsYard, asked: str) -> tuple[str, OpenBoat]:
    """A boat, at one revision where the address names it, with how an address names it."""
    boat, _, rev = asked.partition("~")
    if not is_whole_number(rev):
        return boat, boat_at(yard, boat)
    return f"{boat}~{int(rev)}", boat_at(yard, boat, int(rev))


def _compared(
    request: Request, sides: Sides, yard: ActionsYard, *, waits: bool = False
) -> tuple[Compared, ViewState]:
    state = looking_state(request, sides.second.id)
    of = compared(yard, sides.first, sides.second, state.mode, state.event, waits=waits)
    chosen = of.chosen or Chosen("", None)
    return of, replace(state, mode=chosen.mode or None, event=chosen.event)


def _drawn(yard: ActionsYard, of: Compared, state: ViewState, side: Literal[0, 1]) -> DiagramView:
    """The picture of one of the two; the first one is marked as the one before."""
    opened = of.first if side == 0 else of.second
    answer = None if of.answers is None else of.answers[side]
    if of.chosen is not None and state.selected is not None:
        answer = side_answer(yard, opened, of.chosen, of.standing, state.selected)
    return replace(Scene(yard, opened, state, answer).diagram(), before=side == 0)


@router.get("/boats/{boat_id}/compare")
def compare(request: Request, boat_id: BoatId, yard: Yard, show: str = "", waits: str = "") -> Response:
    """The whole comparison; findings and steps follow, or come along with ``waits``."""
    from server.actions.comparing_copper import copper
    from server.actions.comparing_words import differences
    from server.actions.comparing_work import cost

    sides, is_whole = _sides(request, boat_id, yard), waits == "yes"
    of, state = _compared(request, sides, yard, waits=is_whole)
    head, tabs = page_head(open_boat(yard, boat_id))
    before, after = sides.first.boat, sides.second.boat
    found, kept = differences(before, after), sides.kept(state)
    laid = copper(before, after)
    side = Scene(yard, sides.second, state, None).side()
    view = CompareView(
        title=compare_title(sides),
        head=head,
        tabs=tabs,
        chooser=chooser_view(sides, family(yard, boat_id), of),
        first=GoOnView("first-boat", side_name(sides.first), _look_url(sides.first)),
        second=GoOnView("second-boat", side_name(sides.second), _look_url(sides.second)),
        same="" if found else "These two are the same: nothing differs.",
        groups=groups_view(found),
        loads=loads_view(sides, of, state),
        diagram=_drawn(yard, of, state, 0 if show == "before" else 1),
        look=FormView(f"/boats/{boat_id}/compare/picture", _hidden(sides, state, side)),
        shows_before=show == "before",
        look_at=_hidden(sides, state)[:-2],
        look_at_url=f"/boats/{boat_id}/compare",
        selected=state.selected or "",
        side=side or "",
        turn_url=sides.url(side=_OTHER[side], **kept) if side else "",
        turn_words=f"Show the {_OTHER[side]} side",
        findings=_findings(yard, sides, of, state, waits=is_whole),
        steps=_steps(yard, sides, of, state, waits=is_whole),
        copper=copper_view(laid),
        work=work_view(cost(before, after, laid, prices(yard)[0]), f"/boats/{boat_id}/prices"),
        deeds=_deeds(sides),
    )
    return page(request, "compare/page", view)


def _hidden(sides: Sides, state: ViewState, side: str | None = None) -> tuple[tuple[str, str], ...]:
    """What is looked at; selection and side come last, as a touch of the picture changes them."""
    shown = (("mode", state.mode), ("event", state.event))
    return (
        ("left", sides.left),
        ("right", sides.right),
        *((name, value) for name, value in shown if value is not None),
        ("selected", state.selected or ""),
        ("side", side or ""),
    )


def _look_url(one: OpenBoat) -> str:
    path = f"/boats/{one.id}"
    return path if one.rev == one.row.head else f"{path}/history/{one.rev}"


def _deeds(sides: Sides) -> tuple[GoOnView, ...]:
    """Where to go on from a comparison with an option as it is now."""
    second = sides.second
    if second.row.role != "option" or second.rev != second.row.head:
        return ()
    return (
        GoOnView("to-take-over", "Take this option over …", f"/boats/{second.id}/option/take-over"),
        GoOnView("to-owner", "Owner's sheet", f"/boats/{second.id}/owner"),
    )


def _findings(
    yard: ActionsYard, sides: Sides, of: Compared, state: ViewState, *, waits: bool
) -> FindingsBetweenView:
    """The findings of all modes where they are known, else those of this mode, and where the others are."""
    from server.actions.comparing import findings_at_once, findings_between
    from server.actions.findings import is_all_known

    if waits or all(is_all_known(yard, one.sha, one.boat) for one in (sides.first, sides.second)):
        return findings_between_view(findings_between(yard, sides.first, sides.second))
    kept = sides.kept(state)
    return findings_between_view(
        findings_at_once(yard, of),
        more_url=sides.url("/findings", **kept),
        page_url=sides.url(waits="yes", **kept),
    )


def _steps(yard: ActionsYard, sides: Sides, of: Compared, state: ViewState, *, waits: bool) -> StepsView:
    from server.actions.comparing_steps import steps

    if waits:
        name = "" if (info := of.info(1)) is None else info.name
        return steps_view(steps(yard, of), name)
    kept = sides.kept(state)
    return StepsView(more_url=sides.url("/steps", **kept), page_url=sides.url(waits="yes", **kept))


@router.get("/boats/{boat_id}/compare/picture")
def picture(request: Request, boat_id: BoatId, yard: Yard, show: str = "after") -> Response:
    """The picture of the second boat, or of the first one while its button is held."""
    sides = _sides(request, boat_id, yard)
    of, state = _compared(request, sides, yard)
    page_url = sides.url(show=show, **sides.kept(state))
    drawn = _drawn(yard, of, state, 0 if show == "before" else 1)
    return fragments(request, ("workbench/diagram", drawn), page_url=page_url)


@router.get("/boats/{boat_id}/compare/loads")
def loads(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The loads by the event in time, which a page of large boats left to follow."""
    sides = _sides(request, boat_id, yard)
    of, state = _compared(request, sides, yard, waits=True)
    parts = (
        ("compare/loads", loads_view(sides, of, state)),
        ("workbench/diagram", _drawn(yard, of, state, 1)),
    )
    return fragments(request, *parts, page_url=sides.url(waits="yes", **sides.kept(state)), is_late=True)


@router.get("/boats/{boat_id}/compare/findings")
def findings(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The findings that go, come and change, which follow once the page is there."""
    sides = _sides(request, boat_id, yard)
    of, state = _compared(request, sides, yard)
    part = ("compare/findings", _findings(yard, sides, of, state, waits=True))
    return fragments(request, part, page_url=sides.url(waits="yes", **sides.kept(state)), is_late=True)


@router.get("/boats/{boat_id}/compare/steps")
def steps_between(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """The steps with their results, which follow once the page is there."""
    sides = _sides(request, boat_id, yard)
    of, state = _compared(request, sides, yard, waits=True)
    part = ("compare/steps", _steps(yard, sides, of, state, waits=True))
    return fragments(request, part, page_url=sides.url(waits="yes", **sides.kept(state)), is_late=True)
