"""Puts the workbench of a boat together: what the actions answer, as views."""

from dataclasses import replace
from typing import TYPE_CHECKING

from server.actions import answers, in_time, pick_ups
from server.actions.choices import Chosen, choose, event_by_id
from server.actions.compare import comparison, late_comparison
from server.actions.findings import found_at_once, is_all_known
from server.actions.in_time import Standing
from server.actions.mending_moves import known_mends_of, mends_of
from server.actions.sources import source_facts, source_named
from server.actions.yard import OpenBoat, Revision, Yard, document
from server.web.bench_fields import FieldError, with_error
from server.web.bench_held import Held, taps_of
from server.web.bench_way import loop_of, strip_of
from server.web.finding_lists import all_findings_view, findings_view
from server.web.picture import before_diagram, earlier_revision, scene
from server.web.render import Part
from server.web.views.bench import BenchView
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
from server.web.views.guide import AdviceView, GuideView, advice_view, guide_view, worst_hit
from server.web.views.loads import ResultsView, basis_words, columns, event_words, rows, seen_in
from server.web.views.selected import BestPlaceView, SelectedView, best_place_view, selected_view
from server.web.views.sources import source_view
from server.web.views.state import ViewState
from server.web.views.switches import switches_view
from server.web.views.taps import TapsView
from server.web.views.thing import thing_view

if TYPE_CHECKING:
    from server.engine.answer import ModeAnswer

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
            strip = loop_of(yard, opened, state, load, chosen, is_late=not standing.is_refining)
        else:
            strip = strip_of(yard, opened, state, load, chosen, waits=is_small)
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
        taps=TapsView() if pick_up is None else taps_of(opened, state, pick_up),
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
        selected = selected_view(load, strip_of(yard, opened, state, load, chosen, waits=True))
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


def _source_view(opened: OpenBoat, state: ViewState, answer: "ModeAnswer | None") -> SelectedView:
    part = source_named(opened.boat, state.selected)
    if part is None or answer is None:
        return SelectedView()
    return source_view(opened.boat, state, opened.rev, source_facts(opened.boat, part, answer))
