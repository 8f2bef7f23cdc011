"""The selected charging source: what it gives, what it charges, whether it is counted, and its leads."""

from server.actions.sources import SMALLEST_A, SourceFacts
from server.boat.boat import Boat
from server.boat.leads import Landings, lead, lead_terminals
from server.checks.words import listed
from server.web.views.figures import amperes, volts
from server.web.views.selected import LeadView, SelectedView, lead_view
from server.web.views.state import ViewState

RESTING = "A battery that is nearly full comes up to the charging voltage; here each stands as at rest."
"""The engine's own reservation, which it tells under “not assessed”, repeated beside the figure."""


def source_view(boat: Boat, state: ViewState, revision: int, facts: SourceFacts) -> SelectedView:
    """A selected source in the chosen mode."""
    part = facts.part
    landings = Landings.of(boat)
    leads: list[LeadView] = []
    for terminal in lead_terminals(part):
        found = lead(boat, part.id, terminal, landings)
        if found.conductors:
            leads.append(lead_view(boat, state, revision, part.id, found, landings))
    words = (_given(facts), _charging(facts), _at_idle(facts), _counted(facts))
    return SelectedView(
        name=part.name,
        summary=" ".join(word for word in words if word),
        leads=tuple(leads),
        close_url=state.selecting(None).url(),
        close_focus="results-scroll",
    )


def _given(facts: SourceFacts) -> str:
    if facts.current_a is None or abs(facts.current_a) < SMALLEST_A:
        return "It gives nothing in this mode: it is off or has no way to a battery."
    return f"It gives {amperes(abs(facts.current_a))} at {volts(facts.voltage_v)} in this mode."


def _charging(facts: SourceFacts) -> str:
    if not facts.taking:
        return "No battery is being charged."
    taking = listed(f"{one.name} {amperes(one.current_a)} at {volts(one.voltage_v)}" for one in facts.taking)
    return f"Charged now, at its own posts: {taking}. {RESTING}"


def _at_idle(facts: SourceFacts) -> str:
    if facts.at_idle is None:
        return ""
    given, left = amperes(abs(facts.at_idle.current_a)), facts.at_idle.battery_a
    told = f"Hot and at idle it gives {given}"
    if abs(left) < SMALLEST_A:
        return f"{told}, which this mode takes whole: nothing charges the batteries."
    if left < 0:
        return f"{told}, less than this mode takes: the batteries give {amperes(-left)} besides."
    return f"{told}: {amperes(left)} are left for the batteries."


def _counted(facts: SourceFacts) -> str:
    if facts.uncounted_by:
        return f"{listed(facts.uncounted_by)} does not count it."
    return "The battery monitor counts it." if facts.shunts else ""
