"""The page of the plan: the drawing, what is chosen, and the lists of runs, places and conductors."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.actions.choices import Chosen
from server.actions.plan import PlanFacts
from server.actions.plan_edits import place_of
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.decks import upwards
from server.drawing.plan import draw_plan
from server.drawing.plan_links import TOUCH_R, Lit
from server.drawing.plan_sheet import Sheet
from server.drawing.run_map import draw_run_map
from server.drawing.svg import Svg
from server.web.views.controls import HeadView, head_view
from server.web.views.fitting_fields import AskedView, Errors
from server.web.views.forms import ChoiceView, FormView
from server.web.views.lists import as_of_words
from server.web.views.plan_change import PlanChangeView
from server.web.views.plan_chosen import chosen_lines, chosen_title
from server.web.views.plan_fields import (
    DRAWING,
    HULL,
    MARGIN,
    NEW_DECK,
    NEW_RUN,
    NEW_WAYPOINT,
    NEW_ZONE,
    RUN_LIST,
    fields_of,
    kind_of,
    known,
)
from server.web.views.plan_forms import PlanForms, PlanLinkView
from server.web.views.plan_notes import PlanNoteView, plan_notes
from server.web.views.plan_tables import PlanTableView, tables

NEW = (
    (NEW_RUN, "New run"),
    (RUN_LIST, "Runs as a list"),
    (NEW_WAYPOINT, "New waypoint"),
    (NEW_ZONE, "New zone"),
    (NEW_DECK, "New deck"),
)
SHAPES = ((HULL, "Hull"), (DRAWING, "Drawing"), (MARGIN, "Margins"))
_REMOVING = {
    "run": "Remove this run",
    "waypoint": "Remove this waypoint and its runs",
    "zone": "Remove this zone from everything in it",
    "deck": "Remove this deck; what is on it keeps its height",
}


@dataclass(frozen=True)
class PlanChosenView:
    """What is chosen on the plan: what is known of it, and the form that changes it."""

    id: str
    title: str
    lines: tuple[str, ...]
    fields: tuple[AskedView, ...]
    form: FormView
    button: str
    focus: str
    """Where the focus goes once it is saved: to the first field where one thing follows the other."""
    off: FormView | None
    off_words: str
    move: FormView | None
    steps: tuple[tuple[str, str], ...]
    can_be_put: bool
    close_by: tuple[PlanLinkView, ...]
    """What lies under the same finger on the drawing, the nearest first."""
    reach: FormView | None
    reach_words: str
    has_corners: bool


@dataclass(frozen=True)
class PlanView:
    """``plan/page.html`` and ``plan/_plan.html``."""

    title: str
    head: HeadView
    told: str
    url: str
    drawing: Svg | None
    modes: tuple[ChoiceView, ...]
    decks: tuple[ChoiceView, ...]
    mode_hidden: tuple[tuple[str, str], ...]
    links: tuple[PlanLinkView, ...]
    hull_link: PlanLinkView
    chosen: PlanChosenView | None
    move_form: FormView
    waypoints: tuple[str, ...]
    as_of: str
    tables: tuple[PlanTableView, ...]
    notes: tuple[PlanNoteView, ...]
    change: PlanChangeView
    undo: FormView
    undo_words: str


BUTTONS = {
    NEW_RUN: "Add the run",
    RUN_LIST: "Put in these runs",
    NEW_WAYPOINT: "Add the waypoint",
    NEW_ZONE: "Add the zone",
    NEW_DECK: "Add the deck",
}
STEPS = (("fore", "Forward"), ("aft", "Aft"), ("port", "To port"), ("starboard", "To starboard"))


def plan_view(  # noqa: PLR0913 - each names one thing of the page
    opened: OpenBoat,
    facts: PlanFacts,
    chosen: Chosen | None,
    on: str,
    *,
    shown: str = "",
    change: PlanChangeView | None = None,
    typed: Mapping[str, str] | None = None,
    errors: Errors | None = None,
    told: str = "",
) -> PlanView:
    """The page with what is chosen, and with what was typed and refused."""
    boat, path = opened.boat, f"/boats/{opened.id}/plan"
    mode = "" if chosen is None else chosen.mode
    shown = shown if any(deck.id == shown for deck in boat.decks) else ""
    on = on if kind_of(boat, on) else "" if boat.runs else NEW_RUN
    forms = PlanForms(path, opened.rev, mode, shown, on)
    return PlanView(
        title=f"Plan of {opened.row.name}",
        head=head_view(opened, "plan"),
        told=told,
        url=path,
        drawing=_drawing(boat, facts, forms),
        modes=tuple(ChoiceView(one.id, one.name, one.id == mode) for one in boat.modes),
        decks=_deck_choices(boat, shown),
        mode_hidden=(("on", on),),
        links=tuple(forms.link(f"plan-{key}", key, title) for key, title in (*NEW, *SHAPES)),
        hull_link=forms.link("plan-hint-hull", HULL, "hull"),
        chosen=_chosen(opened, facts, on, forms, fields_of(boat, on, typed, errors or {}, shown)),
        move_form=forms.to("move"),
        waypoints=tuple(dict.fromkeys(one.name for one in (*boat.waypoints, *boat.parts))),
        as_of=as_of_words(opened),
        tables=tables(boat, facts, on, forms.url),
        notes=tuple(plan_notes(boat, facts, forms)),
        change=change or PlanChangeView(),
        undo=forms.to("undo"),
        undo_words=opened.undo.label if opened.undo else "",
    )


def _deck_choices(boat: Boat, shown: str) -> tuple[ChoiceView, ...]:
    """All decks or one of them, the highest first, as they lie above each other; nothing without decks."""
    if not boat.decks:
        return ()
    decks = (ChoiceView(one.id, one.name, one.id == shown) for one in reversed(upwards(boat.decks)))
    return (ChoiceView("", "all", not shown), *decks)


def _chosen(
    opened: OpenBoat, facts: PlanFacts, on: str, forms: PlanForms, fields: tuple[AskedView, ...]
) -> PlanChosenView | None:
    boat, kind = opened.boat, kind_of(opened.boat, on)
    if not kind:
        return None
    place = place_of(boat, on)
    near = next((one.nearest for one in facts.parts if one.part.id == on and boat.runs), None)
    can_move = kind in {"part", "waypoint"} and place is not None
    return PlanChosenView(
        id=on,
        title=chosen_title(boat, on, kind),
        lines=chosen_lines(boat, facts, on, kind),
        fields=fields,
        form=forms.to("put"),
        button=BUTTONS.get(on, "Save"),
        focus="plan-start" if on == NEW_RUN else "",
        off=forms.to("off") if kind in _REMOVING and not on.startswith("new-") else None,
        off_words=_REMOVING.get(kind, ""),
        move=forms.to("nudge") if can_move else None,
        steps=STEPS if can_move else (),
        can_be_put=kind in {"part", "waypoint"} and not on.startswith("new-"),
        close_by=tuple(_close_by(boat, on, forms)),
        reach=None if near is None else forms.to("put", **{**known(boat, on), "waypoint": near[1].name}),
        reach_words="" if near is None else f"Reach it from {near[1].name}, {near[0]:.2f} m away",
        has_corners=kind == "zone",
    )


def _close_by(boat: Boat, on: str, forms: PlanForms) -> Iterator[PlanLinkView]:
    place, sheet = place_of(boat, on), Sheet.of(boat)
    if place is None or sheet is None:
        return
    away = {
        thing.id: math.hypot(
            thing.place.from_bow_m - place.from_bow_m,
            thing.place.from_centreline_m - place.from_centreline_m,
        )
        for thing in (*boat.waypoints, *boat.parts)
        if thing.place is not None and thing.id != on
    }
    names = {thing.id: thing.name for thing in (*boat.waypoints, *boat.parts)}
    for name in sorted(away, key=away.__getitem__)[:_MOST_CLOSE]:
        if away[name] * sheet.scale < TOUCH_R:
            yield forms.link(f"close-{name}", name, names[name])


_MOST_CLOSE = 12


def _drawing(boat: Boat, facts: PlanFacts, forms: PlanForms) -> Svg | None:
    """The plan; the map of the runs while nothing is on the plan and nothing is about to be put there."""
    lit = _lit(boat, facts, forms.on)
    things = (*boat.waypoints, *boat.parts)
    is_begun = any(one.place is not None for one in things) or any(zone.outline for zone in boat.zones)
    if is_begun or boat.hull is not None or any(one.id == forms.on for one in (*things, *boat.zones)):
        return draw_plan(boat, forms.url, lit, facts.backdrop, forms.shown)
    return draw_run_map(boat, forms.url, lit)


def _lit(boat: Boat, facts: PlanFacts, on: str) -> Lit:
    """What lies on the way of a chosen conductor; of a chosen run, the parts whose conductors go through."""
    wire = next((one for one in facts.wires if one.conductor.id == on), None)
    if wire is None:
        through = next((one.wires for one in facts.runs if one.run.id == on), ())
        parts = {end.part for one in through for end in (one.tail, one.head) if end is not None}
        return Lit(on, frozenset(), frozenset(parts))
    ends = {end.part for end in (wire.conductor.tail, wire.conductor.head) if end is not None}
    if wire.route is None:
        return Lit(on, frozenset(), frozenset(ends))
    return Lit(on, frozenset(wire.route.runs), frozenset({*ends, *wire.route.waypoints}))
