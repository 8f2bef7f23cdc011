"""The loop strip shows volts that add up as shown."""

from hypothesis import given
from hypothesis import strategies as st

from server.drawing.loop_strip import loop_strip, rounded_to_sum
from server.engine.answer import LoopStep


def step(name: str, side: str, share_v: float, steady_v: float = 0.0, fraction: float = 1.0) -> LoopStep:
    return LoopStep(name, name.title(), "fuse", steady_v, share_v, fraction, share_v > 0, side, None)  # type: ignore[arg-type]


STEPS = (
    step("bank", "battery", 1.004, -12.6),
    step("fuse", "positive", 0.333, 0.02),
    step("radio", "load", 0.0, 12.5),
    step("bus", "negative", -0.004, 0.011, 0.5),
)


def test_shares_of_an_event_add_up_to_the_sag_shown() -> None:
    strip = loop_strip(STEPS, "Engine start")

    assert [s.volts for s in strip.steps] == ["1.00 V", "0.33 V", "", "0.00 V"]
    assert strip.total == "1.33 V"
    assert strip.total_words == "Sag in “Engine start”"


def test_without_an_event_the_strip_shows_what_is_lost_on_the_way() -> None:
    strip = loop_strip(STEPS, None)

    assert [s.volts for s in strip.steps] == ["0.00 V", "0.02 V", "", "0.01 V"]
    assert strip.total == "0.03 V"


def test_in_a_mesh_each_step_says_its_part_of_the_current() -> None:
    strip = loop_strip(STEPS, None)

    assert [s.load_share for s in strip.steps] == ["", "", "", "50 % of its current"]


def test_a_share_that_helps_is_shown_with_its_sign() -> None:
    strip = loop_strip((step("a", "positive", 0.5), step("b", "negative", -0.2)), "Start")

    assert strip.steps[1].volts == "−0.20 V"


@given(st.lists(st.floats(-20, 20), min_size=1, max_size=30))
def test_rounding_keeps_the_sum_and_moves_no_figure_by_a_whole_hundredth(values: list[float]) -> None:
    rounded = rounded_to_sum(values)

    assert sum(rounded) == round(sum(values) * 100)
    assert all(abs(r - v * 100) < 1 + 1e-6 for r, v in zip(rounded, values, strict=True))
