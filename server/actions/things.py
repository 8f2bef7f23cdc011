"""What was touched in the picture: a part, one of its terminals or a conductor, and what hangs there."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.lists import end_words, terminal_words
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.leads import End, Landings
from server.boat.parts import (
    AnyPart,
    Bonding,
    Busbar,
    EngineBlock,
    Load,
    Panel,
    Post,
)
from server.boat.terminals import section_terminals, terminals
from server.boat.value import TerminalRef, nominal

if TYPE_CHECKING:
    from server.drawing.circuit import Polarity


@dataclass(frozen=True)
class Thing:
    """A part with the terminal that is meant, or a conductor; ``id`` is how an address names it."""

    id: str
    name: str
    part: AnyPart | None = None
    terminal: TerminalRef | None = None
    conductor: Conductor | None = None

    @property
    def own_id(self) -> str:
        """The id of the part or conductor itself."""
        return self.id.partition(".")[0]


@dataclass(frozen=True)
class Hanging:
    """One conductor end on a part: the conductor, the terminal here, and where its other end lands."""

    conductor: str
    name: str
    here: str
    far: str


def thing_named(boat: Boat, name: str | None, like: "Polarity | None" = None) -> Thing | None:
    """The part (``part`` or ``part.terminal``) or conductor of this id; None where there is none.

    Of a part named alone the terminal is the likeliest: a free one of the polarity ``like``.
    """
    own, _, terminal = (name or "").partition(".")
    for part in boat.parts:
        if part.id == own:
            names = terminals(part)
            meant = terminal if terminal in names else likely_terminal(boat, part, like)
            return Thing(
                f"{own}.{meant}", part.name, part=part, terminal=TerminalRef(part=own, terminal=meant)
            )
    for conductor in boat.conductors:
        if conductor.id == own:
            return Thing(own, conductor_words(boat, conductor), conductor=conductor)
    return None


def likely_terminal(boat: Boat, part: AnyPart, like: "Polarity | None" = None) -> str:
    """A terminal of a part, free where there is one: of this polarity, else the first."""
    names = [name for name in terminals(part) if like is None or _may_be(part, name, like)]
    names = names or list(terminals(part))
    at = Landings.of(boat).at
    ways = [name for name in names if isinstance(part, Panel) and not _is_way(part, name)]
    ordered = [name for name in names if name not in ways] + ways
    return next((name for name in ordered if not at(part.id, name)), ordered[0])


def _is_way(panel: Panel, terminal: str) -> bool:
    return any(terminal == f"{section.id}-{way.id}" for section in panel.sections for way in section.ways)


def _may_be(part: AnyPart, terminal: str, like: "Polarity") -> bool:
    """Whether a terminal can be of a polarity by its name; bars, posts and the like take either."""
    if isinstance(part, Panel):
        return any(one.polarity == like and terminal in section_terminals(one) for one in part.sections)
    negatives = part.negatives if isinstance(part, Load) else _NEGATIVES.intersection(terminals(part))
    return not negatives or (terminal in negatives) == (like == "negative")


_NEGATIVES = frozenset({"negative", "output-negative", "coil-negative", "ground"})


def takes_several(part: AnyPart) -> bool:
    """Whether a part is metal on which many conductors land."""
    return isinstance(part, Busbar | EngineBlock | Bonding | Panel | Post)


def conductor_words(boat: Boat, conductor: Conductor) -> str:
    """A conductor as people say it: by its cable's number, else its name, else its ends."""
    number = next((cable.number for cable in boat.cables if cable.id == conductor.cable), None)
    if number:
        return f"Cable {number}" + (f", {conductor.name}" if conductor.name else "")
    ends = " to ".join(end_words(Landings.of(boat), end) for end in (conductor.tail, conductor.head))
    return conductor.name or (f"Bolted joint, {ends}" if conductor.kind == "link" else f"Cable from {ends}")


def conductor_facts(conductor: Conductor) -> str:
    """Size, length and colour of a conductor in one line."""
    if conductor.kind == "link":
        return "bolted metal on metal"
    size = "size not known" if conductor.size is None else conductor.size.label
    length = "length not known" if conductor.length_m is None else f"{nominal(conductor.length_m):g} m"
    return ", ".join(fact for fact in (size, length, conductor.colour or "") if fact)


def hanging(boat: Boat, part: AnyPart) -> tuple[Hanging, ...]:
    """Every conductor end on a part, by its terminals."""
    return tuple(_hanging(boat, part))


def _hanging(boat: Boat, part: AnyPart) -> Iterator[Hanging]:
    landings = Landings.of(boat)
    for terminal in terminals(part):
        for end in landings.at(part.id, terminal):
            yield Hanging(
                end.conductor.id,
                conductor_words(boat, end.conductor),
                terminal_words(part, terminal),
                end_words(landings, end.other.terminal),
            )


def nearer_end(boat: Boat, conductor: Conductor) -> End:
    """The end of a conductor towards the battery; its tail where neither is nearer."""
    from server.drawing.whereabouts import Whereabouts

    is_head = Whereabouts.of(boat).is_nearer(conductor.head, conductor.tail)
    return End(conductor, "head" if is_head else "tail")


def polarity_at(boat: Boat, at: TerminalRef) -> "Polarity":
    """The polarity of a terminal, by the battery post that it leads to, else by its name."""
    from server.drawing.whereabouts import Whereabouts

    return Whereabouts.of(boat).side(at)
