"""The edits a person can make, as frozen values: a kind and its arguments."""

from typing import Annotated, Literal

from pydantic import Field, JsonValue

from server.boat.acceptance import Acceptance
from server.boat.boat import Zone
from server.boat.conductors import Cable, Conductor, LengthBasis, Size
from server.boat.decks import Deck
from server.boat.modes import Event, Mode, Reading
from server.boat.parts import AnyPart
from server.boat.photos import Photo, Pin, PinNumber
from server.boat.runs import Run, Waypoint
from server.boat.underlay import Underlay
from server.boat.value import (
    Id,
    Known,
    Name,
    NonNegative,
    Place,
    Positive,
    TerminalName,
    TerminalRef,
    Text,
    Value,
)

Side = Literal["tail", "head"]
AssumptionKey = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,63}$")]


class MoveLead(Value):
    """Move the far end of the lead on a load's terminal; its fuse comes along.

    ``keep_length`` says that the cable that is there reaches: its length and how that came about stay.
    """

    kind: Literal["move-lead"] = "move-lead"
    part: Id
    terminal: TerminalName
    to: TerminalRef
    length_m: Positive | None = None
    keep_length: bool = False


class MoveConductorEnd(Value):
    """Move one end of a conductor, or leave it loose."""

    kind: Literal["move-conductor-end"] = "move-conductor-end"
    conductor: Id
    end: Side
    to: TerminalRef | None = None
    length_m: Positive | None = None
    keep_length: bool = False


class SetSize(Value):
    """Give a conductor another size, or say that it is not known."""

    kind: Literal["set-size"] = "set-size"
    conductor: Id
    size: Size | None = None


class SetLength(Value):
    """Give a conductor a length and how it came about, or say that it is not known."""

    kind: Literal["set-length"] = "set-length"
    conductor: Id
    length_m: Known | None = None
    basis: LengthBasis | None = None
    fixed: bool | None = None


class SetPosition(Value):
    """Put whatever can be switched in a position in one mode; without a position in its normal one."""

    kind: Literal["set-position"] = "set-position"
    mode: Id
    part: Id
    way: TerminalName | None = None
    position: Id | None = None


class SetOn(Value):
    """Switch a load, one input of it, or a source on or off in one mode."""

    kind: Literal["set-on"] = "set-on"
    mode: Id
    part: Id
    input: TerminalName | None = None
    on: bool
    hours_per_day: Annotated[float, Field(ge=0, le=24)] | None = None


class AddPart(Value):
    """Add a part."""

    kind: Literal["add-part"] = "add-part"
    part: AnyPart


class RemovePart(Value):
    """Remove a part; conductor ends on it become loose."""

    kind: Literal["remove-part"] = "remove-part"
    id: Id


class DuplicatePart(Value):
    """A second part like one that is there, with nothing connected to it."""

    kind: Literal["duplicate-part"] = "duplicate-part"
    id: Id
    new_id: Id
    name: Name


class AddConductor(Value):
    """Add a conductor."""

    kind: Literal["add-conductor"] = "add-conductor"
    conductor: Conductor


class RemoveConductor(Value):
    """Remove a conductor."""

    kind: Literal["remove-conductor"] = "remove-conductor"
    id: Id


class DuplicateConductor(Value):
    """A second conductor beside one that is there, between the same terminals, in no cable yet."""

    kind: Literal["duplicate-conductor"] = "duplicate-conductor"
    id: Id
    new_id: Id
    name: Name | None = None


class AddCable(Value):
    """Add a cable."""

    kind: Literal["add-cable"] = "add-cable"
    cable: Cable


class RemoveCable(Value):
    """Remove a cable; its conductors stay as single ones."""

    kind: Literal["remove-cable"] = "remove-cable"
    id: Id


class Splice(Value):
    """Insert a part into a conductor, its first terminal facing the near end.

    With a distance from the near end the conductor is cut there; without one the part is bolted
    straight onto that end's terminal. Of a cable with a number, the piece that is cut off becomes a cable of
    its own, ``new_cable``, whose number is that number with the next free letter.
    """

    kind: Literal["splice"] = "splice"
    conductor: Id
    part: AnyPart
    new_conductor: Id
    near: Side = "tail"
    distance_m: NonNegative | None = None
    new_cable: Id | None = None


class SetRowOrder(Value):
    """Keep the rows of the picture in an order chosen by hand; without parts, in the picture's own."""

    kind: Literal["set-row-order"] = "set-row-order"
    parts: tuple[Id, ...] = ()


class Rename(Value):
    """Give a listed thing another name, or the boat when ``id`` is left out; a cable's name is its number."""

    kind: Literal["rename"] = "rename"
    id: Id | None = None
    name: Name


class ChangeValue(Value):
    """Change one value of a listed thing, or of the boat when ``id`` is left out.

    ``field`` is a path such as ``inputs.0.minimum_voltage_v``; null takes the value out.
    """

    kind: Literal["change-value"] = "change-value"
    id: Id | None = None
    field: Annotated[str, Field(pattern=r"^[a-z0-9_]+(\.[a-z0-9_]+)*$", max_length=200)]
    value: JsonValue = None


class SetAssumption(Value):
    """Assume another value than the built-in one, for the boat or for one thing."""

    kind: Literal["set-assumption"] = "set-assumption"
    key: AssumptionKey
    subject: Id | None = None
    low: float
    value: float
    high: float
    source: Text


class ClearAssumption(Value):
    """Go back to the built-in value."""

    kind: Literal["clear-assumption"] = "clear-assumption"
    key: AssumptionKey
    subject: Id | None = None


class AddMode(Value):
    """Add a mode."""

    kind: Literal["add-mode"] = "add-mode"
    mode: Mode


class RemoveMode(Value):
    """Remove a mode and its events."""

    kind: Literal["remove-mode"] = "remove-mode"
    id: Id


class SetModeHours(Value):
    """How many hours a day a mode lasts."""

    kind: Literal["set-mode-hours"] = "set-mode-hours"
    mode: Id
    hours_per_day: Annotated[float, Field(ge=0, le=24)] | None = None


class AddEvent(Value):
    """Add an event; it replaces the default one of its mode and heavy load."""

    kind: Literal["add-event"] = "add-event"
    event: Event


class RemoveEvent(Value):
    """Remove a stored event."""

    kind: Literal["remove-event"] = "remove-event"
    id: Id


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


class AcceptFinding(Value):
    """Let a finding stand, by whom and why."""

    kind: Literal["accept-finding"] = "accept-finding"
    acceptance: Acceptance


class WithdrawAcceptance(Value):
    """Let a finding no longer stand; ``finding`` is its id."""

    kind: Literal["withdraw-acceptance"] = "withdraw-acceptance"
    finding: Annotated[str, Field(max_length=2000)]


class AddPhoto(Value):
    """Add a photo."""

    kind: Literal["add-photo"] = "add-photo"
    photo: Photo


class RemovePhoto(Value):
    """Take a photo off the boat."""

    kind: Literal["remove-photo"] = "remove-photo"
    id: Id


class SetPin(Value):
    """Put a pin on a photo, or another in the place of the one of the same number."""

    kind: Literal["set-pin"] = "set-pin"
    photo: Id
    pin: Pin


class RemovePin(Value):
    """Take a pin off a photo."""

    kind: Literal["remove-pin"] = "remove-pin"
    photo: Id
    number: PinNumber


class PutReading(Value):
    """Keep what a meter showed; an older reading of its id gives way."""

    kind: Literal["put-reading"] = "put-reading"
    reading: Reading


class RemoveReading(Value):
    """Take a reading off."""

    kind: Literal["remove-reading"] = "remove-reading"
    id: Id


SingleEdit = Annotated[
    MoveLead
    | MoveConductorEnd
    | SetSize
    | SetLength
    | SetPosition
    | SetOn
    | AddPart
    | RemovePart
    | DuplicatePart
    | AddConductor
    | RemoveConductor
    | DuplicateConductor
    | AddCable
    | RemoveCable
    | Splice
    | SetRowOrder
    | Rename
    | ChangeValue
    | SetAssumption
    | ClearAssumption
    | AddMode
    | RemoveMode
    | SetModeHours
    | AddEvent
    | RemoveEvent
    | PutWaypoint
    | PutRun
    | PutZone
    | PutDeck
    | TakeOffPlan
    | PutUnderlay
    | PlacePart
    | AcceptFinding
    | AddPhoto
    | RemovePhoto
    | SetPin
    | RemovePin
    | PutReading
    | RemoveReading
    | WithdrawAcceptance,
    Field(discriminator="kind"),
]


class Several(Value):
    """Several edits made and undone as one."""

    kind: Literal["several"] = "several"
    edits: Annotated[tuple[SingleEdit, ...], Field(min_length=1, max_length=1500)]
    label: Name


AnyEdit = Annotated[SingleEdit | Several, Field(discriminator="kind")]
