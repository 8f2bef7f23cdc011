"""The wiring diagram as SVG: the layout of ``ladder`` with the answers written on it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element

from server.boat.boat import Boat
from server.boat.finding import Finding
from server.drawing.equipment import put_batteries, put_label, put_symbol
from server.drawing.instant_states import at_instant
from server.drawing.ladder import ladder
from server.drawing.legend import legend_height, put_legend
from server.drawing.lines import (
    ConductorGhost,
    by_conductor,
    put_ghost,
    put_upright,
    put_wires,
    upright_lines,
)
from server.drawing.paths import Uprights
from server.drawing.pen import Pen
from server.drawing.plates import SELECTABLE, put_both_grip, put_grips, put_plate, put_turn
from server.drawing.shapes import Layout, Portrait
from server.drawing.states import areas_mm2, states
from server.drawing.svg import Svg, add, finished, root
from server.drawing.targets import put_taps
from server.engine.answer import ModeAnswer

if TYPE_CHECKING:
    from server.engine.transient.instant import InstantAnswer

__all__ = ["ConductorGhost", "diagram_of", "picture_layout", "wiring_diagram"]

SEVERITIES = ("danger", "fault", "advice", "cannot-tell")
NOTED = ("load", "inverter", "outboard", "converter")


def wiring_diagram(  # noqa: PLR0913 - each names one thing of the picture
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
    return diagram_of(
        boat, layout, answer=answer, event_id=event_id, selected=selected, ghost=ghost, findings=findings
    )


def picture_layout(  # noqa: PLR0913 - the same as of the picture
    boat: Boat,
    *,
    mode_id: str | None,
    selected: str | None = None,
    unfolded: frozenset[str] = frozenset(),
    shut: frozenset[str] = frozenset(),
    findings: Sequence[Finding] = (),
    portrait: Portrait = None,
) -> Layout:
    """The layout that ``wiring_diagram`` draws for the same arguments; overlays are drawn on it.

    A selected load is always unfolded; the loads of the parts in ``shut`` are folded on a small boat as well.
    """
    marks = _marks(findings)
    notes = {p.id: marks[p.id][1] for p in boat.parts if p.id in marks and p.kind in NOTED}
    seen = unfolded | {selected} if selected else unfolded
    return ladder(boat, mode_id, seen, shut=shut, notes=notes, portrait=portrait)


def diagram_of(  # noqa: PLR0913 - the same as of the picture
    boat: Boat,
    layout: Layout,
    *,
    answer: ModeAnswer | None = None,
    event_id: str | None = None,
    selected: str | None = None,
    ghost: ConductorGhost | None = None,
    findings: Sequence[Finding] = (),
    instant: "InstantAnswer | None" = None,
    chosen: str | None = None,
) -> Svg:
    """The picture on a layout from ``picture_layout`` for the same boat, mode, selection and findings.

    With an instant of the event it shows the currents and voltages of that instant. ``chosen`` is the part or
    conductor whose card is open.
    """
    marks = _marks(findings)
    told = states(boat, layout.circuit, answer, event_id, selected, findings)
    if instant is not None:
        told = at_instant(told, layout.circuit, answer, event_id, instant)
    uprights = Uprights(upright_lines(layout))
    pen = Pen(layout, told, areas_mm2(boat), uprights, marks)
    height = layout.height + legend_height(layout.width)
    classes = "diagram" + (" has-selection" if selected else "") + (" portrait" if layout.portrait else "")
    svg = root(
        layout.width, height, id="diagram", class_=classes, role="group", aria_label=f"Wiring of {boat.name}"
    )
    put_batteries(svg, pen)
    lines = add(svg, "g", class_="lines")
    for up in layout.uprights:
        put_upright(lines, pen, up)
    for wires in by_conductor(layout.wires):
        put_wires(lines, pen, wires)
    for x, y in layout.dots:
        add(lines, "circle", class_="join", cx=x, cy=y, r=5.0)
    for x, y in layout.rings:
        add(lines, "circle", class_="tap-ring", cx=x, cy=y, r=5.5)
    for x, y in layout.loose:
        add(lines, "circle", class_="loose-end", cx=x, cy=y, r=5.0)
    if ghost:
        put_ghost(lines, pen, ghost)
    parts = add(svg, "g", class_="parts")
    seen: set[str] = set()
    for symbol in layout.symbols:
        put_symbol(parts, pen, symbol, seen)
    for label in layout.labels:
        put_label(parts, label)
    taps = add(svg, "g", class_="taps")
    put_taps(taps, layout)
    grips = Element("g", {"class": "grips"})
    rungs = add(
        svg, "g", class_="rungs", role="group", aria_label="Loads and sources, in the order of the picture"
    )
    for order, plate in enumerate(layout.plates):
        put_plate(rungs, pen, plate, order)
        if selected and plate.rung.part == selected and plate.rung.kind in SELECTABLE:
            put_grips(grips, layout, plate)
            put_both_grip(grips, layout, plate)
    svg.append(grips)
    put_turn(svg, layout)
    if chosen is not None:
        _mark_chosen(svg, chosen)
    put_legend(svg, layout.height, layout.width)
    return finished(svg, layout.width, height)


def _mark_chosen(svg: Element, chosen: str) -> None:
    """A way of a panel by itself, where it is drawn; else what carries the part's or conductor's own name."""
    drawn = [(element, element.get("data-thing", "").split()) for element in svg.iter()]
    name = chosen if any(chosen in things for _, things in drawn) else chosen.partition(".")[0]
    for element, things in drawn:
        if name in things:
            element.set("class", f"{element.get('class', '')} chosen".lstrip())


def _marks(findings: Sequence[Finding]) -> dict[str, tuple[str, str]]:
    """The worst finding of each subject: its severity and message."""
    worst: dict[str, tuple[str, str]] = {}
    for finding in findings:
        for subject in finding.subjects:
            known = worst.get(subject)
            if known is None or SEVERITIES.index(finding.severity) < SEVERITIES.index(known[0]):
                worst[subject] = (finding.severity, finding.message)
    return worst
