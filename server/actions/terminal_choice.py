"""Terminals by the words a person chooses them by."""

from collections import Counter
from collections.abc import Iterator, Mapping
from itertools import count

from server.actions.lists import terminal_words
from server.boat.boat import Boat
from server.boat.parts import AnyPart, Bonding, Busbar, EngineBlock, Panel
from server.boat.terminals import terminals
from server.boat.value import TerminalRef

NEXT_FREE = "next free stud"


def terminals_by_words(boat: Boat) -> Mapping[str, TerminalRef]:
    """Every terminal by its words, and of every bar the next stud on which nothing lies.

    Parts of one name are told apart by their ids, and ways of one name by their count from the top.
    """
    taken = frozenset(end for one in boat.conductors for end in (one.tail, one.head) if end is not None)
    named: dict[str, TerminalRef] = {}
    for words, at in _words(boat, _shared_names(boat), taken):
        told = (words if n == 1 else f"{words} ({n})" for n in count(1))
        named[next(one for one in told if one not in named)] = at
    return named


def bars_by_words(boat: Boat) -> Mapping[str, tuple[TerminalRef, ...]]:
    """Every row of equal studs, by the words that stand for its next free one."""
    shared = _shared_names(boat)
    return {
        f"{_name(part, shared)}: {bar}{NEXT_FREE}": studs for part in boat.parts for bar, studs in _bars(part)
    }


def _shared_names(boat: Boat) -> frozenset[str]:
    names = Counter(part.name.casefold() for part in boat.parts)
    return frozenset(name for name, times in names.items() if times > 1)


def _name(part: AnyPart, shared: frozenset[str]) -> str:
    return f"{part.name} ({part.id})" if part.name.casefold() in shared else part.name


def _words(
    boat: Boat, shared: frozenset[str], taken: frozenset[TerminalRef]
) -> Iterator[tuple[str, TerminalRef]]:
    for part in boat.parts:
        name = _name(part, shared)
        for bar, studs in _bars(part):
            free = next((stud for stud in studs if stud not in taken), None)
            if free is not None:
                yield f"{name}: {bar}{NEXT_FREE}", free
        for terminal in terminals(part):
            yield f"{name}: {terminal_words(part, terminal)}", TerminalRef(part=part.id, terminal=terminal)


def _bars(part: AnyPart) -> Iterator[tuple[str, tuple[TerminalRef, ...]]]:
    """The rows of equal studs of a part, with the words that tell them apart."""
    match part:
        case Busbar() | EngineBlock() | Bonding():
            yield "", tuple(TerminalRef(part=part.id, terminal=name) for name in terminals(part))
        case Panel():
            for section in part.sections:
                studs = (f"{section.id}-stud-{number}" for number in range(1, section.studs + 1))
                yield f"{section.name} ", tuple(TerminalRef(part=part.id, terminal=name) for name in studs)
        case _:
            pass
