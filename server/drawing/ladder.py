"""The mirrored ladder: rungs in the middle, positive lanes left, negative lanes right, batteries above.

Pure geometry. The order of rows depends on nothing that moving a lead changes.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from server.boat.boat import Boat
from server.drawing.battery_band import BOX_HEIGHT, TRACK_GAP, Band, band, place_boxes
from server.drawing.circuit import Circuit, Polarity
from server.drawing.folding import folded
from server.drawing.labels import Label
from server.drawing.lanes import SideLayout, arrange, place_lanes
from server.drawing.lettering import Lettering
from server.drawing.measures import EDGE, LANDSCAPE, PORTRAIT, TRACK, Style
from server.drawing.reading import read_circuit
from server.drawing.shapes import Layout, Portrait
from server.drawing.sheet import NOTE, Sheet, plate_lines
from server.drawing.turns import with_turns

LEAST_WIDTH = 1180.0
PORTRAIT_WIDTH = 820.0
STRIP = 76.0
HEADER = 32.0
JUMPER = 18.0
OUTER = EDGE + 12.0
BONDING_NAMES = 66.0
BOTH: tuple[Polarity, ...] = ("positive", "negative")


@dataclass(frozen=True, slots=True)
class Heights:
    """The levels of the picture, from the top down."""

    positive_tracks: float
    boxes: float
    negative_tracks: float
    gaps: tuple[float, ...]
    rows: tuple[float, ...]
    headers: tuple[tuple[float, float], ...]
    bottom: float


def ladder(  # noqa: PLR0913 - each names one thing of the picture
    boat: Boat,
    mode_id: str | None,
    unfolded: frozenset[str] = frozenset(),
    *,
    shut: frozenset[str] = frozenset(),
    notes: Mapping[str, str] | None = None,
    portrait: Portrait = None,
) -> Layout:
    """The layout of a boat's wiring in a mode; ``notes`` give a line of text below a part's plate."""
    notes = notes or {}
    c = with_turns(folded(read_circuit(boat, mode_id), unfolded, shut))
    style = PORTRAIT if portrait else LANDSCAPE
    b = band(c, unfolded, slim=portrait is not None)
    sides = [_arranged(c, b, side) for side in ((portrait,) if portrait else BOTH)]
    heights = _heights(c, b, style, sides, notes, portrait)
    _set_levels(c, style, sides, heights)
    tops = _root_tops(b, heights)
    for s in sides:
        bonded = any(lane.place.kind == "bonding" for lane in s.lanes.values())
        place_lanes(s, tops[s.side], OUTER + (BONDING_NAMES if bonded else 0))
    width, plate_left, plate_right = _widths(sides, b, style, portrait)
    place_boxes(b, _band_left(sides, b, width, portrait), heights.boxes)
    sheet = Sheet(c, style, width, plate_left, plate_right, _landings(boat), tuple(b.boxes))
    for n, rung in enumerate(c.rungs):
        sheet.put_plate(rung, heights.rows[n], notes.get(rung.part, ""), portrait)
    for s in sides:
        sheet.put_side(s, b, tops[s.side])
    sheet.put_jumpers(b, JUMPER)
    headers = [
        Label((plate_left + plate_right) / 2, y, f"{volts:g} V", "middle", "voltage")
        for y, volts in heights.headers
    ]
    Lettering(sheet, b).put_labels(headers)
    folds = dict(c.folds)
    for box in b.boxes:
        if len(box.members) > 1:
            folds[box.key] = (*box.members, *b.hidden)
    return sheet.layout(heights.bottom + 24, folds, portrait)


def _landings(boat: Boat) -> dict[str, tuple[tuple[str, str], ...]]:
    """The terminals that each conductor's ends land on."""
    return {
        k.id: tuple((end.part, end.terminal) for end in (k.tail, k.head) if end is not None)
        for k in boat.conductors
    }


def _arranged(c: Circuit, b: Band, side: Polarity) -> SideLayout:
    rows_at = {
        port.chain: n
        for n, rung in enumerate(c.rungs)
        for port in (*rung.left, *rung.right)
        if port.chain is not None
    }
    jumpers = {ch.index for ch in b.jumpers} | set(b.hidden_chains)
    between = replace(c, chains={n: ch for n, ch in c.chains.items() if n not in jumpers})
    return arrange(between, side, rows_at, b.roots[side], len(c.rungs))


def _heights(  # noqa: PLR0913, PLR0917 - everything that takes height
    c: Circuit, b: Band, style: Style, sides: list[SideLayout], notes: Mapping[str, str], portrait: Portrait
) -> Heights:
    above = len(b.roots["positive"]) if portrait != "negative" else 0
    below = len(b.roots["negative"]) if portrait != "positive" else 0
    tracks = EDGE + 10.0
    boxes = tracks + above * TRACK_GAP + b.levels[0] * JUMPER + 18
    after = boxes + BOX_HEIGHT + b.levels[1] * JUMPER + 22
    y = after + max(below * TRACK_GAP, TRACK_GAP)
    live = [r for r in c.rungs if r.kind not in ("tie", "apart")]
    several = len({r.voltage_v for r in live}) > 1
    volts: float | None = None
    gaps: list[float] = []
    rows: list[float] = []
    headers: list[tuple[float, float]] = []
    for n, rung in enumerate(c.rungs):
        gaps.append(y)
        room = float(max((s.tracks.get(n, 0) for s in sides), default=0) * TRACK)
        if several and rung in live and rung.voltage_v != volts:
            volts = rung.voltage_v
            room = max(room, HEADER)
            headers.append((y + room - 8, volts))
        y += room
        rows.append(y)
        y += max(len(rung.left), len(rung.right), 1) * style.row_height + NOTE * (
            len(plate_lines(rung, style)) + (rung.part in notes)
        )
    gaps.append(y)
    y += max((s.tracks.get(len(c.rungs), 0) for s in sides), default=0) * TRACK
    return Heights(tracks, boxes, after, tuple(gaps), tuple(rows), tuple(headers), y + 20)


def _set_levels(c: Circuit, style: Style, sides: list[SideLayout], heights: Heights) -> None:
    levels = {
        port.chain: heights.rows[n] + style.row_height * (k + 0.5)
        for n, rung in enumerate(c.rungs)
        for ports in (rung.left, rung.right)
        for k, port in enumerate(ports)
    }
    ties = {p.chain: heights.rows[n] for n, r in enumerate(c.rungs) if r.kind == "tie" for p in r.left}
    levels |= {chain: y + style.row_height / 2 for chain, y in ties.items()}
    for s in sides:
        for run in s.runs:
            if run.beside is not None:
                run.y = heights.rows[run.beside[0]] + style.row_height * (run.beside[1] + 0.5)
            elif run.row is None:
                run.y = heights.gaps[run.gap] + run.track * TRACK + TRACK / 2 + 8
            else:
                run.y = levels[run.chain.index]


def _root_tops(b: Band, heights: Heights) -> dict[Polarity, dict[str, float]]:
    return {
        "positive": {k: heights.positive_tracks + n * TRACK_GAP for n, k in enumerate(b.roots["positive"])},
        "negative": {k: heights.negative_tracks + n * TRACK_GAP for n, k in enumerate(b.roots["negative"])},
    }


def _root_room(s: SideLayout, b: Band) -> float:
    """How far in the battery lanes reach, so that the boxes stand clear of them."""
    return max((s.lanes[k].u for k in b.roots[s.side] if k in s.lanes), default=EDGE) + 36


def _widths(sides: list[SideLayout], b: Band, style: Style, portrait: Portrait) -> tuple[float, float, float]:
    """Width of the picture and the edges of its plates; spare room lengthens the leads."""
    if portrait:
        reach = max(sides[0].plate_u, PORTRAIT_WIDTH - STRIP - style.plate_width - EDGE)
        reach = max(reach, _root_room(sides[0], b) + b.width + EDGE - style.plate_width)
        width = reach + style.plate_width + STRIP + EDGE
        left = reach if portrait == "positive" else width - reach - style.plate_width
        return width, left, left + style.plate_width
    left, right = sides[0].plate_u, sides[1].plate_u
    width = left + style.plate_width + right
    least = max(LEAST_WIDTH, _root_room(sides[0], b) + b.width + EDGE)
    spare = max(0.0, least - width)
    left += spare / 2
    return width + spare, left, left + style.plate_width


def _band_left(sides: list[SideLayout], b: Band, width: float, portrait: Portrait) -> float:
    centred = (width - b.width) / 2
    room = _root_room(sides[0], b)
    if portrait == "negative":
        return min(centred, width - room - b.width)
    return max(centred, room)
