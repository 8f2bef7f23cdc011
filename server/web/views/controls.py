"""Around the diagram: where one is, what is chosen, what can be switched, what is assumed."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.complaint_states import is_complaint
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.events import events_of
from server.web.views.figures import assumed, plain_number
from server.web.views.forms import ChoiceView, FieldView, FormView, change_form
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.engine.answer import AssumedValue, ModeAnswer

ROLES = {
    "surveyed": "as surveyed, and kept so: a move opens an option",
    "option": "an option beside the boat as surveyed",
    "working": "a boat in work",
}

PLACES_IN_SIGHT = 4
"""The head has room for so many places beside the boat's name; the rest unfold under “More”."""


@dataclass(frozen=True)
class PlaceView:
    """One place in the header."""

    id: str
    title: str
    url: str
    here: bool


@dataclass(frozen=True)
class HeadView:
    """``workbench/_head.html``: the boat's name, what it is, its places, and those that are folded away."""

    name: str
    role: str
    survey_url: str
    places: tuple[PlaceView, ...]
    more: tuple[PlaceView, ...]
    more_words: str


@dataclass(frozen=True)
class ControlsView:
    """``workbench/_controls.html``: mode and event, undo and redo."""

    action: str
    hidden: tuple[tuple[str, str], ...]
    modes: tuple[ChoiceView, ...]
    events: tuple[ChoiceView, ...]
    undo: FormView
    undo_words: str
    redo: FormView
    redo_words: str


@dataclass(frozen=True)
class PickUpView:
    """``workbench/_asking.html``: what the drawing and its tools fill in and send."""

    pick_up_action: str
    both_action: str
    select_action: str
    here_action: str
    find_action: str
    shape_action: str
    hidden: tuple[tuple[str, str], ...]
    view_hidden: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class AssumptionView:
    """One assumption, with the field to put another value in its place."""

    id: str
    title: str
    subject: str
    value: str
    band: str
    source: str
    overridden: bool
    field: FieldView
    reset: FormView | None


@dataclass(frozen=True)
class AssumptionsView:
    """``workbench/_assumptions.html``: what this answer took for granted."""

    rows: tuple[AssumptionView, ...]
    count: int
    toggle_words: str
    toggle_url: str


def head_view(opened: OpenBoat, here: str) -> HeadView:
    """The head of a boat's pages."""
    state = ViewState(opened.id)
    places: tuple[tuple[str, str, str], ...] = (
        ("wiring", "Wiring", ""),
        ("fitting", "Put in", "/fitting"),
        ("lists", "Lists", "/lists"),
        ("findings", "Findings", "/findings"),
        ("plan", "Plan", "/plan"),
        ("photos", "Photos", "/photos"),
        ("options", "Options", "/options"),
    )
    if is_complaint(opened.boat):
        places = (*places, ("complaint", "Complaint", "/complaint"))
    survey = opened.row.forked_from if opened.row.role == "option" else None
    views = tuple(
        PlaceView(f"place-{key}", title, state.url(below), key == here) for key, title, below in places
    )
    more = views[PLACES_IN_SIGHT:]
    return HeadView(
        name=opened.row.name,
        role=ROLES[opened.row.role] if survey is None else "an option beside",
        survey_url="" if survey is None else f"/boats/{survey}",
        places=views[:PLACES_IN_SIGHT],
        more=more,
        more_words=next((one.title for one in more if one.here), "More"),
    )


def controls_view(opened: OpenBoat, state: ViewState) -> ControlsView:
    """The choice of mode and event."""
    modes = {mode.id: mode.name for mode in opened.boat.modes}
    events = [event for event in events_of(opened.boat) if event.mode == state.mode]
    return ControlsView(
        action=state.path(),
        hidden=tuple(pair for pair in state.pairs if pair[0] not in {"mode", "event"}),
        modes=tuple(ChoiceView(key, name, key == state.mode) for key, name in modes.items()),
        events=tuple(ChoiceView(event.id, event.name, event.id == state.event) for event in events),
        undo=change_form(state, "/undo", opened.rev),
        undo_words="" if opened.undo is None else f"{opened.undo.label} ({opened.undo.author})",
        redo=change_form(state, "/redo", opened.rev),
        redo_words="" if opened.redo is None else f"{opened.redo.label} ({opened.redo.author})",
    )


def asking_view(state: ViewState) -> PickUpView:
    """The forms that the drawing fills in and sends."""
    others = tuple(pair for pair in state.pairs if pair[0] != "selected")
    return PickUpView(
        state.path("/pick-up"),
        state.path("/pick-up-both"),
        state.path(),
        state.path("/here"),
        state.path("/find"),
        state.path("/shape"),
        others,
        state.pairs,
    )


def assumptions_view(boat: Boat, state: ViewState, revision: int, answer: "ModeAnswer") -> AssumptionsView:
    """What the answer assumed, each with its source and a way to say better; folded, only how many."""
    names = {part.id: part.name for part in boat.parts} | {
        conductor.id: conductor.name or "a conductor" for conductor in boat.conductors
    }
    shown = state.unfolded == "assumptions"
    return AssumptionsView(
        rows=tuple(_assumption(state, revision, one, names) for one in answer.assumptions) if shown else (),
        count=len(answer.assumptions),
        toggle_words="Fold away" if shown else "Show and correct them",
        toggle_url=state.unfolding("assumptions").url(),
    )


def _assumption(
    state: ViewState, revision: int, one: "AssumedValue", names: dict[str, str]
) -> AssumptionView:
    subject = {} if one.subject is None else {"subject": one.subject}
    key = "-".join(part for part in (one.key, one.subject) if part)
    unit = "" if one.unit == "1" else one.unit
    field = FieldView(
        f"assume-{key}",
        change_form(state, "/assumption", revision, key=one.key, **subject),
        f"Another value for {one.title}",
        plain_number(one.value),
        unit,
        "",
    )
    return AssumptionView(
        id=f"assumption-{key}",
        title=one.title,
        subject="" if one.subject is None else names.get(one.subject, ""),
        value=assumed(one.value, one.unit),
        band=f"{assumed(one.low, one.unit)} to {assumed(one.high, one.unit)}",
        source="; ".join(
            part for part in (one.source, "from memory, confirm" if one.status == "memory" else "") if part
        ),
        overridden=one.overridden,
        field=field,
        reset=change_form(state, "/assumption/clear", revision, key=one.key, **subject)
        if one.overridden
        else None,
    )
