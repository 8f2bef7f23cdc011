"""The edits a person can make, as frozen values: a kind and its arguments."""

from typing import Annotated, Literal

from pydantic import Field, JsonValue

from server.boat.edit_values_evidence import (
    AcceptFinding,
    AddPhoto,
    PutReading,
    RemovePhoto,
    RemovePin,
    RemoveReading,
    SetPin,
    WithdrawAcceptance,
)
from server.boat.edit_values_modes import (
    AddEvent,
    AddMode,
    RemoveEvent,
    RemoveMode,
    SetModeHours,
    SetOn,
    SetPosition,
)
from server.boat.edit_values_plan import (
    PlacePart,
    PutDeck,
    PutRun,
    PutUnderlay,
    PutWaypoint,
    PutZone,
    TakeOffPlan,
)
from server.boat.edit_values_wiring import (
    AddCable,
    AddConductor,
    DuplicateConductor,
    MoveConductorEnd,
    MoveLead,
    RemoveCable,
    RemoveConductor,
    SetLength,
    SetSize,
    Side,
    Splice,
)
from server.boat.parts import AnyPart
from server.boat.value import Id, Name, Text, Value

__all__ = [
    "AcceptFinding",
    "AddCable",
    "AddConductor",
    "AddEvent",
    "AddMode",
    "AddPart",
    "AddPhoto",
    "AnyEdit",
    "AssumptionKey",
    "ChangeValue",
    "ClearAssumption",
    "DuplicateConductor",
    "DuplicatePart",
    "MoveConductorEnd",
    "MoveLead",
    "PlacePart",
    "PutDeck",
    "PutReading",
    "PutRun",
    "PutUnderlay",
    "PutWaypoint",
    "PutZone",
    "RemoveCable",
    "RemoveConductor",
    "RemoveEvent",
    "RemoveMode",
    "RemovePart",
    "RemovePhoto",
    "RemovePin",
    "RemoveReading",
    "Rename",
    "SetAssumption",
    "SetLength",
    "SetModeHours",
    "SetOn",
    "SetPin",
    "SetPosition",
    "SetRowOrder",
    "SetSize",
    "Several",
    "Side",
    "SingleEdit",
    "Splice",
    "TakeOffPlan",
    "WithdrawAcceptance",
]

AssumptionKey = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,63}$")]


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
