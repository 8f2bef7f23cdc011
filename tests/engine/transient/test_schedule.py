"""When heavy loads are pressed and released."""

from server.boat.modes import Event, EventStep, HeavyInput
from server.engine.netlist_rows import Terminal
from server.engine.transient.schedule import Press, Schedule, schedule

HEAVY: frozenset[Terminal] = frozenset({("windlass", "motor"), ("thruster", "motor"), ("thruster", "spare")})


def planned(*steps: EventStep) -> Schedule:
    """The schedule of a windlass that is held for 2 s where nothing is said."""
    heavy = HeavyInput(part="windlass", input="motor")
    event = Event(id="lift", name="Lift", mode="on", heavy=heavy, steps=steps)
    return schedule(event, HEAVY, lambda _: 2.0)


def step(action: str, part: str, at_s: float, **more: str) -> EventStep:
    """One step."""
    return EventStep.model_validate({"action": action, "part": part, "at_s": at_s, **more})


def test_without_steps_a_load_is_pressed_once() -> None:
    assert planned().presses == (Press(("windlass", "motor"), 0.0, 2.0),)


def test_the_first_press_is_time_zero() -> None:
    found = planned(step("press", "windlass", 5.0, input="motor"), step("release", "windlass", 9.0))

    assert found.presses == (Press(("windlass", "motor"), 0.0, 4.0),)


def test_two_loads_overlap() -> None:
    found = planned(
        step("press", "windlass", 0.0),
        step("press", "thruster", 1.0, input="motor"),
        step("release", "windlass", 3.0),
    )

    assert found.presses == (Press(("windlass", "motor"), 0.0, 3.0), Press(("thruster", "motor"), 1.0, 3.0))


def test_a_load_pressed_twice_runs_twice() -> None:
    found = planned(
        step("press", "windlass", 0.0),
        step("press", "windlass", 0.5),
        step("release", "windlass", 1.0),
        step("release", "windlass", 1.5),
        step("press", "windlass", 4.0),
    )

    assert [(one.press_s, one.release_s) for one in found.presses] == [(0.0, 1.0), (4.0, 6.0)]


def test_a_part_without_an_input_means_its_first_heavy_one() -> None:
    found = planned(step("press", "thruster", 0.0))

    assert {one.key for one in found.presses} == {("thruster", "motor"), ("windlass", "motor")}


def test_what_is_no_heavy_load_is_left_out_and_told() -> None:
    light = step("press", "lamp", 1.0)
    other = step("press", "windlass", 1.0, input="brake")
    turn = step("switch", "windlass", 2.0, position="off")

    assert planned(light, other, turn) == Schedule(planned().presses, (light, other, turn))
