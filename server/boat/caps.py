"""How large a document may be; asked at import and at each edit, never by the model itself."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.references import Problem

MOST_PARTS = 2_000
MOST_CONDUCTORS = 4_000
MOST_PHOTOS = 300
MOST_WAYPOINTS = 500
MOST_RUNS = 1_000
MOST_DECKS = 20


def broken_caps(boat: Boat) -> tuple[Problem, ...]:
    """A problem for each list that is longer than a boat may have."""
    return tuple(_problems(boat))


def _problems(boat: Boat) -> Iterator[Problem]:
    for group, count, most in (
        ("parts", len(boat.parts), MOST_PARTS),
        ("conductors", len(boat.conductors), MOST_CONDUCTORS),
        ("photos", len(boat.photos), MOST_PHOTOS),
        ("waypoints", len(boat.waypoints), MOST_WAYPOINTS),
        ("runs", len(boat.runs), MOST_RUNS),
        ("decks", len(boat.decks), MOST_DECKS),
    ):
        if count > most:
            message = f"a boat may have {most} {group}, this one has {count}."
            yield Problem(group, message, "Split it into several boats.")
