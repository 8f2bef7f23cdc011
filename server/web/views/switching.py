"""The switching page in words: combinations, turns, what they join, what stays alive, the safe ways."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.checks.words import listed
from server.drawing.svg import Svg
from server.web.views.controls import HeadView
from server.web.views.forms import FormView, change_form
from server.web.views.switching_map import switching_map

if TYPE_CHECKING:
    from server.actions.switching import (
        CombinationFact,
        JoinFact,
        LoadGroup,
        StayFact,
        SwitchingFacts,
        TurnFact,
        WayFact,
    )
    from server.practice.load_dump import LoadDump
    from server.web.views.state import ViewState

NAMED = 2
"""So many loads of a group are named above its column; all of them stand below the table."""


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


@dataclass(frozen=True)
class TurnView:
    """One turn: whether it may be made with the engine running, what it joins, which loads lose power."""

    what: str
    mark: str
    word: str
    kind: str
    why: str
    joins: tuple[str, ...]
    dead: str = ""


@dataclass(frozen=True)
class WayView:
    """The safe ways to one combination."""

    id: str
    title: str
    running: str
    running_steps: tuple[str, ...]
    stopped: str
    stopped_steps: tuple[str, ...]


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
    picture = switching_map(facts)
    names = {one.at: " · ".join(one.positions) for one in facts.combinations}
    risky = tuple(turn for one in facts.every_turn if (turn := _turn(one, names)).kind == "danger")
    return SwitchingView(
        title=title,
        head=head,
        modes=modes,
        problem="",
        switches=facts.switches,
        groups=tuple(_group(number, one) for number, one in enumerate(facts.groups, 1)),
        combinations=tuple(map(_combination, facts.combinations)),
        turns=tuple(_turn(one) for one in facts.turns),
        dangers=() if picture else risky,
        no_dangers="" if picture or risky else _no_dangers(facts),
        map=picture,
        ways=tuple(_way(number, one) for number, one in enumerate(facts.ways, 1)),
        stays=stays,
        load_dump=_load_dump_words(facts.load_dump) if facts.sources else "",
    )


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
    return GroupView(f"loads-{number}", _some(group.names), names)


def _combination(fact: "CombinationFact") -> CombinationView:
    return CombinationView(
        positions=fact.positions,
        now="now" if fact.is_now else "",
        fed=tuple(f"● {banks}" if banks else "○ dead" for banks in fact.fed),
        banks="; ".join(fact.side_by_side) + (" ▲ lithium beside lead" if fact.mixed else "") or "–",
        alone=f"▲ {', '.join(fact.alone)}" if fact.alone else "–",
    )


def _turn(fact: "TurnFact", names: Mapping[tuple[str, ...], str] | None = None) -> TurnView:
    """A turn in words; one that is sound for the sources may still take loads away, and then says so."""
    turn = _turn_of_sources(fact, names)
    if not fact.goes_dead:
        return turn
    turn = replace(turn, dead=f"Goes dead: {_some(fact.goes_dead)}.")
    return (
        turn
        if turn.kind != "sound"
        else replace(turn, mark="◆", word="may be made, loads go dead", kind="loads")
    )


def _turn_of_sources(fact: "TurnFact", names: Mapping[tuple[str, ...], str] | None) -> TurnView:
    what = f"{fact.switch}: {fact.before} → {fact.after}"
    if names:
        what = f"{names[fact.at]}: {what}"
    joins = tuple(map(_join, fact.joins))
    if fact.lost_between:
        breaks = "breaks before it makes" if fact.certain else "is not known to make before it breaks"
        why = f"{' and '.join(fact.lost_between)} loses its battery on the way: the switch {breaks}."
        why += FIELD if fact.field_opens else ""
        word = "stop the engine first" if fact.certain else "stop the engine first, or ask the maker"
        return TurnView(what, "▲", word, "danger", why, joins)
    if fact.lost_after:
        why = f"{' and '.join(fact.lost_after)} then has no battery."
        why += FIELD if fact.field_opens else ""
        return TurnView(what, "▲", "stop the engine first", "danger", why, joins)
    if fact.mixed:
        why = "Lithium and lead then stand side by side: one drives its whole current into the other."
        return TurnView(what, "▲", "do not make it", "danger", why, joins)
    why = "No charging source loses its battery."
    if fact.joins:
        return TurnView(what, "◆", "may be made, joins banks", "banks", why, joins)
    return TurnView(what, "✓", "may be made", "sound", why, joins)


def _join(fact: "JoinFact") -> str:
    """Banks that a turn joins, and what flows between them.

    The current is rounded: it follows from assumed resistances.
    """
    rest = " and ".join(f"{bank} {volts:.1f} V" for bank, volts in zip(fact.banks, fact.rest_v, strict=True))
    told = f"Joins {rest} at rest: about {fact.current_a:.0f} A from {fact.from_bank} at the first instant"
    if fact.current_a < SMALLEST_A:
        told = f"Joins {rest} at rest: next to nothing flows between them"
    told += f", up to {fact.worst_a:.0f} A with one full and the other low."
    if fact.unlike and not fact.mixed:
        told += " Their kinds differ: what charges one well may be too much for the other."
    if fact.unknown:
        told += f" Resistance is not known of {', '.join(fact.unknown)}: see its label or measure it."
    return told


SMALLEST_A = 0.5
FIELD = (
    " Its auxiliary contact opens first: if that breaks the alternator's field, the voltage is gone before; "
    "see where it leads."
)


def _way(number: int, fact: "WayFact") -> WayView:
    running, steps = _steps(fact.running, "Engine running")
    if not steps and fact.running is None:
        running = "Engine running: no order keeps every charging source on a battery. Stop the engine first."
    stopped, at_rest = _steps(fact.stopped, "Engine stopped")
    if fact.stopped is None:
        stopped, at_rest = _steps(fact.at_rest, "Engine stopped, chargers and solar off")
        if fact.at_rest is None:
            stopped = "No order of turns leads there without putting lithium beside lead."
    if fact.running is not None and fact.running == fact.stopped:
        stopped, at_rest = "Engine stopped: the same.", ()
    return WayView(f"way-{number}", f"To {fact.goal}", running, steps, stopped, at_rest)


def _steps(turns: "tuple[TurnFact, ...] | None", when: str) -> tuple[str, tuple[str, ...]]:
    if turns is None:
        return "", ()
    if not turns:
        return f"{when}: they stand so already.", ()
    steps = tuple(f"{turn.switch}: {turn.before} → {turn.after}{_takes(turn)}" for turn in turns)
    return f"{when}: in this order no charging source loses its battery.", steps


def _takes(turn: "TurnFact") -> str:
    """What a step takes the power from, for good or on the way alone."""
    told = [("goes dead", turn.goes_dead), ("without power for an instant", turn.blinks)]
    words = "; ".join(f"{what}: {_some(names)}" for what, names in told if names)
    return f" ({words})" if words else ""


def _some(names: tuple[str, ...]) -> str:
    more = len(names) - NAMED
    return listed(names[:NAMED]) + (f" and {more} more" if more > 0 else "")


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
