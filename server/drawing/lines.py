"""Conductors, bars and many-legged switches as SVG."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import Element

from server.boat.value import TerminalRef
from server.drawing.circuit import Vertex
from server.drawing.paths import path
from server.drawing.pen import Pen
from server.drawing.shapes import Layout, Upright, Wire
from server.drawing.sheet import PIVOT
from server.drawing.states import line_width
from server.drawing.svg import add, number
from server.units import Ampere

BAR_WIDTH = 9.0
LEAST_FLOW_A: Ampere = 0.05
LEAST_TOLD_A: Ampere = 1e-3
STEMS = ("battery", "junction", "turn", "end")


@dataclass(frozen=True, slots=True)
class ConductorGhost:
    """Where a moved lead lay before: the terminal it landed on, and the load end that stayed."""

    conductor: str
    was: TerminalRef
    stays: TerminalRef


def upright_lines(layout: Layout) -> list[tuple[float, float, float]]:
    """Every upright stretch that a level line may have to hop over."""
    lines: list[tuple[float, float, float]] = []
    for up in layout.uprights:
        if up.place.kind == "block":
            lines.extend((up.x + dx, up.y0, up.y1) for dx in (-up.half, up.half))
        for (x0, y0), (x1, y1) in pairwise(up.path):
            if x0 == x1 and up.place.kind != "block":
                lines.append((x0, y0, y1))
    for wire in layout.wires:
        for (x0, y0), (x1, y1) in pairwise(wire.points):
            if x0 == x1:
                lines.append((x0, y0, y1))
    return lines


def by_conductor(wires: Sequence[Wire]) -> list[list[Wire]]:
    """Stretches of one conductor belong together."""
    groups: dict[object, list[Wire]] = {}
    for n, wire in enumerate(wires):
        key = wire.step.ids if wire.step and wire.step.is_conductor else n
        groups.setdefault(key, []).append(wire)
    return list(groups.values())


def put_wires(parent: Element, pen: Pen, wires: list[Wire]) -> None:
    """One conductor with all its stretches, as wide as its current asks."""
    first = wires[0]
    step = first.step
    conductor = step if step and step.is_conductor else None
    chain = pen.layout.circuit.chains.get(first.chain)
    folded = chain.folded if chain else ()
    ids = conductor.ids if conductor else folded
    current = pen.current_a(ids)
    area = sum(pen.areas_mm2.get(i, 0.0) for i in ids) or pen.chain_area_mm2(first.chain)
    classes = f"conductor {'bonding' if first.bonding else first.side}"
    classes += " dead" if pen.is_dead(step) else ""
    lit_by = ids or ((step.element,) if step else ())
    classes += pen.lit(lit_by)
    data = "".join(path(wire.points, pen.uprights) for wire in wires)
    line = _put_line(parent, data, classes, 2.0 if first.bonding else line_width(current, area))
    if conductor:
        line.set("id", f"conductor-{conductor.ids[0]}")
        line.set("data-thing", " ".join(conductor.ids))
        if len(conductor.ids) > 1:
            line.set("data-conductors", " ".join(conductor.ids))
        count = f"{len(conductor.ids)} × " if len(conductor.ids) > 1 else ""
        amps = "" if current is None else f", {_told(current):.3g} A"
        add(line, "title", f"{count}{conductor.name}{amps}")
    if conductor and first.is_tie and current is not None and abs(current) >= LEAST_FLOW_A:
        _put_arrow(parent, first, forwards=(current > 0) != conductor.backwards)


def _told(current: Ampere) -> Ampere:
    """The amount of a current; less than any clamp shows is what arithmetic leaves of nothing."""
    return abs(current) if abs(current) >= LEAST_TOLD_A else 0.0


def _put_arrow(parent: Element, wire: Wire, *, forwards: bool) -> None:
    """The way a tie's current really flows."""
    (x0, y), (x1, _) = wire.points[0], wire.points[-1]
    turn = 1 if (x1 > x0) == forwards else -1
    x = (x0 + x1) / 2
    data = f"M{number(x - 7 * turn)} {number(y - 7)}l{14 * turn} 7l{-14 * turn} 7Z"
    add(parent, "path", d=data, class_=f"flow {wire.side}")


def _put_line(parent: Element, data: str, classes: str, width: float) -> Element:
    """A conductor's line; on the shared path it lies on a broad band."""
    if "shared" in classes.split():
        add(parent, "path", d=data, fill="none", class_="shared-band", stroke_width=number(width + 10))
    return add(parent, "path", d=data, fill="none", class_=classes, stroke_width=number(width))


def put_upright(parent: Element, pen: Pen, up: Upright) -> None:
    """A bar, a switch of many legs, or the line that a post or terminal lends its conductors."""
    place, layout = up.place, pen.layout
    ids = [
        i
        for n in up.chains
        for s in layout.circuit.chains[n].steps[:: max(1, len(layout.circuit.chains[n].steps) - 1)]
        for i in s.ids
    ]
    lit = pen.lit(ids if place.kind in STEMS else (place.part,))
    if place.kind not in STEMS and pen.states.selected and not lit:
        touched = {i for n in up.chains for s in layout.circuit.chains[n].steps for i in s.ids}
        lit = " own" if len(touched & pen.states.own) > 1 else ""
    dead = " dead" if pen.is_place_dead(place) else ""
    if place.kind == "block":
        _put_block(parent, pen, up)
        return
    if place.kind in STEMS:
        width = max([2.0, *(pen.chain_width(n) for n in up.chains)])
        data = path(up.path, pen.uprights)
        _put_line(parent, data, f"conductor stem {place.side}{dead}{lit}", width)
        return
    reached = {"role": "button", "tabindex": "-1", "data_thing": place.part}
    classes = f"bar {place.kind} {place.side}{dead}{lit}"
    group = add(parent, "g", id=f"part-{place.key}", class_=classes, **reached)
    add(group, "title", place.name)
    half = 9.0 if place.kind == "engine-block" else BAR_WIDTH / 2
    half = 3.0 if place.kind == "bonding" else half
    add(
        group,
        "rect",
        x=up.x - half,
        y=up.y0 - 12,
        width=2 * half,
        height=up.y1 - up.y0 + 24,
        class_="bar-metal",
    )
    if place.kind == "engine-block":
        hatch = "".join(
            f"M{number(up.x - half)} {number(y + 12)}l{number(2 * half)} -12"
            for y in _steps(up.y0 - 12, up.y1, 16)
        )
        add(group, "path", d=hatch, class_="hatch", fill="none")
    if up.free_end:
        add(group, "circle", cx=up.x, cy=up.y1, r=4.0, class_="free-stud")


def _steps(low: float, high: float, by: float) -> list[float]:
    return [low + by * n for n in range(int((high - low) / by) + 1)]


def _put_block(parent: Element, pen: Pen, up: Upright) -> None:
    """A switch of more than two legs: its box, its terminals, and its blades as set."""
    place = up.place
    part = pen.layout.circuit.parts[place.part]
    group = add(
        parent,
        "g",
        id=f"part-{place.key}",
        class_=f"part block {part.kind} {place.side}" + pen.lit((place.part,)),
        role="button",
        tabindex="-1",
        data_thing=place.part,
    )
    add(group, "title", part.name)
    x0, x1 = up.x - up.half, up.x + up.half
    add(group, "rect", x=x0, y=up.y0 - 20, width=x1 - x0, height=up.y1 - up.y0 + 40, class_="enclosure")
    at: dict[Vertex, tuple[float, float]] = {}
    for y, terminal, from_left in up.ends:
        at.setdefault(terminal, (x0 + PIVOT if from_left else x1 - PIVOT, y))
        add(
            group,
            "path",
            d=f"M{number(x0 if from_left else x1)} {number(y)}H{number(at[terminal][0])}",
            class_="lead",
        )
    for link in pen.layout.circuit.links.all:
        if link.step is None and link.a in at and link.b in at:
            (xa, ya), (xb, yb) = at[link.a], at[link.b]
            if part.kind == "isolator":
                add(group, "path", d=_diode(xa, ya, xb, yb), class_="blade diode")
            elif link.is_open:
                tip = number(xb + (xa - xb) * 0.45), number(yb + (ya - yb) * 0.45 - 6)
                data = f"M{number(xb)} {number(yb)}L{' '.join(tip)}"
                add(group, "path", d=data, class_="blade open")
            else:
                add(
                    group,
                    "path",
                    d=f"M{number(xb)} {number(yb)}L{number(xa)} {number(ya)}",
                    class_="blade closed",
                )
    for x, y in at.values():
        add(group, "circle", cx=x, cy=y, r=3.5, class_="pivot")


def _diode(xa: float, ya: float, xb: float, yb: float) -> str:
    mx, my = (xa + xb) / 2, (ya + yb) / 2
    turn = 1 if xb > xa else -1
    tip = f"M{number(mx - turn * 6)} {number(my - 6)}V{number(my + 6)}L{number(mx + turn * 6)} {number(my)}Z"
    bar = f"M{number(mx + turn * 6)} {number(my - 6)}V{number(my + 6)}"
    return f"M{number(xa)} {number(ya)}L{number(mx)} {number(my)}L{number(xb)} {number(yb)}{tip}{bar}"


BESIDE = 12.0
"""How far the old lead is drawn from the new one."""


def put_ghost(parent: Element, pen: Pen, ghost: ConductorGhost) -> None:
    """The old lead as a grey dashed line beside the new one, until the next edit.

    On the negative side it runs above, as the numbers of cables stand below.
    """
    old = pen.layout.terminals.get((ghost.was.part, ghost.was.terminal))
    new = pen.layout.terminals.get((ghost.stays.part, ghost.stays.terminal))
    if old is None or new is None:
        return
    (x0, y0), (x1, y1) = old, new
    beside = y1 - BESIDE if x0 > x1 else y1 + BESIDE
    points = ((x0, y0), (x0, beside), (x1, beside))
    line = add(parent, "path", d=path(points, pen.uprights), fill="none", class_="ghost", stroke_width="2")
    add(line, "title", "Where the lead was before")
