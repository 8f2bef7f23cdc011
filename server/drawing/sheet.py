"""Drawing lanes, runs and plates of a layout onto one sheet."""

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise

from server.drawing.battery_band import Band, BatteryBox, gap_between, post_points, way_from_post
from server.drawing.circuit import Chain, Circuit, Place, Polarity, Rung, Step, Vertex
from server.drawing.labels import Label
from server.drawing.lanes import Lane, Run, SideLayout, has_free_end
from server.drawing.measures import SYMBOL, Box, Style, wrapped
from server.drawing.shapes import (
    Layout,
    PlatePort,
    PlateShape,
    Point,
    Portrait,
    Symbol,
    Tap,
    Upright,
    Wire,
)

INDENT = 24.0
NOTE = 24.0
STUB = 26.0
STRIP_TEXT = 68.0
PIVOT = 12.0
PLAIN = ("junction", "end", "battery", "turn")


def plate_lines(rung: Rung, style: Style) -> list[str]:
    """Lines below a plate's own two, such as the devices on a backbone."""
    return wrapped(", ".join(rung.lines), style.plate_width - 16, 2) if rung.lines else []


@dataclass
class Sheet:
    """The picture while it grows; ``landings`` are the terminals of each conductor."""

    c: Circuit
    style: Style
    width: float
    plate_left: float
    plate_right: float
    landings: dict[str, tuple[Vertex, ...]]
    batteries: tuple[BatteryBox, ...]
    wires: list[Wire] = field(default_factory=list)
    symbols: list[Symbol] = field(default_factory=list)
    uprights: list[Upright] = field(default_factory=list)
    plates: list[PlateShape] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    unlabelled: list[str] = field(default_factory=list)
    dots: list[Point] = field(default_factory=list)
    rings: list[Point] = field(default_factory=list)
    loose: list[Point] = field(default_factory=list)
    terminals: dict[Vertex, Point] = field(default_factory=dict)
    taps: list[Tap] = field(default_factory=list)
    at_rung: dict[int, Point] = field(default_factory=dict)

    def x(self, side: Polarity, u: float) -> float:
        """Distance from a side's outer edge as a coordinate."""
        return u if side == "positive" else self.width - u

    def put_plate(self, rung: Rung, top: float, note: str, portrait: Portrait) -> None:
        """Set a rung's plate into its row, with the points where its leads arrive."""
        row, height = self.style.row_height, self.style.plate_height
        lines = max(len(rung.left), len(rung.right), 1)
        written = plate_lines(rung, self.style)
        indent = INDENT * rung.level
        left, right = self.plate_left + (indent if portrait != "negative" else 0), self.plate_right
        box = Box(
            left,
            top + (row - height) / 2,
            right - left,
            height + (lines - 1) * row + NOTE * (len(written) + bool(note)),
        )
        ports = []
        sides: tuple[tuple[Polarity, tuple, float], ...] = (  # type: ignore[type-arg]
            ("positive", rung.left, left),
            ("negative", rung.right, right),
        )
        for side, listed, x in sides:
            for k, port in enumerate(listed):
                at = (x, top + row * (k + 0.5))
                ports.append(PlatePort(port, side, *at))
                if port.chain is not None:
                    self.at_rung[port.chain] = at
                elif portrait in (None, side):
                    self._loose_port(side, at)
                self.terminals.setdefault(port.at, at)
                if portrait and side != portrait and port.chain is not None:
                    self._name_bar(port.chain, rung.key, side, at)
        self.plates.append(PlateShape(rung, box, tuple(ports), written, note))

    def _name_bar(self, chain: int, rung: str, side: Polarity, at: Point) -> None:
        """In the strip at the edge, the bar of a lead whose side is not drawn."""
        far = self.c.places[self.c.chains[chain].far(rung)]
        outward = -1 if side == "positive" else 1
        edge = at[0] + outward * 10
        self.wires.append(Wire(None, side, (at, (edge, at[1])), chain))
        lines = wrapped(far.name, STRIP_TEXT, 3)
        for n, line in enumerate(lines):
            y = at[1] + 6 + (n - (len(lines) - 1) / 2) * 19
            self.labels.append(
                Label(edge + outward * 3, y, line, "end" if outward < 0 else "start", "strip", far.name)
            )

    def _loose_port(self, side: Polarity, end: Point) -> None:
        outward = -1 if side == "positive" else 1
        far = (end[0] + outward * STUB, end[1])
        self.wires.append(Wire(None, side, (end, far), -1))
        self.loose.append(far)

    def put_side(self, s: SideLayout, b: Band, tops: dict[str, float]) -> None:
        """Draw one side's lanes and runs."""
        landed: dict[str, list[tuple[float, Vertex, bool, Chain]]] = defaultdict(list)
        for run in s.runs:
            here = s.side == "positive"
            landed[run.chain.a].append((run.y, run.chain.a_at, not here, run.chain))
            if run.row is None:
                landed[run.chain.b].append((run.y, run.chain.b_at, here, run.chain))
        for key, lane in s.lanes.items():
            self._put_upright(s.side, lane, landed[key], b, tops.get(key))
        for run in s.runs:
            self._put_run(s, run)

    def _put_upright(
        self,
        side: Polarity,
        lane: Lane,
        landed: list[tuple[float, Vertex, bool, Chain]],
        b: Band,
        top: float | None,
    ) -> None:
        place, x = lane.place, self.x(side, lane.u)
        ys = sorted(y for y, _, _, _ in landed)
        free = has_free_end(place, len(landed))
        path: tuple[Point, ...] = ((x, lane.y0), (x, lane.y1))
        if top is not None:
            path = (*way_from_post(b, place.terminals[0], top), (x, top), (x, lane.y1))
        ends = tuple((y, at, left) for y, at, left, _ in landed)
        chains = tuple(ch.index for _, _, _, ch in landed)
        y0, y1 = (min(ys), max(ys)) if place.kind == "block" else (lane.y0, lane.y1)
        self.uprights.append(Upright(place, x, y0, y1, lane.half, path, ends, chains, free))
        if place.kind == "end":
            self.loose.append((x, ys[0]))
        if place.kind not in ("block", "end", "turn"):
            for y, _, _, ch in landed:
                corner = place.kind in PLAIN and (len(landed) == 1)
                if not corner:
                    tapped = "rung" in (self.c.places[ch.a].kind, self.c.places[ch.b].kind)
                    (self.rings if tapped else self.dots).append((x, y))
        for y, at, left, ch in landed:
            spot = (
                (x + (PIVOT - lane.half if left else lane.half - PIVOT), y)
                if place.kind == "block"
                else (x, y)
            )
            for terminal in self._terminals_at(place, ch, at):
                self.terminals.setdefault(terminal, spot)
        self._free_terminals(place, x, lane)

    def _terminals_at(self, place: Place, chain: Chain, at: Vertex) -> list[Vertex]:
        """The terminals of a place that a chain's last conductor lands on."""
        if at in place.terminals:
            return [at]
        steps = chain.steps
        step = steps[0] if steps and steps[0].tail == at else steps[-1] if steps else None
        ids = step.ids if step and step.is_conductor else chain.folded
        return [t for i in ids for t in self.landings.get(i, ()) if t in place.terminals]

    def _free_terminals(self, place: Place, x: float, lane: Lane) -> None:
        rest = [t for t in place.terminals if t not in self.terminals]
        ways = (
            {step.head for ch in self.c.at(place.key) for step in ch.steps[:1]}
            if place.kind == "section"
            else set()
        )
        end = (x, lane.y1)
        for terminal in rest:
            if terminal not in ways:
                self.terminals[terminal] = end

    def _put_run(self, s: SideLayout, run: Run) -> None:
        """Draw a chain at its level: conductors as lines between the symbols."""
        a = s.lanes[run.chain.a]
        start = a.u + (a.half if a.place.kind == "block" else 0)
        if run.row is None:
            b = s.lanes[run.chain.b]
            stop = b.u - (b.half if b.place.kind == "block" else 0)
        else:
            rung = self.c.rungs[run.row]
            stop = self.plate_left if s.side == "positive" else self.width - self.plate_right
            if rung.level and s.side == "positive":
                stop += INDENT * rung.level
            if rung.kind == "tie":
                stop = self._tie_reach(s)
        bonding = "bonding" in (a.place.kind, s.lanes[run.chain.b].place.kind if run.row is None else "")
        self._put_steps(s.side, run, start, stop, bonding=bonding)

    def _tie_reach(self, s: SideLayout) -> float:
        """Half a tie ends in the middle of the ladder, where the other half meets it."""
        middle = (self.plate_left + self.plate_right) / 2
        return middle if s.side == "positive" else self.width - middle

    def _put_steps(self, side: Polarity, run: Run, start: float, stop: float, *, bonding: bool) -> None:
        chain, y = run.chain, run.y

        def line(
            step: Step | None, u0: float, u1: float, label_at: Point | None = None, label: str = ""
        ) -> None:
            points = ((self.x(side, u0), y), (self.x(side, u1), y))
            self.wires.append(Wire(step, side, points, chain.index, label_at, label, bonding, run.is_tie))

        if not chain.steps:
            at = (self.x(side, start + 14), y - 10)
            label = f"{chain.count} ×" if chain.count > 1 else ""
            line(None, start, stop, at if label else None, label)
            return
        edges = [
            (spot - SYMBOL / 2, spot + SYMBOL / 2) if not step.is_conductor else None
            for step, spot in zip(chain.steps, run.spots, strict=True)
        ]
        here = start
        for n, step in enumerate(chain.steps):
            edge = edges[n]
            if edge is None:
                following = next((e[0] for e in edges[n + 1 :] if e is not None), stop)
                more = 1
                while n + more < len(edges) and edges[n + more] is None:
                    more += 1
                end = here + (following - here) / more
                label_at = (self.x(side, run.spots[n]), y - 10) if step.label else None
                line(step, here, end, label_at, step.label)
                here = end
            else:
                if here < edge[0] - 0.1:
                    line(step, here, edge[0])
                self.symbols.append(
                    Symbol(step, side, self.x(side, run.spots[n]), y, side == "positive", chain.index)
                )
                self.terminals.setdefault(step.tail, (self.x(side, edge[0]), y))
                self.terminals.setdefault(step.head, (self.x(side, edge[1]), y))
                here = edge[1]
        if here < stop - 0.1:
            line(chain.steps[-1], here, stop)

    def put_jumpers(self, b: Band, pitch: float) -> None:
        """Draw the jumpers between batteries above and below their boxes."""
        posts = post_points(b)
        for at, point in posts.items():
            self.terminals.setdefault(at, point)
        for ch in b.jumpers:
            (xa, ya), (xb, yb) = posts[ch.a_at], posts[ch.b_at]
            box = b.boxes[0].box
            top_a, top_b = ya == box.y, yb == box.y
            high = box.y - 14 - b.jumper_levels.get((ch.index, True), 0) * pitch
            low = box.bottom + 14 + b.jumper_levels.get((ch.index, False), 0) * pitch
            if top_a == top_b:
                over = high if top_a else low
                points: tuple[Point, ...] = ((xa, ya), (xa, over), (xb, over), (xb, yb))
            else:
                (x0, y0), (x1, y1) = ((xa, ya), (xb, yb)) if top_a else ((xb, yb), (xa, ya))
                turn = gap_between(b, x0, x1)
                points = ((x0, y0), (x0, high), (turn, high), (turn, low), (x1, low), (x1, y1))
            self.dots.extend(p for p in (points[1], points[-2]) if self._goes_on(p))
            side = self.c.places[ch.a].side
            step = ch.steps[0]
            self.wires.append(Wire(step, side, points, ch.index, None, ""))
            self.wires.extend(Wire(s, side, points[:1] * 2, ch.index) for s in ch.steps[1:])

    def _goes_on(self, corner: Point) -> bool:
        """Whether a post's own line passes the corner where a jumper leaves it."""
        x, y = corner
        return any(
            x0 == x1 == x and min(y0, y1) < y < max(y0, y1)
            for up in self.uprights
            for (x0, y0), (x1, y1) in pairwise(up.path)
        )

    def _collect_taps(self) -> tuple[Tap, ...]:
        """Terminals that lie at one point are one target."""
        sides = {at: up.place.side for up in self.uprights for at in up.place.terminals}
        names = {at: up.place.name for up in self.uprights for at in up.place.terminals}
        for s in self.symbols:
            for at in (s.step.tail, s.step.head):
                sides.setdefault(at, s.side)
                names.setdefault(at, f"{s.step.name}, {at[1].replace('-', ' ')}")
        bars = {at for up in self.uprights if up.place.kind not in PLAIN for at in up.place.terminals}
        points: dict[Point, list[Vertex]] = defaultdict(list)
        for at, point in self.terminals.items():
            if at in sides and not at[1].startswith("=") and at[1] and at[0]:
                points[point].append(at)
        return tuple(
            Tap(*point, tuple(ats), names[ats[0]], sides[ats[0]], ats[0] in bars)
            for point, ats in points.items()
        )

    def layout(self, bottom: float, folds: dict[str, tuple[str, ...]], portrait: Portrait) -> Layout:
        """The finished layout."""
        return Layout(
            self.c,
            self.style,
            portrait,
            self.width,
            bottom,
            self.plate_left,
            self.plate_right,
            tuple(self.wires),
            tuple(self.symbols),
            tuple(self.uprights),
            tuple(self.plates),
            self.batteries,
            tuple(self.labels),
            tuple(self.unlabelled),
            tuple(self.dots),
            tuple(self.rings),
            tuple(self.loose),
            self._collect_taps(),
            self.terminals,
            folds,
            bottom,
        )
