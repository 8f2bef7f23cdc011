"""Graphical symbols in the manner of IEC 60617, drawn around the origin of their group."""

from xml.etree.ElementTree import Element

from server.drawing.circuit import Step
from server.drawing.measures import SYMBOL
from server.drawing.svg import add

HALF = SYMBOL / 2


def step_symbol(parent: Element, step: Step) -> None:
    """The symbol of a part on a conductor; a contact stands as its position has it."""
    match step.kind:
        case "fuse":
            _fuse(parent, is_open=step.is_open)
        case "breaker":
            _contact(parent, is_open=step.is_open)
            add(parent, "path", d="M8 -4 16 4M8 4 16 -4", class_="mark")
        case "contact":
            _contact(parent, is_open=step.is_open)
            add(parent, "circle", cx=-HALF + 4, cy=0.0, r=3.0, class_="pivot")
            add(parent, "circle", cx=HALF - 4, cy=0.0, r=3.0, class_="pivot")
        case "combiner":
            _contact(parent, is_open=step.is_open)
            add(parent, "rect", x=-8.0, y=6.0, width=16.0, height=8.0, class_="outline")
        case "shunt":
            _box(parent)
            add(parent, "path", d="M-9 -8V-13M9 -8V-13", class_="mark")
        case "connector":
            add(parent, "path", d=f"M-{HALF:g} 0H-4M4 0H{HALF:g}", class_="lead")
            add(parent, "path", d="M-9 -7Q0 -7 0 0Q0 7 -9 7", class_="mark")
            add(parent, "path", d="M-4 0H8", class_="pin")
        case _:
            add(parent, "path", d=f"M-{HALF:g} 0H{HALF:g}", class_="lead")
            if step.is_open:
                add(parent, "path", d="M-5 -7 5 7M-5 7 5 -7", class_="mark")


def _box(parent: Element) -> None:
    add(parent, "path", d=f"M-{HALF:g} 0H-15M15 0H{HALF:g}", class_="lead")
    add(parent, "rect", x=-15.0, y=-8.0, width=30.0, height=16.0, class_="outline")


def _fuse(parent: Element, *, is_open: bool) -> None:
    add(parent, "rect", x=-15.0, y=-8.0, width=30.0, height=16.0, class_="outline")
    through = f"M-{HALF:g} 0H-5M5 0H{HALF:g}" if is_open else f"M-{HALF:g} 0H{HALF:g}"
    add(parent, "path", d=through, class_="lead")


def _contact(parent: Element, *, is_open: bool) -> None:
    add(parent, "path", d=f"M-{HALF:g} 0H-12M12 0H{HALF:g}", class_="lead")
    add(parent, "path", d="M-12 0 8 -14" if is_open else "M-12 0 13 -2", class_="blade")


def rung_symbol(parent: Element, kind: str) -> None:
    """The symbol on a plate: motor, generator, lamp, resistor, coil, device, converter or fold."""
    if kind in ("motor", "generator"):
        add(parent, "circle", cx=0.0, cy=0.0, r=14.0, class_="outline")
        letter = "M" if kind == "motor" else "G"
        add(parent, "text", letter, x=0.0, y=6.0, class_="letter", text_anchor="middle", font_size="16")
    elif kind == "lamp":
        add(parent, "circle", cx=0.0, cy=0.0, r=14.0, class_="outline")
        add(parent, "path", d="M-9.9 -9.9 9.9 9.9M-9.9 9.9 9.9 -9.9", class_="mark")
    elif kind == "resistor":
        add(parent, "rect", x=-14.0, y=-7.0, width=28.0, height=14.0, class_="outline")
    elif kind == "coil":
        add(parent, "path", d="M-15 0a5 5 0 0 1 10 0a5 5 0 0 1 10 0a5 5 0 0 1 10 0", class_="mark")
    elif kind in ("converter", "inverter", "charger"):
        add(parent, "rect", x=-14.0, y=-14.0, width=28.0, height=28.0, class_="outline")
        add(parent, "path", d="M-14 14 14 -14", class_="mark")
        direct, alternating = "M-11 -9H-3M-11 -5H-3", "M2 8q2.5 -5 5 0t5 0"
        lower = "M3 6H11M3 10H11" if kind == "converter" else alternating
        if kind == "charger":
            direct, lower = "M-12 -6q2.5 -5 5 0t5 0", "M3 6H11M3 10H11"
        add(parent, "path", d=direct + lower, class_="mark")
    elif kind == "solar":
        add(parent, "rect", x=-14.0, y=-10.0, width=28.0, height=20.0, class_="outline")
        add(parent, "path", d="M-14 0H14M-5 -10V10M5 -10V10", class_="mark")
    elif kind == "fold":
        add(parent, "path", d="M-13 -9H13M-13 -3H13M-13 3H13M-13 9H13", class_="mark")
    elif kind != "none":
        add(parent, "rect", x=-14.0, y=-10.0, width=28.0, height=20.0, class_="outline")
        add(parent, "path", d="M-8 4V-2M-3 4V-5M2 4V0M7 4V-3", class_="mark")


def battery_cells(parent: Element, x: float, top: float, bottom: float) -> None:
    """Two cell pairs between the posts; the long thin plate is the positive one."""
    middle = (top + bottom) / 2
    add(parent, "path", d=f"M{x:g} {top:g}V{middle - 14:g}M{x:g} {middle + 14:g}V{bottom:g}", class_="lead")
    for y in (middle - 14, middle + 4):
        add(parent, "path", d=f"M{x - 15:g} {y:g}H{x + 15:g}", class_="plate-long")
        add(parent, "path", d=f"M{x - 8:g} {y + 10:g}H{x + 8:g}", class_="plate-short")
    add(parent, "path", d=f"M{x:g} {middle - 4:g}V{middle + 4:g}", class_="lead between")


VERDICT_SHAPES = {
    "keeps-running": "M-6 0 -2 5 7 -6",
    "restarts": "M-8 -6H8L0 8Z",
    "too-close-to-call": "M0 -8 8 0 0 8 -8 0Z",
    "limit-not-known": "M-7 -7H7V7H-7Z",
}


def verdict_mark(parent: Element, verdict: str, x: float, y: float) -> None:
    """A verdict's own shape: a tick, a triangle pointing down, a lozenge, a square."""
    add(
        parent,
        "path",
        d=VERDICT_SHAPES[verdict],
        class_=f"verdict {verdict}",
        transform=f"translate({x:g} {y:g})",
    )
