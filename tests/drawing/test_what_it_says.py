"""What the picture says of the answers: figures, verdicts, what is alive, what is lit."""

from xml.etree.ElementTree import Element

from server.boat.finding import Finding
from server.boat.value import TerminalRef
from server.drawing.diagram import ConductorGhost, picture_layout, wiring_diagram
from server.drawing.states import line_width
from tests.drawing.answers import in_event, load_answer, mode_answer
from tests.drawing.pictures import parsed, seed, texts
from tests.drawing.small_boats import (
    bar,
    battery,
    boat,
    cross_connected_panels,
    every_other_kind,
    everything_odd,
    fuse,
    load,
    series_string_with_a_midpoint_load,
    two_batteries_on_a_selector,
    wire,
)


def by_id(drawing: Element, identity: str) -> Element:
    return next(node for node in drawing.iter() if node.get("id") == identity)


def words(node: Element) -> list[str]:
    return ["".join(text.itertext()) for text in node.iter("text")]


def classes(node: Element) -> set[str]:
    return set(node.get("class", "").split())


def test_a_load_that_restarts_says_so_in_word_shape_and_figure() -> None:
    answer = mode_answer((load_answer("radio", in_event("restarts", 7.1)),))

    plate = by_id(
        parsed(wiring_diagram(cross_connected_panels(), mode_id=None, answer=answer, event_id="start")),
        "load-radio",
    )

    assert words(plate) == ["Radio", "7.1 V low", "restarts", "4.1 % drop"]
    assert any("verdict restarts" in (p.get("class") or "") for p in plate.iter("path"))
    assert plate.get("aria-label") == "Radio, lowest 7.1 V, needs 9.0 V, restarts, 4.1 % drop"


def test_each_verdict_has_a_shape_of_its_own() -> None:
    shapes = set()
    for verdict in ("keeps-running", "restarts", "too-close-to-call", "limit-not-known"):
        answer = mode_answer((load_answer("radio", in_event(verdict, 9.0)),))
        drawn = wiring_diagram(cross_connected_panels(), mode_id=None, answer=answer, event_id="start")
        mark = next(p for p in parsed(drawn).iter("path") if f"verdict {verdict}" == p.get("class"))
        shapes.add(mark.get("d"))

    assert len(shapes) == 4


def test_the_heavy_load_shows_its_inrush_instead_of_a_verdict() -> None:
    answer = mode_answer((load_answer("radio", heavy=True),), heavy="radio")

    plate = by_id(
        parsed(wiring_diagram(cross_connected_panels(), mode_id=None, answer=answer, event_id="start")),
        "load-radio",
    )

    assert words(plate) == ["Radio", "366 A", "inrush", "4.1 % drop"]


def test_a_load_that_is_not_fed_says_why() -> None:
    answer = mode_answer((load_answer("radio", state="switched-off"),))

    plate = by_id(parsed(wiring_diagram(cross_connected_panels(), mode_id=None, answer=answer)), "load-radio")

    assert words(plate) == ["Radio", "switched off"]


def test_without_an_event_a_load_shows_its_steady_volts() -> None:
    answer = mode_answer((load_answer("radio"), load_answer("pilot", on=False)))

    drawing = parsed(wiring_diagram(cross_connected_panels(), mode_id=None, answer=answer))

    assert words(by_id(drawing, "load-radio")) == ["Radio", "12.3 V", "4.1 % drop"]
    assert words(by_id(drawing, "load-pilot")) == ["Pilot", "12.3 V", "off in this mode", "4.1 % drop"]


def test_what_is_not_alive_is_dashed() -> None:
    live = frozenset({("start", "positive"), ("fa", "line")})
    answer = mode_answer((), live=live)

    drawing = parsed(wiring_diagram(two_batteries_on_a_selector(), mode_id="off", answer=answer))

    assert "dead" not in classes(by_id(drawing, "conductor-a1"))
    assert "dead" in classes(by_id(drawing, "conductor-feed"))


def test_both_inputs_of_a_selector_reach_it_and_its_contacts_stand_as_set() -> None:
    drawing = parsed(wiring_diagram(two_batteries_on_a_selector(), mode_id="off"))
    closed = parsed(wiring_diagram(two_batteries_on_a_selector(), mode_id=None))

    def blades(picture: Element) -> list[str]:
        return [
            p.get("class", "")
            for p in by_id(picture, "part-selector").iter("path")
            if "blade" in p.get("class", "")
        ]

    assert by_id(drawing, "conductor-a2") is not None
    assert by_id(drawing, "conductor-b2") is not None
    assert blades(drawing) == ["blade open", "blade open"]
    assert sorted(blades(closed)) == ["blade closed", "blade open"]


def test_a_selected_load_lights_its_own_loop_and_marks_the_shared_path() -> None:
    answer = mode_answer((load_answer("radio", in_event("restarts", 7.1, ("m1",))),))

    drawing = parsed(
        wiring_diagram(
            cross_connected_panels(), mode_id=None, answer=answer, event_id="start", selected="radio"
        )
    )

    assert {"own", "shared"} <= classes(by_id(drawing, "conductor-m1"))
    assert "own" in classes(by_id(drawing, "conductor-n3"))
    assert not {"own", "shared"} & classes(by_id(drawing, "conductor-p2"))
    assert sum(p.get("class") == "shared-band" for p in drawing.iter("path")) >= 1


def test_a_selected_load_shows_a_grip_of_48_px_at_each_lead() -> None:
    drawing = parsed(wiring_diagram(cross_connected_panels(), mode_id=None, selected="radio"))

    for terminal, polarity in (("supply", "positive"), ("negative", "negative")):
        grip = by_id(drawing, f"grip-radio--{terminal}")
        area = next(iter(grip.iter("rect")))
        assert (grip.get("role"), grip.get("data-polarity")) == ("button", polarity)
        assert (area.get("width"), area.get("height")) == ("48", "48")
        assert "Pick up Radio" in (grip.get("aria-label") or "")


def test_the_grip_tells_where_its_lead_lands() -> None:
    made = cross_connected_panels()
    layout = picture_layout(made, mode_id=None, selected="radio")

    grip = by_id(parsed(wiring_diagram(made, mode_id=None, selected="radio")), "grip-radio--negative")

    x, _ = layout.terminals[("minus", "stud-1")]
    assert float(grip.get("data-x", "0")) == round(x, 1)


def test_every_tap_is_a_target_with_its_place() -> None:
    drawing = parsed(wiring_diagram(cross_connected_panels(), mode_id=None))

    for identity in ("tap-minus--stud-1", "tap-minus--stud-8", "tap-port--dc-w2", "tap-house--negative"):
        target = by_id(drawing, identity)
        assert float(target.get("data-x", "-1")) > 0
        assert target.get("data-polarity") in ("positive", "negative")


def test_the_ghost_shows_where_the_lead_lay() -> None:
    ghost = ConductorGhost(
        "n1", TerminalRef(part="minus", terminal="stud-5"), TerminalRef(part="radio", terminal="negative")
    )

    drawing = parsed(wiring_diagram(cross_connected_panels(), mode_id=None, ghost=ghost))

    lines = [p for p in drawing.iter("path") if p.get("class") == "ghost" and p.find("title") is not None]
    assert len(lines) == 1


def test_a_finding_is_a_note_inside_its_plate_with_a_shape() -> None:
    found = Finding(
        code="restarts",
        severity="fault",
        subjects=("radio",),
        message="Lands on the block",
        source="none",
        source_status="derived",
    )
    made = cross_connected_panels()
    layout = picture_layout(made, mode_id=None, findings=[found])
    plate = next(p for p in layout.plates if p.rung.part == "radio")

    drawn = wiring_diagram(made, mode_id=None, findings=[found])

    note = next(t for t in texts(drawn) if t.text == "Lands on the block")
    assert plate.box.x < note.left
    assert note.right < plate.box.right
    assert plate.box.y < note.top
    assert note.bottom < plate.box.bottom


def test_parallel_cables_are_one_line_marked_with_their_number() -> None:
    drawn = wiring_diagram(everything_odd(), mode_id=None)

    assert by_id(parsed(drawn), "conductor-f1").get("data-conductors") == "f1 f2"
    assert "2 ×" in [t.text for t in texts(drawn)]


def test_a_backbone_lists_its_devices_on_its_rung() -> None:
    drawing = parsed(wiring_diagram(everything_odd(), mode_id=None))

    assert "Wind, Depth" in words(by_id(drawing, "load-hub"))


def test_a_load_fed_from_a_load_stands_below_it_and_further_in() -> None:
    layout = picture_layout(everything_odd(), mode_id=None)
    rows = [p.rung.part for p in layout.plates]
    box = {p.rung.part: p.box for p in layout.plates}

    assert rows.index("sensor") == rows.index("hub") + 1
    assert box["sensor"].x > box["hub"].x


def test_bonding_lies_outermost() -> None:
    layout = picture_layout(everything_odd(), mode_id=None)
    bonding = next(u for u in layout.uprights if u.place.kind == "bonding")

    assert all(u.x < bonding.x for u in layout.uprights if u.place.kind not in ("bonding", "battery"))


def test_a_load_on_the_midpoint_of_a_string_is_fed_from_the_lower_battery() -> None:
    layout = picture_layout(series_string_with_a_midpoint_load(), mode_id=None)
    lane = next(u for u in layout.uprights if u.place.key == "lower.positive")
    radio = next(p for p in layout.plates if p.rung.part == "radio")

    assert lane.place.side == "positive"
    assert {port.port.chain for port in radio.ports} & set(lane.chains)


def test_a_tie_between_panels_lies_in_a_level_of_its_own_and_shows_its_flow() -> None:
    answer = mode_answer((), flows={"t1": 4.0, "t2": -4.0, "m3": 0.0})

    drawn = wiring_diagram(cross_connected_panels(), mode_id=None, answer=answer)

    assert sum("flow" in classes(p) for p in parsed(drawn).iter("path")) >= 1


def test_a_wire_from_plus_to_minus_has_a_row_of_its_own() -> None:
    layout = picture_layout(everything_odd(), mode_id=None)

    ties = [p.rung.name for p in layout.plates if p.rung.kind == "tie"]

    assert ties == ["Short"]


def test_a_24_v_boat_with_a_12_v_part_stacks_its_sections_by_voltage() -> None:
    layout = picture_layout(seed("3-workboat"), mode_id=None)
    volts = [p.rung.voltage_v for p in layout.plates if p.rung.kind not in ("tie", "apart")]

    assert volts == sorted(volts, reverse=True)
    assert {"24 V", "12 V"} <= {label.text for label in layout.labels}


def test_lines_grow_with_their_current() -> None:
    widths = [line_width(a, None) for a in (0.5, 10.0, 100.0, 400.0)]

    assert widths == sorted(widths)
    assert widths[0] == 2
    assert line_width(-100.0, None) == line_width(100.0, None)
    assert line_width(None, 70.0) > line_width(None, 2.5)


def test_a_part_between_battery_and_load_keeps_its_finding_mark() -> None:
    made = boat(
        [battery("house"), fuse("main"), bar("minus"), load("radio")],
        [
            wire("a", "house.positive", "main.line"),
            wire("b", "main.load", "radio.supply"),
            wire("c", "radio.negative", "minus.stud-1"),
            wire("d", "minus.stud-2", "house.negative"),
        ],
    )
    found = Finding(
        code="x",
        severity="danger",
        subjects=("main",),
        message="Too large",
        source="s",
        source_status="derived",
    )

    part = by_id(parsed(wiring_diagram(made, mode_id=None, findings=[found])), "part-main")

    mark = next(p for p in part.iter("path") if "finding-mark" in p.get("class", ""))
    assert mark.findtext("title") == "Too large"


def test_a_main_feeder_says_its_copper_and_every_lead_its_cable_where_there_is_room() -> None:
    boat = seed("3-workboat")
    numbers = {cable.id: cable.number for cable in boat.cables}
    sized = {c.id: c.size.label for c in boat.conductors if c.size and c.size.area_mm2 >= 10}

    layout = picture_layout(boat, mode_id=None)

    told = {label.text for label in layout.labels if label.kind == "copper"}
    steps = [w.step for w in layout.wires if w.step and w.step.told]
    assert told <= {text for step in steps for text in step.told}
    assert {f"no. {numbers[c.cable]}" for c in boat.conductors if c.cable and c.id not in sized} & told
    for step in steps:
        fullest = step.told[0]
        assert (step.element in sized) == (sized.get(step.element, "no size") in fullest)


def test_a_source_says_what_it_gives_and_at_which_voltage() -> None:
    answer = mode_answer((), flows={"alternator": 18.4}, drops={"alternator": -13.62})

    plate = by_id(
        parsed(wiring_diagram(every_other_kind(), mode_id=None, answer=answer, event_id="start")),
        "load-alternator",
    )

    assert words(plate)[-3:] == ["Alternator", "18 A", "gives, at 13.6 V"]


def test_a_source_that_gives_nothing_says_so() -> None:
    answer = mode_answer((), flows={"alternator": 0.0})

    plate = by_id(parsed(wiring_diagram(every_other_kind(), mode_id=None, answer=answer)), "load-alternator")

    assert "gives nothing in this mode" in words(plate)
