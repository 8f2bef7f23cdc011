"""What a finished layout consists of: points, lines and boxes with the things they stand for."""

from dataclasses import dataclass
from typing import Literal

from server.drawing.battery_band import BatteryBox
from server.drawing.circuit import Circuit, Place, Polarity, Port, Rung, Step, Vertex
from server.drawing.labels import Label
from server.drawing.measures import Box, Style

Portrait = Literal["positive", "negative"] | None
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Wire:
    """A stretch of conductor, or a symbol's own short lead (``step`` None or a part); level or upright.

    ``chain`` is the chain it belongs to, ``label_at`` where its "2 ×" stands; a tie lies outside
    the tree and shows which way its current flows.
    """

    step: Step | None
    side: Polarity
    points: tuple[Point, ...]
    chain: int
    label_at: Point | None = None
    label: str = ""
    bonding: bool = False
    is_tie: bool = False


@dataclass(frozen=True, slots=True)
class Symbol:
    """A part on its conductor, centred; ``forward`` where its tail lies towards the left."""

    step: Step
    side: Polarity
    x: float
    y: float
    forward: bool
    chain: int


@dataclass(frozen=True, slots=True)
class Upright:
    """A lane as drawn: a bar, a post's or terminal's own line, a switch with many legs.

    ``path`` leads from a battery post down the lane; ``ends`` are the levels where chains land, their
    terminals, and whether they come from the left; ``chains`` are all that land here.
    """

    place: Place
    x: float
    y0: float
    y1: float
    half: float
    path: tuple[Point, ...]
    ends: tuple[tuple[float, Vertex, bool], ...]
    chains: tuple[int, ...]
    free_end: bool


@dataclass(frozen=True, slots=True)
class PlatePort:
    """Where a lead arrives at a plate."""

    port: Port
    side: Polarity
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class PlateShape:
    """A rung's plate with the points where its leads arrive, and a note in its own box."""

    rung: Rung
    box: Box
    ports: tuple[PlatePort, ...]
    lines: list[str]
    note: str


@dataclass(frozen=True, slots=True)
class Tap:
    """A place where a lead may land, with all terminals that lie there."""

    x: float
    y: float
    terminals: tuple[Vertex, ...]
    name: str
    side: Polarity
    is_bar: bool


@dataclass(frozen=True, slots=True)
class Layout:
    """All that is drawn, with its place; ``terminals`` tells where each terminal lies."""

    circuit: Circuit
    style: Style
    portrait: Portrait
    width: float
    height: float
    plate_left: float
    plate_right: float
    wires: tuple[Wire, ...]
    symbols: tuple[Symbol, ...]
    uprights: tuple[Upright, ...]
    plates: tuple[PlateShape, ...]
    batteries: tuple[BatteryBox, ...]
    labels: tuple[Label, ...]
    unlabelled: tuple[str, ...]
    dots: tuple[Point, ...]
    rings: tuple[Point, ...]
    loose: tuple[Point, ...]
    taps: tuple[Tap, ...]
    terminals: dict[Vertex, Point]
    folds: dict[str, tuple[str, ...]]
    bottom: float
