"""The plates of the rungs, and the grips at a selected load's leads, as SVG."""

from xml.etree.ElementTree import Element

from server.drawing.circuit import Vertex
from server.drawing.measures import TARGET, clipped, text_width
from server.drawing.pen import Pen
from server.drawing.shapes import Layout, PlatePort, PlateShape
from server.drawing.sheet import NOTE
from server.drawing.states import RungState
from server.drawing.svg import add, number
from server.drawing.symbols import rung_symbol, verdict_mark

SELECTABLE = ("load", "source", "converter")


def put_plate(parent: Element, pen: Pen, plate: PlateShape, order: int) -> None:
    """One rung: plate, symbol, name, figure, verdict, drop and note."""
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
    slim = pen.layout.portrait is not None
    corner = TARGET if slim and chosen.endswith("selected") and has_both_leads(plate) else 0.0
    __put_plate_text(group, pen, plate, state, corner)


def __put_plate_text(group: Element, pen: Pen, plate: PlateShape, state: RungState, corner: float) -> None:
    """The words; ``corner`` is what a slim plate keeps free at its upper right for the grip of both leads."""
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
        name = clipped(rung.name, right - left - corner)
        _line(group, name, left, first, "name", title=rung.name)
        _line(group, state.figure, left, second, "figure")
        _line(group, "" if corner else state.drop, right, second, "drop", anchor="end")
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
    base = box.bottom - 9 - (NOTE if plate.note else 0)
    for n, text in enumerate(reversed(plate.lines)):
        _line(group, text, box.x + 8, base - n * NOTE, "device")
    if plate.note:
        severity = pen.marks[rung.part][0]
        base = box.bottom - 9
        triangle = f"M{number(box.x + 15)} {number(base - 12)}l7 12h-14z"
        add(group, "path", d=triangle, class_=f"finding-mark {severity}")
        _line(
            group, clipped(plate.note, box.width - 40), box.x + 30, base, f"note {severity}", title=plate.note
        )


def _line(  # noqa: PLR0913 - a text has that many properties
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


def put_grips(group: Element, layout: Layout, plate: PlateShape) -> None:
    """A 48 px handle for each lead, beside the plate; ``data-x``, ``data-y`` tell where it ends now."""
    seen: set[Vertex] = set()
    for port in plate.ports:
        part, terminal = port.port.at
        if port.port.chain is None or port.port.at in seen or layout.portrait not in (None, port.side):
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
            data_name=f"{plate.rung.name} {port.side}",
            data_x=number(end[0]),
            data_y=number(end[1]),
            data_handle_x=number(x),
            data_handle_y=number(port.y),
            data_home_x=number(port.x),
            data_home_y=number(port.y),
        )
        for cx, cy in dict.fromkeys(((x, port.y), end)):
            add(
                grip,
                "rect",
                x=cx - TARGET / 2,
                y=cy - TARGET / 2,
                width=TARGET,
                height=TARGET,
                class_="grip-area",
                fill="none",
            )
        add(grip, "rect", x=x - 7, y=port.y - 10, width=14.0, height=20.0, class_="grip-handle")
        add(grip, "circle", cx=end[0], cy=end[1], r=9.0, class_="grip-handle")


def put_both_grip(group: Element, layout: Layout, plate: PlateShape) -> None:
    """One handle for both leads: the frame round the plate's symbol; on a slim plate in its upper corner."""
    if not has_both_leads(plate):
        return
    slim = layout.portrait is not None
    height = TARGET if slim else layout.style.plate_height
    left, top = plate.box.right - TARGET if slim else plate.box.x, plate.box.y
    x, y = left + TARGET / 2, top + height / 2
    grip = add(
        group,
        "g",
        id=f"grip-{plate.rung.part}--both",
        class_="grip both",
        role="button",
        tabindex="-1",
        aria_label=f"Pick up {plate.rung.name}, both leads",
        data_part=plate.rung.part,
        data_terminal="both",
        data_polarity="both",
        data_name=f"both leads of {plate.rung.name}",
        data_x=number(x),
        data_y=number(y),
    )
    add(grip, "rect", x=left, y=top, width=TARGET, height=height, class_="grip-area", fill="none")
    add(grip, "rect", x=left + 6, y=top + 6, width=TARGET - 12, height=height - 12, class_="grip-frame")
    if slim:
        for dy, side in ((-6, "positive"), (6, "negative")):
            add(grip, "path", d=f"M{number(x - 10)} {number(y + dy)}h20", class_=f"grip-lead {side}")


def has_both_leads(plate: PlateShape) -> bool:
    """Whether a plate is a load's with a lead on either side, so that both can be taken at once."""
    sides = {port.side for port in plate.ports if port.port.chain is not None}
    return sides == {"positive", "negative"} and plate.rung.kind == "load"


def put_turn(parent: Element, layout: Layout) -> None:
    """On a picture of one polarity, the strip that names the other's bars turns the picture when touched."""
    if layout.portrait is None or not layout.plates:
        return
    other = "negative" if layout.portrait == "positive" else "positive"
    top = layout.plates[0].box.y - TARGET
    left = 0.0 if other == "positive" else layout.plate_right
    right = layout.plate_left if other == "positive" else layout.width
    turn = add(
        parent,
        "g",
        id="turn",
        class_="turn",
        role="button",
        tabindex="-1",
        aria_label=f"Show the {other} side",
        data_side=other,
    )
    width, height = right - left, layout.bottom - top
    add(turn, "rect", x=left, y=top, width=width, height=height, class_="turn-area", fill="none")
    sign = "+" if other == "positive" else "−"
    middle = (left + right) / 2
    add(turn, "text", f"show {sign}", x=middle, y=top + 26, text_anchor="middle", font_size="16")


def _lead_end(layout: Layout, port: PlatePort) -> tuple[float, float]:
    """Where a rung's lead lands at its far end: on a bar or post, or behind a panel's own breaker or fuse."""
    chain = layout.circuit.chains[port.port.chain] if port.port.chain is not None else None
    if chain is not None and chain.steps:
        outer = chain.steps[-1] if chain.a_at == port.port.at else chain.steps[0].turned()
        if not outer.is_conductor and "." in outer.element and outer.tail in layout.terminals:
            return layout.terminals[outer.tail]
    for up in layout.uprights:
        if port.port.chain in up.chains:
            return up.x, port.y
    return port.x, port.y
