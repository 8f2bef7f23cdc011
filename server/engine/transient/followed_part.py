"""A part whose state an event follows, and the names of the states that parts share."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

from server.engine.transient.switched import Change, Clock, Switched

Kind = Literal["combiner", "contact", "solenoid", "pack", "diode", "source", "switch", "load", "converter"]
CLOSED, OPEN = 0, 1


class Says(NamedTuple):
    """What a part does as it comes into a state: by what it measures, or by a step of the event."""

    by_itself: str
    by_step: str


@dataclass(frozen=True, slots=True)
class Followed:
    """A switched part of the circuit, and what it is on the boat.

    ``says`` has an entry for each state; left out where the kind tells it. In the states ``lets_go`` it no
    longer does what it is held for.
    """

    element: str
    kind: Kind
    switched: Switched
    says: tuple[Says, ...] = ()
    lets_go: tuple[int, ...] = (OPEN,)

    def is_lost(self, change: Change) -> bool:
        """Whether a change is one that nobody asked for, and leaves something without supply."""
        by_step = isinstance(change.border.reading, Clock)
        return self.kind not in {"diode", "source", "load"} and not by_step and change.to in self.lets_go
