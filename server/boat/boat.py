"""Boat: one vessel's DC system, the document that is edited, kept and exported."""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from server.boat.acceptance import Acceptance
from server.boat.conductors import Cable, Conductor
from server.boat.decks import Deck
from server.boat.hull import FEWEST_CORNERS, MOST_CORNERS, Hull, Outline
from server.boat.modes import Event, Mode, Observation, Reading
from server.boat.parts import AnyPart
from server.boat.photos import Photo
from server.boat.runs import Margin, Run, Waypoint
from server.boat.underlay import Underlay
from server.boat.value import Fraction, Id, Known, Name, Positive, Text, Value, refuse
from server.practice.office import OfficeTable

FORMAT = "tapchart.boat"
VERSION = 1


class Override(Value):
    """A value to assume instead of the built-in one, for the boat or for one part or conductor."""

    key: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,63}$")]
    subject: Id | None = None
    low: float
    value: float
    high: float
    source: Text

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.value <= self.high:
            refuse("an assumption runs from low over value to high")
        return self


class Practice(Value):
    """The practice the boat is checked against, and what decides which law binds it.

    ``ampacity_table`` is an office's own, where the practice names one: the boat carries it along, so that
    every revision says by which figures it was judged.
    """

    profile: Literal["us-recreational", "iso-metric"] = "us-recreational"
    drop_counts_from: Literal["battery", "panelboard"] = "battery"
    propulsion_fuel: Literal["diesel", "petrol", "electric", "none"] | None = None
    propulsion: Literal["inboard", "outboard", "sail-drive", "none"] | None = None
    use: Literal["recreational", "commercial"] | None = None
    built_year: Annotated[int, Field(ge=1850, le=2200)] | None = None
    ampacity_table: OfficeTable | None = None


class Earthing(Value):
    """How the DC system meets the hull and the bonding."""

    system: Literal["negative-grounded", "insulated"] | None = None
    notes: Text | None = None


class Island(Value):
    """A voltage island: the parts that share one nominal voltage."""

    id: Id
    name: Name
    nominal_voltage_v: Positive


def _is_empty(value: tuple[object, ...]) -> bool:
    """Documents without such a list keep the bytes they had before there was any."""
    return not value


class Zone(Value):
    """A space aboard: its temperature class and whether vapour or damp can gather there.

    Its outline on the plan may be left out; without a deck it reaches through all of them.
    """

    id: Id
    name: Name
    engine_space: bool = False
    battery_space: bool = False
    vapour_risk: bool = False
    damp: bool = False
    outline: Annotated[Outline, Field(max_length=MOST_CORNERS, exclude_if=_is_empty)] = ()
    deck: Id | None = None

    @model_validator(mode="after")
    def _encloses(self) -> Self:
        if 0 < len(self.outline) < FEWEST_CORNERS:
            refuse(f"an outline has {FEWEST_CORNERS} corners at least")
        return self


class DataLink(Value):
    """A data connection between parts; its screen or common may carry current when negatives differ."""

    id: Id
    name: Name
    parts: Annotated[tuple[Id, ...], Field(min_length=2)]
    isolated: Literal["yes", "no"] | None = None
    screen_ohm: Known | None = None


class NotSeen(Value):
    """Something the survey did not reach; it stands beside every clean result."""

    id: Id
    what: Text
    subject: Id | None = None
    share: Fraction | None = None


class Boat(Value):
    """The whole document; see the package docstring for its conventions.

    ``row_order`` names parts whose rows in the picture stand in an order chosen by hand.
    """

    format: Literal["tapchart.boat"]
    version: Literal[1]
    name: Name
    nominal_voltage_v: Positive
    length_m: Positive | None = None
    notes: Text | None = None
    practice: Practice = Practice()
    earthing: Earthing | None = None
    islands: tuple[Island, ...] = ()
    zones: tuple[Zone, ...] = ()
    hull: Hull | None = None
    underlay: Underlay | None = None
    margin: Margin | None = None
    decks: Annotated[tuple[Deck, ...], Field(exclude_if=_is_empty)] = ()
    waypoints: Annotated[tuple[Waypoint, ...], Field(exclude_if=_is_empty)] = ()
    runs: Annotated[tuple[Run, ...], Field(exclude_if=_is_empty)] = ()
    assumptions: tuple[Override, ...] = ()
    parts: tuple[AnyPart, ...] = ()
    cables: tuple[Cable, ...] = ()
    conductors: tuple[Conductor, ...] = ()
    links: tuple[DataLink, ...] = ()
    modes: tuple[Mode, ...] = ()
    events: tuple[Event, ...] = ()
    readings: tuple[Reading, ...] = ()
    observations: tuple[Observation, ...] = ()
    not_seen: tuple[NotSeen, ...] = ()
    photos: Annotated[tuple[Photo, ...], Field(exclude_if=_is_empty)] = ()
    accepted: Annotated[tuple[Acceptance, ...], Field(exclude_if=_is_empty)] = ()
    row_order: Annotated[tuple[Id, ...], Field(exclude_if=_is_empty)] = ()

    @model_validator(mode="after")
    def _names_meet_their_things(self) -> Self:
        from server.boat.references import broken_references

        if broken := broken_references(self):
            raise PydanticCustomError("references", "{text}", {"text": str(broken[0]), "problems": broken})
        return self
