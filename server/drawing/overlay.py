"""What every tap answers, over the diagram: a mark at each target, figures only where they help."""

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from server.boat.value import TerminalRef
from server.drawing.legend import LEGEND_HEIGHT
from server.drawing.measures import Box, text_width
from server.drawing.shapes import Layout, Point
from server.drawing.svg import Svg, add, finished, number, root
from server.engine.answer import Mark, PickUp, TapAnswer

MARK_RADIUS = 12.0
BEST = 5
TAG_HEIGHT = 28.0
TAG_PITCH = 32.0
MARGIN = 6.0
WORDS: dict[Mark, str] = {
    "clears": "clears the finding",
    "better": "better",
    "same": "no real change",
    "worse": "worse",
    "breaks": "breaks something",
}


@dataclass(frozen=True, slots=True)
class _Tag:
    """A figure for the outer margin, and the mark it belongs to."""

    text: str
    at: Point
    kind: str


def tap_overlay(layout: Layout, pick_up: PickUp, *, caught: TerminalRef | None = None) -> Svg:
    """The overlay with root ``#tap-answers`` and the diagram's viewBox.

    The shape says it: filled disc clears the finding, ring better, dash no real change, triangle down worse,
    barred circle breaks something. Text stands at the five best, the present place and the caught target.
    """
    height = layout.height + LEGEND_HEIGHT
    svg = root(layout.width, height, id="tap-answers", class_="tap-answers", aria_hidden="true")
    targets = _targets(layout, pick_up)
    leaders = add(svg, "g", class_="leaders")
    for at, tap in targets.items():
        _put_mark(svg, at, tap, present=tap.present)
    left = pick_up.polarity == "positive"
    tags = _tags(targets, pick_up, layout, caught)
    for tag, y in zip(tags, _tag_levels(tags, targets, layout, left=left), strict=True):
        _put_tag(svg, leaders, layout.width, tag, y, left=left)
    return finished(svg, layout.width, height)


def place_of(layout: Layout, terminal: TerminalRef) -> Point | None:
    """Where a terminal is seen: itself, else the fold that holds its part, else nowhere in this picture."""
    at = layout.terminals.get((terminal.part, terminal.terminal))
    if at is not None:
        return at
    fold = next((key for key, ids in layout.folds.items() if terminal.part in ids), None)
    for plate in layout.plates:
        if fold is not None and plate.rung.key == f"rung:{fold}":
            port = next((p for p in plate.ports if p.port.at[0] == terminal.part), None)
            return (port.x, port.y) if port else None
    return None


def _targets(layout: Layout, pick_up: PickUp) -> dict[Point, TapAnswer]:
    """The best-ranked answer at each point."""
    found: dict[Point, TapAnswer] = {}
    for tap in pick_up.taps:
        at = place_of(layout, tap.terminal)
        if at is None:
            continue
        known = found.get(at)
        if known is None or (not known.present and (tap.present or _rank(tap) < _rank(known))):
            found[at] = tap
    return found


def _rank(tap: TapAnswer) -> int:
    return 10_000 if tap.rank is None else tap.rank


def _put_mark(parent: Element, at: Point, tap: TapAnswer, *, present: bool) -> None:
    x, y = number(at[0]), number(at[1])
    group = add(
        parent,
        "g",
        class_=f"answer {tap.mark}" + (" present" if present else ""),
        transform=f"translate({x} {y})",
        data_terminal=f"{tap.terminal.part}.{tap.terminal.terminal}",
    )
    r = MARK_RADIUS
    match tap.mark:
        case "clears":
            add(group, "circle", r=r, class_="mark")
        case "better":
            add(group, "circle", r=r - 2.5, class_="mark")
        case "same":
            add(group, "rect", x=-r, y=-4.0, width=2 * r, height=8.0, class_="mark")
        case "worse":
            add(group, "path", d="M-12 -10H12L0 12Z", class_="mark")
        case _:
            add(group, "circle", r=r - 1.5, class_="mark")
            add(group, "path", d="M-7.5 7.5 7.5 -7.5", class_="mark")


def _tags(
    targets: dict[Point, TapAnswer], pick_up: PickUp, layout: Layout, caught: TerminalRef | None
) -> list[_Tag]:
    tags = []
    best = sorted((t for t in targets.values() if t.rank is not None and not t.present), key=_rank)[:BEST]
    for at, tap in targets.items():
        volts = f"{tap.lowest.value:.1f} V" if tap.lowest else "no figure"
        if caught is not None and tap.terminal == caught:
            tags.append(_Tag(volts, at, "caught"))
        elif tap.present:
            tags.append(_Tag(f"now {volts}", at, "present"))
        elif tap in best:
            tags.append(_Tag(f"{tap.rank} · {volts}", at, "best"))
    here = pick_up.present
    at_now = place_of(layout, here.terminal) if here else None
    if here is not None and at_now is not None and not any(t.kind == "present" for t in tags):
        volts = f"{here.lowest.value:.1f} V" if here.lowest else "no figure"
        tags.append(_Tag(f"now {volts}", at_now, "present"))
    return sorted(tags, key=lambda t: t.at[1])


def _tag_levels(
    tags: list[_Tag], targets: dict[Point, TapAnswer], layout: Layout, *, left: bool
) -> list[float]:
    """A height for each tag, in their order, clear of each other and of the marks near the edge."""
    levels: list[float] = []
    free = TAG_HEIGHT / 2 + MARGIN
    for tag in tags:
        y = max(tag.at[1], free)
        box = _tag_box(layout.width, tag, y, left=left)
        marks = [Box(x - 14, my - 14, 28, 28) for x, my in targets]
        while any(_tag_box(layout.width, tag, y, left=left).meets(mark) for mark in marks):
            y += 4
        del box
        levels.append(y)
        free = y + TAG_PITCH
    return levels


def _tag_box(width: float, tag: _Tag, y: float, *, left: bool) -> Box:
    room = text_width(tag.text) + 16
    return Box(MARGIN if left else width - MARGIN - room, y - TAG_HEIGHT / 2, room, TAG_HEIGHT)


def _put_tag(  # noqa: PLR0913 - one tag with its line
    parent: Element, leaders: Element, width: float, tag: _Tag, y: float, *, left: bool
) -> None:
    box = _tag_box(width, tag, y, left=left)
    edge = box.right if left else box.x
    data = f"M{number(edge)} {number(y)}L{number(tag.at[0])} {number(tag.at[1])}"
    add(leaders, "path", d=data, class_="leader")
    group = add(parent, "g", class_=f"figure {tag.kind}")
    add(group, "rect", x=box.x, y=box.y, width=box.width, height=box.height, class_="tag")
    add(group, "text", tag.text, x=box.x + 8, y=y + 6, font_size="16")
