"""Write a boat file's mode or event as a deck for a general circuit simulator."""

from server.actions.choices import UnknownChoiceError
from server.boat.document import read_boat


def netlist_deck(body: bytes, mode: str, event: str | None = None, *, transient: bool = False) -> str:
    """The deck of a mode's steady state, or of an event: its first instant, or its whole course in time.

    Raises:
        DocumentError: the file is no boat; every problem is placed and explained.
        UnknownChoiceError: the boat has no such mode or event; the message names those it has. Or there is
            no event to follow in time, or it has no circuit; the message says why.
    """
    from server.engine.solution import UnknownModeError
    from server.engine.transient.circuit import TransientError
    from server.papers.boat_deck import boat_deck
    from server.papers.event_deck import event_deck

    boat = read_boat(body)
    if transient and event is None:
        raise UnknownChoiceError("only an event can be followed in time: name it with --event")
    try:
        if transient and event is not None:
            return event_deck(boat, mode, event)
        return boat_deck(boat, mode, event).text
    except (UnknownModeError, TransientError) as error:
        raise UnknownChoiceError(str(error)) from None
