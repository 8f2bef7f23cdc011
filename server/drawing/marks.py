"""Where each answer of a held lead stands: on its bar, at the height of the hand."""

from collections import defaultdict
from dataclasses import dataclass, replace
from itertools import pairwise

from server.boat.value import TerminalRef
from server.drawing.measures import TARGET
from server.drawing.shapes import Layout, Point
from server.engine.answer import PickUp, TapAnswer

MARK_RADIUS = 12.0
APART = 2 * MARK_RADIUS + 4
APART_ON_A_BAR = TARGET
"""Marks on one bar leave a finger's room for each."""
MOST_ON_ONE_BAR = 3
UNRANKED = 10_000


@dataclass(frozen=True, slots=True)
class Spot:
    """A terminal's place in the picture: a point, or the stretch of a bar that is the same metal."""

    x: float
    top: float
    bottom: float

    def at(self, y: float) -> Point:
        """The point of the stretch that is nearest to a height."""
        return self.x, min(max(y, self.top), self.bottom)


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """An answer with its point; a lead may land anywhere on its ``spot``."""

    answer: TapAnswer
    at: Point
    spot: Spot


def placed_marks(layout: Layout, pick_up: PickUp) -> tuple[PlacedMark, ...]:
    """A mark for each answer that this picture has a place for, clear of each other where the bars allow.

    Of several answers on one bar the best few are shown; what breaks something only where nothing else is.
    """
    row = row_of(layout, pick_up)
    by_spot: dict[Spot, list[TapAnswer]] = defaultdict(list)
    stretches = _stretches(layout)
    for answer in pick_up.taps:
        spot = spot_of(layout, answer.terminal, stretches)
        if spot is not None:
            by_spot[spot].append(answer)
    wanted = [(spot, answer) for spot, answers in by_spot.items() for answer in _shown(spot, answers)]
    wanted.sort(key=lambda one: (one[0].bottom > one[0].top, not one[1].present, rank_of(one[1])))
    taken: list[Point] = []
    marks = []
    for spot, answer in wanted:
        at = _free_point(spot, row, taken)
        taken.append(at)
        marks.append(PlacedMark(answer, at, spot))
    return tuple(_shared_out(marks))


def _shared_out(marks: list[PlacedMark]) -> list[PlacedMark]:
    """Marks on one bar divide its length among them, half-way between each two."""
    on_bar: dict[Spot, list[PlacedMark]] = defaultdict(list)
    for mark in marks:
        on_bar[mark.spot].append(mark)
    done = []
    for spot, here in on_bar.items():
        here.sort(key=lambda mark: mark.at[1])
        cuts = [spot.top, *((a.at[1] + b.at[1]) / 2 for a, b in pairwise(here)), spot.bottom]
        done += [
            replace(mark, spot=Spot(spot.x, low, high))
            for mark, (low, high) in zip(here, pairwise(cuts), strict=True)
        ]
    return done


def rank_of(answer: TapAnswer) -> int:
    """An answer's rank; those that are not ranked come last."""
    return UNRANKED if answer.rank is None else answer.rank


def row_of(layout: Layout, pick_up: PickUp) -> float:
    """The height of the held lead's row; the middle of the picture where it is folded away."""
    for plate in layout.plates:
        for port in plate.ports:
            if port.port.at == (pick_up.part, pick_up.terminal):
                return port.y
        if pick_up.part in plate.rung.members:
            return plate.box.y + plate.box.height / 2
    return layout.bottom / 2


def spot_of(
    layout: Layout, terminal: TerminalRef, stretches: dict[tuple[str, str], Spot] | None = None
) -> Spot | None:
    """Where a terminal is seen: its bar, else itself, else the fold that holds its part, else nowhere."""
    at = (terminal.part, terminal.terminal)
    stretch = (_stretches(layout) if stretches is None else stretches).get(at)
    if stretch is not None:
        return stretch
    point = layout.terminals.get(at) or _on_fold(layout, terminal)
    return None if point is None else Spot(point[0], point[1], point[1])


def _stretches(layout: Layout) -> dict[tuple[str, str], Spot]:
    """The stretch of metal that each bar's or post's terminals share; a switch's legs stay points."""
    found = {}
    for up in layout.uprights:
        if up.place.kind in ("block", "end", "turn"):
            continue
        spot = Spot(up.x, up.y0, up.y1)
        for at in up.place.terminals:
            point = layout.terminals.get(at)
            if point is not None and point[0] == up.x:
                found[at] = spot
    return found


def _on_fold(layout: Layout, terminal: TerminalRef) -> Point | None:
    fold = next((key for key, ids in layout.folds.items() if terminal.part in ids), None)
    if fold is None:
        return None
    for plate in layout.plates:
        if plate.rung.key == f"rung:{fold}":
            port = next((p for p in plate.ports if p.port.at[0] == terminal.part), None)
            return (port.x, port.y) if port else None
    return None


def _shown(spot: Spot, answers: list[TapAnswer]) -> list[TapAnswer]:
    """The answers of one spot that get a mark of their own; a point has room for one."""
    ordered = sorted(answers, key=lambda one: (not one.present, rank_of(one)))
    whole = [one for one in ordered if one.present or one.rank is not None] or ordered[:1]
    return whole[: MOST_ON_ONE_BAR if spot.bottom - spot.top >= APART else 1]


def _free_point(spot: Spot, row: float, taken: list[Point]) -> Point:
    """The point of a spot nearest to the row that no other mark covers; the nearest where all are covered."""
    nearest = spot.at(row)[1]
    pitch = APART / 2
    for apart in (APART_ON_A_BAR, APART):
        for step in range(int((spot.bottom - spot.top) / pitch) + 2):
            for y in (nearest - step * pitch, nearest + step * pitch):
                at = spot.at(y)
                if not any(_too_close(at, other, apart) for other in taken):
                    return at
    return spot.at(row)


def _too_close(at: Point, other: Point, apart: float) -> bool:
    """Whether two marks would cover each other; on one bar, whether they would share a finger's room."""
    across, along = abs(at[0] - other[0]), abs(at[1] - other[1])
    return across < APART - 1 and along < (apart if across < 1 else APART) - 1
