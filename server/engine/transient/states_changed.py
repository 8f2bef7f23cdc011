"""What parts did in an event by their own states, in words: a relay that opens, a source at its limit."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.boat.parts import Combiner, Converter
from server.engine.answer import Trouble
from server.engine.transient.coils import every_coil
from server.engine.transient.followed import BLOCKS, LIMITS, STANDS
from server.engine.transient.followed_part import OPEN, Followed, Kind
from server.engine.transient.model import BoatModel
from server.engine.transient.solution import TransientSolution
from server.engine.transient.switched import Change, Clock
from server.engine.transient.verdict import after_the_press, duration


def states_changed(model: BoatModel, solution: TransientSolution) -> Iterator[Trouble]:
    """Every change of a state in the event, in order; what follows each is computed with it."""
    words = _Words(model)
    for part in dict.fromkeys(change.number for change in solution.changes):
        own = [change for change in solution.changes if change.number == part]
        yield words.of(model.followed[part], own)


def changed(model: BoatModel, solution: TransientSolution) -> frozenset[str]:
    """The elements that left their first state."""
    return frozenset(model.followed[change.number].element for change in solution.changes)


TOLD = 5
"""So many changes of one part are told one by one."""


@dataclass(frozen=True, eq=False)
class _Words:
    model: BoatModel

    def of(self, one: Followed, changes: list[Change]) -> Trouble:
        """A part's changes as one trouble: the first with its reason, the others by their instants."""
        first, following = changes[0], changes[1:]
        when = after_the_press(first.at_s)
        told = [f"{one.switched.name} {does(one, first)} {when}{self._why(one, first)}"]
        told += [f"it {does(one, change)} {after_the_press(change.at_s)}" for change in following[:TOLD]]
        if len(following) > TOLD:
            told.append(f"it changes {len(following) - TOLD} times more")
        message = f"{'; '.join(told)}. What is shown from then on is computed so."
        if one.kind == "pack":
            message += " How far voltages swing as it cuts its current is assumed."
        is_lost = any(one.is_lost(change) for change in changes)
        return Trouble("drops-out" if is_lost else "leaves-its-state", (one.element,), message)

    def _why(self, one: Followed, change: Change) -> str:
        """What made a part move, in words that follow the instant."""
        border, since = change.border, after_the_press(change.since_s)
        if isinstance(border.reading, Clock):
            return ""
        beyond = "more" if border.is_upper else "less"
        match one.kind:
            case "combiner":
                part = self.model.solution.parts[one.element]
                is_stated = isinstance(part, Combiner) and part.delay_s is not None
                moves = "lets go" if change.to == OPEN else "joins"
                waits = f"{duration(border.lasting_s)}{'' if is_stated else ' (assumed)'}"
                return (
                    f": from {since} on it measures {beyond} than the {border.level:.1f} V at which it "
                    f"{moves}, and it waits {waits}"
                )
            case "contact" | "solenoid":
                held = "pull it in" if border.is_upper else "hold it"
                level = f"{border.level:.1f} V{'' if self._is_stated(one.element, change) else ' (assumed)'}"
                return (
                    f": from {since} on its coil has {beyond} than the {level} that {held}, and it takes "
                    f"{duration(border.lasting_s)} (assumed)"
                )
            case "converter":
                return self._why_converter(one, change, since)
            case "pack":
                long = f" for {duration(border.lasting_s)}" if border.lasting_s > 0 else ""
                return f": it gives more than {border.level:g} A{long}"
            case _:
                return ""

    def _why_converter(self, one: Followed, change: Change, since: str) -> str:
        part = next(
            part
            for part in self.model.solution.boat.parts
            if isinstance(part, Converter) and part.id == one.element
        )
        if change.to == OPEN:
            level, lasts, beyond = part.minimum_input_v, None, "less than the {} that it works on"
        else:
            level, lasts = part.restart_input_v, part.restart_after_s
            beyond = "more than the {} that start it again"
        volts = f"{change.border.level:.1f} V{_assumed(level)}"
        takes = f"{duration(change.border.lasting_s)}{_assumed(lasts)}"
        return f": from {since} on its input has {beyond.format(volts)}, and it takes {takes}"

    def _is_stated(self, part: str, change: Change) -> bool:
        """Whether the volts of a coil's border were entered."""
        boat, net = self.model.solution.boat, self.model.net
        found = next(one for one in every_coil(boat, net) if one.key[0] == part)
        return (found.coil.pull_in_v if change.border.is_upper else found.coil.hold_v) is not None


def _assumed(stated: float | None) -> str:
    """A remark behind a figure that nobody stated."""
    return "" if stated is not None else " (assumed)"


def does(one: Followed, change: Change) -> str:
    """What a part does as it comes into a state."""
    if one.says:
        says = one.says[change.to]
        return says.by_step if isinstance(change.border.reading, Clock) else says.by_itself
    if one.kind == "source":
        if change.left == STANDS:
            return "starts"
        came_back = "falls back from its limit" if change.left == LIMITS else "begins to deliver"
        return {LIMITS: "reaches its limit", BLOCKS: "ceases to deliver"}.get(change.to, came_back)
    return DOES[one.kind][change.to == OPEN]


DOES: Mapping[Kind, tuple[str, str]] = {
    "combiner": ("closes", "opens"),
    "contact": ("pulls in", "lets go"),
    "solenoid": ("pulls in", "lets go"),
    "pack": ("", "is switched off by its own electronics"),
    "converter": ("runs again", "stops"),
    "diode": ("begins to conduct", "ceases to conduct"),
}
"""What parts do as they close, and as they open; a pack never comes back by itself."""
