"""The edits of acceptances, photos and readings, as frozen values."""

from typing import Annotated, Literal

from pydantic import Field

from server.boat.acceptance import Acceptance
from server.boat.modes import Reading
from server.boat.photos import Photo, Pin, PinNumber
from server.boat.value import Id, Value


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
