"""Where a terminal belongs: its polarity, and which end of a conductor is nearer to a battery."""

import pytest

from server.boat.constructors import at
from server.boat.edits import AddPart, apply
from server.drawing.whereabouts import Whereabouts
from tests.boat.small_boat import BOAT
from tests.drawing.pictures import seed


@pytest.mark.parametrize(
    ("terminal", "side"),
    [
        ("house-1.positive", "positive"),
        ("selector.common", "positive"),
        ("panel.dc-spare-1", "positive"),
        ("panel.neg-stud-1", "negative"),
        ("engine.stud-4", "negative"),
        ("shunt.system", "negative"),
        ("autopilot.negative", "negative"),
    ],
)
def test_a_terminal_has_the_polarity_of_the_post_it_leads_to(terminal: str, side: str) -> None:
    assert Whereabouts.of(seed("1-sloop")).side(at(terminal)) == side


def test_what_leads_nowhere_has_the_polarity_of_its_name() -> None:
    lamp = next(part for part in BOAT.parts if part.id == "pilot").model_copy(update={"id": "spare-pilot"})
    found = Whereabouts.of(apply(BOAT, AddPart(part=lamp)))

    assert found.side(at("spare-pilot.main")) == "positive"
    assert found.side(at("spare-pilot.negative")) == "negative"


def test_the_end_towards_the_battery_is_told_and_a_loose_end_is_never_nearer() -> None:
    sloop = seed("1-sloop")
    found = Whereabouts.of(sloop)

    assert found.is_nearer(at("main-fuse.load"), at("panel.dc-feed"))
    assert not found.is_nearer(at("panel.dc-feed"), at("main-fuse.load"))
    assert found.is_nearer(at("panel.dc-feed"), None)
    assert not found.is_nearer(None, None)
