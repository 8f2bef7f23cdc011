"""What every part of the drawing needs to know, and which things are lit or dead."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from server.drawing.circuit import Place, Step, Vertex
from server.drawing.paths import Uprights
from server.drawing.shapes import Layout
from server.drawing.states import States, line_width


@dataclass(frozen=True, slots=True)
class Pen:
    """The layout with its answers; ``marks`` are the severity and message of each subject's worst finding."""

    layout: Layout
    states: States
    areas_mm2: Mapping[str, float]
    uprights: Uprights
    marks: Mapping[str, tuple[str, str]]

    def lit(self, ids: Sequence[str]) -> str:
        """Classes of a thing on the selected load's own path or on the path it shares."""
        if not self.states.selected:
            return ""
        own = any(i in self.states.own for i in ids)
        shared = any(i in self.states.shared for i in ids)
        return (" own" if own else "") + (" shared" if shared else "")

    def is_dead(self, step: Step | None) -> bool:
        """Whether neither end of a step is alive in the mode; unknown counts as alive."""
        if self.states.live is None or step is None:
            return False
        ends = [t for t in (step.tail, step.head) if t[0]]
        return bool(ends) and not any(self._is_alive(t, self.states.live) for t in ends)

    def is_place_dead(self, place: Place) -> bool:
        """Whether no terminal of a place is alive in the mode."""
        live = self.states.live
        return live is not None and bool(place.terminals) and not any(t in live for t in place.terminals)

    def _is_alive(self, at: Vertex, live: frozenset[Vertex]) -> bool:
        if at in live:
            return True
        if at[1] and not at[1].startswith("="):
            return False
        place = self.layout.circuit.places.get(f"{at[0]}--{at[1][1:]}" if at[1] else at[0])
        return place is not None and any(t in live for t in place.terminals)

    def current_a(self, ids: Sequence[str]) -> float | None:
        """The current of the first of these elements that has one, positive from tail to head."""
        return next((self.states.currents_a[i] for i in ids if i in self.states.currents_a), None)

    def chain_area_mm2(self, chain: int) -> float:
        """The largest section along a chain, for its links and leads that have none of their own."""
        found = self.layout.circuit.chains.get(chain)
        return (
            max((self.areas_mm2.get(i, 0.0) for s in found.steps for i in s.ids), default=0.0)
            if found
            else 0.0
        )

    def chain_width(self, chain: int) -> float:
        """The widest line along a chain."""
        steps = self.layout.circuit.chains[chain].steps
        return max(
            (
                line_width(self.current_a(s.ids), self.areas_mm2.get(s.ids[0]))
                for s in steps
                if s.is_conductor
            ),
            default=2.0,
        )
