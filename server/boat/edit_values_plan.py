"""The edits of runs, zones, decks and places, as frozen values."""

from typing import Literal

from server.boat.boat import Zone
from server.boat.decks import Deck
from server.boat.runs import Run, Waypoint
from server.boat.underlay import Underlay
from server.boat.value import Id, NonNegative, Place, Value


class PutWaypoint(Value):
    """Add a waypoint, or give the one of this id another name and place."""

    kind: Literal["put-waypoint"] = "put-waypoint"
    waypoint: Waypoint


class PutRun(Value):
    """Add a run, or give the one of this id other figures."""

    kind: Literal["put-run"] = "put-run"
    run: Run


class PutZone(Value):
    """Add a zone, or give the one of this id other properties."""

    kind: Literal["put-zone"] = "put-zone"
    zone: Zone


class PutDeck(Value):
    """Add a deck, or give the one of this id another name and floor."""

    kind: Literal["put-deck"] = "put-deck"
    deck: Deck


class TakeOffPlan(Value):
    """Remove a waypoint with the runs that end there, a run, a zone, or a deck."""

    kind: Literal["take-off-plan"] = "take-off-plan"
    id: Id


class PutUnderlay(Value):
    """Lay a drawing under the plan, or none."""

    kind: Literal["put-underlay"] = "put-underlay"
    underlay: Underlay | None = None


class PlacePart(Value):
    """Put a part at a waypoint, on the plan, or nowhere in particular; what is left out is not known."""

    kind: Literal["place-part"] = "place-part"
    part: Id
    place: Place | None = None
    waypoint: Id | None = None
    from_waypoint_m: NonNegative | None = None
    deck: Id | None = None
