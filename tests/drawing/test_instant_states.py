"""The picture at one instant of an event: currents and volts of then, and no word of the whole event."""

from xml.etree.ElementTree import Element

from server.drawing.diagram import diagram_of, picture_layout
from server.engine.transient.instant import InstantAnswer
from tests.drawing.answers import in_event, load_answer, mode_answer
from tests.drawing.pictures import parsed, seed
from tests.drawing.small_boats import cross_connected_panels
from tests.drawing.test_what_it_says import by_id, classes, words

ANSWER = mode_answer(
    (
        load_answer("radio", in_event("restarts", 7.1)),
        load_answer("pilot", in_event("keeps-running", 9.4)),
    ),
    heavy="winch",
    flows={"p1": 2.0},
)


def drawn(instant: InstantAnswer) -> Element:
    boat = cross_connected_panels()
    layout = picture_layout(boat, mode_id=None)
    return parsed(diagram_of(boat, layout, answer=ANSWER, event_id="start", instant=instant))


def test_a_plate_says_what_stands_there_now_and_whether_that_is_too_little() -> None:
    picture = drawn(InstantAnswer(0.003, {}, {"radio.supply": 8.2, "pilot.supply": 10.1}, {}))

    assert words(by_id(picture, "load-radio")) == ["Radio", "8.2 V now", "below its 9.0 V"]
    assert words(by_id(picture, "load-pilot")) == ["Pilot", "10.1 V now"]
    assert by_id(picture, "load-radio").get("aria-label") == "Radio, 8.2 V now, below its 9.0 V"
    assert "restarts" not in classes(by_id(picture, "load-radio"))


def test_what_starts_says_what_it_draws() -> None:
    picture = drawn(InstantAnswer(0.003, {}, {"pilot.supply": 10.1}, {"radio.supply": 211.4}))

    assert words(by_id(picture, "load-radio"))[:3] == ["Radio", "211 A", "draws now"]


def test_what_is_off_has_no_volts_of_the_whole_event() -> None:
    picture = drawn(InstantAnswer(0.003, {}, {}, {}))

    assert "V" not in "".join(words(by_id(picture, "load-radio")))


def test_lines_are_as_wide_as_what_they_carry_then() -> None:
    def width(amps: float) -> float:
        line = next(
            node
            for node in drawn(InstantAnswer(0.0, {"p1": amps}, {}, {})).iter()
            if node.get("data-conductor") == "p1" or node.get("id") == "conductor-p1"
        )
        return max(float(node.get("stroke-width", 0)) for node in line.iter())

    assert width(2.0) < width(200.0)


def test_sources_and_folds_speak_of_the_instant_too() -> None:
    boat = seed("1-sloop")
    layout = picture_layout(boat, mode_id="starting")
    plain = InstantAnswer(0.003, {"alternator": 12.4}, {}, {})
    picture = parsed(diagram_of(boat, layout, event_id="engine-start", instant=plain))

    assert "12 A" in words(by_id(picture, "load-alternator"))

    yacht = seed("5-large-yacht")
    layout = picture_layout(yacht, mode_id=yacht.modes[0].id)
    fold = next(rung for rung in layout.circuit.rungs if rung.kind == "fold")
    member = fold.members[0]
    picture = parsed(
        diagram_of(yacht, layout, instant=InstantAnswer(0.0, {}, {f"{member}.supply": 21.3}, {}))
    )

    assert "21.3 V now" in words(by_id(picture, fold.key.replace(":", "-")))
