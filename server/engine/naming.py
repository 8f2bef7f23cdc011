"""What things are called on the boat, for answers."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.parts import AnyPart, Busbar, EngineBlock, Load, Panel
from server.boat.terminals import section_terminals
from server.boat.value import TerminalRef


@dataclass(frozen=True, eq=False)
class Names:
    """The names of a boat's parts, ways, conductors and terminals."""

    boat: Boat

    @cached_property
    def parts(self) -> Mapping[str, AnyPart]:
        """Parts by id."""
        return {part.id: part for part in self.boat.parts}

    @cached_property
    def conductors(self) -> Mapping[str, Conductor]:
        """Conductors by id."""
        return {conductor.id: conductor for conductor in self.boat.conductors}

    @cached_property
    def _cable_numbers(self) -> Mapping[str, str]:
        return {cable.id: cable.number for cable in self.boat.cables if cable.number}

    def element(self, name: str) -> str:
        """The name of a part, of ``part.way`` or of a conductor."""
        part, _, way = name.partition(".")
        if part in self.parts:
            return self.terminal(TerminalRef(part=part, terminal=way)) if way else self.parts[part].name
        return self._conductor(self.conductors[name])

    def input(self, part: str, terminal: str) -> str:
        """The name of a load; with that of its input where it has several."""
        found = self.parts[part]
        if isinstance(found, Load) and len(found.inputs) > 1:
            one = next(one for one in found.inputs if one.id == terminal)
            return f"{found.name} ({one.name or one.id})"
        return found.name

    def terminal(self, ref: TerminalRef) -> str:
        """The name of a place where a lead may land."""
        part = self.parts[ref.part]
        if isinstance(part, Panel):
            return f"{part.name}, {self._in_panel(part, ref.terminal)}"
        if isinstance(part, (Busbar, EngineBlock)):
            return part.name
        return part.name if ref.terminal == "stud" else f"{part.name}, {ref.terminal.replace('-', ' ')}"

    @staticmethod
    def _in_panel(panel: Panel, terminal: str) -> str:
        section = next(one for one in panel.sections if terminal in section_terminals(one))
        if terminal == f"{section.id}-feed":
            return f"feed of {section.name}"
        way = next((one for one in section.ways if terminal == f"{section.id}-{one.id}"), None)
        if way is None:
            return section.name
        rating = way.device.rating_a if way.device is not None else None
        return f"{way.name}, {rating:g} A" if rating else way.name

    def _conductor(self, conductor: Conductor) -> str:
        if conductor.name:
            return conductor.name
        number = self._cable_numbers.get(conductor.cable or "")
        ends = " to ".join(
            self.parts[end.part].name if end is not None else "loose end"
            for end in (conductor.tail, conductor.head)
        )
        return f"Cable {number}, {ends}" if number else ends
