"""Puts the event strip together: an event solved in time, and before the last move, as views."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions.choices import UnknownChoiceError, choose, event_by_id
from server.actions.events_in_time import (
    HAPPENS,
    UnsolvedEventError,
    coils_in_mode,
    coils_let_go,
    event_in_time,
    figures_of,
    load_dumps,
    meters,
    requirements_met,
    starting_profiles,
)
from server.actions.fed import levels_of
from server.actions.netlist import netlist_deck
from server.actions.words import VERDICTS
from server.actions.yard import OpenBoat, Revision, Yard, document
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.modes import Event
from server.web.event_fields import Asked, asked_of
from server.web.views.event_chart import HEAVY_CURRENT, PROBE, chart_of, draw, drawn_points, shown_point
from server.web.views.event_demands import (
    coil_words,
    demands,
    link_rows,
    links_words,
    load_dump_words,
    lost_battery_words,
    moved_words,
)
from server.web.views.event_figures import VERDICT_MARKS
from server.web.views.event_heavies import HeaviesView, heavy_row
from server.web.views.event_meters import disagreement, meter_choices, meter_limits, meter_rows
from server.web.views.event_overlay import profile_choices, profile_curve
from server.web.views.event_probes import ProbesView, probe_view
from server.web.views.event_strip import (
    LEFT_OUT,
    StripView,
    assumed_figures,
    bands_words,
    caption,
    change_words,
    exact_figures,
    extremes,
    point_words,
)
from server.web.views.event_why import splits
from server.web.views.forms import ChoiceView
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.engine.transient.answer import EventRun, PointPair


MOST_FOR_COILS = 400
"""A coil takes a second on a boat of nine hundred conductors, and such a boat has many."""
NOT_SEEN = "not seen: "
"""How an answer marks what the document itself says was not seen, which the findings list."""


@dataclass(frozen=True)
class Shown:
    """A strip, and whether something of what was asked for could not be answered."""

    view: StripView
    is_wrong: bool


def strip(
    yard: Yard, opened: OpenBoat, wanted: ViewState, values: Mapping[str, str], *, on_bench: bool
) -> Shown:
    """The event of a view in time.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """
    chosen = choose(yard, opened.sha, opened.boat, wanted.mode, wanted.event)
    event = None if chosen is None else event_by_id(opened.boat, chosen.event)
    if chosen is None or event is None:
        return Shown(_trouble("An event in time", "Nothing heavy starts in this mode."), is_wrong=False)
    state = replace(wanted, mode=chosen.mode, event=event.id)
    asked = asked_of(opened.boat, values)
    solved = solve(yard, opened.sha, opened.boat, event, asked.pair, bands=asked.bands)
    if isinstance(solved, str) and asked.pair is not None:
        asked = replace(asked, plus_error=solved, pair=None)
        solved = solve(yard, opened.sha, opened.boat, event)
    if isinstance(solved, str):
        return Shown(_trouble(_title(event), solved), asked.is_wrong)
    earlier = _earlier(yard, opened, state, event, asked.pair)
    view = _view(opened.boat, event, solved, earlier, state, _within(asked, solved), on_bench=on_bench)
    return Shown(view, _within(asked, solved).is_wrong)


def solve(  # noqa: PLR0913 - each names one thing of the question
    yard: Yard, sha: str, boat: Boat, event: Event, pair: "PointPair | None" = None, *, bands: bool = False
) -> "EventRun | str":
    """An event in time, or the reason why it cannot be solved."""
    try:
        probes = () if pair is None else (pair,)
        return event_in_time(yard, sha, boat, event.mode, event.id, probes, bands=bands)
    except UnsolvedEventError as error:
        return str(error)


def heavies(yard: Yard, opened: OpenBoat, state: ViewState) -> HeaviesView:
    """Every event of the boat with the load that it hits worst; an alternator without battery in the mode.

    Raises:
        UnknownChoiceError: the boat has no such mode or event.
    """
    boat = opened.boat
    modes = {mode.id: mode.name for mode in boat.modes}
    rows = tuple(
        heavy_row(event, modes[event.mode], figures_of(yard, opened.sha, boat, event.mode, event.id), state)
        for event in events_of(boat)
    )
    coils = coil_words(boat, coils_let_go(boat))
    chosen = choose(yard, opened.sha, boat, state.mode, state.event)
    if chosen is None:
        return HeaviesView(rows, "", (), "", coils)
    lost, published = load_dumps(boat, chosen.mode)
    words = lost_battery_words(boat, lost)
    name = modes[chosen.mode]
    moved = coils_told(boat, chosen.mode, name) if coils else ()
    return HeaviesView(rows, name, words, load_dump_words(published), (*coils, *moved))


def coils_told(boat: Boat, mode: str, name: str) -> tuple[str, ...]:
    """What the coils of a mode do to its loads, in words; a boat of many conductors is not kept waiting."""
    begun = "What a coil does to the loads when it is let go"
    if len(boat.conductors) > MOST_FOR_COILS:
        return (f"{begun} is not worked out on a boat of more than {MOST_FOR_COILS} conductors.",)
    try:
        return moved_words(boat, name, coils_in_mode(boat, mode))
    except UnsolvedEventError as error:
        return (f"{begun} has no answer in this mode: {error}",)


def deck(yard: Yard, opened: OpenBoat, state: ViewState) -> tuple[str, str]:
    """A file name and the event of a view as a deck for a circuit simulator.

    Raises:
        UnknownChoiceError: the boat has no such mode or event, or the event cannot be solved in time.
    """
    chosen = choose(yard, opened.sha, opened.boat, state.mode, state.event)
    if chosen is None or chosen.event is None:
        raise UnknownChoiceError("Nothing heavy starts in this mode.")
    return f"{chosen.event}.cir", netlist_deck(
        opened.revision.body, chosen.mode, chosen.event, transient=True
    )


def _view(  # noqa: PLR0913, PLR0917 - each names one thing of the strip
    boat: Boat,
    event: Event,
    solved: "EventRun",
    earlier: "EventRun | None",
    state: ViewState,
    asked: Asked,
    *,
    on_bench: bool,
) -> StripView:
    heavy = f"{event.heavy.part}.{event.heavy.input}"
    shown = shown_point(solved, heavy, state.selected)
    if shown is None:
        return _trouble(_title(event), "Nothing but the heavy load is on in this mode.")
    readings = meters(solved, shown.key) + tuple(
        pair for pair in meters(solved, HEAVY_CURRENT) if pair[0].kind == "inrush-clamp"
    )
    metered = meter_limits(readings, asked.meter)
    profiles = () if shown.key == PROBE else starting_profiles(boat, shown.key)
    overlaid = profile_curve(solved, profiles, asked.profile)
    chart = chart_of(solved, drawn_points(solved, heavy, shown), earlier, metered, overlaid)
    drawn, cursor = draw(chart, asked.column, asked.at_s)
    return StripView(
        on_bench=on_bench,
        title=_title(event),
        caption=caption(solved),
        drawing=drawn.svg,
        cursor=cursor,
        probes=_probes(boat, state, asked, profile_choices(profiles, asked.profile)),
        point=shown.name,
        verdict="" if shown.key == PROBE else VERDICTS[shown.verdict],
        verdict_mark=VERDICT_MARKS[shown.verdict],
        told=point_words(shown),
        reason="" if shown.key == PROBE else shown.reason,
        change=change_words(shown, earlier),
        has_earlier=earlier is not None,
        rows=extremes(solved, earlier, shown, state, "" if on_bench else "/event"),
        meters=meter_rows(readings, shown),
        meters_words=disagreement(readings),
        bands_words=bands_words(shown, solved.points),
        bands_note=LEFT_OUT if any(one.band_basis == "drawn" for one in solved.points) else "",
        bands_url="" if asked.bands else state.url("/event", bands="yes", **_kept(asked)),
        demands=() if shown.key == PROBE else demands(requirements_met(solved, boat, shown.key)),
        fed_url=state.url("/supply") if levels_of(boat) else "",
        links=link_rows(solved.links),
        links_words=links_words(solved.links),
        splits=splits(shown),
        exact=exact_figures(shown),
        assumed=assumed_figures((*solved.derived, *solved.assumptions)),
        happens=tuple(one.message for one in solved.troubles if one.code in HAPPENS),
        troubles=tuple(one.message for one in solved.troubles if one.code not in {*HAPPENS, "switched-off"}),
        not_assessed=tuple(text for text in solved.not_assessed if not text.startswith(NOT_SEEN)),
        heavies_url=state.url("/events"),
        deck_url=state.url("/event/deck"),
        picture_action=state.path("/event/picture"),
        whole_action=state.path("/picture"),
    )


def _kept(asked: Asked) -> dict[str, str]:
    """What a link keeps of what was asked."""
    kept = {"plus": asked.plus, "minus": asked.minus, "meter": asked.meter, "profile": asked.profile}
    return {name: value for name, value in kept.items() if value}


def _title(event: Event) -> str:
    return f"“{event.name}” in time"


def _trouble(title: str, words: str) -> StripView:
    return StripView(title=title, trouble=words)


def _earlier(
    yard: Yard, opened: OpenBoat, state: ViewState, event: Event, pair: "PointPair | None"
) -> "EventRun | None":
    """The same event before the last change, where it was already there and could be solved."""
    revision = _revision_before(yard, opened, state)
    if revision is None:
        return None
    boat = document(yard, revision)
    before = event_by_id(boat, event.id)
    if before is None:
        return None
    try:
        solved = solve(yard, revision.sha, boat, before, pair)
    except UnknownChoiceError:  # a probe lies on what was not there yet
        return None
    return None if isinstance(solved, str) else solved


def _revision_before(yard: Yard, opened: OpenBoat, state: ViewState) -> Revision | None:
    if state.since is None or not 1 <= state.since < opened.rev:
        return None
    return yard.store.revision(opened.id, state.since)


def _within(asked: Asked, run: "EventRun") -> Asked:
    """The same, with a message where the instant lies outside of the event."""
    first, last = run.phases[0].start_s, run.phases[-1].end_s
    if asked.at_s is None or first <= asked.at_s <= last:
        return asked
    message = f"The event runs from {first:.2g} s to {last:.2g} s: enter a time between.".replace("-", "−")
    return replace(asked, at_s=None, typed=asked.raw, time_error=message)


def _probes(boat: Boat, state: ViewState, asked: Asked, profiles: tuple[ChoiceView, ...]) -> ProbesView:
    return ProbesView(
        action=state.path("/event"),
        hidden=state.pairs,
        typed=asked.typed,
        error=asked.time_error,
        meters=meter_choices(asked.meter),
        profiles=profiles,
        probes=(
            probe_view(boat, "plus", "Plus probe", asked.plus, asked.plus_error),
            probe_view(boat, "minus", "Minus probe", asked.minus, asked.minus_error),
        ),
        clear_url=state.url("/event") if asked.plus or asked.minus else "",
    )
