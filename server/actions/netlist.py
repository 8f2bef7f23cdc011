"""Write a boat file's mode or event as a deck for a general circuit simulator."""

from server.actions.answers import UnknownChoiceError
from server.boat.document import read_boat


def netlist_deck(body: bytes, mode: str, event: str | None = None) -> str:
    """The deck of a mode's steady state, or of the first instant of an event.

    Raises:
        DocumentError: the file is no boat; every problem is placed and explained.
        UnknownChoiceError: the boat has no such mode or event; the message names those it has.
    """
    from server.engine.solution import UnknownModeError
    from server.papers.boat_deck import boat_deck

    boat = read_boat(body)
    try:
        return boat_deck(boat, mode, event).text
    except UnknownModeError as error:
        raise UnknownChoiceError(str(error)) from None
