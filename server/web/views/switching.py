"""The switching page in words: combinations, turns, what stays alive, the way to all off."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.web.views.controls import HeadView

if TYPE_CHECKING:
    from server.actions.switching import CombinationFact, SwitchingFacts, TurnFact
    from server.practice.load_dump import LoadDump

NAMED = 3
"""So many loads are named; of more only the number is told."""


@dataclass(frozen=True)
class CombinationView:
    """One row of the table of combinations."""

    positions: tuple[str, ...]
    now: str
    alive: str
    dead: str
    banks: str
    alone: str


@dataclass(frozen=True)
class TurnView:
    """One turn; ``mark`` and ``word`` say whether it may be made with the engine running."""

    what: str
    mark: str
    word: str
    kind: str
    why: str


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
    combinations: tuple[CombinationView, ...]
    turns: tuple[TurnView, ...]
    way_title: str
    way: tuple[str, ...]
    stays: tuple[str, ...]
    load_dump: str


def switching_view(
    title: str, head: HeadView, modes: tuple[ModeLinkView, ...], facts: "SwitchingFacts"
) -> SwitchingView:
    """The page of one mode."""
    way_title, way = _way(facts)
    return SwitchingView(
        title=title,
        head=head,
        modes=modes,
        problem="" if facts.switches else "This boat has no part that is marked as a battery switch.",
        switches=facts.switches,
        combinations=tuple(map(_combination, facts.combinations)) if facts.switches else (),
        turns=tuple(map(_turn, facts.turns)),
        way_title=way_title,
        way=way,
        stays=tuple(f"{one.name}: {one.reason or 'no reason is stated'}" for one in facts.stays),
        load_dump=_load_dump_words(facts.load_dump) if facts.sources else "",
    )


def problem_view(title: str, head: HeadView, modes: tuple[ModeLinkView, ...], problem: str) -> SwitchingView:
    """The page where the switches cannot be gone through, and why."""
    return SwitchingView(title, head, modes, problem, (), (), (), "", (), (), "")


def _combination(fact: "CombinationFact") -> CombinationView:
    return CombinationView(
        positions=fact.positions,
        now="now" if fact.is_now else "",
        alive=_listed(fact.alive, "none", "all" if not fact.dead else ""),
        dead=_listed(fact.dead, "none", "all" if not fact.alive else ""),
        banks="; ".join(fact.side_by_side) or "–",
        alone=", ".join(fact.alone) or "–",
    )


def _listed(names: tuple[str, ...], nothing: str, everything: str) -> str:
    """A few names, or how many there are.

    >>> _listed(("Radio", "Pump"), "none", ""), _listed((), "none", "all")
    ('Radio, Pump', 'none')
    """
    if not names:
        return nothing
    return everything or (", ".join(names) if len(names) <= NAMED else f"{len(names)} loads")


def _turn(fact: "TurnFact") -> TurnView:
    what = f"{fact.switch}: {fact.before} → {fact.after}"
    if fact.lost_between:
        breaks = "breaks before it makes" if fact.certain else "is not known to make before it breaks"
        why = f"{' and '.join(fact.lost_between)} loses its battery on the way: the switch {breaks}."
        word = "stop the engine first" if fact.certain else "stop the engine first, or ask the maker"
        return TurnView(what, "▲", word, "danger", why)
    if fact.lost_after:
        why = f"{' and '.join(fact.lost_after)} then has no battery."
        return TurnView(what, "▲", "stop the engine first", "danger", why)
    return TurnView(what, "✓", "may be made", "sound", "No charging source loses its battery.")


def _way(facts: "SwitchingFacts") -> tuple[str, tuple[str, ...]]:
    if not facts.switches:
        return "", ()
    if facts.way_off is None:
        return (
            "No order of turns to all off keeps every charging source on a battery: stop the engine and "
            "switch chargers off first, then turn.",
            (),
        )
    if not facts.way_off:
        return "Every battery switch is off already.", ()
    steps = tuple(f"{turn.switch}: {turn.before} → {turn.after}" for turn in facts.way_off)
    return "In this order all can be turned off and no charging source loses its battery:", steps


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
