"""The edits of leads, conductors and cables, as frozen values."""

from typing import Literal

from server.boat.conductors import Cable, Conductor, LengthBasis, Size
from server.boat.parts import AnyPart
from server.boat.value import Id, Known, Name, NonNegative, Positive, TerminalName, TerminalRef, Value

Side = Literal["tail", "head"]


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
