"""Where a terminal belongs: its polarity, and how many conductors and parts away the nearest battery is."""

from collections.abc import Mapping
from dataclasses import dataclass

from server.boat.boat import Boat
from server.boat.value import TerminalRef
from server.drawing.circuit import Links, Polarity, Vertex
from server.drawing.polarity import nominal_side, sides
from server.drawing.reader import Reader
from server.drawing.reading import finest_graph


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """The sides and distances of all terminals of one boat, whatever its switches are set to."""

    reader: Reader
    sides: Mapping[Vertex, Polarity]
    steps: Mapping[Vertex, int]

    @classmethod
    def of(cls, boat: Boat) -> "Whereabouts":
        """Those of a boat."""
        reader, links = finest_graph(boat, None)
        posts = [at for at, place in reader.places.items() if place.kind == "battery"]
        return cls(reader, sides(reader, links), _steps_from(posts, links))

    def side(self, at: TerminalRef) -> Polarity:
        """The polarity of a terminal; where nothing leads to a battery, the one that its name tells."""
        vertex = self.reader.vertex(at, "")
        return self.sides.get(vertex) or nominal_side(self.reader.parts[at.part], at.terminal)

    def is_nearer(self, one: TerminalRef | None, other: TerminalRef | None) -> bool:
        """Whether one end of a conductor is nearer to a battery than its other end."""
        return self._steps(one) < self._steps(other)

    def _steps(self, at: TerminalRef | None) -> float:
        return float("inf") if at is None else self.steps.get(self.reader.vertex(at, ""), float("inf"))


def _steps_from(posts: list[Vertex], links: Links) -> dict[Vertex, int]:
    steps = dict.fromkeys(posts, 0)
    ring = posts
    while ring:
        following = []
        for vertex in ring:
            for link in links.at.get(vertex, ()):
                other = link.b if link.a == vertex else link.a
                if other not in steps:
                    steps[other] = steps[vertex] + 1
                    following.append(other)
        ring = following
    return steps
