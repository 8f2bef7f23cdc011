"""What differs between two boats in words: leads first, then cables, parts, modes and all else."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from server.actions.comparing_values import changes, length_words, said
from server.actions.part_words import trade_name
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.edit_labels import lead_name, terminal_name, thing_name
from server.boat.leads import Lead, Side, leads
from server.boat.listed import GROUPS, Group, Item
from server.boat.modes import Mode, PositionSetting, Running
from server.boat.parts import Contact
from server.boat.value import TerminalRef
from server.checks.words import conductor_words, tagged_words

Ends = set[tuple[str | None, Side | None]]
"""Conductor ends, by conductor and side."""
Kind = Literal["leads", "cables", "parts", "modes", "rest"]
KINDS: tuple[Kind, ...] = ("leads", "cables", "parts", "modes", "rest")
_TOLD_APART = frozenset({"tail", "head", "length_m", "length_basis", "exposure_basis", "size", "cable"})
_PLAIN_GROUPS: tuple[Group, ...] = tuple(
    group for group in GROUPS if group not in {"parts", "cables", "conductors", "modes", "events"}
)
_NOUNS = {"islands": "voltage island", "links": "data link", "not_seen": "place not seen"}
"""Words for lists that are not called after their things."""


@dataclass(frozen=True)
class Difference:
    """One thing that is another one on the second boat; ``subject`` is its id there, or on the first."""

    kind: Kind
    subject: str
    words: str


def differences(before: Boat, after: Boat) -> tuple[Difference, ...]:
    """Everything that differs, but for the boat's own name; empty for two boats that are the same."""
    moved = tuple(_moved_leads(before, after))
    told = {(one.last, one.far) for one, _ in moved}
    found = [
        *(Difference("leads", one.part, words) for one, words in moved),
        *_conductors(before, after, told),
        *_cables(before, after),
        *_parts(before, after),
        *_modes(before, after),
        *_listed(before, after, "events", "modes"),
        *_assumptions(before, after),
        *_rest(before, after),
    ]
    return tuple(sorted(found, key=lambda one: KINDS.index(one.kind)))


def moved_leads(before: Boat, after: Boat) -> int:
    """How many leads of loads and sources land elsewhere, each by the same conductor end."""
    return sum(1 for _ in _moved_leads(before, after))


def moved_lead_ends(before: Boat, after: Boat) -> Ends:
    """The conductor ends of those leads."""
    return {(one.last, one.far) for one, _ in _moved_leads(before, after)}


def moved_ends(before: Boat, after: Boat) -> int:
    """How many ends of conductors that are on both boats land elsewhere and belong to no moved lead."""
    told = moved_lead_ends(before, after)
    had = {one.id: one for one in before.conductors}
    return sum(
        getattr(had[one.id], side) != getattr(one, side) and (one.id, side) not in told
        for one in after.conductors
        if one.id in had and one.kind == "wire"
        for side in ("tail", "head")
    )


def _moved_leads(before: Boat, after: Boat) -> Iterator[tuple[Lead, str]]:
    had = {(one.part, one.terminal): one for one in leads(before)}
    names = {one.id for one in before.parts} & {one.id for one in after.parts}
    for one in leads(after):
        old = had.get((one.part, one.terminal))
        if old is None or one.part not in names or one.last is None or one.last != old.last:
            continue
        if old.tap != one.tap:
            name = lead_name(after, one.part, one.terminal)
            yield one, f"{name}: {_from_to(before, old.tap, after, one.tap)}"


def _from_to(before: Boat, was: TerminalRef | None, after: Boat, now: TerminalRef | None) -> str:
    """Two places, by their terminals where they are on one part."""
    old, new = _where(before, was), _where(after, now)
    if old == new and was is not None and now is not None:
        return f"{old} {_stud(was)} → {_stud(now)}"
    return f"{old} → {new}"


def _stud(spot: TerminalRef) -> str:
    return spot.terminal.replace("-", " ")


def _where(boat: Boat, spot: TerminalRef | None) -> str:
    return "loose" if spot is None else terminal_name(boat, spot)


def _conductors(before: Boat, after: Boat, told: Ends) -> Iterator[Difference]:
    had = {one.id: one for one in before.conductors}
    has = {one.id: one for one in after.conductors}
    for name, old in had.items():
        if name not in has:
            yield Difference("cables", name, f"Taken out: {_whole(before, old)}")
    for name, new in has.items():
        if name not in had:
            yield Difference("cables", name, f"New: {_whole(after, new)}")
        else:
            words = tuple(_conductor_words(before, after, had[name], new, told))
            if words:
                yield Difference("cables", name, f"{_called(after, new)}: {'; '.join(words)}")


def _cables(before: Boat, after: Boat) -> Iterator[Difference]:
    """Cables, but for those that came or went with all their conductors, which are told by these."""
    had, has = _cores(before), _cores(after)
    for one in _listed(before, after, "cables", "cables"):
        old, new = had.get(one.subject, set()), has.get(one.subject, set())
        is_told = (bool(old) and not old & _ids(after)) or (bool(new) and not new & _ids(before))
        if not is_told:
            yield one


def _cores(boat: Boat) -> dict[str, set[str]]:
    """The conductors of each cable."""
    found: dict[str, set[str]] = {}
    for one in boat.conductors:
        if one.cable is not None:
            found.setdefault(one.cable, set()).add(one.id)
    return found


def _ids(boat: Boat) -> set[str]:
    return {one.id for one in boat.conductors}


def _called(boat: Boat, one: Conductor) -> str:
    words = conductor_words(boat, one)
    return f"{words[:1].upper()}{words[1:]}"


def _whole(boat: Boat, one: Conductor) -> str:
    """A conductor with its ends, its size and its length."""
    ends = f"{_where(boat, one.tail)} – {_where(boat, one.head)}"
    size = "bolted link" if one.kind == "link" else "size not known" if one.size is None else one.size.label
    length = "" if one.kind == "link" else f", {length_words(one)}"
    return f"{tagged_words(boat, one)} ({ends}, {size}{length})"


def _conductor_words(
    before: Boat,
    after: Boat,
    old: Conductor,
    new: Conductor,
    told: Ends,
) -> Iterator[str]:
    sides: tuple[tuple[Side, TerminalRef | None, TerminalRef | None], ...] = (
        ("tail", old.tail, new.tail),
        ("head", old.head, new.head),
    )
    for side, was, now in sides:
        if was != now and (new.id, side) not in told:
            yield _from_to(before, was, after, now)
    if old.size != new.size:
        labels = ["not known" if one.size is None else one.size.label for one in (old, new)]
        figures = ", other figures" if labels[0] == labels[1] else ""
        yield f"size {labels[0]} → {labels[1]}{figures}"
    if (old.length_m, old.length_basis) != (new.length_m, new.length_basis):
        yield f"length {length_words(old)} → {length_words(new)}"
    if old.cable != new.cable:
        yield "in another cable"
    yield from changes(old, new, _TOLD_APART)


def _parts(before: Boat, after: Boat) -> Iterator[Difference]:
    had = {one.id: one for one in before.parts}
    has = {one.id: one for one in after.parts}
    for name, old in had.items():
        if name not in has:
            yield Difference("parts", name, f"Taken out: {old.name} ({trade_name(old)})")
    for name, new in has.items():
        if name not in had:
            yield Difference("parts", name, f"New: {new.name} ({trade_name(new)})")
        elif had[name] != new:
            words = "; ".join(changes(had[name], new))
            yield Difference("parts", name, f"{new.name}: {words}")


def _modes(before: Boat, after: Boat) -> Iterator[Difference]:
    had = {one.id: one for one in before.modes}
    has = {one.id: one for one in after.modes}
    for name, old in had.items():
        if name not in has:
            yield Difference("modes", name, f"Mode taken out: {old.name}")
    for name, new in has.items():
        if name not in had:
            yield Difference("modes", name, f"New mode: {new.name}")
        elif words := tuple(_mode_words(before, after, had[name], new)):
            yield Difference("modes", name, f"{new.name}: {'; '.join(words)}")


def _mode_words(before: Boat, after: Boat, old: Mode, new: Mode) -> Iterator[str]:
    was = {(one.part, one.way): one for one in old.positions}
    now = {(one.part, one.way): one for one in new.positions}
    for key in dict.fromkeys((*was, *now)):
        if was.get(key) != now.get(key):
            pair = f"{_position(before, was.get(key))} → {_position(after, now.get(key))}"
            yield f"{_switched(before if key in was else after, *key)} {pair}"
    ran = {(one.part, one.input): one for one in old.on}
    runs = {(one.part, one.input): one for one in new.on}
    for key in dict.fromkeys((*ran, *runs)):
        if ran.get(key) != runs.get(key):
            name = thing_name(after if key in runs else before, key[0])
            what = f"{name} {key[1]}" if key[1] else name
            yield f"{what} {_on(ran.get(key))} → {_on(runs.get(key))}"
    yield from changes(old, new, frozenset({"positions", "on"}))


def _switched(boat: Boat, part: str, way: str | None) -> str:
    return (
        thing_name(boat, part) if way is None else terminal_name(boat, TerminalRef(part=part, terminal=way))
    )


def _position(boat: Boat, setting: PositionSetting | None) -> str:
    if setting is None:
        return "its normal position"
    part = next((one for one in boat.parts if one.id == setting.part), None)
    named = part.positions if isinstance(part, Contact) else ()
    return next((one.name for one in named if one.id == setting.position), setting.position)


def _on(running: Running | None) -> str:
    if running is None:
        return "off"
    return "on" if running.hours_per_day is None else f"on {running.hours_per_day:g} h a day"


def _listed(before: Boat, after: Boat, group: Group, kind: Kind) -> Iterator[Difference]:
    """The other listed things, each with what of it is another."""
    had: dict[str, Item] = {one.id: one for one in getattr(before, group)}
    has: dict[str, Item] = {one.id: one for one in getattr(after, group)}
    noun = _NOUNS.get(group, group.removesuffix("s").replace("_", " "))
    for name in had.keys() - has.keys():
        yield Difference(kind, name, f"Taken out: {noun} {thing_name(before, name)}")
    for name, new in has.items():
        if name not in had:
            yield Difference(kind, name, f"New: {noun} {thing_name(after, name)}")
        elif had[name] != new:
            words = "; ".join(changes(had[name], new))
            yield Difference(kind, name, f"{noun.capitalize()} {thing_name(after, name)}: {words}")


def _assumptions(before: Boat, after: Boat) -> Iterator[Difference]:
    had = {(one.key, one.subject): one for one in before.assumptions}
    has = {(one.key, one.subject): one for one in after.assumptions}
    for key in dict.fromkeys((*had, *has)):
        was, now = had.get(key), has.get(key)
        if was != now:
            about = "" if key[1] is None else f" of {thing_name(after if now else before, key[1])}"
            values = [f"{one.value:g}" if one else "the built-in value" for one in (was, now)]
            words = f"{key[0].replace('_', ' ').capitalize()}{about}: {values[0]} → {values[1]}"
            yield Difference("rest", key[1] or key[0], words)


def _rest(before: Boat, after: Boat) -> Iterator[Difference]:
    for group in _PLAIN_GROUPS:
        yield from _listed(before, after, group, "rest")
    yield from _accepted(before, after)
    listed: Sequence[str] = (*GROUPS, "assumptions", "accepted", "name")
    for words in changes(before, after, frozenset(listed)):
        yield Difference("rest", "boat", f"{words[:1].upper()}{words[1:]}")


def _accepted(before: Boat, after: Boat) -> Iterator[Difference]:
    had = {one.finding: one for one in before.accepted}
    has = {one.finding: one for one in after.accepted}
    for name in dict.fromkeys((*had, *has)):
        if had.get(name) != has.get(name):
            one = has.get(name) or had[name]
            verb = "Accepted" if name in has else "No longer accepted"
            about = thing_name(after if name in has else before, one.subjects[0])
            yield Difference("rest", one.subjects[0], f"{verb}: a finding on {about} ({said('by', one.by)})")
