"""One side of the ladder: places become upright lanes, chains become level runs.

Everything is measured from the outer edge inwards (``u``); the side is mirrored when drawn.
Any graph can be drawn so: what does not fit the tree is a tie with a level of its own.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from server.drawing.circuit import Chain, Circuit, Place, Polarity, Step
from server.drawing.measures import EDGE, SYMBOL, TARGET, text_width

HALF = {"block": 30.0, "junction": 3.0, "battery": 3.0, "end": 3.0, "turn": 2.0}
BAR_HALF = 5.0
LEVEL_END = 12.0
CROSSING_ROOM = 12.0
GRIP_ROOM = 36.0
QUIET_PITCH = 30.0
FREE_STUD = 32.0
SLACK = 0.5
QUIET = ("battery", "end", "turn", "junction")
BARS = ("busbar", "section", "post", "engine-block", "bonding")
MOST_OWN_COLUMNS = 10
"""Up to so many bars a side, no two share a column, so that moving a lead moves none of them."""


def half_width(place: Place) -> float:
    """Half the breadth of a place's lane."""
    return HALF.get(place.kind, BAR_HALF)


def step_width(step: Step) -> float:
    """Room that a step takes along its chain; a plain conductor needs none."""
    label = text_width(step.label)
    if step.is_conductor:
        return label + 10 if label else 0.0
    return max(float(SYMBOL), label) + 8


@dataclass
class Run:
    """A chain at its level, from lane to lane or from lane to rung; ``chain`` runs inwards.

    A run between two lanes lies on a ``track`` of its gap, or ``beside`` a lead that starts further in.
    """

    chain: Chain
    row: int | None
    gap: int = 0
    track: int = 0
    beside: tuple[int, int] | None = None
    is_tie: bool = False
    y: float = 0.0
    spots: list[float] = field(default_factory=list)


@dataclass
class Lane:
    """A place with its rank, position and reach."""

    place: Place
    depth: int
    first_row: int
    rank: int = 0
    u: float = 0.0
    y0: float = 0.0
    y1: float = 0.0

    @property
    def half(self) -> float:
        """Half its breadth."""
        return half_width(self.place)


@dataclass
class SideLayout:
    """Lanes and runs of one side."""

    side: Polarity
    lanes: dict[str, Lane]
    runs: list[Run]
    tracks: dict[int, int]
    plate_u: float = 0.0


def arrange(
    c: Circuit, side: Polarity, rungs_at: dict[int, int], roots: list[str], last_gap: int
) -> SideLayout:
    """Rank the lanes of one side and give every run between two lanes its gap and track.

    ``rungs_at`` holds the row of each chain that ends at a rung;
    ``roots`` are the battery posts, outermost first.
    """
    places = {p.key: p for p in c.places.values() if p.side == side and p.kind != "rung"}
    between, to_rung = [], []
    for chain in c.chains.values():
        if chain.index in rungs_at:
            place = chain.a if chain.a in places else chain.b
            if place in places:
                inward = chain if chain.a == place else chain.turned()
                is_far_half = side == "negative" and c.rungs[rungs_at[chain.index]].kind == "tie"
                to_rung.append(_last_conductor(inward) if is_far_half else inward)
        elif chain.a in places and chain.b in places:
            between.append(chain)
    lanes, trunk = _ranked(places, between, to_rung, rungs_at, roots, last_gap)
    between = [ch for ch in between if ch.a in lanes and ch.b in lanes]
    runs = [Run(ch, rungs_at[ch.index]) for ch in to_rung]
    levels = []
    free = _FreeLines(c, side, lanes, to_rung)
    for chain in between:
        inward = chain if lanes[chain.a].rank <= lanes[chain.b].rank else chain.turned()
        is_tie = bool(chain.steps) and frozenset((chain.a, chain.b)) not in trunk
        levels.append(Run(inward, None, _gap(inward, lanes), is_tie=is_tie))
    tracks = _tracks([run for run in levels if not _beside_a_row(run, lanes, free)], lanes)
    return SideLayout(side, lanes, runs + levels, tracks)


def _last_conductor(chain: Chain) -> Chain:
    """A tie's symbols stand on its positive half; the other half is the conductor that lands there."""
    return replace(chain, steps=tuple(step for step in chain.steps[:1] if step.is_conductor))


def _ranked(  # noqa: PLR0913, PLR0917 - one pass over all that ranks a lane
    places: dict[str, Place],
    between: list[Chain],
    to_rung: list[Chain],
    rungs_at: dict[int, int],
    roots: list[str],
    last_gap: int,
) -> tuple[dict[str, Lane], set[frozenset[str]]]:
    """The lanes in their order, and which pairs of them the tree joins."""
    beside: dict[str, list[str]] = defaultdict(list)
    for chain in between:
        beside[chain.a].append(chain.b)
        beside[chain.b].append(chain.a)
    own: dict[str, list[int]] = defaultdict(list)
    for chain in to_rung:
        own[chain.a].append(rungs_at[chain.index])
    used = [key for key in places if beside[key] or own[key]]
    depth: dict[str, int] = {}
    parent: dict[str, str] = {}
    order: list[str] = []

    def spread(starts: Iterable[str], at: int) -> None:
        ring = [key for key in starts if key not in depth]
        depth.update(dict.fromkeys(ring, at))
        while ring:
            order.extend(ring)
            following = []
            for key in ring:
                for other in beside[key]:
                    if other not in depth:
                        depth[other] = depth[key] + 1
                        parent[other] = key
                        following.append(other)
            ring = following

    spread([key for key in roots if key in used], 0)
    rest = sorted(
        (k for k in used if k not in depth), key=lambda k: (-len(beside[k]) - len(own[k]), places[k].order)
    )
    for key in rest:
        if key not in depth:
            spread([key], 1)
    first = {key: min(own[key], default=last_gap) for key in order}
    for key in reversed(order):
        if key in parent:
            first[parent[key]] = min(first[parent[key]], first[key])
    for key in [*order, *reversed(order)]:
        if first[key] == last_gap:
            first[key] = min((first[k] for k in beside[key]), default=last_gap)
    lanes = {key: Lane(places[key], depth[key], first[key]) for key in order}
    root_order = {key: n for n, key in enumerate(roots)}

    def rank(lane: Lane) -> tuple[float, ...]:
        p = lane.place
        if p.kind == "bonding":
            return (0, -lane.depth, 0, p.order)
        return (1 + (p.kind in ("turn", "end")), lane.depth, root_order.get(p.key, 0), p.order)

    for n, lane in enumerate(sorted(lanes.values(), key=rank)):
        lane.rank = n
    return lanes, {frozenset(pair) for pair in parent.items()}


def _gap(chain: Chain, lanes: dict[str, Lane]) -> int:
    """Before which row a run between two lanes lies."""
    a, b = lanes[chain.a], lanes[chain.b]
    for lane in (a, b):
        if lane.place.kind == "block":
            return lane.first_row
    if "battery" in (a.place.kind, b.place.kind):
        return 0
    if "bonding" in (a.place.kind, b.place.kind):
        return min(a.first_row, b.first_row)
    return max(a.first_row, b.first_row)


class _FreeLines:
    """Which lines of which rows have room between the lanes, outside the lead that runs there."""

    def __init__(
        self,
        c: Circuit,
        side: Polarity,
        lanes: dict[str, Lane],
        to_rung: list[Chain],
    ) -> None:
        starts = {chain.index: lanes[chain.a].rank for chain in to_rung if chain.a in lanes}
        self.rows: list[list[int | None]] = []
        self.taken: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
        for rung in c.rungs:
            ports = rung.left if side == "positive" else rung.right
            lines = max(len(rung.left), len(rung.right), 1) if rung.kind != "tie" else 0
            row: list[int | None] = [None] * lines
            for k, port in enumerate(ports[:lines]):
                row[k] = starts.get(port.chain if port.chain is not None else -1)
            self.rows.append(row)

    def take(self, row: int, low: int, high: int) -> tuple[int, int] | None:
        """A line of a row whose lead starts further in than ``high``, kept from now on."""
        if not 0 <= row < len(self.rows):
            return None
        for k, start in reversed(list(enumerate(self.rows[row]))):
            taken = self.taken[(row, k)]
            if (start is None or start > high) and all(high <= lo or hi <= low for lo, hi in taken):
                taken.append((low, high))
                return row, k
        return None


def _beside_a_row(run: Run, lanes: dict[str, Lane], free: _FreeLines) -> bool:
    """Whether a run found room on a line that a lead uses further in, which keeps the picture low."""
    a, b = lanes[run.chain.a], lanes[run.chain.b]
    if "block" in (a.place.kind, b.place.kind) or run.gap == 0 or not run.chain.steps:
        return False
    for row in (run.gap - 1, run.gap):
        run.beside = run.beside or free.take(row, a.rank, b.rank)
    return run.beside is not None


def _tracks(levels: list[Run], lanes: dict[str, Lane]) -> dict[int, int]:
    """Pack the runs of each gap into few levels, those from batteries and inner ones uppermost.

    So no way from a battery to its bar crosses another.
    """
    packed: dict[int, list[list[tuple[int, int]]]] = defaultdict(list)

    def order(run: Run) -> tuple[bool, int, int]:
        a, b = lanes[run.chain.a], lanes[run.chain.b]
        return a.place.kind != "battery", -a.rank, b.rank

    for run in sorted(levels, key=order):
        low, high = lanes[run.chain.a].rank, lanes[run.chain.b].rank
        tracks = packed[run.gap]
        for n, taken in enumerate(tracks):
            if all(high <= lo or hi <= low for lo, hi in taken):
                run.track = n
                taken.append((low, high))
                break
        else:
            run.track = len(tracks)
            tracks.append([(low, high)])
    return {gap: len(tracks) for gap, tracks in packed.items()}


def place_lanes(s: SideLayout, root_top: dict[str, float], outer: float) -> None:
    """Give lanes their reach and every lane and symbol its distance from the outer edge."""
    ys: dict[str, list[float]] = defaultdict(list)
    for run in s.runs:
        ys[run.chain.a].append(run.y)
        if run.row is None:
            ys[run.chain.b].append(run.y)
    for key, lane in s.lanes.items():
        own = ys[key] + ([root_top[key]] if key in root_top else [])
        lane.y0, lane.y1 = min(own), max(own)
        if has_free_end(lane.place, len(ys[key])):
            lane.y1 += FREE_STUD
    extra: dict[int, float] = defaultdict(float)
    for _ in range(8):
        _spread(s, outer, extra)
        short = [(run, lack) for run in s.runs if (lack := _pack(s, run)) > SLACK]
        if not short:
            return
        for run, lack in short:
            extra[run.chain.index] += lack


def has_free_end(place: Place, used: int) -> bool:
    """Whether a bar shows a free stud or way below its last conductor."""
    if place.kind == "section":
        plain = all(name == place.terminals[0][1] or "-stud-" in name for _, name in place.terminals)
        return bool(place.spares) or (plain and len(place.terminals) > used)
    return place.kind in ("busbar", "engine-block") and len(place.terminals) > used


def run_need(run: Run) -> float:
    """Room that a run takes besides its lanes."""
    label = text_width(f"{run.chain.count} ×") + 10 if run.chain.count > 1 else 0.0
    ends = 2 * LEVEL_END if run.chain.steps or run.row is not None else 18.0
    return sum(step_width(step) for step in run.chain.steps) + ends + label


def _spread(s: SideLayout, outer: float, extra: dict[int, float]) -> None:
    coming: dict[str, list[Run]] = defaultdict(list)
    for run in s.runs:
        if run.row is None:
            coming[run.chain.b].append(run)
    placed: list[Lane] = []
    own_columns = sum(lane.place.kind in BARS for lane in s.lanes.values()) <= MOST_OWN_COLUMNS
    least = outer
    for lane in sorted(s.lanes.values(), key=lambda x: x.rank):
        u = max(least, outer + lane.half)
        for run in coming[lane.place.key]:
            if run.chain.a != lane.place.key:
                a = s.lanes[run.chain.a]
                u = max(u, a.u + a.half + lane.half + run_need(run) + extra[run.chain.index])
        moved = True
        while moved:
            moved = False
            for other in placed:
                apart = _pitch(lane, other)
                meet = own_columns and lane.place.kind in BARS and other.place.kind in BARS
                meet = meet or (other.y0 - 30 < lane.y1 and lane.y0 - 30 < other.y1)
                if abs(other.u - u) < apart - SLACK and meet:
                    u = other.u + apart
                    moved = True
        lane.u = least = u
        placed.append(lane)
    edge = max((x.u + x.half for x in placed), default=outer) + GRIP_ROOM
    for run in s.runs:
        if run.row is not None:
            a = s.lanes[run.chain.a]
            edge = max(edge, a.u + a.half + run_need(run) + GRIP_ROOM - LEVEL_END + extra[run.chain.index])
    s.plate_u = max(edge, EDGE + 80)


def _pitch(a: Lane, b: Lane) -> float:
    """How far apart two lanes stand: by a finger's breadth where leads may land on both."""
    quiet = a.place.kind in QUIET or b.place.kind in QUIET
    return max(QUIET_PITCH if quiet else float(TARGET), a.half + b.half + 20)


def _pack(s: SideLayout, run: Run) -> float:
    """Set a run's symbols into the stretches that no lane crosses; what does not fit is returned."""
    a = s.lanes[run.chain.a]
    start = a.u + a.half + LEVEL_END
    if run.row is None:
        b = s.lanes[run.chain.b]
        stop = b.u - b.half - LEVEL_END + 4
    else:
        stop = s.plate_u - GRIP_ROOM + 4
    crossing = sorted(
        (x.u - x.half - CROSSING_ROOM, x.u + x.half + CROSSING_ROOM)
        for x in s.lanes.values()
        if a.u < x.u < stop
        and x.y0 - 42 < run.y < x.y1 + 42
        and x.place.key not in (run.chain.a, run.chain.b)
    )
    run.spots = []
    at = start
    for step in run.chain.steps:
        width = step_width(step)
        if width:
            for low, high in crossing:
                if at < high and low < at + width:
                    at = high
        run.spots.append(at + width / 2)
        at += width
    return max(0.0, at - stop)
