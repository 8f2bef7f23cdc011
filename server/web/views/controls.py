"""Around the diagram: where one is, what is chosen, what can be switched, what is assumed."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.modes import Mode
from server.boat.parts import Breaker, Combiner, Contact, Fuse, Panel
from server.web.views.forms import ChoiceView, FieldView, FormView, change_form
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.engine.answer import AssumedValue, ModeAnswer

ROLES = {
    "surveyed": "as surveyed: moving a lead opens an option, and this record stays as it is",
    "option": "an option beside the boat as surveyed",
    "working": "a boat in work",
}


@dataclass(frozen=True)
class PlaceView:
    """One place in the header."""

    id: str
    title: str
    url: str
    here: bool


@dataclass(frozen=True)
class HeadView:
    """``workbench/_head.html``: the boat's name, what it is, and its places."""

    name: str
    role: str
    survey_url: str
    places: tuple[PlaceView, ...]


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
    """``workbench/_asking.html``: how the drawing asks for a selection, for taps and for putting back."""

    pick_up_action: str
    select_action: str
    hidden: tuple[tuple[str, str], ...]
    view_hidden: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class SwitchGroupView:
    """The switches of one part."""

    name: str
    switches: tuple[FieldView, ...]
    open: bool


@dataclass(frozen=True)
class SwitchesView:
    """``workbench/_switches.html``: every position in the chosen mode."""

    mode: str
    groups: tuple[SwitchGroupView, ...]


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
    """``workbench/_assumptions.html``: what this answer took for granted, and what it left out."""

    rows: tuple[AssumptionView, ...]
    not_assessed: tuple[str, ...]


def head_view(opened: OpenBoat, here: str) -> HeadView:
    """The head of a boat's pages."""
    state = ViewState(opened.id)
    places = (("wiring", "Wiring", ""), ("lists", "Lists", "/lists"), ("findings", "Findings", "/findings"))
    survey = opened.row.forked_from if opened.row.role == "option" else None
    return HeadView(
        name=opened.row.name,
        role=ROLES[opened.row.role],
        survey_url="" if survey is None else f"/boats/{survey}",
        places=tuple(
            PlaceView(f"place-{key}", title, state.url(below), key == here) for key, title, below in places
        ),
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
    return PickUpView(state.path("/pick-up"), state.path(), others, state.pairs)


def switches_view(opened: OpenBoat, state: ViewState) -> SwitchesView:
    """Everything that can be switched in the chosen mode."""
    mode = next((mode for mode in opened.boat.modes if mode.id == state.mode), None)
    if mode is None:
        return SwitchesView("", ())
    return SwitchesView(mode.name, tuple(_groups(opened, state, mode)))


def _groups(opened: OpenBoat, state: ViewState, mode: Mode) -> Iterator[SwitchGroupView]:
    set_to = {(setting.part, setting.way): setting.position for setting in mode.positions}

    def field(part: str, way: str | None, name: str, choices: dict[str, str], normal: str) -> FieldView:
        now = set_to.get((part, way), normal)
        more = {} if way is None else {"way": way}
        form = change_form(state, "/position", opened.rev, part=part, **more)
        options = tuple(ChoiceView(key, word, key == now) for key, word in choices.items())
        return FieldView(
            f"position-{part}" + (f"-{way}" if way else ""), form, name, now, "", "", options=options
        )

    on_off = {"on": "on", "off": "off"}
    for part in opened.boat.parts:
        match part:
            case Contact():
                choices = {position.id: position.name for position in part.positions}
                yield SwitchGroupView(
                    part.name, (field(part.id, None, part.name, choices, part.normal),), open=True
                )
            case Combiner():
                choices = {"auto": "automatic", "open": "open", "closed": "closed"}
                yield SwitchGroupView(
                    part.name, (field(part.id, None, part.name, choices, part.normal),), open=True
                )
            case Fuse() | Breaker():
                yield SwitchGroupView(part.name, (field(part.id, None, part.name, on_off, "on"),), open=False)
            case Panel():
                ways = tuple(
                    field(part.id, f"{section.id}-{way.id}", way.name, on_off, way.normally)
                    for section in part.sections
                    for way in section.ways
                )
                if ways:
                    yield SwitchGroupView(part.name, ways, open=False)
            case _:
                pass


def assumptions_view(boat: Boat, state: ViewState, revision: int, answer: "ModeAnswer") -> AssumptionsView:
    """What the answer assumed, each with its source and a way to say better."""
    names = {part.id: part.name for part in boat.parts} | {
        conductor.id: conductor.name or "a conductor" for conductor in boat.conductors
    }
    return AssumptionsView(
        rows=tuple(_assumption(state, revision, one, names) for one in answer.assumptions),
        # What was not seen stands beside the findings already.
        not_assessed=tuple(text for text in answer.not_assessed if not text.startswith("not seen: ")),
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
        f"{one.value:g}",
        unit,
        "",
    )
    return AssumptionView(
        id=f"assumption-{key}",
        title=one.title,
        subject="" if one.subject is None else names.get(one.subject, ""),
        value=f"{one.value:g} {unit}".rstrip(),
        band=f"{one.low:g} to {one.high:g} {unit}".rstrip(),
        source="; ".join(
            part for part in (one.source, "from memory, confirm" if one.status == "memory" else "") if part
        ),
        overridden=one.overridden,
        field=field,
        reset=change_form(state, "/assumption/clear", revision, key=one.key, **subject)
        if one.overridden
        else None,
    )
