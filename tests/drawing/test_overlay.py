"""What every tap answers: shapes carry the meaning, text stands only where it helps."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from server.boat.value import TerminalRef
from server.drawing.diagram import picture_layout, wiring_diagram
from server.drawing.marks import spot_of
from server.drawing.measures import Box
from server.drawing.overlay import tap_overlay
from server.drawing.shapes import Layout
from server.engine.answer import PickUp
from server.engine.taps import pick_up as engine_pick_up
from tests.drawing.answers import pick_up, tap
from tests.drawing.pictures import BOATS, parsed, seed, texts, upright_stretches
from tests.drawing.small_boats import bar, battery, boat, load, wire


def many_bars() -> tuple[object, ...]:
    bars = [bar(f"bar-{n}", studs=4) for n in range(1, 9)]
    wires = [wire(f"b{n}", f"bar-{n}.stud-1", f"bar-{n + 1}.stud-2") for n in range(1, 8)]
    loads = [load(f"load-{n}") for n in range(1, 9)]
    leads = [wire(f"n{n}", f"load-{n}.negative", f"bar-{n}.stud-3") for n in range(1, 9)]
    feeds = [wire(f"p{n}", "house.positive", f"load-{n}.supply") for n in range(1, 9)]
    home = [wire("home", "house.negative", "bar-1.stud-4")]
    made = boat([battery("house"), *bars, *loads], [*wires, *leads, *feeds, *home])
    return made, picture_layout(made, mode_id=None)


ANSWERS = (
    tap("bar-1.stud-2", 1, "clears", 11.6),
    tap("bar-2.stud-4", 2, "better", 11.2),
    tap("bar-3.stud-4", 3, "same", 9.1),
    tap("bar-4.stud-4", 4, "worse", 8.0),
    tap("bar-5.stud-4", 5, "worse", 7.9),
    tap("bar-6.stud-4", 6, "worse", 7.8),
    tap("bar-7.stud-4", None, "breaks", 11.9),
    tap("bar-8.stud-3", None, "same", 7.1, present=True),
)


def test_five_best_places_and_the_present_one_say_their_volts() -> None:
    _, layout = many_bars()

    shown = {t.text for t in texts(tap_overlay(layout, pick_up(*ANSWERS)))}  # type: ignore[arg-type]

    assert shown == {"1 · 11.6 V", "2 · 11.2 V", "3 · 9.1 V", "4 · 8.0 V", "5 · 7.9 V", "now 7.1 V"}


def test_a_caught_target_says_its_volts_too() -> None:
    _, layout = many_bars()
    caught = TerminalRef(part="bar-6", terminal="stud-4")

    shown = {t.text for t in texts(tap_overlay(layout, pick_up(*ANSWERS), caught=caught))}  # type: ignore[arg-type]

    assert "7.8 V" in shown


def test_each_meaning_has_a_shape_of_its_own() -> None:
    _, layout = many_bars()

    drawing = parsed(tap_overlay(layout, pick_up(*ANSWERS)))  # type: ignore[arg-type]

    shapes = {}
    for group in drawing.iter("g"):
        kind = group.get("class", "").split()
        if kind[:1] == ["answer"]:
            shapes[kind[1]] = [(c.tag, c.get("d"), c.get("r")) for c in group]
    assert shapes.keys() == {"clears", "better", "same", "worse", "breaks"}
    assert len({repr(s) for s in shapes.values()}) == 5


def test_figures_stand_apart_from_each_other_in_the_margin_of_their_side() -> None:
    _, layout = many_bars()

    boxes = texts(tap_overlay(layout, pick_up(*ANSWERS)))  # type: ignore[arg-type]

    assert not any(a.overlaps(b) for n, a in enumerate(boxes) for b in boxes[n + 1 :])
    assert all(t.left > layout.plate_right for t in boxes)  # type: ignore[attr-defined]


def test_the_overlay_lies_exactly_on_its_diagram() -> None:
    made, layout = many_bars()

    below = parsed(wiring_diagram(made, mode_id=None))  # type: ignore[arg-type]
    above = parsed(tap_overlay(layout, pick_up(*ANSWERS)))  # type: ignore[arg-type]

    assert above.get("viewBox") == below.get("viewBox")
    assert above.get("id") == "tap-answers"


def test_a_place_inside_a_fold_is_marked_on_the_fold() -> None:
    large = seed("5-large-yacht")
    layout = picture_layout(large, mode_id=None)
    panel = next(
        p for p in large.parts if p.kind == "panel" and p.id in {i for f in layout.folds.values() for i in f}
    )
    section = panel.sections[0]

    at = spot_of(layout, TerminalRef(part=panel.id, terminal=f"{section.id}-{section.ways[0].id}"))

    assert at is not None
    assert "5-large-yacht" in BOATS


def test_a_place_that_is_not_in_this_picture_gets_no_mark() -> None:
    _, layout = many_bars()

    drawn = tap_overlay(layout, pick_up(tap("elsewhere.stud-1", 1, "clears")))  # type: ignore[arg-type]

    assert "answer" not in drawn.markup.replace("tap-answers", "")


def mark_points(drawing: Element) -> dict[str, tuple[float, float, float, float]]:
    """Where each mark stands, and the stretch it stands for."""
    return {
        node.attrib["id"]: tuple(float(node.attrib[f"data-{key}"]) for key in ("x", "y", "top", "bottom"))  # type: ignore[misc]
        for node in drawing.iter("g")
        if node.get("id", "").startswith("mark-")
    }


def test_a_bar_answers_at_the_height_of_the_held_leads_row_as_far_as_it_reaches() -> None:
    _, layout = many_bars()
    rows = {p.rung.part: p.ports[-1].y for p in layout.plates}  # type: ignore[attr-defined]
    bars = {up.place.part: up for up in layout.uprights}  # type: ignore[attr-defined]

    held = pick_up(*ANSWERS, part="load-8")
    points = mark_points(parsed(tap_overlay(layout, held)))  # type: ignore[arg-type]

    x, y, top, bottom = points["mark-bar-8--stud-3"]
    assert (x, y) == (bars["bar-8"].x, rows["load-8"])
    assert (top, bottom) == (bars["bar-8"].y0, bars["bar-8"].y1)
    for name, (x, y, top, bottom) in points.items():
        bar_id = name.removeprefix("mark-").partition("--")[0]
        assert x == bars[bar_id].x
        assert top <= y <= bottom
        assert y == min(max(rows["load-8"], top), bottom)


def test_two_answers_on_one_bar_stand_apart_and_share_its_length() -> None:
    _, layout = many_bars()
    held = pick_up(
        tap("bar-1.stud-1", 1, "better", 11.0), tap("bar-1.stud-3", 2, "same", 10.0), part="load-4"
    )

    (_, y1, top1, bottom1), (_, y2, top2, bottom2) = mark_points(
        parsed(tap_overlay(layout, held))  # type: ignore[arg-type]
    ).values()

    assert abs(y1 - y2) >= 24
    assert {bottom1, bottom2} & {top1, top2}
    assert top1 <= y1 <= bottom1
    assert top2 <= y2 <= bottom2


def test_what_breaks_something_is_not_shown_where_the_same_bar_offers_better() -> None:
    _, layout = many_bars()
    held = pick_up(tap("bar-1.stud-1", 1, "better", 11.0), tap("bar-1.stud-3", None, "breaks", 11.0))

    points = mark_points(parsed(tap_overlay(layout, held)))  # type: ignore[arg-type]

    assert list(points) == ["mark-bar-1--stud-1"]


def boxes_of(drawing: Element, kind: str) -> list[Box]:
    return [
        Box(*(float(rect.attrib[key]) for key in ("x", "y", "width", "height")))
        for group in drawing.iter("g")
        if kind in group.get("class", "").split()
        for rect in group.iter("rect")
    ]


def real_pick_ups() -> Iterator[tuple[str, Layout, PickUp]]:
    """Leads of every demo boat, with what the engine answers for them."""
    for name in BOATS[:4]:
        made = seed(name)
        event = next(e for e in made.events if e.mode)
        layout = picture_layout(made, mode_id=event.mode)
        loads = [p for p in made.parts if p.kind == "load" and not p.heavy]
        for part in (loads[0], loads[len(loads) // 2], loads[-1]):
            for terminal in (part.inputs[0].id, part.inputs[0].returns_to):
                yield (
                    f"{name} {part.id} {terminal}",
                    layout,
                    engine_pick_up(made, part.id, terminal, event.mode, event.id),
                )


def test_on_the_demo_boats_marks_and_flags_stand_clear_of_each_other() -> None:
    for name, layout, held in real_pick_ups():
        drawing = parsed(tap_overlay(layout, held))
        points = [(x, y) for x, y, _, _ in mark_points(drawing).values()]
        flags = boxes_of(drawing, "figure")

        assert points, name
        assert len({(round(x), round(y)) for x, y in points}) == len(points), name
        assert not any(a.meets(b) for n, a in enumerate(flags) for b in flags[n + 1 :]), name
        assert not any(flag.meets(Box(x - 12, y - 12, 24, 24)) for flag in flags for x, y in points), name
        assert all(flag.x >= 0 and flag.right <= layout.width and flag.y >= 0 for flag in flags), name


def test_no_pole_passes_a_flag_of_another_bar_on_the_demo_boats() -> None:
    for name, layout, held in real_pick_ups():
        drawing = parsed(tap_overlay(layout, held))
        flags = boxes_of(drawing, "figure")
        poles = [n.attrib["d"] for n in drawing.iter("path") if n.get("class") == "leader"]
        starts = [data.partition(" ")[0] for data in poles]

        for n, data in enumerate(poles):
            for x, top, bottom in upright_stretches(data):
                pole = Box(x - 0.5, top, 1, bottom - top)
                others = [flag for m, flag in enumerate(flags) if starts[m] != starts[n]]
                passed = [flag for flag in others if flag.meets(pole)]
                assert passed == [], (name, n, passed)
