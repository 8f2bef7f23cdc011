"""A part named alone where a conductor ends: the terminal that only one reading of the row leaves.

The terminal of a load, source or battery follows from the polarity of the other end, and that from the
metal it lies on; else from the conductor's own colour, red or black or yellow as ABYC E-11 has them. Where
colour and metal disagree, nothing is taken for granted. A device in the conductor is entered on its line side
and left on its other side. A panel is entered at its feed, and left at the way that is called as the row
is, or as what it leads to.
"""

from collections.abc import Container, Iterable
from functools import cached_property
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.boat.edit_wiring import cut_ends
from server.boat.leads import Side
from server.boat.parts import AnyPart, Breaker, Connector, Contact, Fuse, Load, Panel
from server.boat.terminals import section_terminals, terminals
from server.boat.value import TerminalRef
from server.practice.colours import colour_rule

if TYPE_CHECKING:
    from server.drawing.circuit import Polarity
    from server.drawing.whereabouts import Whereabouts

_NAMED = ("positive", "negative")


class Alone:
    """The terminals of a boat's parts by the row that names them alone."""

    def __init__(self, boat: Boat) -> None:
        """The boat before the first row."""
        self._boat = boat
        self._parts = {part.id: part for part in boat.parts}

    @cached_property
    def _whereabouts(self) -> "Whereabouts":
        from server.drawing.whereabouts import Whereabouts

        return Whereabouts.of(self._boat)

    def terminal(  # noqa: PLR0913, PLR0917 - each names one thing of the row
        self,
        name: str,
        side: Side,
        other: TerminalRef | None,
        colour: str,
        names: tuple[str, ...],
        taken: Container[TerminalRef],
    ) -> TerminalRef | None:
        """The terminal of a part on which the end of a row lies; None where more than one may be meant.

        ``names`` are what a panel's way may be called: as the row is, else as what it leads to.
        """
        part = self._parts[name]
        polarity = self._polarity(other, colour)
        match part:
            case Fuse() | Breaker() | Connector() | Contact():
                found = _in_line(part, side, taken) if polarity != "negative" else []
            case Panel():
                found = list(_of_panel(part, side, polarity, names))
            case _ if polarity is None:
                found = []
            case _:
                found = [one for one in terminals(part) if _side_of(part, one) == polarity]
        free = [TerminalRef(part=name, terminal=one) for one in found]
        if isinstance(part, Panel) and polarity == "negative":
            return next((one for one in free if one not in taken), None)
        return free[0] if len(free) == 1 else None

    def _polarity(self, other: TerminalRef | None, colour: str) -> "Polarity | None":
        """That of the metal at the other end, else of the colour; None where they disagree or are silent."""
        by_colour = _of_colour(colour)
        by_metal = None
        if other is not None:
            vertex = self._whereabouts.reader.vertex(other, "")
            by_metal = self._whereabouts.sides.get(vertex) or _side_of(
                self._parts[other.part], other.terminal
            )
        if by_metal is None or by_colour is None:
            return by_metal or by_colour
        return by_metal if by_metal == by_colour else None


def _of_colour(colour: str) -> "Polarity | None":
    for polarity in _NAMED:
        rule = colour_rule(f"dc-{polarity}")
        if rule is not None and colour.strip().casefold() in rule.colour.split(" or "):
            return "positive" if polarity == "positive" else "negative"
    return None


def _side_of(part: AnyPart, terminal: str) -> "Polarity | None":
    """The polarity that a terminal has by its name; None for senses, coils, studs and the like."""
    match part:
        case Panel():
            return next((one.polarity for one in part.sections if terminal in section_terminals(one)), None)
        case Load() if terminal not in part.negatives:
            return "positive" if any(one.id == terminal for one in part.inputs) else None
        case Load():
            return "negative"
        case _ if terminal == "positive":
            return "positive"
        case _:
            return "negative" if terminal == "negative" else None


def _in_line(part: AnyPart, side: Side, taken: Container[TerminalRef]) -> list[str]:
    """The side on which a row enters or leaves a device, where nothing lies yet."""
    ends = cut_ends(part)
    if ends is None:
        return []
    entered, left = ends
    meant = left if side == "tail" else entered
    return [] if meant in taken else [meant.terminal]


def _of_panel(panel: Panel, side: Side, polarity: "Polarity | None", names: tuple[str, ...]) -> Iterable[str]:
    """A panel's feed where a row ends, its way of the row's name where one begins, its bar for a negative."""
    if polarity == "negative":
        bars = [one for one in panel.sections if one.polarity == "negative"]
        return [name for name in section_terminals(bars[0]) if "-stud-" in name] if len(bars) == 1 else []
    fed = [one for one in panel.sections if one.polarity == "positive"]
    if side == "head":
        return [f"{one.id}-feed" for one in fed]
    for name in names:
        plain = name.strip().casefold()
        found = [f"{one.id}-{way.id}" for one in fed for way in one.ways if way.name.casefold() == plain]
        if found:
            return found
    return []
