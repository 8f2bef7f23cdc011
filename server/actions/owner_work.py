"""What a change asks to be done on the boat, in an owner's words."""

from collections.abc import Iterator

from server.actions.comparing_words import Ends, differences, moved_lead_ends
from server.actions.comparing_work import metres_words, part_names
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edit_labels import terminal_name
from server.boat.leads import Side
from server.boat.parts import AnyPart
from server.boat.value import nominal
from server.checks.copper import REACHES_M
from server.checks.words import conductor_words, the

SIDES: tuple[Side, Side] = ("tail", "head")
NO_WORK = "Nothing is done on the boat: only what is entered of it differs."


def work_told(before: Boat, after: Boat) -> tuple[str, ...]:
    """The work that makes one boat the other, a sentence each; empty for two boats that are the same.

    What is only entered in another way, as a length that was measured, is no work.
    """
    found = differences(before, after)
    told = (
        *(one.words for one in found if one.kind == "leads"),
        *_parts(before, after),
        *_cables(before, after),
    )
    return told or ((NO_WORK,) if found else ())


def _parts(before: Boat, after: Boat) -> Iterator[str]:
    was, now = {one.id for one in before.parts}, {one.id for one in after.parts}
    for part in after.parts:
        if part.id not in was:
            where = _cut_into(before, after, part)
            yield f"{_one(part_names(part)[0])} is fitted{f' into {where}' if where else ''}: {part.name}."
    for part in before.parts:
        if part.id not in now:
            yield f"{_capital(the(part.name))} is taken out."


def _cut_into(before: Boat, after: Boat, part: AnyPart) -> str:
    """The conductor that was there and now ends on a part; empty where none does."""
    had = {one.id: one for one in before.conductors}
    for one in after.conductors:
        old = had.get(one.id)
        ends = [end for end in (one.tail, one.head) if end is not None and end.part == part.id]
        if old is not None and ends and not any(end in {old.tail, old.head} for end in ends):
            return conductor_words(before, old)
    return ""


def _cables(before: Boat, after: Boat) -> Iterator[str]:
    had = {one.id: one for one in before.conductors if one.kind == "wire"}
    has = {one.id for one in after.conductors}
    fitted = {one.id for one in after.parts} - {one.id for one in before.parts}
    moved = moved_lead_ends(before, after)
    for one in after.conductors:
        old = had.get(one.id)
        if old is not None:
            yield from _changed(after, old, one, moved, fitted)
        elif one.kind == "wire" and not _ends_on(one, fitted):
            yield f"A new cable is laid {_way(after, one)}{_bought(one)}."
    for name, old in had.items():
        if name not in has:
            yield f"{_capital(conductor_words(before, old))} is taken out."


def _changed(boat: Boat, old: Conductor, new: Conductor, moved: Ends, fitted: set[str]) -> Iterator[str]:
    """What is done to a cable that was there; a piece of one that something was cut into is that one."""
    name = _capital(conductor_words(boat, new))
    lands_elsewhere = any(
        getattr(old, side) != getattr(new, side) and (new.id, side) not in moved for side in SIDES
    )
    if lands_elsewhere and not _ends_on(new, fitted):
        yield f"{name} then goes {_way(boat, new)}."
    if (new.size != old.size and new.size is not None) or _is_longer(old, new):
        yield f"{name} is made anew{_bought(new)}."


def _ends_on(one: Conductor, parts: set[str]) -> bool:
    """Whether a conductor came with a part that is fitted, as its lead or a piece of what it is cut into."""
    return any(end is not None and end.part in parts for end in (one.tail, one.head))


def _is_longer(old: Conductor, new: Conductor) -> bool:
    if old.length_m is None or new.length_m is None:
        return False
    return nominal(new.length_m) > nominal(old.length_m) + REACHES_M


def _way(boat: Boat, one: Conductor) -> str:
    tail, head = ("a loose end" if end is None else terminal_name(boat, end) for end in (one.tail, one.head))
    return f"from {tail} to {head}"


def _bought(one: Conductor) -> str:
    """The length and size that are bought, as far as they are known."""
    length = "" if one.length_m is None else metres_words(nominal(one.length_m))
    size = "" if one.size is None else one.size.label
    told = " of ".join(words for words in (length, size) if words)
    return f": {told}" if told else ""


def _one(name: str) -> str:
    return f"{'An' if name[:1] in 'aeiouAEIO' else 'A'} {name}"


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
