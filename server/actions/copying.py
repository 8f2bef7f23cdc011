"""Several parts and conductors at once: copied beside themselves, copied into another boat, or taken out."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from server.actions.changes import Change, apply_on_head
from server.actions.fitting import switched_on
from server.actions.yard import Yard, open_boat
from server.boat.boat import Boat
from server.boat.conductors import Cable, Conductor, Joint
from server.boat.edit_error import EditError
from server.boat.edits import (
    AddCable,
    AddConductor,
    AddPart,
    RemoveCable,
    RemoveConductor,
    RemovePart,
    SetOn,
    SetPosition,
    Several,
    SingleEdit,
)
from server.boat.parts import Alternator, AnyPart
from server.boat.value import TerminalRef

MOST_EDITS = 500
LONGEST_NAME = 120


@dataclass(frozen=True)
class Ticked:
    """Parts and conductors of one boat, in the order of its document."""

    parts: tuple[AnyPart, ...]
    conductors: tuple[Conductor, ...]

    @property
    def part_ids(self) -> frozenset[str]:
        """The ids of the parts."""
        return frozenset(part.id for part in self.parts)


def ticked(boat: Boat, ids: Iterable[str]) -> Ticked:
    """The parts and conductors of these ids, as far as they are aboard."""
    wanted = frozenset(ids)
    parts = tuple(part for part in boat.parts if part.id in wanted)
    return Ticked(parts, tuple(one for one in boat.conductors if one.id in wanted))


def with_cables_between(boat: Boat, chosen: Ticked) -> Ticked:
    """The same with every conductor that goes from one of the parts to another."""
    named, parts = {one.id for one in chosen.conductors}, chosen.part_ids

    def belongs(one: Conductor) -> bool:
        ends = {end.part for end in (one.tail, one.head) if end is not None}
        return one.id in named or (None not in (one.tail, one.head) and ends <= parts)

    return Ticked(chosen.parts, tuple(one for one in boat.conductors if belongs(one)))


def duplicate_edit(boat: Boat, chosen: Ticked, request_id: str) -> Several:
    """The ticked things once more, with the conductors between them, on and set in the modes as before.

    Ends that lay on anything else are loose, cables have no number yet, and what was measured stays with the
    first ones.

    Raises:
        EditError: nothing is ticked, or too much.
    """
    whole = with_cables_between(boat, chosen)
    copies = _Copies(boat, boat, request_id)
    edits = [*copies.things(whole), *_settings(boat, copies.ids)]
    return _as_one(edits, f"Duplicated {_words(whole)}")


def copy_into(yard: Yard, boat_id: str, target_id: str, ids: Iterable[str], request_id: str) -> Change:
    """Copy the ticked things of a boat into another one as that stands now; loads are on in its first mode.

    Places, zones and islands are kept where the other boat has some of the same name, cables' numbers where
    they are free there.

    Raises:
        EditError: nothing is ticked, or too much, or the other boat has no room.
        UnknownBoatError: there is no such boat.
        RequestReusedError: the key was used for something else.
    """
    source, target = open_boat(yard, boat_id).boat, open_boat(yard, target_id).boat
    whole = with_cables_between(source, ticked(source, ids))
    copies = _Copies(source, target, request_id)
    edits = list(copies.things(whole))
    edits += switched_on(target, copies.parts)
    edit = _as_one(edits, f"Copied {_words(whole)} from {source.name}")
    return apply_on_head(yard, target_id, edit, request_id)


def removal_edit(boat: Boat, chosen: Ticked, *, cables_too: bool) -> Several:
    """Take the ticked things out; with ``cables_too`` also every conductor that ends on one of the parts.

    Raises:
        EditError: nothing is ticked, or too much.
    """
    gone = {one.id for one in chosen.conductors}
    if cables_too:
        ends = ((one, end) for one in boat.conductors for end in (one.tail, one.head))
        gone |= {one.id for one, end in ends if end is not None and end.part in chosen.part_ids}
    left = {one.cable for one in boat.conductors if one.id not in gone}
    emptied = {one.cable for one in boat.conductors if one.id in gone} - left
    edits: list[SingleEdit] = [RemoveConductor(id=one.id) for one in boat.conductors if one.id in gone]
    edits += [RemoveCable(id=cable.id) for cable in boat.cables if cable.id in emptied]
    edits += [RemovePart(id=part.id) for part in chosen.parts]
    whole = Ticked(chosen.parts, tuple(one for one in boat.conductors if one.id in gone))
    return _as_one(edits, f"Took out {_words(whole)}")


def next_name(name: str, taken: Iterable[str]) -> str:
    """The name itself where it is free, else with the lowest free number from 2 on; capitals do not matter.

    >>> next_name("Bow light", ["bow light", "Bow light 2"])
    'Bow light 3'
    """
    used = {one.casefold() for one in taken}
    if name.casefold() not in used:
        return name
    stem, _, last = name.rpartition(" ")
    base, number = (stem, int(last) + 1) if stem and last.isdecimal() else (name, 2)
    while (new := f"{base[: LONGEST_NAME - len(f' {number}')]} {number}").casefold() in used:
        number += 1
    return new


@dataclass
class _Copies:
    """The copies of things of one boat that go into another, or into itself."""

    source: Boat
    target: Boat
    request_id: str
    ids: dict[str, str] = field(default_factory=dict)
    parts: list[AnyPart] = field(default_factory=list)

    def things(self, chosen: Ticked) -> Iterator[SingleEdit]:
        """An edit for each copy, in an order in which each finds what it names."""
        names = [part.name for part in self.target.parts]
        # An alternator names its engine, which has to be there first.
        for part in sorted(chosen.parts, key=lambda one: isinstance(one, Alternator)):
            self.ids[part.id] = self._fresh(part.kind, part.id)
            new = self._part(part, next_name(part.name, names))
            names.append(new.name)
            self.parts.append(new)
            yield AddPart(part=new)
        for cable in self._whole_cables(chosen):
            self.ids[cable.id] = self._fresh("cable", cable.id)
            yield AddCable(
                cable=cable.model_copy(update={"id": self.ids[cable.id], "number": self._number(cable)})
            )
        said = [one.name for one in self.target.conductors if one.name]
        for one in chosen.conductors:
            name = None if one.name is None else next_name(one.name, said)
            said += [name] if name else []
            yield AddConductor(conductor=self._conductor(one, name))

    def _fresh(self, prefix: str, old: str) -> str:
        """A new id; the same request makes the same ones, so that it can be sent again."""
        made = hashlib.sha256(f"{self.request_id} {old}".encode()).hexdigest()[:10]
        return f"{prefix[:20]}-{made}"

    def _part(self, part: AnyPart, name: str) -> AnyPart:
        changes: dict[str, Any] = {"id": self.ids[part.id], "name": name, "tag": None}
        changes |= {"trace": None, "waypoint": None, "from_waypoint_m": None}
        if isinstance(part, Alternator):
            own = part.engine if self.target is self.source else None
            changes["engine"] = self.ids.get(part.engine or "", own)
        if self.target is not self.source:
            changes |= {
                "place": None,
                "deck": _same_name(self.source.decks, self.target.decks, part.deck),
                "zone": _same_name(self.source.zones, self.target.zones, part.zone),
                "island": _same_name(self.source.islands, self.target.islands, part.island),
            }
        return part.model_copy(update=changes)

    def _whole_cables(self, chosen: Ticked) -> Iterator[Cable]:
        """The cables all of whose conductors are copied."""
        copied = {one.id for one in chosen.conductors}
        for cable in self.source.cables:
            cores = {one.id for one in self.source.conductors if one.cable == cable.id}
            if cores and cores <= copied:
                yield cable

    def _number(self, cable: Cable) -> str | None:
        """A number stands on one cable aboard: it comes along only where it is free."""
        return None if cable.number in {one.number for one in self.target.cables} else cable.number

    def _conductor(self, one: Conductor, name: str | None) -> Conductor:
        changes: dict[str, Any] = {
            "id": self._fresh("wire", one.id),
            "name": name,
            "cable": self.ids.get(one.cable or ""),
            "tail": self._end(one.tail),
            "head": self._end(one.head),
            "tail_joint": _off_its_stack(one.tail_joint),
            "head_joint": _off_its_stack(one.head_joint),
            "length_basis": None if one.length_basis is None else "carried-over",
            "length_fixed": False,
            "bundle": one.bundle if self.target is self.source else None,
        }
        of_the_first = ["parallel_group", "measured_resistance_ohm", "reading", "trace"]
        if one.exposure_basis is not None:  # it followed from the way the first one takes
            of_the_first += ["in_engine_space", "exposure_basis"]
        return one.model_copy(update=changes | dict.fromkeys(of_the_first))

    def _end(self, end: TerminalRef | None) -> TerminalRef | None:
        if end is None or end.part not in self.ids:
            return None
        return TerminalRef(part=self.ids[end.part], terminal=end.terminal)


def _same_name(ours: Iterable[Any], theirs: Iterable[Any], name: str | None) -> str | None:
    said = next((one.name for one in ours if one.id == name), None)
    return next((one.id for one in theirs if one.name == said), None)


def _off_its_stack(joint: Joint | None) -> Joint | None:
    return None if joint is None else joint.model_copy(update={"stack_position": None})


def _settings(boat: Boat, ids: Mapping[str, str]) -> Iterator[SingleEdit]:
    """What the copies of parts are switched to, mode by mode."""
    for mode in boat.modes:
        for one in mode.positions:
            if one.part in ids:
                yield SetPosition(mode=mode.id, part=ids[one.part], way=one.way, position=one.position)
        for running in mode.on:
            if running.part in ids:
                hours = running.hours_per_day
                new = ids[running.part]
                yield SetOn(mode=mode.id, part=new, input=running.input, on=True, hours_per_day=hours)


def _as_one(edits: list[SingleEdit], label: str) -> Several:
    if not edits:
        raise EditError(
            "ticked", "nothing is ticked that is still aboard.", "Tick parts or cables in the lists."
        )
    if len(edits) > MOST_EDITS:
        raise EditError("ticked", "that is too much at once.", "Tick fewer, and do it in several turns.")
    return Several(edits=tuple(edits), label=label[:LONGEST_NAME])


def _words(chosen: Ticked) -> str:
    """What is ticked, in few words: names where they are few, else counts."""
    said = [part.name for part in chosen.parts]
    if len(said) > 2:  # noqa: PLR2004 - three names are a list
        said = [f"{len(said)} parts"]
    count = len(chosen.conductors)
    if count:
        said.append(f"{count} conductor{'s' * (count > 1)}")
    return " and ".join(said)
