"""Turns of battery switches in words: what a turn does to sources and loads, what it joins, the safe ways."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.checks.words import listed

if TYPE_CHECKING:
    from server.actions.switching import JoinFact, TurnFact, WayFact

NAMED = 2
"""So many loads of a group are named above its column; all of them stand below the table."""
SMALLEST_A = 0.5
FIELD = (
    " Its auxiliary contact opens first: if that breaks the alternator's field, the voltage is gone before; "
    "see where it leads."
)


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


def turn_view(fact: "TurnFact", names: Mapping[tuple[str, ...], str] | None = None) -> TurnView:
    """A turn in words; one that is sound for the sources may still take loads away, and then says so."""
    turn = _turn_of_sources(fact, names)
    if not fact.goes_dead:
        return turn
    turn = replace(turn, dead=f"Goes dead: {some_of(fact.goes_dead)}.")
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


def way_view(number: int, fact: "WayFact") -> WayView:
    """The safe orders of turning to one combination."""
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
    words = "; ".join(f"{what}: {some_of(names)}" for what, names in told if names)
    return f" ({words})" if words else ""


def some_of(names: tuple[str, ...]) -> str:
    """The first names, and how many more there are."""
    more = len(names) - NAMED
    return listed(names[:NAMED]) + (f" and {more} more" if more > 0 else "")
