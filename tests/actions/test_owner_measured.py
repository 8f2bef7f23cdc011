"""What readings point to stands in the owner's sheet, by the same judgement as the complaint's own page."""

import pytest

from server.actions.complaint_boat import complaint_boat
from server.actions.complaint_legs import legs
from server.actions.owner_measured import readings_told
from server.boat.edits import RemovePart, apply
from tests.actions.test_complaint import read
from tests.engine.demo import demo_boat


@pytest.mark.parametrize(
    ("volts", "place", "verb", "first"),
    [
        ({"positive_v": 1.4, "negative_v": 0.2}, "positive side", "takes 1.4 V", "ends of those cables"),
        ({"negative_v": 2.0}, "negative side between engine and battery", "takes 2.0 V", "looked at first"),
        ({"battery_v": 4.0}, "the battery itself", "gives way by ", "load-tested"),
    ],
)
def test_the_suspect_is_named_with_its_volts_and_those_of_a_sound_one(
    volts: dict[str, float], place: str, verb: str, first: str
) -> None:
    boat = complaint_boat(read(**volts))
    points, do = readings_told(boat)
    suspect = legs(boat).suspect

    assert suspect is not None
    assert place in points
    assert verb in points
    assert f"{suspect.high_v:.1f} V." in points
    assert first in do


def test_readings_of_sound_copper_say_so_and_without_any_nothing_is_said() -> None:
    (told,) = readings_told(complaint_boat(read(positive_v=0.25, negative_v=0.2)))

    assert told.startswith("No bad joint shows")
    assert readings_told(complaint_boat(read())) == ()


def test_a_boat_begun_otherwise_or_changed_too_far_says_nothing() -> None:
    broken = apply(complaint_boat(read(negative_v=2.0)), RemovePart(id="battery"))

    assert readings_told(demo_boat("1-sloop")) == ()
    assert readings_told(broken) == ()
