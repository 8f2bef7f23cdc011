"""Puts the workbench of a boat together: what the actions answer, as views."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions import answers, in_time, pick_ups
from server.actions.both_leads import both_places
from server.actions.choices import Chosen, UnknownChoiceError, choose, event_by_id
from server.actions.compare import comparison, late_comparison
from server.actions.findings import found_at_once, is_all_known
from server.actions.in_time import Standing
from server.actions.mending_moves import known_mends_of, mends_of
from server.actions.pick_ups import leads_met
from server.actions.sources import source_facts, source_named
from server.actions.yard import OpenBoat, Revision, Yard, document
from server.web.finding_lists import all_findings_view, findings_view
from server.web.picture import before_diagram, earlier_revision, scene
from server.web.render import Part
from server.web.views.bench import BenchView, DiagramView, OverlayView
from server.web.views.both import BothView, both_view, part_answers
from server.web.views.changes import ChangeView, change_view, late_view
from server.web.views.controls import (
    AssumptionsView,
    asking_view,
    assumptions_view,
    controls_view,
    head_view,
)
from server.web.views.event_ask import ask_view
from server.web.views.finding_filter import FindingFilter
from server.web.views.findings import FindingsView, Listing
from server.web.views.forms import FieldView
from server.web.views.guide import AdviceView, GuideView, advice_view, guide_view, worst_hit
from server.web.views.loads import ResultsView, basis_words, columns, event_words, rows, seen_in
from server.web.views.selected import BestPlaceView, SelectedView, best_place_view, selected_view
from server.web.views.sources import source_view
from server.web.views.state import ViewState
from server.web.views.strip import LoopView, Strip, loop_view
from server.web.views.switches import RunningView, switches_view
from server.web.views.taps import OPENS_OPTION, TapsView, taps_view
from server.web.views.thing import thing_view

if TYPE_CHECKING:
    from server.engine.answer import InputAnswer, ModeAnswer, PickUp

PARTS = (
    "results",
    "event_ask",
    "head",
    "guide",
    "controls",
    "diagram",
    "overlay",
    "overview",
    "asking",
    "change",
    "selected",
    "thing",
    "taps",
    "findings",
    "switches",
    "assumptions",
)
"""The fragments of the workbench; the first is what the forms aim at."""


@dataclass(frozen=True)
class Held:
    """The lead in the hand."""

    part: str
    terminal: str


@dataclass(frozen=True)
class FieldError:
    """What is wrong with what was typed into one field, and what was typed."""

    field: str
    typed: str
    message: str


def bench(  # noqa: PLR0913 - each names one thing of the page
    yard: Yard,
    opened: OpenBoat,
    asked: ViewState,
    *,
    held: Held | None = None,
    wrong: FieldError | None = None,
    hurried: bool = False,
) -> BenchView:
    """The workbench as it is to be shown; ``hurried`` leaves more to follow on a large boat.

    Raises:
        UnknownChoiceError: the address names a mode, event or lead that this boat does not have.
    """
    now = scene(yard, opened, asked, hurried=hurried)
    state, answer, load = now.state, now.answer, now.load
    chosen = None if answer is None else Chosen(answer.mode, state.event)
    pick_up = (
        None
        if held is None or chosen is None
        else pick_ups.pick_up(yard, opened, held.part, held.terminal, chosen, waits=True)
    )
    earlier = earlier_revision(yard, opened, state)
    standing = in_time.standing(yard, opened.sha, chosen, answer)
    is_small = len(opened.boat.conductors) <= answers.LARGEST_AT_ONCE
    strip = None
    if load is not None and chosen is not None:
        if hurried:  # its places follow by themselves, or with the event in time where that follows
            strip = _loop_of(yard, opened, state, load, chosen, is_late=not standing.is_refining)
        else:
            strip = _strip(yard, opened, state, load, chosen, waits=is_small)
    view = BenchView(
        title=opened.row.name,
        head=head_view(opened, "wiring"),
        guide=guide(yard, opened, state, chosen, answer, standing),
        controls=controls_view(opened, state),
        diagram=before_diagram(yard, now) if state.looks_back else now.diagram(pick_up, earlier),
        overlay=now.overlay(pick_up),
        overview=now.overview(),
        asking=asking_view(state),
        change=_change(yard, opened, state, chosen, earlier),
        selected=_source_view(opened, state, answer)
        if load is None or strip is None
        else selected_view(load, strip),
        thing=thing_view(opened, state),
        taps=TapsView() if pick_up is None else _taps(opened, state, pick_up),
        event_ask=ask_view(state, refines=standing.is_refining or (strip is not None and strip.refines)),
        results=results_view(opened, state, answer, standing),
        findings=_findings(yard, opened, state, answer),
        switches=switches_view(opened, state),
        assumptions=AssumptionsView((), 0, "", "")
        if answer is None
        else assumptions_view(opened.boat, state, opened.rev, answer),
    )
    return view if wrong is None else with_error(view, wrong)


def guide(  # noqa: PLR0913, PLR0917 - each names one thing of the sentence
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    chosen: Chosen | None,
    answer: "ModeAnswer | None",
    standing: Standing,
) -> GuideView:
    """What happens and what to do, in a sentence each; what to do where that is known already."""
    worst = None if answer is None else worst_hit(answer, state.event)
    moves = None
    if worst is not None and chosen is not None:
        moves = known_mends_of(yard, opened, worst, chosen)
    labels = None if moves is None else [one.label for one in moves]
    return guide_view(opened.boat, state, answer, labels, standing)


def advice(yard: Yard, opened: OpenBoat, asked: ViewState) -> AdviceView:
    """What to do about the worst-hit load, looked for where a page has shown what happens.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """
    now = scene(yard, opened, asked)
    worst = None if now.answer is None else worst_hit(now.answer, now.state.event)
    if now.answer is None or worst is None:
        return AdviceView()
    moves = mends_of(yard, opened, worst, Chosen(now.answer.mode, now.state.event))
    return advice_view(worst, [one.label for one in moves], now.state)


def parts_of(view: BenchView) -> tuple[Part, ...]:
    """All fragments of the workbench, to be swapped after a change."""
    return tuple((f"workbench/{name}", getattr(view, name)) for name in PARTS)


def tap_parts(
    yard: Yard, opened: OpenBoat, asked: ViewState, held: Held, *, waits: bool = False
) -> tuple[Part, ...]:
    """The ranked list and the overlay for a held lead; the drawing only where it turns to the lead's side.

    What comes late, by the event in time (``waits``), leaves the drawing as it is.

    Raises:
        UnknownChoiceError: the boat has no such mode, event or lead.
    """
    now = scene(yard, opened, asked)
    if now.answer is None:
        raise UnknownChoiceError("This boat has no mode yet, so no tap can answer.")
    chosen = Chosen(now.answer.mode, now.state.event)
    pick_up = pick_ups.pick_up(yard, opened, held.part, held.terminal, chosen, waits=waits)
    parts: list[Part] = [
        ("workbench/taps", _taps(opened, now.state, pick_up, refines=not waits)),
        ("workbench/overlay", now.overlay(pick_up)),
    ]
    if not waits and now.side(pick_up) != now.side():  # a narrow picture turns to the side of the lead
        parts.append(("workbench/diagram", now.diagram(pick_up, earlier_revision(yard, opened, now.state))))
    return tuple(parts)


@dataclass(frozen=True)
class BothHeld:
    """Both leads in the hand: the panels for them, and the picture with what each panel answers."""

    list: BothView
    overlay: OverlayView
    diagram: DiagramView
    is_turned: bool

    def parts(self) -> tuple[Part, ...]:
        """What is swapped when they are picked up; the drawing only where it turns to the panels' side."""
        turned = (("workbench/diagram", self.diagram),) if self.is_turned else ()
        return (("workbench/both", self.list), ("workbench/overlay", self.overlay), *turned)


def both(yard: Yard, opened: OpenBoat, asked: ViewState) -> BothHeld:
    """The panels for both leads of the selected load.

    Raises:
        UnknownChoiceError: no load is selected, or the boat has no such mode or event.
    """
    now = scene(yard, opened, asked)
    load = now.load
    if now.answer is None or load is None:
        raise UnknownChoiceError("Select a load first, then move both of its leads.")
    found = both_places(yard, opened, load, Chosen(now.answer.mode, now.state.event))
    notice = OPENS_OPTION if opened.row.role == "surveyed" else ""
    held = part_answers(now.state, found.places)
    return BothHeld(
        list=both_view(now.state, opened.rev, found, notice),
        overlay=now.overlay(held),
        diagram=now.diagram(held, earlier_revision(yard, opened, now.state)),
        is_turned=now.side(held) != now.side(),
    )


def _taps(opened: OpenBoat, state: ViewState, held: "PickUp", *, refines: bool = False) -> TapsView:
    view = taps_view(opened.boat, state, opened.rev, held, refines=refines)
    return replace(view, notice=OPENS_OPTION) if opened.row.role == "surveyed" else view


def _change(
    yard: Yard, opened: OpenBoat, state: ViewState, chosen: Chosen | None, earlier: Revision | None
) -> ChangeView:
    if earlier is None or chosen is None:
        return ChangeView()
    view = change_view(state, opened, comparison(yard, earlier, opened, chosen))
    before = document(yard, earlier)
    if is_all_known(yard, earlier.sha, before) and is_all_known(yard, opened.sha, opened.boat):
        return replace(view, late=late_view(late_comparison(yard, earlier, opened, chosen)))
    return view


def _source_view(opened: OpenBoat, state: ViewState, answer: "ModeAnswer | None") -> SelectedView:
    part = source_named(opened.boat, state.selected)
    if part is None or answer is None:
        return SelectedView()
    return source_view(opened.boat, state, opened.rev, source_facts(opened.boat, part, answer))


def _strip(  # noqa: PLR0913 - each names one thing of the way
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    load: "InputAnswer",
    chosen: Chosen,
    *,
    waits: bool = False,
) -> Strip:
    """The way of a load; on an upright screen with what its leads would meet, so that it can be walked."""
    strip = _loop_of(yard, opened, state, load, chosen)
    if not _is_walked(state, load):
        return strip
    return replace(strip, held=leads_met(yard, opened, load, chosen, waits=waits))


def _loop_of(  # noqa: PLR0913 - each names one thing of the way
    yard: Yard,
    opened: OpenBoat,
    state: ViewState,
    load: "InputAnswer",
    chosen: Chosen,
    *,
    is_late: bool = False,
) -> Strip:
    """The way of a load without what its leads would meet; ``is_late`` asks for that where it is wanted."""
    loop, seen = answers.loop(yard, opened, load, chosen), seen_in(load, state.event)
    return Strip(opened.boat, state, opened.rev, loop, seen, is_late=is_late and _is_walked(state, load))


def _is_walked(state: ViewState, load: "InputAnswer") -> bool:
    return state.portrait and load.state == "fed"


def way_of(yard: Yard, opened: OpenBoat, asked: ViewState) -> LoopView:
    """The way of the selected load with what its leads would meet, which a put-down left to follow.

    Raises:
        UnknownChoiceError: no load is selected, or the boat has no such mode or event.
    """
    now = scene(yard, opened, asked)
    if now.answer is None or now.load is None:
        raise UnknownChoiceError("No load is selected. Select one, then walk its way.")
    chosen = Chosen(now.answer.mode, now.state.event)
    return loop_view(_strip(yard, opened, now.state, now.load, chosen, waits=True))


def refined_parts(yard: Yard, opened: OpenBoat, asked: ViewState) -> tuple[Part, ...]:
    """What was shown with figures of the first instant, once the event in time is known.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """
    now = scene(yard, opened, asked)
    state, answer, load = now.state, now.answer, now.load
    if answer is None:
        return ()
    chosen = Chosen(answer.mode, state.event)
    standing = in_time.standing(yard, opened.sha, chosen, answer)
    earlier = earlier_revision(yard, opened, state)
    parts: list[Part] = [
        ("workbench/results", results_view(opened, state, answer, standing)),
        ("workbench/guide", guide(yard, opened, state, chosen, answer, standing)),
        ("workbench/diagram", now.diagram(None, earlier)),
        ("workbench/change", _change(yard, opened, state, chosen, earlier)),
    ]
    if load is not None:
        selected = selected_view(load, _strip(yard, opened, state, load, chosen, waits=True))
        parts.append(("workbench/selected", selected))
    return tuple(parts)


def results_view(
    opened: OpenBoat, state: ViewState, answer: "ModeAnswer | None", standing: Standing
) -> ResultsView:
    """The load table."""
    if answer is None:
        return ResultsView("Loads", "", columns(state), (), ())
    info = next((info for info in answer.events if info.event == state.event), None)
    event = event_by_id(opened.boat, state.event)
    told = "" if info is None or event is None else event_words(info, event.conditions)
    return ResultsView(
        title="Loads" if event is None else f"Loads at “{event.name}”",
        caption=told,
        columns=columns(state),
        rows=rows(answer, state.event, state, standing.basis),
        troubles=tuple(trouble.message for trouble in answer.troubles if trouble.code != "switched-off"),
        basis=basis_words(standing),
        refining=standing.is_refining,
    )


def _findings(yard: Yard, opened: OpenBoat, state: ViewState, answer: "ModeAnswer | None") -> FindingsView:
    """The findings; while more are computed, with where they come from."""
    if is_all_known(yard, opened.sha, opened.boat):
        return all_findings_view(yard, opened, Listing(opened.boat, state, in_place=True), FindingFilter())
    found = () if answer is None else found_at_once(yard, opened.sha, opened.boat, answer.mode, state.event)
    left_open = () if answer is None else answer.not_assessed
    view = findings_view(opened, Listing(opened.boat, state, in_place=True), found, left_open)
    return replace(view, more_url=state.url("/findings/rest"), page_url=state.url("/findings"))


def rest_parts(yard: Yard, opened: OpenBoat, asked: ViewState) -> tuple[Part, ...]:
    """What follows after the workbench was shown: all findings, and what the last change did to them."""
    listing = Listing(opened.boat, asked, in_place=True, is_late=True)
    findings = all_findings_view(yard, opened, listing, FindingFilter())
    chosen = choose(yard, opened.sha, opened.boat, asked.mode, asked.event)
    parts: list[Part] = [("workbench/findings", findings)]
    earlier = earlier_revision(yard, opened, asked)
    if earlier is not None and chosen is not None:
        parts.append(("workbench/change_late", late_view(late_comparison(yard, earlier, opened, chosen))))
    return tuple(parts)


def best_place_of(yard: Yard, opened: OpenBoat, asked: ViewState) -> BestPlaceView:
    """The best place of the selected load, which a hurried workbench left to follow."""
    now = scene(yard, opened, asked)
    return best_place_view(None if now.load is None else seen_in(now.load, now.state.event))


def with_error(view: BenchView, wrong: FieldError) -> BenchView:
    """The same page with a message beside the field it belongs to, and what was typed kept."""

    def mark(field: FieldView) -> FieldView:
        return replace(field, value=wrong.typed, error=wrong.message) if field.id == wrong.field else field

    leads = tuple(replace(lead, fields=tuple(map(mark, lead.fields))) for lead in view.selected.leads)
    return replace(
        view,
        selected=replace(view.selected, leads=leads, fields=tuple(map(mark, view.selected.fields))),
        switches=replace(
            view.switches,
            contacts=tuple(map(mark, view.switches.contacts)),
            groups=tuple(replace(g, switches=tuple(map(mark, g.switches))) for g in view.switches.groups),
            hours=None if view.switches.hours is None else mark(view.switches.hours),
            running=tuple(
                replace(group, rows=tuple(_marked(row, mark) for row in group.rows))
                for group in view.switches.running
            ),
        ),
        assumptions=replace(
            view.assumptions,
            rows=tuple(replace(row, field=mark(row.field)) for row in view.assumptions.rows),
        ),
    )


def _marked(row: RunningView, mark: Callable[[FieldView], FieldView]) -> RunningView:
    return row if row.hours is None else replace(row, hours=mark(row.hours))


def field_in(view: BenchView, name: str) -> FieldView | None:
    """The field of this id on the page."""
    fields = (
        *(field for lead in view.selected.leads for field in lead.fields),
        *view.selected.fields,
        *view.switches.contacts,
        *(field for group in view.switches.groups for field in group.switches),
        *(field for field in (view.switches.hours,) if field is not None),
        *(row.hours for group in view.switches.running for row in group.rows if row.hours is not None),
        *(row.field for row in view.assumptions.rows),
    )
    return next((field for field in fields if field.id == name), None)
