"""Negatives of linked parts come apart by what their ways back have in common with the heavy current."""

from typing import Any

import numpy as np
import pytest

from server.boat.boat import Boat
from server.engine.transient.answer import LinkOffsetInTime
from server.engine.transient.event_run import event_run
from server.engine.transient.links import lasting
from tests.engine.boats import load, wire
from tests.engine.transient.test_event_run import small

SECOND = load("sounder", {"kind": "constant-power", "power_w": 5.0})


def linked(**link: Any) -> LinkOffsetInTime | None:  # noqa: ANN401 - fields of a data link
    """Plotter, whose negative lands on the block, linked to a sounder whose negative lands on the bar."""
    boat = small(
        parts=[SECOND],
        conductors=[
            wire("w-sounder", "switch.out", "sounder.supply"),
            wire("w-sounder-return", "sounder.negative", "bar.stud-3"),
        ],
        modes=[
            {
                "id": "starting",
                "name": "Starting",
                "on": [{"part": p} for p in ("plotter", "sounder", "starter")],
            }
        ],
    )
    whole = {"id": "data", "name": "Data", "parts": ["plotter", "sounder"], **link}
    document = Boat.model_validate({**boat.model_dump(), "links": [whole]}, strict=False)
    return next(iter(event_run(document, "starting", "start").links), None)


def test_the_block_rises_above_the_bar_by_the_strap_and_the_starters_current() -> None:
    """The strap carries the start: about 4.3 mΩ with its joints, 239 A."""
    found = linked()

    assert found is not None
    assert (found.higher, found.lower) == ("Plotter", "Sounder")
    assert found.offset.value == pytest.approx(239 * 0.0043, rel=0.05)
    assert 0 < found.offset.at_s < 0.05
    assert found.before_v == pytest.approx(0.0, abs=0.02)
    assert found.current_a is None


def test_a_screen_of_known_resistance_carries_current_unless_it_is_isolated() -> None:
    """Ohm's law, at the lowest resistance it may have."""
    joined, isolated = linked(screen_ohm={"low": 0.5, "high": 2.0}), linked(screen_ohm=0.5, isolated="yes")

    assert joined is not None
    assert isolated is not None
    assert joined.current_a == pytest.approx(joined.offset.value / 0.5)
    assert isolated.current_a is None


def test_a_screen_without_resistance_has_no_figure() -> None:
    found = linked(screen_ohm=0.0)

    assert found is not None
    assert found.current_a is None


@pytest.mark.parametrize("parts", [["plotter", "battery"], ["plotter", "bar"]])
def test_any_negative_counts_and_a_part_without_one_does_not(parts: list[str]) -> None:
    found = linked(parts=parts)

    assert (found is None) == (parts[1] == "bar")


def test_parts_behind_an_isolated_converter_have_no_offset_to_tell() -> None:
    converter = {
        "kind": "converter",
        "id": "converter",
        "name": "Converter",
        "output_v": 12.0,
        "rated_current_a": 5.0,
        "isolated": True,
    }
    boat = small(
        parts=[converter, SECOND],
        conductors=[
            wire("w-in", "switch.out", "converter.input"),
            wire("w-in-return", "converter.negative", "bar.stud-3"),
            wire("w-out", "converter.output", "sounder.supply"),
            wire("w-out-return", "converter.output-negative", "sounder.negative"),
        ],
        modes=[
            {
                "id": "starting",
                "name": "Starting",
                "on": [{"part": p} for p in ("plotter", "sounder", "starter")],
            }
        ],
    )
    whole = {"id": "data", "name": "Data", "parts": ["plotter", "sounder"]}
    document = Boat.model_validate({**boat.model_dump(), "links": [whole]}, strict=False)

    assert event_run(document, "starting", "start").links == ()


def test_a_spike_of_microseconds_is_no_offset_and_a_slope_counts_for_what_it_holds_a_millisecond() -> None:
    """Read off the drawn curve: 5 V for 0.1 ms, a step of 2 V for 3 ms, a slope of 1 V in 1 ms at its end."""
    times = np.array([0.0, 0.1, 0.2, 10.0, 10.1, 13.0, 14.0, 20.0]) * 1e-3
    held = lasting(times, np.array([0.0, 5.0, 0.0, 0.0, 2.0, 2.0, 1.0, 0.0]))

    assert held.max() == 2.0
    assert times[int(held.argmax())] == pytest.approx(0.0101)
    assert held[1] == pytest.approx(0.0)
    assert held[6] == pytest.approx(1.0)
    assert np.isfinite(held).all()
