"""The wiring diagram as SVG: the layout of ``ladder`` with the answers written on it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.boat.value import TerminalRef
from server.drawing.circuit import Step, Vertex
from server.drawing.labels import Label
from server.drawing.ladder import ladder
from server.drawing.legend import LEGEND_HEIGHT, put_legend
from server.drawing.measures import TARGET, clipped, text_width
from server.drawing.paths import Uprights, path
from server.drawing.shapes import Layout, PlatePort, PlateShape, Portrait, Symbol, Upright, Wire
from server.drawing.states import RungState, States, areas_mm2, line_width, states
from server.drawing.svg import Svg, add, finished, number, root
from server.drawing.symbols import battery_cells, rung_symbol, step_symbol, verdict_mark
from server.engine.answer import ModeAnswer

SEVERITIES = ("danger", "fault", "advice", "cannot-tell")
BAR_WIDTH = 9.0
SELECTABLE = ("load", "source", "converter")
NOTED = ("load", "inverter", "outboard", "converter")
STEMS = ("battery", "junction", "turn", "end")


@dataclass(frozen=True, slots=True)
class ConductorGhost:
    """Where a moved lead lay before: the terminal it landed on, and the load end that stayed."""

    conductor: str
    was: TerminalRef
    stays: TerminalRef


@dataclass(frozen=True, slots=True)
class _Pen:
    """What every part of the drawing needs to know."""

    layout: Layout
    states: States
    areas_mm2: Mapping[str, float]
    uprights: Uprights
    marks: Mapping[str, tuple[str, str]]


def wiring_diagram(
    boat: Boat,
    *,
    mode_id: str | None,
    answer: ModeAnswer | None = None,
    event_id: str | None = None,
    selected: str | None = None,
    unfolded: frozenset[str] = frozenset(),
    ghost: ConductorGhost | None = None,
    findings: Sequence[Finding] = (),
    portrait: Portrait = None,
) -> Svg:
    """The whole picture with root ``#diagram``; without an answer, the wiring alone.

    ``unfolded`` holds ids of folds, of banks, or of loads that shall be seen on a boat of over forty loads.
    """
    layout = picture_layout(
        boat, mode_id=mode_id, selected=selected, unfolded=unfolded, findings=findings, portrait=portrait
    )
    return diagram_of(boat, layout, answer, event_id, selected, ghost, _marks(findings))


def picture_layout(
    boat: Boat,
    *,
    mode_id: str | None,
    selected: str | None = None,
    unfolded: frozenset[str] = frozenset(),
    findings: Sequence[Finding] = (),
    portrait: Portrait = None,
) -> Layout:
    """The layout that ``wiring_diagram`` draws for the same arguments; overlays are drawn on it.

    A selected load is always unfolded.
    """
    marks = _marks(findings)
    notes = {p.id: marks[p.id][1] for p in boat.parts if p.id in marks and p.kind in NOTED}
    seen = unfolded | {selected} if selected else unfolded
    return ladder(boat, mode_id, seen, notes=notes, portrait=portrait)


def diagram_of(
    boat: Boat,
    layout: Layout,
    answer: ModeAnswer | None,
    event_id: str | None,
    selected: str | None,
    ghost: ConductorGhost | None,
    marks: Mapping[str, tuple[str, str]],
) -> Svg:
    """The drawing of a layout that is already there."""
    told = states(boat, layout.circuit, answer, event_id, selected)
    uprights = Uprights(_upright_lines(layout))
    pen = _Pen(layout, told, areas_mm2(boat), uprights, marks)
    height = layout.height + LEGEND_HEIGHT
    classes = "diagram" + (" has-selection" if selected else "") + (" portrait" if layout.portrait else "")
    svg = root(
        layout.width, height, id="diagram", class_=classes, role="group", aria_label=f"Wiring of {boat.name}"
    )
    _put_batteries(svg, pen, boat)
    lines = add(svg, "g", class_="lines")
    for up in layout.uprights:
        _put_upright(lines, pen, up)
    for wires in _by_step(layout.wires):
        _put_wires(lines, pen, wires)
    for x, y in layout.dots:
        add(lines, "circle", class_="join", cx=x, cy=y, r=5.0)
    for x, y in layout.rings:
        add(lines, "circle", class_="tap-ring", cx=x, cy=y, r=5.5)
    for x, y in layout.loose:
        add(lines, "circle", class_="loose-end", cx=x, cy=y, r=5.0)
    if ghost:
        _put_ghost(lines, pen, ghost)
    parts = add(svg, "g", class_="parts")
    seen: set[str] = set()
    for symbol in layout.symbols:
        _put_symbol(parts, pen, symbol, seen)
    for label in layout.labels:
        _put_label(parts, label)
    taps = add(svg, "g", class_="taps")
    _put_taps(taps, layout)
    grips = Element("g", {"class": "grips"})
    rungs = add(
        svg, "g", class_="rungs", role="group", aria_label="Loads and sources, in the order of the picture"
    )
    for order, plate in enumerate(layout.plates):
        _put_plate(rungs, pen, plate, order)
        if selected and plate.rung.part == selected and plate.rung.kind in SELECTABLE:
            _put_grips(grips, layout, plate)
    svg.append(grips)
    put_legend(svg, layout.height, layout.width)
    return finished(svg, layout.width, height)


def _marks(findings: Sequence[Finding]) -> dict[str, tuple[str, str]]:
    """The worst finding of each subject: its severity and message."""
    worst: dict[str, tuple[str, str]] = {}
    for finding in findings:
        for subject in finding.subjects:
            known = worst.get(subject)
            if known is None or SEVERITIES.index(finding.severity) < SEVERITIES.index(known[0]):
                worst[subject] = (finding.severity, finding.message)
    return worst


def _upright_lines(layout: Layout) -> list[tuple[float, float, float]]:
    lines: list[tuple[float, float, float]] = []
    for up in layout.uprights:
        if up.place.kind == "block":
            lines.extend((up.x + dx, up.y0, up.y1) for dx in (-up.half, up.half))
        for (x0, y0), (x1, y1) in zip(up.path, up.path[1:], strict=False):
            if x0 == x1 and up.place.kind != "block":
                lines.append((x0, y0, y1))
    for wire in layout.wires:
        for (x0, y0), (x1, y1) in zip(wire.points, wire.points[1:], strict=False):
            if x0 == x1:
                lines.append((x0, y0, y1))
    return lines


def _lit(pen: _Pen, ids: Sequence[str]) -> str:
    if not pen.states.selected:
        return ""
    own = any(i in pen.states.own for i in ids)
    shared = any(i in pen.states.shared for i in ids)
    return (" own" if own else "") + (" shared" if shared else "")


def _by_step(wires: Sequence[Wire]) -> list[list[Wire]]:
    """Stretches of one conductor belong together."""
    groups: dict[object, list[Wire]] = {}
    for n, wire in enumerate(wires):
        key = wire.step.ids if wire.step and wire.step.is_conductor else n
        groups.setdefault(key, []).append(wire)
    return list(groups.values())


def _is_dead(pen: _Pen, step: Step | None) -> bool:
    live = pen.states.live
    if live is None or step is None:
        return False
    refs = [t for t in (step.tail, step.head) if t[0]]
    return bool(refs) and not any(_alive(pen, t) for t in refs)


def _alive(pen: _Pen, at: Vertex) -> bool:
    live = pen.states.live or frozenset()
    if at in live:
        return True
    if at[1] == "" or at[1].startswith("="):
        key = at[0] if not at[1] else f"{at[0]}--{at[1][1:]}"
        place = pen.layout.circuit.places.get(key)
        return place is not None and any(t in live for t in place.terminals)
    return False


def _put_wires(parent: Element, pen: _Pen, wires: list[Wire]) -> None:
    first = wires[0]
    step = first.step
    conductor = step if step and step.is_conductor else None
    chain = pen.layout.circuit.chains.get(first.chain)
    folded = chain.folded if chain else ()
    ids = conductor.ids if conductor else folded
    current = next((pen.states.currents_a[i] for i in ids if i in pen.states.currents_a), None)
    area = sum(pen.areas_mm2.get(i, 0.0) for i in ids) or _chain_area(pen, first.chain)
    classes = f"conductor {'bonding' if first.bonding else first.side}"
    classes += " dead" if _is_dead(pen, step) else ""
    lit_by = ids or ((step.element,) if step else ())
    classes += _lit(pen, lit_by)
    data = "".join(path(wire.points, pen.uprights) for wire in wires)
    line = _put_line(parent, data, classes, 2.0 if first.bonding else line_width(current, area))
    if conductor:
        line.set("id", f"conductor-{conductor.ids[0]}")
        if len(conductor.ids) > 1:
            line.set("data-conductors", " ".join(conductor.ids))
        count = f"{len(conductor.ids)} × " if len(conductor.ids) > 1 else ""
        amps = f", {current:.3g} A" if current is not None else ""
        add(line, "title", f"{count}{conductor.name}{amps}")


def _put_line(parent: Element, data: str, classes: str, width: float) -> Element:
    """A conductor's line; on the shared path it lies on a broad band."""
    if "shared" in classes.split():
        add(parent, "path", d=data, fill="none", class_="shared-band", stroke_width=number(width + 10))
    return add(parent, "path", d=data, fill="none", class_=classes, stroke_width=number(width))


def _chain_area(pen: _Pen, chain: int) -> float:
    """The largest section along a chain, for its links and leads that have none of their own."""
    found = pen.layout.circuit.chains.get(chain)
    return max((pen.areas_mm2.get(i, 0.0) for s in found.steps for i in s.ids), default=0.0) if found else 0.0


def _put_upright(parent: Element, pen: _Pen, up: Upright) -> None:
    place, layout = up.place, pen.layout
    ids = [
        i
        for n in up.chains
        for s in layout.circuit.chains[n].steps[:: max(1, len(layout.circuit.chains[n].steps) - 1)]
        for i in s.ids
    ]
    lit = _lit(pen, ids if place.kind in STEMS else (place.part,))
    if place.kind not in STEMS and pen.states.selected and not lit:
        touched = {i for n in up.chains for s in layout.circuit.chains[n].steps for i in s.ids}
        lit = " own" if len(touched & pen.states.own) > 1 else ""
    dead = (
        " dead"
        if pen.states.live is not None and not any(t in pen.states.live for t in place.terminals)
        else ""
    )
    if place.kind == "block":
        _put_block(parent, pen, up)
        return
    if place.kind in STEMS:
        width = max([2.0, *(_width_of(pen, n) for n in up.chains)])
        data = path(up.path, pen.uprights)
        _put_line(parent, data, f"conductor stem {place.side}{dead}{lit}", width)
        return
    group = add(parent, "g", id=f"part-{place.key}", class_=f"bar {place.kind} {place.side}{dead}{lit}")
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


def _width_of(pen: _Pen, chain: int) -> float:
    steps = pen.layout.circuit.chains[chain].steps
    widths = [
        line_width(pen.states.currents_a.get(i), pen.areas_mm2.get(i))
        for s in steps
        if s.is_conductor
        for i in s.ids[:1]
    ]
    return max(widths, default=2.0)


def _put_block(parent: Element, pen: _Pen, up: Upright) -> None:
    """A switch of more than two legs: its box, its terminals, and its blades as set."""
    place = up.place
    part = pen.layout.circuit.parts[place.part]
    group = add(
        parent,
        "g",
        id=f"part-{place.key}",
        class_=f"part block {part.kind} {place.side}" + _lit(pen, (place.part,)),
    )
    add(group, "title", part.name)
    x0, x1 = up.x - up.half, up.x + up.half
    add(group, "rect", x=x0, y=up.y0 - 20, width=x1 - x0, height=up.y1 - up.y0 + 40, class_="enclosure")
    at: dict[Vertex, tuple[float, float]] = {}
    for y, terminal, from_left in up.ends:
        at.setdefault(terminal, (x0 + 12 if from_left else x1 - 12, y))
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
                data = f"M{number(xb)} {number(yb)}L{number(xb + (xa - xb) * 0.45)} {number(yb + (ya - yb) * 0.45 - 6)}"
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


def _put_symbol(parent: Element, pen: _Pen, symbol: Symbol, seen: set[str]) -> None:
    step = symbol.step
    name = step.element.replace(".", "--")
    identity = f"part-{name}" if name not in seen else f"part-{name}--{step.tail[1]}"
    seen.add(name)
    dead = " dead" if _is_dead(pen, step) else ""
    kind = f"part {step.kind} {symbol.side}{' open' if step.is_open else ''}{dead}{_lit(pen, (step.element, *step.ids))}"
    turn = "" if symbol.forward else " scale(-1 1)"
    spot = f"translate({number(symbol.x)} {number(symbol.y)}){turn}"
    group = add(parent, "g", id=identity, class_=kind, transform=spot)
    state = "open" if step.is_open else "closed"
    add(
        group,
        "title",
        f"{step.name}, {step.label or step.kind}" + (f", {state}" if step.kind != "shunt" else ""),
    )
    step_symbol(group, step)
    subject = step.element if step.element in pen.marks else step.ids[0]
    if subject in pen.marks and "." not in step.element:
        severity, message = pen.marks[subject]
        mark = add(group, "path", d="M0 14 6 24H-6Z", class_=f"finding-mark {severity}")
        add(mark, "title", message)


def _put_label(parent: Element, label: Label) -> None:
    text = add(
        parent,
        "text",
        label.text,
        x=label.x,
        y=label.y,
        text_anchor=label.anchor,
        font_size="16",
        class_=label.kind,
    )
    if label.title and label.title != label.text:
        add(text, "title", label.title).tail = label.text
        text.text = None


def _put_batteries(parent: Element, pen: _Pen, boat: Boat) -> None:
    del boat
    group = add(parent, "g", class_="batteries", role="group", aria_label="Batteries")
    for box in pen.layout.batteries:
        b = box.box
        lit = _lit(pen, box.members)
        part = add(
            group,
            "g",
            id=f"part-{box.key}",
            class_=f"battery{lit}",
            role="group",
            aria_label=f"{box.name}, {', '.join(box.lines[-box.facts :])}",
        )
        add(part, "rect", x=b.x, y=b.y, width=b.width, height=b.height, class_="plate")
        battery_cells(part, b.x + 30, b.y, b.bottom)
        names = len(box.lines) - box.facts
        top = b.y + (b.height - 21 * len(box.lines)) / 2 + 16
        for n, text in enumerate(box.lines):
            add(
                part,
                "text",
                text,
                x=b.x + 56,
                y=top + n * 21,
                font_size="16",
                class_="name" if n < names else "fact",
            )
        for dx, is_top in box.posts.values():
            add(part, "circle", cx=b.x + dx, cy=b.y if is_top else b.bottom, r=4.0, class_="post")


def _put_ghost(parent: Element, pen: _Pen, ghost: ConductorGhost) -> None:
    """The old lead as a grey dashed line beside the new one, until the next edit."""
    old = pen.layout.terminals.get((ghost.was.part, ghost.was.terminal))
    new = pen.layout.terminals.get((ghost.stays.part, ghost.stays.terminal))
    if old is None or new is None:
        return
    (x0, y0), (x1, y1) = old, new
    points = ((x0, y0), (x0, y1 + 12), (x1, y1 + 12))
    line = add(parent, "path", d=path(points, pen.uprights), fill="none", class_="ghost", stroke_width="2")
    add(line, "title", "Where the lead was before")


def _put_taps(parent: Element, layout: Layout) -> None:
    """A target for each terminal; those at one point share one touch area."""
    ordered = sorted(layout.taps, key=lambda t: (t.side, t.x, t.y))
    for order, tap in enumerate(ordered):
        x, y = number(tap.x), number(tap.y)
        for n, (part, terminal) in enumerate(tap.terminals):
            target = SubElement(
                parent,
                "g",
                {
                    "id": f"tap-{part}--{terminal}",
                    "class": "tap bar-tap" if tap.is_bar else "tap",
                    "data-part": part,
                    "data-terminal": terminal,
                    "data-x": x,
                    "data-y": y,
                    "data-polarity": tap.side,
                    "data-order": str(order),
                },
            )
            if not n:
                target.set("data-name", tap.name)
                corner = {"x": number(tap.x - TARGET / 2), "y": number(tap.y - TARGET / 2)}
                SubElement(target, "rect", corner | {"width": "48", "height": "48", "fill": "none"})


def _put_plate(parent: Element, pen: _Pen, plate: PlateShape, order: int) -> None:
    rung, box = plate.rung, plate.box
    state = pen.states.rungs.get(rung.key, RungState())
    if rung.kind == "tie":
        middle = box.x + box.width / 2
        group = add(parent, "g", class_="rung tie", role="group", aria_label=rung.name, data_order=str(order))
        name = clipped(rung.name, box.width)
        add(
            group,
            "text",
            name,
            x=middle,
            y=box.y + box.height / 2 - 10,
            text_anchor="middle",
            font_size="16",
            class_="name",
        )
        return
    culprit = " culprit" if rung.part and rung.part == pen.states.heavy else ""
    chosen = (
        f"{culprit} selected"
        if pen.states.selected and pen.states.selected in (rung.part, *rung.members)
        else culprit
    )
    verdict = f" {state.verdict}" if state.verdict else ""
    spoken = ", ".join(x for x in (rung.name, state.spoken or state.word, state.drop, plate.note) if x)
    identity = f"load-{rung.part}" if rung.kind in SELECTABLE else rung.key.replace(":", "-")
    group = add(
        parent,
        "g",
        id=identity,
        class_=f"rung {rung.kind}{verdict}{chosen}",
        role="button",
        aria_label=spoken,
        tabindex="-1",
        data_order=str(order),
        data_part=rung.part,
    )
    if rung.members:
        group.set("data-members", " ".join(rung.members))
    add(group, "rect", x=box.x, y=box.y, width=box.width, height=box.height, class_="plate")
    _put_plate_text(group, pen, plate, state)


def _put_plate_text(group: Element, pen: _Pen, plate: PlateShape, state: RungState) -> None:
    rung, box = plate.rung, plate.box
    slim = pen.layout.portrait is not None
    cell = 0.0 if slim else 48.0
    height = pen.layout.style.plate_height
    if cell:
        add(
            group,
            "path",
            d=f"M{number(box.x + cell)} {number(box.y)}v{number(height)}",
            class_="engraving",
            fill="none",
        )
        symbol = add(
            group,
            "g",
            class_="symbol",
            transform=f"translate({number(box.x + cell / 2)} {number(box.y + height / 2)})",
        )
        rung_symbol(symbol, rung.symbol)
    left, right = box.x + cell + 8, box.right - 8
    first, second = box.y + 21, box.y + 43
    if slim:
        name = clipped(rung.name, right - left)
        _line(group, name, left, first, "name", title=rung.name)
        _line(group, state.figure, left, second, "figure")
        _line(group, state.drop, right, second, "drop", anchor="end")
        _verdict(group, state, left, second + 22, right)
    else:
        name = clipped(rung.name, right - left - text_width(state.figure) - 8)
        _line(group, name, left, first, "name", title=rung.name)
        _line(group, state.figure, right, first, "figure", anchor="end")
        _verdict(group, state, left, second, right - text_width(state.drop) - 8)
        _line(group, state.drop, right, second, "drop", anchor="end")
    for port in plate.ports:
        if port.y > box.y + height and port.port.name:
            outward = port.side == "positive"
            x = box.x + 8 if outward else box.right - 8
            text = clipped(port.port.name, box.width / 2 - 16)
            _line(group, text, x, port.y + 6, "port-name", anchor="start" if outward else "end")
    if plate.note:
        severity = pen.marks[rung.part][0]
        base = box.bottom - 9
        mark = add(
            group,
            "path",
            d=f"M{number(box.x + 15)} {number(base - 12)}l7 12h-14z",
            class_=f"finding-mark {severity}",
        )
        del mark
        _line(
            group, clipped(plate.note, box.width - 40), box.x + 30, base, f"note {severity}", title=plate.note
        )


def _line(
    group: Element, text: str, x: float, y: float, kind: str, *, anchor: str = "start", title: str = ""
) -> None:
    if text:
        line = add(group, "text", text, x=x, y=y, font_size="16", class_=kind)
        if anchor != "start":
            line.set("text-anchor", anchor)
        if title and title != text:
            line.text = None
            add(line, "title", title).tail = text


def _verdict(group: Element, state: RungState, x: float, y: float, right: float) -> None:
    """The verdict in shape and word; a plain word where there is none."""
    if state.verdict:
        verdict_mark(group, state.verdict, x + 8, y - 6)
        _line(group, clipped(state.word, right - x - 22), x + 22, y, "word")
    else:
        _line(group, clipped(state.word, right - x), x, y, "word plain")


def _put_grips(group: Element, layout: Layout, plate: PlateShape) -> None:
    """A 48 px handle at each lead's end, beside the plate; ``data-x`` and ``data-y`` tell where the lead ends now."""
    seen: set[Vertex] = set()
    for port in plate.ports:
        part, terminal = port.port.at
        if port.port.chain is None or port.port.at in seen:
            continue
        seen.add(port.port.at)
        outward = -1 if port.side == "positive" else 1
        x = port.x + outward * TARGET / 2
        end = _lead_end(layout, port)
        grip = add(
            group,
            "g",
            id=f"grip-{part}--{terminal}",
            class_=f"grip {port.side}",
            role="button",
            tabindex="-1",
            aria_label=f"Pick up {plate.rung.name}, {port.side} lead ({port.port.name})",
            data_part=part,
            data_terminal=terminal,
            data_polarity=port.side,
            data_x=number(end[0]),
            data_y=number(end[1]),
            data_home_x=number(port.x),
            data_home_y=number(port.y),
        )
        add(
            grip,
            "rect",
            x=x - TARGET / 2,
            y=port.y - TARGET / 2,
            width=TARGET,
            height=TARGET,
            class_="grip-area",
            fill="none",
        )
        add(grip, "rect", x=x - 7, y=port.y - 10, width=14.0, height=20.0, class_="grip-handle")


def _lead_end(layout: Layout, port: PlatePort) -> tuple[float, float]:
    """Where a rung's lead lands at its far end."""
    for up in layout.uprights:
        if port.port.chain in up.chains:
            return up.x, port.y
    return port.x, port.y
