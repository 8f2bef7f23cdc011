"""Batteries, parts on their conductors, and the names of things as SVG."""

from xml.etree.ElementTree import Element

from server.drawing.labels import Label
from server.drawing.pen import Pen
from server.drawing.shapes import Symbol
from server.drawing.svg import add, number
from server.drawing.symbols import battery_cells, step_symbol


def put_batteries(parent: Element, pen: Pen) -> None:
    """The row of batteries with their posts."""
    group = add(parent, "g", class_="batteries", role="group", aria_label="Batteries")
    for box in pen.layout.batteries:
        b = box.box
        lit = pen.lit(box.members)
        part = add(
            group,
            "g",
            id=f"part-{box.key}",
            class_=f"battery{lit}",
            role="button",
            tabindex="-1",
            aria_label=f"{box.name}, {', '.join(box.lines[-box.facts :])}",
            data_thing=" ".join(box.members),
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


def put_symbol(parent: Element, pen: Pen, symbol: Symbol, seen: set[str]) -> None:
    """A part on its conductor; ``seen`` keeps ids unique where a part shows twice."""
    step = symbol.step
    name = step.element.replace(".", "--")
    identity = f"part-{name}" if name not in seen else f"part-{name}--{step.tail[1]}"
    seen.add(name)
    dead = " dead" if pen.is_dead(step) else ""
    lit = pen.lit((step.element, *step.ids))
    kind = f"part {step.kind} {symbol.side}{' open' if step.is_open else ''}{dead}{lit}"
    turn = "" if symbol.forward else " scale(-1 1)"
    spot = f"translate({number(symbol.x)} {number(symbol.y)}){turn}"
    touched = {"role": "button", "tabindex": "-1", "data_thing": step.element}
    group = add(parent, "g", id=identity, class_=kind, transform=spot, **touched)
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


def put_label(parent: Element, label: Label) -> None:
    """A text; a shortened one carries its whole in a title."""
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
