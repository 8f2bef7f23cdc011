"""The rows a boat's parts are collected in, kind by kind, before they become arrays.

They hold everything that some mode could close or turn on: a mode chooses among them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from server.boat.parts import Battery
from server.boat.points import Points
from server.engine.figures import Figures, Level
from server.engine.network import Network
from server.units import Volt

Terminal = tuple[str, str]
"""A part's id and the name of one of its terminals (or of one of a load's inputs)."""
Setting = tuple[str, str | None]
"""A part's id, with the panel way or the input where only that is meant."""
Row = tuple[str, int]
"""A kind of element and its number within the kind."""

NOTHING = (0, 0.0)
"""A figure that adds nothing to a resistance."""
LEAST = 1e-9
"""Demands smaller than this are nothing: a very high resistance."""
MOST_FIGURES = 3
"""Wire and two joints."""

ALWAYS: Terminal = ("", "")
"""What puts a row into the circuit that no mode turns off."""
NEVER: Terminal = ("", "-")
"""What puts a row into the circuit that only an event does."""


def source_key(part: str) -> Terminal:
    """What puts a source into the circuit: its part, listed as a whole."""
    return part, ""


def coil_key(part: str) -> Terminal:
    """What puts a coil into the circuit: its contact, pulled out of the normal position."""
    return "", part


class Label(NamedTuple):
    """What an element is on the boat: the id of a part, ``part.way`` or a conductor, and its kind."""

    element: str
    kind: str


class ConverterRow(NamedTuple):
    """Rows of a converter's input and output, and its losses."""

    load: int
    output: int
    efficiency: float
    idle_w: float


class Note(NamedTuple):
    """Something not known of a part or conductor; it matters while the row stands, if there is one."""

    subject: str
    text: str
    row: Row | None = None


@dataclass
class Rows:
    """Rows of every kind, filled part by part; a terminal's node is its point."""

    nominal_voltage_v: Volt
    island_v: Mapping[str, Volt]
    figures: Figures
    points: Points
    count: int
    """How many nodes there are."""
    resistors: list[int] = field(default_factory=list)
    figure_numbers: list[int] = field(default_factory=list)
    coefficients: list[float] = field(default_factory=list)
    other: dict[str, list[tuple[float, ...]]] = field(
        default_factory=lambda: {kind: [] for kind in Network.KINDS}
    )
    labels: dict[str, list[Label]] = field(default_factory=lambda: {kind: [] for kind in Network.KINDS})
    runs_with: dict[str, list[Terminal]] = field(default_factory=lambda: {kind: [] for kind in Network.KINDS})
    """For each row but resistors, the input (or source, without a name) that must be on."""
    converters: list[ConverterRow] = field(default_factory=list)
    batteries: list[Battery] = field(default_factory=list)
    """Of each row of ``sources``."""
    inputs: dict[Terminal, Row] = field(default_factory=dict)
    stalled: dict[Terminal, Row] = field(default_factory=dict)
    switches: dict[Setting, list[tuple[str, Row]]] = field(default_factory=dict)
    """Rows that stand only in one position of a switch or device."""
    absent: list[Row] = field(default_factory=list)
    """Those of them that do not stand in the normal position."""
    coils: dict[str, str] = field(default_factory=dict)
    """The normal position of contacts with a coil, by part: in any other it draws current."""
    relays: list[tuple[int, int]] = field(default_factory=list)
    """Number of a relay's row among ``relays`` and of the resistor it is when closed by hand."""
    taken_by: list[tuple[Row, int]] = field(default_factory=list)
    """Figures, by number, that hold while a row stands that is no resistor."""
    bands: list[tuple[Row, str, Level]] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    panel_bars: list[int] = field(default_factory=list)

    def nominal_v(self, island: str | None) -> Volt:
        """Nominal voltage of an island."""
        return self.nominal_voltage_v if island is None else self.island_v[island]

    def node(self, part: str, terminal: str) -> int:
        """The node of a terminal."""
        return self.points.number[part, terminal]

    def new_node(self) -> int:
        """A node that no terminal has."""
        self.count += 1
        return self.count - 1

    def resistor(self, label: Label, tail: int, head: int, figure: tuple[int, float]) -> Row:
        """A resistor that is a numbered figure times a coefficient."""
        number, coefficient = figure
        row = len(self.figure_numbers)
        self.resistors += (tail, head)
        self.figure_numbers.append(number)
        self.coefficients.append(coefficient)
        self.labels["resistors"].append(label)
        return "resistors", row

    def chain(self, label: Label, first: int, links: int, figure: tuple[int, float]) -> None:
        """Resistors of one figure from a node to the next and so on."""
        number, coefficient = figure
        self.resistors += (node for link in range(first, first + links) for node in (link, link + 1))
        self.figure_numbers += [number] * links
        self.coefficients += [coefficient] * links
        self.labels["resistors"] += [label] * links

    def add(self, kind: str, label: Label, *row: float, runs_with: Terminal = ALWAYS) -> Row:
        """A row of another kind; it is out of the circuit unless what it runs with is on."""
        rows = self.other[kind]
        rows.append(row)
        self.labels[kind].append(label)
        self.runs_with[kind].append(runs_with)
        return kind, len(rows) - 1

    def stands(self, row: Row, switch: Setting, position: str, *, normal: str) -> None:
        """Note that a row stands only in one position of a switch."""
        self.switches.setdefault(switch, []).append((position, row))
        if position != normal:
            self.absent.append(row)

    def band(self, row: Row, figure: str, level: Level) -> None:
        """Note that a figure of a row is uncertain."""
        if level.low < level.high:
            self.bands.append((row, figure, level))
