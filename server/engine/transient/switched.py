"""Parts of an event that change their state by what they see: contacts, packs, diodes, limited sources.

Each has a few states. In each its branches stand on a line, or are open, and each state has borders: readings
that, once past a level for as long as the part waits, put it into another state.
"""

from dataclasses import dataclass, replace

from server.units import Ampere, Ohm, Second, Volt


@dataclass(frozen=True, slots=True)
class Arc:
    """What an opening contact holds against the current: a voltage that grows until the current is zero."""

    volts: Volt
    slope_v_per_s: float


@dataclass(frozen=True, slots=True)
class Volts:
    """The highest voltage among pairs of nodes, plus to minus."""

    pairs: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Amps:
    """The current of a branch, tail to head."""

    row: int


@dataclass(frozen=True, slots=True)
class Clock:
    """The event's own time, in seconds."""


@dataclass(frozen=True, slots=True)
class Border:
    """Left for the state ``to`` once the reading was above (else below) the level for ``lasting_s``."""

    reading: Volts | Amps | Clock
    level: Volt | Ampere | Second
    is_upper: bool
    lasting_s: Second
    to: int


@dataclass(frozen=True, slots=True)
class Line:
    """A branch's resistance and EMF in a state."""

    ohm: Ohm
    emf_v: Volt


@dataclass(frozen=True, slots=True)
class State:
    """A state: whether the branches are open, or on which line (None: as the circuit has them).

    ``opens`` are those that are open where not all are: a contact that changes over.
    """

    borders: tuple[Border, ...] = ()
    is_open: bool = False
    line: Line | None = None
    opens: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Switched:
    """A part with states, which carries some branches, and the contacts of some motors.

    A diode or limited source ``follows`` its law at once: its states are pieces of one unbroken line, and it
    opens without current. All else opens into an ``arc``.
    """

    name: str
    rows: tuple[int, ...]
    states: tuple[State, ...]
    start: int
    arc: Arc | None = None
    motors: tuple[int, ...] = ()
    follows: bool = False

    @property
    def moves(self) -> bool:
        """Whether it can leave any state."""
        return any(state.borders for state in self.states)

    def open_rows(self, state: int) -> tuple[int, ...]:
        """The branches that are open in a state."""
        return self.rows if self.states[state].is_open else self.states[state].opens

    @property
    def closable_rows(self) -> tuple[int, ...]:
        """The branches that some state closes."""
        return tuple(
            row for row in self.rows if any(row not in self.open_rows(k) for k in range(len(self.states)))
        )

    def within(self, seconds: Second) -> "Switched":
        """The same, without borders where its first state takes longer to leave than an event lasts."""
        if any(border.lasting_s < seconds for border in self.states[self.start].borders):
            return self
        return replace(self, states=tuple(replace(state, borders=()) for state in self.states))


@dataclass(frozen=True, slots=True)
class Change:
    """A part that left a state: its place among the circuit's, when, which state, and by which border.

    ``since_s`` is when the reading passed the border.
    """

    number: int
    at_s: Second
    left: int
    border: Border
    since_s: Second

    @property
    def to(self) -> int:
        """The state it came into."""
        return self.border.to
