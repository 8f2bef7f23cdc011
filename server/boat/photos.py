"""Photos as the document refers to them: what each shows, and the pins that tie its points to the wiring."""

from typing import Annotated

from pydantic import Field

from server.boat.value import Fraction, Id, Name, TerminalRef, Value

Sha = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Day = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
PinNumber = Annotated[int, Field(ge=1, le=999)]

MOST_PINS = 60


class Pin(Value):
    """One numbered point of a photo.

    ``x`` and ``y`` are shares of its width and height, from the left and from the top. What is there is a
    terminal, a conductor, or only what can be read or seen (``tag``); a pin may still be none of them.
    """

    number: PinNumber
    x: Fraction
    y: Fraction
    terminal: TerminalRef | None = None
    conductor: Id | None = None
    tag: Name | None = None


class Photo(Value):
    """One photo, kept beside the document under the SHA-256 of its bytes.

    ``subject`` is the part or conductor it shows; left out, it shows the boat. ``taken`` is the day that
    a person gave: whatever the camera wrote into the file was taken out.
    """

    id: Id
    sha: Sha
    subject: Id | None = None
    caption: Name | None = None
    taken: Day | None = None
    pins: Annotated[tuple[Pin, ...], Field(max_length=MOST_PINS)] = ()
