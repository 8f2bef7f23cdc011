"""What is worth knowing of a plan: assumed figures, what no run reaches, dead ends, spare ways."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from server.actions.plan import PlanFacts
from server.boat.boat import Boat
from server.boat.lengths import END_ALLOWANCE_KEY, REACH_KEY
from server.boat.zones import is_drawn_in
from server.practice.assumptions import default
from server.web.views.plan_fields import MARGIN
from server.web.views.plan_forms import PlanForms, PlanLinkView

_MOST_LINKS = 8


@dataclass(frozen=True)
class PlanNoteView:
    """What is worth knowing of the plan, with ways to what it speaks of."""

    text: str
    links: tuple[PlanLinkView, ...] = ()


def plan_notes(boat: Boat, facts: PlanFacts, forms: PlanForms) -> Iterator[PlanNoteView]:
    """Everything that stands below the drawing."""
    where = _where_from(boat, END_ALLOWANCE_KEY)
    yield PlanNoteView(
        f"A conductor is {facts.end_allowance_m:g} m longer than its way at each end ({where})."
    )
    if boat.runs:
        yield from _unreached(boat, facts, forms)
    if facts.unjoined and boat.runs:
        count = facts.unjoined
        which = "1 conductor is" if count == 1 else f"{count} conductors are"
        yield PlanNoteView(f"{which} reached by no run; the list below says why.")
    for name in _dead_ends(boat, facts):
        yield PlanNoteView(
            f"{name} is the end of a run, but no part is reached from it: say below which are there."
        )
    yield from _astray(boat, forms)
    for one in facts.spare:
        short = "" if one.free >= one.asked else f": {one.asked - one.free} too few"
        yield PlanNoteView(f"{one.panel.name}: {one.free} spare ways, {one.asked} asked for{short}.")


def _astray(boat: Boat, forms: PlanForms) -> Iterator[PlanNoteView]:
    """Parts whose stated zone is not where they are drawn: one of the two is wrong."""
    placed = [part for part in boat.parts if part.place is not None and part.zone is not None]
    inside = {
        zone.id: {part.id for part in placed if is_drawn_in(part, zone, boat.decks)} for zone in boat.zones
    }
    for zone in (one for one in boat.zones if one.outline):
        own = [part for part in placed if part.zone == zone.id and part.id not in inside[zone.id]]
        others = [
            part
            for part in placed
            if part.zone != zone.id and part.id in inside[zone.id] and part.id not in inside[part.zone or ""]
        ]
        judged = zone.engine_space or zone.vapour_risk
        for parts, told in (
            (own, f"counted to {zone.name} and drawn outside its outline"),
            (others if judged else [], f"counted to another zone and drawn inside {zone.name}"),
        ):
            if parts:
                which = "1 part is" if len(parts) == 1 else f"{len(parts)} parts are"
                yield PlanNoteView(
                    f"{which} {told}: rules go by the zone. Mend the zone or the place of",
                    tuple(
                        forms.link(f"astray-{zone.id}-{part.id}", part.id, part.name)
                        for part in parts[:_MOST_LINKS]
                    ),
                )


def _where_from(boat: Boat, key: str) -> str:
    own = any(one.key == key and one.subject is None for one in boat.assumptions)
    return "this boat's own figure" if own else f"assumed: {default(key).source}, from memory"


def _unreached(boat: Boat, facts: PlanFacts, forms: PlanForms) -> Iterator[PlanNoteView]:
    """The parts on the plan that are too far from every waypoint, with ways to name one."""
    far = [one.part for one in facts.parts if one.nearest is not None]
    if not far:
        return
    which, them = ("1 part lies", "it") if len(far) == 1 else (f"{len(far)} parts lie", "them")
    first = f" The first {_MOST_LINKS} of them:" if len(far) > _MOST_LINKS else ""
    yield PlanNoteView(
        f"{which} more than {facts.reach_m:g} m from every waypoint and no run reaches {them}: "
        f"lengths to there stay as they were. Name a waypoint for {them}, or change the reach "
        f"({_where_from(boat, REACH_KEY)}).{first}",
        (
            *(forms.link(f"far-{part.id}", part.id, part.name) for part in far[:_MOST_LINKS]),
            forms.link("far-margins", MARGIN, "Change the reach"),
        ),
    )


def _dead_ends(boat: Boat, facts: PlanFacts) -> Iterator[str]:
    """The waypoints that just one run leads to, and from which no part is reached."""
    ends = Counter(end for run in boat.runs for end in (run.start, run.end))
    reached = {one.waypoint.id for one in facts.parts if one.waypoint is not None}
    yield from (one.name for one in boat.waypoints if ends[one.id] == 1 and one.id not in reached)
