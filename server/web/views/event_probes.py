"""Choosing an instant and two terminals to read between: one form that needs no script."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.parts import AnyPart, Busbar, Connector, EngineBlock, Panel
from server.boat.terminals import section_terminals, terminals
from server.boat.value import TerminalRef
from server.web.views.forms import ChoiceView

MOST_TERMINALS = 500
"""A boat with more of them offers each bar and panel section once, and no connectors (page size)."""


@dataclass(frozen=True)
class TerminalView:
    """One terminal that a probe can be held to."""

    value: str
    label: str
    chosen: bool


@dataclass(frozen=True)
class TerminalGroupView:
    """The terminals of one part."""

    name: str
    terminals: tuple[TerminalView, ...]


@dataclass(frozen=True)
class ProbeView:
    """One of the two probes; ``error`` is about what was chosen."""

    id: str
    name: str
    label: str
    groups: tuple[TerminalGroupView, ...]
    error: str


@dataclass(frozen=True)
class ProbesView:
    """The form of the strip: the instant as typed, what stands in the chart beside, and the two probes."""

    action: str
    hidden: tuple[tuple[str, str], ...]
    typed: str
    error: str
    meters: tuple[ChoiceView, ...]
    profiles: tuple[ChoiceView, ...]
    probes: tuple[ProbeView, ...]
    clear_url: str


def probe_view(boat: Boat, name: str, label: str, chosen: str, error: str) -> ProbeView:
    """One probe with every terminal that it can be held to."""
    is_short = sum(len(terminals(part)) for part in boat.parts) > MOST_TERMINALS
    groups = [
        TerminalGroupView(
            part.name, tuple(TerminalView(value, words, value == chosen) for value, words in offered)
        )
        for part in sorted(boat.parts, key=lambda part: part.name.casefold())
        if (offered := list(_offered(part, is_short=is_short)))
    ]
    return ProbeView(f"event-{name}", name, label, tuple(groups), error)


def terminal_named(boat: Boat, text: str) -> TerminalRef | None:
    """The terminal of ``part.terminal``; None where the boat has none of that name."""
    part_id, _, name = text.partition(".")
    part = next((part for part in boat.parts if part.id == part_id), None)
    if part is None or name not in terminals(part):
        return None
    return TerminalRef(part=part_id, terminal=name)


def _offered(part: AnyPart, *, is_short: bool) -> Iterator[tuple[str, str]]:
    names = terminals(part)
    if is_short:
        match part:
            case Busbar() | EngineBlock():
                names = names[:1]
            case Panel():
                names = tuple(section_terminals(section)[0] for section in part.sections)
            case Connector():
                names = ()
    for name in names:
        yield f"{part.id}.{name}", f"{part.name}, {name.replace('-', ' ')}"
