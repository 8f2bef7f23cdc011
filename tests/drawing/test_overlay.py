"""What every tap answers: shapes carry the meaning, text stands only where it helps."""

from server.boat.value import TerminalRef
from server.drawing.diagram import picture_layout, wiring_diagram
from server.drawing.overlay import place_of, tap_overlay
from tests.drawing.answers import pick_up, tap
from tests.drawing.pictures import BOATS, parsed, seed, texts
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

    at = place_of(layout, TerminalRef(part=panel.id, terminal=f"{section.id}-{section.ways[0].id}"))

    assert at is not None
    assert "5-large-yacht" in BOATS


def test_a_place_that_is_not_in_this_picture_gets_no_mark() -> None:
    _, layout = many_bars()

    drawn = tap_overlay(layout, pick_up(tap("elsewhere.stud-1", 1, "clears")))  # type: ignore[arg-type]

    assert "answer" not in drawn.markup.replace("tap-answers", "")
