"""Lines with hops: a conductor that crosses another without joining it jumps over in a half circle."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from server.drawing.shapes import Point
from server.drawing.svg import number

HOP = 7.0
CLEAR = 1.0


class Uprights:
    """All upright lines, sorted, to ask which of them a level line crosses."""

    def __init__(self, lines: Iterable[tuple[float, float, float]]) -> None:
        """Keep each line as x, upper end, lower end."""
        self._lines = sorted((x, min(a, b), max(a, b)) for x, a, b in lines)
        self._xs = [x for x, _, _ in self._lines]

    def crossing(self, x0: float, x1: float, y: float) -> list[float]:
        """Where a level line from ``x0`` to ``x1`` crosses upright ones, from left to right."""
        low, high = min(x0, x1) + CLEAR, max(x0, x1) - CLEAR
        found: list[float] = []
        for x, top, bottom in self._lines[bisect_right(self._xs, low) :]:
            if x >= high:
                break
            if top + CLEAR < y < bottom - CLEAR and (not found or x - found[-1] > CLEAR):
                found.append(x)
        return found


def path(points: Sequence[Point], uprights: Uprights) -> str:
    """SVG path data along level and upright stretches; a level one hops over every upright one it crosses."""
    (x, y), *rest = points
    data = [f"M{number(x)} {number(y)}"]
    for nx, ny in rest:
        if ny == y:
            turn = 1 if nx > x else -1
            for at in sorted(uprights.crossing(x, nx, y), reverse=turn < 0):
                if min(abs(at - x), abs(nx - at)) > HOP:
                    sweep = 1 if turn > 0 else 0
                    data.append(f"H{number(at - turn * HOP)}a7 7 0 0 {sweep} {number(2 * turn * HOP)} 0")
            data.append(f"H{number(nx)}")
        elif nx == x:
            data.append(f"V{number(ny)}")
        else:
            data.append(f"L{number(nx)} {number(ny)}")
        x, y = nx, ny
    return "".join(data)
