"""A survey list as a whole: many rows onto a boat as one edit, one row by itself, a boat as rows."""

import hashlib
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from server.actions.survey_rows import LONGEST_CELL, Aboard, ReadRow, SurveyRow, fuse_name, read_row
from server.actions.terminal_choice import NEXT_FREE, terminals_by_words
from server.actions.yard import OpenBoat, Yard, open_boat
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.document import boat_bytes
from server.boat.edits import EditError, Several, apply, edit_json
from server.boat.parts import Fuse
from server.boat.value import Span, TerminalRef
from server.store.errors import StaleError
from server.units import Ampere

MOST_TRIES = 20
_BOTH_ENDS = 2
_LOOSE = re.compile(r"^(?P<word>From|To): (?P<text>.*)$")
_KEPT_FUSE = re.compile(r"^Fuse: (?P<amperes>\d{1,4}(?:\.\d{1,4})?) A$")


def read_list(boat: Boat, rows: Sequence[SurveyRow]) -> tuple[ReadRow, ...]:
    """Every row, each on the boat as the good rows before it leave it."""
    aboard = Aboard(boat)
    return tuple(read_row(aboard, row) for row in rows)


def whole_edit(read: Sequence[ReadRow]) -> Several | None:
    """All good rows as one edit; None where there is none."""
    edits = tuple(edit for row in read for edit in row.edits)
    count = sum(row.is_good for row in read)
    if not edits:
        return None
    return Several(edits=edits, label=f"Put in {count} cable{'s' * (count > 1)}")


def put_in(yard: Yard, boat_id: str, row: SurveyRow, request_id: str) -> tuple[OpenBoat, ReadRow]:
    """Put one row in, on whatever stands now: a row adds and takes nothing away. Sent again it is done once.

    Raises:
        UnknownBoatError, DeletedBoatError: there is nothing to add to.
        RequestReusedError: the key was used for something else.
        StaleError: others changed the boat each time it was tried.
    """
    label = f"Put in {_named(row)}"
    return appended(
        yard, boat_id, label, request_id, row, lambda boat: read_row(Aboard.of_a_walk(boat, row), row)
    )


def appended(  # noqa: PLR0913, PLR0917 - each names one thing of the revision
    yard: Yard, boat_id: str, label: str, request_id: str, asked: object, read: Callable[[Boat], ReadRow]
) -> tuple[OpenBoat, ReadRow]:
    """Make what a row asks for on whatever stands now, as one revision; sent again it is done once.

    Raises:
        UnknownBoatError, DeletedBoatError, RequestReusedError, StaleError: as for ``put_in``.
    """
    for tries_left in reversed(range(MOST_TRIES)):
        opened = open_boat(yard, boat_id)
        found = read(opened.boat)
        if not found.is_good:
            return opened, found
        edit = Several(edits=found.edits, label=label[:120])
        try:
            after = apply(opened.boat, edit)
        except EditError as error:  # the boat is as large as one may be
            return opened, ReadRow(found.row, (), {"number": f"{error.message} {error.mend}"}, found.told)
        try:
            yard.store.append(
                boat_id,
                opened.rev,
                body=boat_bytes(after),
                edit=edit_json(edit),
                label=edit.label,
                author=yard.author,
                request_id=request_id,
                request_sha=_sha(boat_id, asked),
            )
        except StaleError:
            if not tries_left:
                raise
            continue
        return open_boat(yard, boat_id), found
    raise AssertionError("the last try raises or returns")  # pragma: no cover - the loop cannot end


def _named(row: SurveyRow) -> str:
    named = row.number or row.what
    return f"cable {named}" if named else "a cable"


def _sha(boat_id: str, asked: object) -> str:
    """What a request asked for: the row as written, whatever the boat made of it."""
    return hashlib.sha256("\0".join(("survey-row", boat_id, repr(asked))).encode()).hexdigest()


def rows_of(boat: Boat) -> tuple[SurveyRow, ...]:
    """A boat's wires as rows, in document order; a fuse bolted to a wire's first end is that row's."""
    return tuple(Writing(boat).rows())


class Writing:
    """A boat while it is written as rows."""

    def __init__(self, boat: Boat) -> None:
        """The boat that is written."""
        self.boat = boat
        self.words: Mapping[TerminalRef, str] = {
            at: words for words, at in terminals_by_words(boat).items() if not words.endswith(NEXT_FREE)
        }
        self.numbers = {cable.id: cable.number or "" for cable in boat.cables}
        self.fuses = {part.id: part for part in boat.parts if isinstance(part, Fuse)}
        ends = (end for one in boat.conductors for end in (one.tail, one.head) if end is not None)
        self.hanging = Counter(end.part for end in ends)
        self.at_line = {
            one.head.part: one
            for one in boat.conductors
            if one.kind == "link" and one.head is not None and one.head.terminal == "line"
        }

    def rows(self) -> Iterator[SurveyRow]:
        """One row a wire."""
        for one in self.boat.conductors:
            if one.kind == "wire":
                yield self.row(one)

    def row(self, wire: Conductor) -> SurveyRow:
        """A wire as a row."""
        number = self.numbers.get(wire.cable or "", "")
        before = self.fuse_before(wire)
        tail = wire.tail if before is None else before.link.tail
        fuse = "" if before is None else f"{before.amperes:g}"
        loose, note = _parted(wire.notes or "", {"From": tail is None, "To": wire.head is None})
        if tail is None:
            fuse, note = _kept_fuse(note)
        return SurveyRow(
            number=number,
            tail=self.words.get(tail, "") if tail is not None else loose.get("From", ""),
            head=self.words.get(wire.head, "") if wire.head is not None else loose.get("To", ""),
            size="" if wire.size is None else wire.size.label,
            length=_length(wire),
            fuse=fuse,
            colour=wire.colour or "",
            what=wire.name or "",
            note=note,
        )

    def fuse_before(self, wire: Conductor) -> "FuseBefore | None":
        """The fuse on a wire's first end that says nothing but its rating."""
        fuse = (
            self.fuses.get(wire.tail.part) if wire.tail is not None and wire.tail.terminal == "load" else None
        )
        link = None if fuse is None else self.at_line.get(fuse.id)
        if fuse is None or link is None or link.tail is None or self.hanging[fuse.id] > _BOTH_ENDS:
            return None
        name = fuse_name(self.numbers.get(wire.cable or "", ""))
        plain = Fuse(kind="fuse", id=fuse.id, name=name, rating_a=fuse.rating_a, reset="replace")
        if fuse != plain or fuse.rating_a is None:
            return None
        return FuseBefore(fuse.id, fuse.rating_a, link)


@dataclass(frozen=True)
class FuseBefore:
    """A plain fuse between a wire and the terminal that its row begins at, and the bolted joint to there."""

    fuse: str
    amperes: Ampere
    link: Conductor


def _parted(notes: str, is_loose: Mapping[str, bool]) -> tuple[Mapping[str, str], str]:
    """What notes keep of loose ends, and the rest of them."""
    loose: dict[str, str] = {}
    rest = notes
    for word in ("From", "To"):
        piece, _, after = rest.partition("; ")
        found = _LOOSE.match(piece)
        if found and found["word"] == word and is_loose[word] and len(found["text"]) <= LONGEST_CELL:
            loose[word], rest = found["text"], after
    return loose, rest


def _kept_fuse(note: str) -> tuple[str, str]:
    """The fuse that a note keeps for a wire that begins nowhere yet, and the rest of the note."""
    piece, _, after = note.partition("; ")
    found = _KEPT_FUSE.match(piece)
    return (found["amperes"], after) if found else ("", note)


def _length(wire: Conductor) -> str:
    match wire.length_m:
        case None:
            return ""
        case Span() as span:
            return f"{span.low:g} to {span.high:g}"
        case metres:
            return f"{metres:g}" if wire.length_basis in {None, "measured"} else f"about {metres:g}"


def plain(row: SurveyRow) -> SurveyRow:
    """The same row without blanks around its cells."""
    return replace(row, **{name: getattr(row, name).strip() for name in row.__dataclass_fields__})
