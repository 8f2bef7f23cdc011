"""The page of the plan: the drawing, what is chosen, and the lists of runs, places and conductors."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.actions.choices import Chosen
from server.actions.plan import PlanFacts
from server.actions.plan_edits import place_of
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.lengths import END_ALLOWANCE_KEY
from server.drawing.plan import Lit, draw_plan
from server.drawing.svg import Svg
from server.practice.assumptions import default
from server.web.views.controls import HeadView, head_view
from server.web.views.fitting_fields import AskedView, Errors
from server.web.views.forms import ChoiceView, FormView
from server.web.views.plan_change import PlanChangeView
from server.web.views.plan_chosen import chosen_lines, chosen_title
from server.web.views.plan_fields import (
    DRAWING,
    HULL,
    MARGIN,
    NEW_RUN,
    NEW_WAYPOINT,
    NEW_ZONE,
    fields_of,
    kind_of,
)
from server.web.views.plan_tables import PlanTableView, tables

NEW = ((NEW_RUN, "New run"), (NEW_WAYPOINT, "New waypoint"), (NEW_ZONE, "New zone"))
SHAPES = ((HULL, "Hull"), (DRAWING, "Drawing"), (MARGIN, "Margins"))
_REMOVING = {
    "run": "Remove this run",
    "waypoint": "Remove this waypoint and its runs",
    "zone": "Remove this zone from everything in it",
}


@dataclass(frozen=True)
class PlanLinkView:
    """A way to another choice on this page."""

    id: str
    title: str
    url: str
    here: bool


@dataclass(frozen=True)
class PlanChosenView:
    """What is chosen on the plan: what is known of it, and the form that changes it."""

    id: str
    title: str
    lines: tuple[str, ...]
    fields: tuple[AskedView, ...]
    form: FormView
    button: str
    off: FormView | None
    off_words: str
    move: FormView | None
    steps: tuple[tuple[str, str], ...]
    can_be_put: bool


@dataclass(frozen=True)
class PlanView:
    """``plan/page.html`` and ``plan/_plan.html``."""

    title: str
    head: HeadView
    told: str
    url: str
    drawing: Svg | None
    modes: tuple[ChoiceView, ...]
    mode_hidden: tuple[tuple[str, str], ...]
    links: tuple[PlanLinkView, ...]
    chosen: PlanChosenView | None
    move_form: FormView
    waypoints: tuple[str, ...]
    tables: tuple[PlanTableView, ...]
    notes: tuple[str, ...]
    change: PlanChangeView
    undo: FormView
    undo_words: str


BUTTONS = {NEW_RUN: "Add the run", NEW_WAYPOINT: "Add the waypoint", NEW_ZONE: "Add the zone"}
STEPS = (("fore", "Forward"), ("aft", "Aft"), ("port", "To port"), ("starboard", "To starboard"))


@dataclass(frozen=True)
class _Forms:
    """Makes the forms of the page, all on one revision."""

    path: str
    revision: int
    mode: str
    on: str

    def to(self, below: str) -> FormView:
        """A form to an address below the plan's, that comes back to the same choice."""
        stamp = (("revision", str(self.revision)), ("request_id", fresh_request_id()))
        return FormView(f"{self.path}/{below}", (*stamp, ("mode", self.mode), ("on", self.on)))


def stamped(opened: OpenBoat, below: str, asked: Mapping[str, str]) -> FormView:
    """A form to an address below the plan's, made on what is shown now."""
    return _Forms(f"/boats/{opened.id}/plan", opened.rev, asked.get("mode", ""), asked.get("on", "")).to(
        below
    )


def plan_view(  # noqa: PLR0913 - each names one thing of the page
    opened: OpenBoat,
    facts: PlanFacts,
    chosen: Chosen | None,
    on: str,
    *,
    change: PlanChangeView | None = None,
    typed: Mapping[str, str] | None = None,
    errors: Errors | None = None,
    told: str = "",
) -> PlanView:
    """The page with what is chosen, and with what was typed and refused."""
    boat, path = opened.boat, f"/boats/{opened.id}/plan"
    mode = "" if chosen is None else chosen.mode
    url = f"{path}?mode={mode}" if mode else path
    on = on if kind_of(boat, on) else "" if boat.runs else NEW_RUN

    forms = _Forms(path, opened.rev, mode, on)
    return PlanView(
        title=f"Plan of {opened.row.name}",
        head=head_view(opened, "plan"),
        told=told,
        url=path,
        drawing=draw_plan(boat, url, _lit(boat, facts, on), facts.backdrop),
        modes=tuple(ChoiceView(one.id, one.name, one.id == mode) for one in boat.modes),
        mode_hidden=(("on", on),),
        links=tuple(
            PlanLinkView(f"plan-{key}", title, _choosing(url, key), key == on)
            for key, title in (*NEW, *SHAPES)
        ),
        chosen=_chosen(opened, facts, on, forms, fields_of(boat, on, typed, errors or {})),
        move_form=forms.to("move"),
        waypoints=tuple(dict.fromkeys(one.name for one in (*boat.waypoints, *boat.parts))),
        tables=tables(boat, facts, on, url),
        notes=_notes(boat, facts),
        change=change or PlanChangeView(),
        undo=forms.to("undo"),
        undo_words=opened.undo.label if opened.undo else "",
    )


def _choosing(url: str, key: str) -> str:
    return f"{url}{'&' if '?' in url else '?'}on={key}"


def _chosen(
    opened: OpenBoat, facts: PlanFacts, on: str, forms: _Forms, fields: tuple[AskedView, ...]
) -> PlanChosenView | None:
    boat, kind = opened.boat, kind_of(opened.boat, on)
    if not kind:
        return None
    place = place_of(boat, on)
    can_move = kind in {"part", "waypoint"} and place is not None
    return PlanChosenView(
        id=on,
        title=chosen_title(boat, on, kind),
        lines=chosen_lines(boat, facts, on, kind),
        fields=fields,
        form=forms.to("put"),
        button=BUTTONS.get(on, "Save"),
        off=forms.to("off") if kind in _REMOVING and not on.startswith("new-") else None,
        off_words=_REMOVING.get(kind, ""),
        move=forms.to("nudge") if can_move else None,
        steps=STEPS if can_move else (),
        can_be_put=kind in {"part", "waypoint"} and not on.startswith("new-"),
    )


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


def _notes(boat: Boat, facts: PlanFacts) -> tuple[str, ...]:
    own = any(one.key == END_ALLOWANCE_KEY and one.subject is None for one in boat.assumptions)
    source = default(END_ALLOWANCE_KEY).source
    where = "this boat's own figure" if own else f"assumed: {source}, from memory"
    notes = [f"A conductor is {facts.end_allowance_m:g} m longer than its way at each end ({where})."]
    if facts.unjoined and boat.runs:
        count = facts.unjoined
        which = "1 conductor is" if count == 1 else f"{count} conductors are"
        notes.append(f"{which} reached by no run; the list below says why.")
    notes += [
        f"{name} is the end of a run, but no part is reached from it: say below which are there."
        for name in _dead_ends(boat, facts)
    ]
    for one in facts.spare:
        short = "" if one.free >= one.asked else f": {one.asked - one.free} too few"
        notes.append(f"{one.panel.name}: {one.free} spare ways, {one.asked} asked for{short}.")
    return tuple(notes)


def _dead_ends(boat: Boat, facts: PlanFacts) -> Iterator[str]:
    """The waypoints that just one run leads to, and from which no part is reached."""
    ends = Counter(end for run in boat.runs for end in (run.start, run.end))
    reached = {one.waypoint.id for one in facts.parts if one.waypoint is not None}
    yield from (one.name for one in boat.waypoints if ends[one.id] == 1 and one.id not in reached)
