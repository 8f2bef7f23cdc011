"""A row of a survey list changed in place: what its cells say now, as edits of the wire that is there.

What stands in a row is what was seen aboard. Changing it corrects the survey and moves nothing: lengths that
were measured stay, and no option is opened for it.
"""

import hashlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from pydantic import JsonValue

from server.actions.fitting import take_out_conductor
from server.actions.survey_list import FuseBefore, Writing, appended, plain
from server.actions.survey_rows import NAMES, Aboard, ReadRow, SurveyRow, fuse_name, read_row
from server.actions.yard import OpenBoat, Yard, open_boat
from server.boat.boat import Boat
from server.boat.conductors import Cable, Conductor
from server.boat.edits import (
    AddCable,
    AddConductor,
    AddPart,
    ChangeValue,
    RemoveConductor,
    RemovePart,
    Rename,
    SetLength,
    SetSize,
    Several,
    SingleEdit,
)
from server.boat.ids import new_id
from server.boat.leads import Side
from server.boat.parts import Fuse
from server.boat.value import TerminalRef

GONE = "This row was taken out meanwhile."
CHANGED = "This row was changed meanwhile. What you wrote stands here: change the row again to put it on top."
_NOW = "Now it is"
_TAKEN_EACH = frozenset({"size", "length"})
"""Columns whose words may say less than the boat knows: what was not touched is not read again."""


def mend(  # noqa: PLR0913, PLR0917 - each names one thing of the change
    yard: Yard, boat_id: str, wire: str, seen: str, row: SurveyRow, request_id: str
) -> tuple[OpenBoat, ReadRow]:
    """Change a row that still stands as it was ``seen``; sent again it is done once.

    Raises:
        UnknownBoatError, DeletedBoatError, RequestReusedError, StaleError: as for putting a row in.
    """
    asked = plain(row)

    def read(boat: Boat) -> ReadRow:
        return _as_seen(boat, wire, seen, lambda _: asked)

    return appended(yard, boat_id, f"Changed {_named(asked)}", request_id, (wire, seen, asked), read)


def lay(  # noqa: PLR0913, PLR0917 - each names one thing of the change
    yard: Yard, boat_id: str, wire: str, seen: str, end: Mapping[str, str], request_id: str
) -> tuple[OpenBoat, ReadRow]:
    """Lay an end of a row, ``tail`` or ``head``, on what is named; all else stays as ``seen``.

    Raises:
        UnknownBoatError, DeletedBoatError, RequestReusedError, StaleError: as for putting a row in.
    """

    def read(boat: Boat) -> ReadRow:
        return _as_seen(boat, wire, seen, lambda row: replace(row, **end))

    words = " and ".join(end.values())
    return appended(yard, boat_id, f"Laid on {words}", request_id, (wire, seen, tuple(end.items())), read)


def _as_seen(boat: Boat, wire: str, seen: str, asked_of: Callable[[SurveyRow], SurveyRow]) -> ReadRow:
    """A row read as it is asked for, where it still stands as it was seen."""
    found = _wire(boat, wire)
    if found is None:
        return ReadRow(SurveyRow(), (), {"number": GONE})
    before = Writing(boat).row(found)
    asked = asked_of(before)
    if seen_as(before) != seen:
        return ReadRow(before, (), _since(before, asked))
    return mended(boat, found, asked)


def take_out(yard: Yard, boat_id: str, wire: str, request_id: str) -> tuple[OpenBoat, ReadRow]:
    """Take a row out with its cable, where it was the last in it, and its fuse; sent again it is done once.

    Raises:
        UnknownBoatError, DeletedBoatError, RequestReusedError, StaleError: as for putting a row in.
    """

    def read(boat: Boat) -> ReadRow:
        found = _wire(boat, wire)
        if found is None:
            return ReadRow(SurveyRow(), (), {"number": GONE})
        writing = Writing(boat)
        out = take_out_conductor(boat, wire)
        edits = out.edits if isinstance(out, Several) else (out,)
        fuse = writing.fuse_before(found)
        return ReadRow(writing.row(found), (*edits, *(_without(fuse) if fuse is not None else ())), {})

    opened = open_boat(yard, boat_id)
    found = _wire(opened.boat, wire)
    named = "a cable" if found is None else _named(Writing(opened.boat).row(found))
    return appended(yard, boat_id, f"Take out {named}", request_id, (wire, "out"), read)


def is_overtaken(read: ReadRow) -> bool:
    """Whether a row was not changed because somebody else had changed it meanwhile."""
    return any(words.startswith(_NOW) for words in read.errors.values())


def _since(now: SurveyRow, asked: SurveyRow) -> dict[str, str]:
    """By column what stands in a row now where something else is asked for."""
    unlike = {name: getattr(now, name) for name in NAMES if getattr(now, name) != getattr(asked, name)}
    return {name: f"{_NOW} “{text}”." if text else f"{_NOW} empty." for name, text in unlike.items()}


def _wire(boat: Boat, wire: str) -> Conductor | None:
    return next((one for one in boat.conductors if one.id == wire and one.kind == "wire"), None)


def _named(row: SurveyRow) -> str:
    named = row.number or row.what
    return f"cable {named}" if named else "a cable"


def seen_as(row: SurveyRow) -> str:
    """What a form carries of a row as it stood, so that nobody overwrites what somebody else wrote."""
    return hashlib.sha256(repr(row).encode()).hexdigest()[:16]


def mended(boat: Boat, wire: Conductor, row: SurveyRow) -> ReadRow:
    """A wire of a boat as its row says it now: the edits, none where nothing is other than before."""
    writing = Writing(boat)
    before, fuse = writing.row(wire), writing.fuse_before(wire)
    own = {wire.id, *filter(None, [wire.cable]), *([] if fuse is None else [fuse.link.id])}
    kept = {name: "" for name in _TAKEN_EACH if getattr(row, name) == getattr(before, name)}
    read = read_row(Aboard(boat, frozenset(own)), replace(row, **kept))
    if read.errors:
        return replace(read, row=row)
    return replace(read, row=row, edits=tuple(_Mending(wire, fuse, before, row, read).edits()))


class _Mending:
    """A wire and its row before, beside the row as it is asked for and as it was read."""

    def __init__(
        self, wire: Conductor, fuse: FuseBefore | None, before: SurveyRow, row: SurveyRow, read: ReadRow
    ) -> None:
        self.wire, self.fuse, self.before, self.row = wire, fuse, before, row
        added = [one.conductor for one in read.edits if isinstance(one, AddConductor)]
        fuses = [one.part for one in read.edits if isinstance(one, AddPart) and isinstance(one.part, Fuse)]
        self.wanted = added[-1]
        self.asked_fuse = (fuses[0], added[0]) if fuses else None
        self.tail = self._tail(added[0].tail)

    def edits(self) -> Iterator[SingleEdit]:
        """All that is other now; a length last, so that no renewed way takes its place."""
        if self._differs("number"):
            yield from self._number()
        if self._differs("what"):
            yield self._set("name", self.row.what or None)
        if self._differs("colour"):
            yield self._set("colour", self.row.colour or None)
        ends = [*self._fused_tail(), *self._end("head", self.wire.head, self._head())]
        yield from ends
        is_noted = bool(ends) or self._differs("tail", "head", "fuse", "note")
        if is_noted and self.wanted.notes != self.wire.notes:
            yield self._set("notes", self.wanted.notes)
        if self._differs("size"):
            yield SetSize(conductor=self.wire.id, size=self.wanted.size)
        if self._differs("length"):
            length, basis = self.wanted.length_m, self.wanted.length_basis
            yield SetLength(conductor=self.wire.id, length_m=length, basis=basis)

    def _differs(self, *columns: str) -> bool:
        return any(getattr(self.row, name) != getattr(self.before, name) for name in columns)

    def _set(self, field: str, value: JsonValue, of: str = "") -> ChangeValue:
        return ChangeValue(id=of or self.wire.id, field=field, value=value)

    def _number(self) -> Iterator[SingleEdit]:
        if self.wire.cable is not None:
            yield self._set("number", self.row.number or None, self.wire.cable)
        else:
            cable = Cable(id=new_id("cable"), number=self.row.number, construction="single")
            yield AddCable(cable=cable)
            yield self._set("cable", cable.id)
        if self.fuse is not None:
            yield Rename(id=self.fuse.fuse, name=fuse_name(self.row.number))

    def _tail(self, read: TerminalRef | None) -> TerminalRef | None:
        """Where the row begins: as read, but what was not touched stays where it is."""
        now = self.wire.tail if self.fuse is None else self.fuse.link.tail
        return now if now is not None and not self._differs("tail") else read

    def _head(self) -> TerminalRef | None:
        is_kept = self.wire.head is not None and not self._differs("head")
        return self.wire.head if is_kept else self.wanted.head

    def _fused_tail(self) -> Iterator[SingleEdit]:
        """The first end with its fuse: changed, put in, taken out, or never there."""
        match self.fuse, self.asked_fuse:
            case FuseBefore() as now, None:
                yield from _without(now)
                yield from self._end("tail", None, self.tail)
            case FuseBefore() as now, (asked, _):
                if self._differs("fuse"):
                    yield ChangeValue(id=now.fuse, field="rating_a", value=asked.rating_a)
                if self.tail != now.link.tail:
                    yield self._set("tail", _told(self.tail), now.link.id)
            case None, (asked, link):
                yield AddPart(part=asked)
                yield AddConductor(conductor=link)
                yield from self._end("tail", self.wire.tail, self.wanted.tail)
            case _:
                yield from self._end("tail", self.wire.tail, self.tail)

    def _end(self, side: Side, now: TerminalRef | None, then: TerminalRef | None) -> Iterator[SingleEdit]:
        if now == then:
            return
        yield self._set(side, _told(then))
        joint = self.wire.tail_joint if side == "tail" else self.wire.head_joint
        if joint is not None and joint.stack_position is not None:
            yield self._set(f"{side}_joint.stack_position", None)


def _told(end: TerminalRef | None) -> JsonValue:
    return None if end is None else {"part": end.part, "terminal": end.terminal}


def _without(fuse: FuseBefore) -> tuple[SingleEdit, ...]:
    return RemovePart(id=fuse.fuse), RemoveConductor(id=fuse.link.id)
