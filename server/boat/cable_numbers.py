"""Numbers of cables that came of one: 12 stays 12, and what was cut off is 12A, 12B and so on."""

import re
from itertools import count

from server.boat.boat import Boat

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_LETTERED = re.compile(r"^(?P<stem>.*\d)[A-Z]{1,2}$")
_LONGEST = 118
"""A name has up to 120 characters; two are left for the letters."""


def lettered(boat: Boat, number: str) -> str:
    """The number with the first letter that no cable aboard has; of a lettered number, the next letter.

    >>> from server.boat.boat import Boat
    >>> lettered(Boat(format="tapchart.boat", version=1, name="Heron", nominal_voltage_v=12.0), "W12B")
    'W12A'
    """
    found = _LETTERED.match(number)
    stem = (found["stem"] if found else number)[:_LONGEST]
    taken = {cable.number for cable in boat.cables}
    return next(one for n in count() if (one := f"{stem}{_letters(n)}") not in taken)


def _letters(n: int) -> str:
    """A to Z, then AA to ZZ, and on."""
    before, last = divmod(n, len(LETTERS))
    return (_letters(before - 1) if before else "") + LETTERS[last]
