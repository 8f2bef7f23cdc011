"""The sentences that findings share: what happens, to whom, when."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.leads import leads
from server.boat.modes import Event
from server.boat.parts import AnyPart, Load, Outboard

if TYPE_CHECKING:
    from server.engine.answer import EventAnswer

_WHEN = {
    "windlass": "When the windlass pulls",
    "thruster": "When the thruster runs",
    "winch": "When the winch turns",
    "furler": "When the furler turns",
}


def listed(names: Iterable[str]) -> str:
    """Names one after another, parted by semicolons where a name itself holds a comma.

    >>> listed(["Plotter", "VHF radio"]), listed(["Plotter, flybridge", "Plotter"])
    ('Plotter, VHF radio', 'Plotter, flybridge; Plotter')
    """
    told = tuple(names)
    return ("; " if any("," in one for one in told) else ", ").join(told)


def part_of(boat: Boat, part_id: str) -> AnyPart:
    """The part of this id.

    Raises:
        StopIteration: the boat has none; a document cannot name one that is missing.
    """
    return next(part for part in boat.parts if part.id == part_id)


def conductor_words(boat: Boat, conductor: Conductor) -> str:
    """What a person calls a conductor: its name, else its cable's number, else its lead, else its ends."""
    number = _number(boat, conductor)
    return conductor.name or (f"cable {number}" if number else _lead_words(boat, conductor))


def tagged_words(boat: Boat, conductor: Conductor) -> str:
    """What a person calls a conductor that has to be found on the boat: its cable's tag before its name."""
    number = _number(boat, conductor)
    words = conductor_words(boat, conductor)
    return f"cable {number} ({words})" if number and conductor.name else words


def _number(boat: Boat, conductor: Conductor) -> str | None:
    return next((cable.number for cable in boat.cables if cable.id == conductor.cable), None)


def _lead_words(boat: Boat, conductor: Conductor) -> str:
    of = next((one for one in leads(boat) if conductor.id in one.conductors), None)
    if of is not None:
        return f"{owned(the(part_of(boat, of.part).name))} {of.polarity} lead"
    if conductor.tail is None and conductor.head is None:
        return "a conductor with two loose ends" + (f" (“{conductor.notes}”)" if conductor.notes else "")
    ends = (
        "a loose end" if end is None else the(part_of(boat, end.part).name)
        for end in (conductor.tail, conductor.head)
    )
    return f"the {'link' if conductor.kind == 'link' else 'conductor'} from {' to '.join(ends)}"


def agreed(name: str, one: str, many: str) -> str:
    """The verb for a name: ``many`` where the name is of several, as far as its ending tells.

    >>> [agreed(name, "is", "are") for name in ("the cabin lights", "the windlass", "the AIS")]
    ['are', 'is', 'is']
    """
    return many if name.endswith("s") and not name.endswith(("ss", "us", "is")) else one


def owned(name: str) -> str:
    """A name as an owner.

    >>> owned("the windlass"), owned("the cabin lights")
    ("the windlass's", "the cabin lights'")
    """
    return name + agreed(name, "'s", "'")


def need_words(seen: "EventAnswer") -> str:
    """The lowest voltage an input needs: the range where its maker states one, and what is assumed of it."""
    band = seen.need_band
    between = "" if band is None else f"{band.low:.1f} to {band.high:.1f} V"
    if seen.need_assumed:
        return f"{seen.need_v:.1f} V ({', '.join(filter(None, ('assumed', between)))})"
    return between or f"{seen.need_v:.1f} V"


def when(boat: Boat, event: Event) -> str:
    """The moment of an event, as the beginning of a sentence."""
    part = part_of(boat, event.heavy.part)
    engines = [
        p for p in boat.parts if isinstance(p, Outboard) or (isinstance(p, Load) and p.role == "starter")
    ]
    if part in engines:
        return "When the engine starts" if len(engines) == 1 else f"When {the(part.name)} cranks its engine"
    if isinstance(part, Load) and part.role in _WHEN:
        same = [p for p in boat.parts if isinstance(p, Load) and p.role == part.role]
        return _WHEN[part.role] if len(same) == 1 else f"When {the(part.name)} runs"
    return f"When {the(part.name)} starts"


def the(name: str) -> str:
    """A name with its article, its first letter small unless it is an abbreviation.

    >>> the("Autopilot"), the("VHF radio"), the("The cooker"), the("Everything else that is on")
    ('the autopilot', 'the VHF radio', 'the cooker', 'everything else that is on')
    """
    word = name if name[1:2].isupper() or not name[:1].isalpha() else name[:1].lower() + name[1:]
    return word if word.startswith(_WITHOUT_ARTICLE) else f"the {word}"


_WITHOUT_ARTICLE = ("the ", "everything", "all ", "both ", "each ", "every ", "our ", "my ")
