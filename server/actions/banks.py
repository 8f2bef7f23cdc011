"""Making a bank of one battery: more of its kind, chained with jumpers, picked up from opposite ends."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import count, pairwise
from typing import Literal

from server.actions.fitting import CableAnswers, cable_edit
from server.boat.boat import Boat
from server.boat.edits import DuplicatePart, MoveConductorEnd, Several, SingleEdit
from server.boat.ids import new_id
from server.boat.leads import Landings
from server.boat.parts import Battery
from server.boat.value import TerminalRef

How = Literal["parallel", "series"]
MOST_MORE = 11


@dataclass(frozen=True)
class BankAnswers:
    """How many batteries are added, how they are joined and by what, and where the negative is taken."""

    more: int
    how: How
    jumper: CableAnswers
    opposite_ends: bool = True


def bank_edit(boat: Boat, first: Battery, answers: BankAnswers) -> Several:
    """Chain more batteries to a battery, as one edit.

    In parallel, what lay on the first battery's negative goes to the last one's where the pick-up is from
    opposite ends, so that every battery works through the same length of jumpers. In series it always goes
    there, and the positive stays on the first.
    """
    names = {part.name for part in boat.parts}
    chain = [first.id]
    edits: list[SingleEdit] = []
    for _ in range(answers.more):
        name = _next_name(first.name, names)
        names.add(name)
        chain.append(new_id("battery"))
        edits.append(DuplicatePart(id=first.id, new_id=chain[-1], name=name))
    for here, there in pairwise(chain):
        for tail, head in _jumpers(answers.how):
            ends = replace(answers.jumper, tail=_post(here, tail), head=_post(there, head))
            edits += cable_edit(replace(ends, colour="red" if tail == "positive" else "black")).edits
    if answers.how == "series" or answers.opposite_ends:
        edits += _taken_over(boat, first, chain[-1])
    words = f"{first.name}: {answers.more} more in {answers.how}"
    return Several(edits=tuple(edits), label=words[:120])


def _jumpers(how: How) -> tuple[tuple[str, str], ...]:
    if how == "series":
        return (("negative", "positive"),)
    return (("positive", "positive"), ("negative", "negative"))


def _taken_over(boat: Boat, first: Battery, last: str) -> Iterator[SingleEdit]:
    """What lies on the first battery's negative, moved to the last one's."""
    for conductor, side in Landings.of(boat).at(first.id, "negative"):
        yield MoveConductorEnd(conductor=conductor.id, end=side, to=_post(last, "negative"))


def joins_in_series(boat: Boat, battery: Battery) -> int:
    """How many more like this make the boat's voltage in series; 0 where uneven, or in series already."""
    whole = boat.nominal_voltage_v / battery.nominal_voltage_v
    if abs(whole - round(whole)) >= _EVEN or _is_in_series(boat, battery):
        return 0
    return max(0, round(whole) - 1)


def _is_in_series(boat: Boat, battery: Battery) -> bool:
    """Whether a jumper already leads from one of its posts to the other pole of another battery."""
    landings = Landings.of(boat)
    for own, other in (("positive", "negative"), ("negative", "positive")):
        for end in landings.at(battery.id, own):
            far = end.other.terminal
            if far is not None and far.terminal == other and isinstance(landings.parts[far.part], Battery):
                return True
    return False


_EVEN = 0.05
"""Nominal voltages are round numbers; so near a whole count they are meant to make it."""


def _post(battery: str, terminal: str) -> TerminalRef:
    return TerminalRef(part=battery, terminal=terminal)


def _next_name(name: str, taken: set[str]) -> str:
    """House 2 after House, House 3 after House 2."""
    stem, _, number = name.rpartition(" ")
    stem, start = (stem, int(number)) if stem and number.isascii() and number.isdigit() else (name, 1)
    tried = (f"{stem[:110]} {n}" for n in count(start + 1))
    return next(one for one in tried if one not in taken)
