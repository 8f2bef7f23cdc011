"""The switching page in words: combinations, turns, what they join, what stays alive, the safe ways."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.checks.words import listed
from server.drawing.svg import Svg
from server.web.views.controls import HeadView
from server.web.views.forms import FormView, change_form
from server.web.views.switching_map import switching_map
from server.web.views.switching_turns import NAMED, TurnView, WayView, some_of, turn_view, way_view

if TYPE_CHECKING:
    from server.actions.switching import CombinationFact, LoadGroup, StayFact, SwitchingFacts
    from server.practice.load_dump import LoadDump
    from server.web.views.state import ViewState


@dataclass(frozen=True)
class GroupView:
    """Loads that are fed alike: the head of their column, and all their names."""

    id: str
    head: str
    names: str


@dataclass(frozen=True)
class CombinationView:
    """One row of the table of combinations."""

    positions: tuple[str, ...]
    now: str
    fed: tuple[str, ...]
    banks: str
    alone: str
    url: str


@dataclass(frozen=True)
class StayView:
    """What stays alive with every battery switch off; of a load with the form that states why."""

    id: str
    words: str
    reason: str
    form: FormView | None


@dataclass(frozen=True)
class ModeLinkView:
    """A mode to show instead."""

    id: str
    name: str
    url: str
    here: bool


@dataclass(frozen=True)
class SwitchingView:
    """``switching/page.html``."""

    title: str
    head: HeadView
    modes: tuple[ModeLinkView, ...]
    problem: str
    switches: tuple[str, ...]
    groups: tuple[GroupView, ...]
    combinations: tuple[CombinationView, ...]
    turns: tuple[TurnView, ...]
    dangers: tuple[TurnView, ...]
    no_dangers: str
    map: Svg | None
    ways: tuple[WayView, ...]
    stays: tuple[StayView, ...]
    load_dump: str
    turns_title: str = ""
    back_url: str = ""
    fitting_url: str = ""


def switching_view(  # noqa: PLR0913, PLR0917 - the head, what is shown, and what its forms carry
    title: str,
    head: HeadView,
    modes: tuple[ModeLinkView, ...],
    facts: "SwitchingFacts",
    state: "ViewState",
    revision: int,
) -> SwitchingView:
    """The page of one mode."""
    stays = tuple(_stay(state, revision, one) for one in facts.stays)
    if not facts.switches:
        problem = "This boat has no part that is marked as a battery switch."
        return _without(title, head, modes, problem, stays)
    urls = {
        one.at: state.url("/switching", at=".".join(one.at)) + "#turns-title" for one in facts.combinations
    }
    picture = switching_map(facts, urls)
    names = {one.at: " · ".join(one.positions) for one in facts.combinations}
    risky = tuple(turn for one in facts.every_turn if (turn := turn_view(one, names)).kind == "danger")
    return SwitchingView(
        title=title,
        head=head,
        modes=modes,
        problem="",
        switches=facts.switches,
        groups=tuple(_group(number, one) for number, one in enumerate(facts.groups, 1)),
        combinations=tuple(_combination(one, urls[one.at]) for one in facts.combinations),
        turns=tuple(turn_view(one) for one in facts.turns),
        dangers=() if picture else risky,
        no_dangers="" if picture or risky else _no_dangers(facts),
        map=picture,
        ways=tuple(way_view(number, one) for number, one in enumerate(facts.ways, 1)),
        stays=stays,
        load_dump=_load_dump_words(facts.load_dump) if facts.sources else "",
        turns_title=_turns_title(facts),
        back_url=_turns_url(state) if facts.tried else "",
    )


def _turns_url(state: "ViewState", **where: str) -> str:
    return state.url("/switching", **where) + "#turns-title"


def _turns_title(facts: "SwitchingFacts") -> str:
    where = f"{' · '.join(facts.tried)}, as if they stood so" if facts.tried else "where they stand"
    return f"Turns from {where}, with charging sources running"


def _no_dangers(facts: "SwitchingFacts") -> str:
    if facts.every_turn:
        return "There is none: no turn of any switch takes the battery off a charging source."
    return "There are too many combinations to list: those from where the switches stand are above."


def problem_view(title: str, head: HeadView, modes: tuple[ModeLinkView, ...], problem: str) -> SwitchingView:
    """The page where the switches cannot be gone through, and why."""
    return _without(title, head, modes, problem, ())


def empty_view(title: str, head: HeadView, fitting_url: str) -> SwitchingView:
    """The page of a boat that has no mode yet, with the way to where it is fitted out."""
    return replace(_without(title, head, (), "", ()), fitting_url=fitting_url)


def _without(
    title: str, head: HeadView, modes: tuple[ModeLinkView, ...], problem: str, stays: tuple[StayView, ...]
) -> SwitchingView:
    return SwitchingView(title, head, modes, problem, (), (), (), (), (), "", None, (), stays, "")


def _stay(state: "ViewState", revision: int, stay: "StayFact") -> StayView:
    form = change_form(state, "/switching/reason", revision, part=stay.part) if stay.is_load else None
    words = f"{stay.name}: {stay.reason or 'no reason is stated'}"
    return StayView(f"stay-{stay.part}", words, stay.reason or "", form)


def _group(number: int, group: "LoadGroup") -> GroupView:
    names = listed(group.names) if len(group.names) > NAMED else ""
    return GroupView(f"loads-{number}", some_of(group.names), names)


def _combination(fact: "CombinationFact", url: str) -> CombinationView:
    return CombinationView(
        positions=fact.positions,
        now="now" if fact.is_now else "",
        fed=tuple(f"● {banks}" if banks else "○ dead" for banks in fact.fed),
        banks="; ".join(fact.side_by_side) + (" ▲ lithium beside lead" if fact.mixed else "") or "–",
        alone=f"▲ {', '.join(fact.alone)}" if fact.alone else "–",
        url=url,
    )


def _load_dump_words(published: "LoadDump | None") -> str:
    if published is None:
        return "What an alternator that loses its battery does is not published for this system voltage."
    return (
        f"An alternator that loses its battery while it charges: {published.lowest_v:.0f} to "
        f"{published.highest_v:.0f} V for {published.shortest_s * 1000:.0f} to "
        f"{published.longest_s * 1000:.0f} ms without suppression, held to about {published.clamped_v:.0f} V "
        f"where the alternator has its own. Published for road vehicles, not computed for this boat: "
        f"{published.source}."
    )
