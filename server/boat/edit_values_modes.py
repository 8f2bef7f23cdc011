"""The edits of what is on, of modes and of events, as frozen values."""

from typing import Annotated, Literal

from pydantic import Field

from server.boat.modes import Event, Mode
from server.boat.value import Id, TerminalName, Value


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
