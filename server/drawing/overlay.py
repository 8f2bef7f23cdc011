"""What every tap answers, over the diagram: a mark at each target, figures only where they help."""

from xml.etree.ElementTree import Element

from server.boat.value import TerminalRef
from server.drawing.flags import Flag, placed_flags
from server.drawing.legend import legend_height
from server.drawing.marks import MARK_RADIUS, PlacedMark, Spot, placed_marks, rank_of, row_of, spot_of
from server.drawing.shapes import Layout, Point
from server.drawing.svg import Svg, add, finished, number, root
from server.engine.answer import Mark, PickUp, TapAnswer
from server.engine.ranking import charge

BEST = 5


def tap_overlay(layout: Layout, pick_up: PickUp, *, caught: TerminalRef | None = None) -> Svg:
    """The overlay with root ``#tap-answers`` and the diagram's viewBox.

    The shape says it: filled disc clears the finding, ring better, dash no real change, triangle down worse,
    barred circle breaks something. Text stands at the five best, the present place and the caught target.
    Each mark names its terminal and the stretch of its bar, so that a hand may land anywhere on it.
    """
    height = layout.height + legend_height(layout.width)
    svg = root(layout.width, height, id="tap-answers", class_="tap-answers", aria_hidden="true")
    marks = placed_marks(layout, pick_up)
    row = row_of(layout, pick_up)
    poles = add(svg, "g", class_="leaders")
    for mark in marks:
        _put_mark(svg, mark)
    flags = placed_flags(
        layout, _texts(marks, pick_up, layout, caught, row), [m.at for m in marks], row, pick_up.polarity
    )
    for flag in flags:
        put_flag(svg, poles, flag)
    return finished(svg, layout.width, height)


def _put_mark(parent: Element, mark: PlacedMark) -> None:
    tap = mark.answer
    name = f"{tap.terminal.part}--{tap.terminal.terminal}"
    put_sign(parent, name, tap.mark, mark.at, mark.spot, " present" if tap.present else "")


def put_sign(  # noqa: PLR0913, PLR0917 - each names one thing of the sign
    parent: Element, name: str, sign: Mark, at: Point, spot: Spot, also: str = ""
) -> None:
    """A place's sign on its metal; ``name`` is what the list calls the place by."""
    x, y = number(at[0]), number(at[1])
    group = add(
        parent,
        "g",
        id=f"mark-{name}",
        class_=f"answer {sign}{also}",
        transform=f"translate({x} {y})",
        data_x=x,
        data_y=y,
        data_top=spot.top,
        data_bottom=spot.bottom,
    )
    r = MARK_RADIUS
    match sign:
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


def _texts(
    marks: tuple[PlacedMark, ...],
    pick_up: PickUp,
    layout: Layout,
    caught: TerminalRef | None,
    row: float,
) -> list[tuple[str, str, Point]]:
    """Text, kind and point of each flag."""
    ranked = (mark.answer for mark in marks if mark.answer.rank is not None and not mark.answer.present)
    best = sorted(ranked, key=rank_of)[:BEST]
    found: list[tuple[str, str, Point]] = []
    for mark in marks:
        answer = mark.answer
        if answer.terminal == caught:
            found.append((_volts(answer), "caught", mark.at))
        elif answer.present:
            found.append((f"now {_volts(answer)}", "present", mark.at))
        elif answer in best:
            found.append((f"{answer.rank} · {_volts(answer)}", "best", mark.at))
    here = pick_up.present
    if here is not None and not any(kind == "present" for _, kind, _ in found):
        spot = spot_of(layout, here.terminal)
        if spot is not None:
            found.append((f"now {_volts(here)}", "present", spot.at(row)))
    return found


def _volts(answer: TapAnswer) -> str:
    """The lowest volts; those of the first instant, which the event's own are to follow, as about.

    For a source's lead what it charges in all, for that of a load that is off its drop.
    """
    if answer.banks:
        return f"{max(0.0, charge(answer.banks)[1]):.0f} A"
    if answer.lowest is None and answer.drop_fraction is not None:
        return f"{answer.drop_fraction * 100:.1f} % drop"
    if answer.lowest is None:
        return "no figure"
    return f"{'' if answer.exact else '≈ '}{answer.lowest.value:.1f} V"


def put_flag(parent: Element, poles: Element, flag: Flag) -> None:
    """A figure in its box, and the pole that leads from its mark."""
    box, (x, y) = flag.box, flag.at
    middle = box.y + box.height / 2
    add(
        poles,
        "path",
        d=f"M{number(x)} {number(y)}V{number(middle)}H{number(flag.foot)}",
        class_="leader",
        fill="none",
    )
    group = add(parent, "g", class_=f"figure {flag.kind}", data_x=x, data_left=box.x, data_right=box.right)
    add(group, "rect", x=box.x, y=box.y, width=box.width, height=box.height, class_="tag")
    add(group, "text", flag.text, x=box.x + 8, y=middle + 6, font_size="16")
