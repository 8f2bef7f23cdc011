"""Rows of a survey list, one conductor each: read onto a boat, and written from one.

A row may be unfinished: an end that is no terminal yet becomes a loose end that keeps what was written, and
size, length, fuse and number may stay open. A fuse without a terminal to sit on is kept in the note. Rows of
one number are the cores of one cable.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields

from server.actions.survey_alone import Alone
from server.actions.survey_sizes import printed_size
from server.actions.survey_spots import Spots
from server.boat.boat import Boat
from server.boat.conductors import Cable, Conductor, Joint, LengthBasis, Size
from server.boat.edits import AddCable, AddConductor, AddPart, ChangeValue, SingleEdit
from server.boat.ids import new_id
from server.boat.leads import Side
from server.boat.parts import Fuse
from server.boat.value import Known, Span, TerminalRef
from server.practice.sizes import UnknownSizeError
from server.units import METRES_PER_FOOT, Ampere, Metre

LONGEST_CELL = 250
LONGEST_NAME = 120
LONGEST_M: Metre = 500.0
LARGEST_FUSE_A: Ampere = 2000.0
ENTERED_C = 105.0
"""The insulation that is printed on marine cable; shown with the cable, to be changed there."""
MOST_DIGITS = 20
NewId = Callable[[str], str]
_RANGE = re.compile(r"^(?P<low>[^ ]+) to (?P<high>[^ ]+)$")
_ABOUT = "about "
_UNSAFE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@dataclass(frozen=True)
class SurveyRow:
    """The cells of one row, as written."""

    number: str = ""
    tail: str = ""
    head: str = ""
    size: str = ""
    length: str = ""
    fuse: str = ""
    colour: str = ""
    what: str = ""
    note: str = ""


COLUMNS: Mapping[str, tuple[str, ...]] = {
    "number": ("number", "no", "no.", "nr", "nr.", "cable", "tag"),
    "tail": ("from", "tail"),
    "head": ("to", "head"),
    "size": ("size", "gauge", "section"),
    "length": ("length", "length in m", "length m", "metres", "m"),
    "fuse": ("fuse", "fuse in a", "fuse a", "device"),
    "colour": ("colour", "color"),
    "what": ("what", "name", "circuit"),
    "note": ("note", "notes", "remark"),
}
"""The columns by the words at their heads; without a row of heads they come in this order."""
TITLES = ("Number", "From", "To", "Size", "Length in m", "Fuse in A", "Colour", "What", "Note")
NAMES = tuple(one.name for one in fields(SurveyRow))


@dataclass(frozen=True)
class ReadRow:
    """A row as read: the edits it asks for, none where something is wrong; errors by column."""

    row: SurveyRow
    edits: tuple[SingleEdit, ...]
    errors: Mapping[str, str]
    told: tuple[str, ...] = ()

    @property
    def is_good(self) -> bool:
        """Whether it can be put in."""
        return bool(self.edits)

    @property
    def wire(self) -> str:
        """The id of its wire; empty where it cannot be put in."""
        last = self.edits[-1] if self.edits else None
        return last.conductor.id if isinstance(last, AddConductor) else ""


class Aboard:
    """What rows need to know of a boat; it learns from each row that is good."""

    def __init__(self, boat: Boat, but_for: frozenset[str] = frozenset()) -> None:
        """The boat before the first row, as if the conductors and cables named last were not there."""
        ends = ((one.tail, one.head) for one in boat.conductors if one.id not in but_for)
        self.spots, self.alone = Spots(boat), Alone(boat)
        self.taken = {end for both in ends for end in both if end is not None}
        self.numbers = {one.number for one in boat.cables if one.id not in but_for}
        self.cores: dict[str, tuple[str, int]] = {}

    @classmethod
    def of_a_walk(cls, boat: Boat, row: SurveyRow) -> "Aboard":
        """The boat where a row with the number of a cable that is there is one more core of it.

        Not so where that cable is of another size or make, or is not the only one of its number.
        """
        aboard = cls(boat)
        cables = [one for one in boat.cables if one.number == row.number] if row.number else []
        if len(cables) != 1 or cables[0].construction not in {"single", "twin"}:
            return aboard
        cores = [one for one in boat.conductors if one.cable == cables[0].id and one.kind == "wire"]
        labels = {one.size.label for one in cores if one.size is not None} | _label_of(row.size)
        if len(cores) == cables[0].cores and len(labels) <= 1:
            aboard.cores[row.number] = (cables[0].id, len(cores))
        return aboard

    def at(self, text: str) -> TerminalRef | None:
        """The terminal that a text names; of a bar the next free stud."""
        return self.spots.called(text, self.taken)

    def meant(self, row: "SurveyRow", side: Side, other: TerminalRef | None) -> TerminalRef | None:
        """The terminal of a part that a row names alone, where the rest of the row leaves but one."""
        own, far = (row.tail, row.head) if side == "tail" else (row.head, row.tail)
        part = self.spots.part(own)
        if not part:
            return None
        names = (row.what, far.partition(":")[0])
        return self.alone.terminal(part, side, other, row.colour, names, self.taken)

    def took(self, ends: tuple[TerminalRef | None, TerminalRef | None], number: str, cable: str) -> None:
        """A row of this list is in."""
        self.taken.update(end for end in ends if end is not None)
        if number:
            self.cores[number] = (cable, self.cores.get(number, ("", 0))[1] + 1)


def read_row(aboard: Aboard, row: SurveyRow, ids: NewId = new_id) -> ReadRow:
    """A row on a boat as the rows before it left it."""
    return _Reading(aboard, row, ids).whole()


class _Reading:
    """One row while it is read; what is wrong is gathered by column."""

    def __init__(self, aboard: Aboard, row: SurveyRow, ids: NewId) -> None:
        self.aboard, self.row, self.ids = aboard, row, ids
        self.shared: str | None
        self.shared, self.cores = aboard.cores.get(row.number, (None, 0))
        self.cable_id = self.shared or ids("cable")
        self.errors: dict[str, str] = {}
        self.told: list[str] = []

    def whole(self) -> ReadRow:
        """The row as read."""
        for name in NAMES:
            self._check_text(name)
        tail, head = self._ends()
        if tail is not None and tail == head:
            self.errors["head"] = "Choose another terminal than at the first end."
        size, length, fuse_a = self._size(), self._length(), self._fuse()
        if self.errors:
            return ReadRow(self.row, (), self.errors, tuple(self.told))
        kept_a = fuse_a if tail is None else None
        wire = self._wire((tail, head), size, length, self._notes(tail, head, kept_a))
        edits = (*self._cable(), *self._conductors(wire, None if kept_a else fuse_a))
        self.aboard.took((tail, head), self.row.number, self.cable_id)
        return ReadRow(self.row, edits, {}, tuple(self.told))

    def _ends(self) -> tuple[TerminalRef | None, TerminalRef | None]:
        """Where the row begins and ends: as written, or by what the rest of it says."""
        at = {"From": self.aboard.at(self.row.tail), "To": self.aboard.at(self.row.head)}
        begun = {"From": self.aboard.spots.begun(self.row.tail), "To": self.aboard.spots.begun(self.row.head)}
        for word, other, side in _SIDES:
            if at[word] is None:
                at[word] = self.aboard.meant(self.row, side, at[other])
                begun[word] = "" if at[word] is None else self.aboard.spots.words_of(at[word])
        for word, text in (("From", self.row.tail), ("To", self.row.head)):
            if at[word] is not None and begun[word]:
                self.told.append(f"{word}: {text}, taken for {begun[word]}.")
        return at["From"], at["To"]

    def _check_text(self, name: str) -> None:
        text = getattr(self.row, name)
        longest = LONGEST_NAME if name in {"number", "colour", "what"} else LONGEST_CELL
        if len(text) > longest:
            self.errors[name] = f"Write {longest} characters at most."
        elif _UNSAFE.search(text):
            self.errors[name] = "Take out the characters that cannot be printed."

    def _size(self) -> Size | None:
        if not self.row.size:
            return None
        try:
            found = printed_size(self.row.size)
        except UnknownSizeError as error:
            words = str(error)
            self.errors["size"] = f"{words[:1].upper()}{words[1:]}."
            return None
        return Size(
            label=found.label,
            area_mm2=found.area_mm2,
            resistance_ohm_per_m=found.ohm_per_m,
            source=found.source,
        )

    def _length(self) -> tuple[Known | None, LengthBasis | None]:
        """Metres or feet, plain where measured; “about 3” is an estimate, “2 to 4” a range."""
        text = self.row.length.strip()
        if not text:
            return None, None
        plain = text.removeprefix(_ABOUT)
        basis: LengthBasis = "measured" if plain == text else "estimated"
        ends = _RANGE.match(plain)
        figures = [_metres(one) for one in ((ends["low"], ends["high"]) if ends else (plain,))]
        if any(one is None or not 0 < one <= LONGEST_M for one in figures):
            self.errors["length"] = f"Enter metres above 0 and up to {LONGEST_M:g}, for example 4.5."
            return None, None
        low, high = min(f or 0.0 for f in figures), max(f or 0.0 for f in figures)
        return (Span(low=low, high=high), "estimated") if ends else (low, basis)

    def _fuse(self) -> Ampere | None:
        if not self.row.fuse:
            return None
        value = _figure(self.row.fuse.removesuffix("A").strip())
        if value is None or not 0 < value <= LARGEST_FUSE_A:
            self.errors["fuse"] = f"Enter amperes above 0 and up to {LARGEST_FUSE_A:g}, for example 15."
        return value

    def _notes(self, tail: TerminalRef | None, head: TerminalRef | None, kept_a: Ampere | None) -> str | None:
        """What was written of ends that are no terminals, a fuse that has none to sit on, and the note."""
        ends = (("From", self.row.tail, tail), ("To", self.row.head, head))
        loose = [(f"{word}: {text}", text) for word, text, at in ends if text and at is None]
        for words, text in loose:
            asked = f" {self.aboard.spots.which(text)}".rstrip()
            why = "a loose end" if self.aboard.spots.is_aboard(text) else "not aboard yet, so a loose end"
            self.told.append(f"{words}: {why} with this note.{asked}")
        fuse = [] if kept_a is None else [f"Fuse: {kept_a:g} A"]
        if fuse:
            self.told.append(f"{fuse[0]}: in the note until the cable begins at a terminal that is aboard.")
        return "; ".join([*(words for words, _ in loose), *fuse, *filter(None, [self.row.note])]) or None

    def _cable(self) -> tuple[SingleEdit, ...]:
        """A cable of its own, or one core more of the cable that an earlier row of this list began."""
        number = self.row.number
        if self.shared is not None:
            cores = self.cores + 1
            self.told.append(f"It is one more core of cable {number}.")
            make = "twin" if cores == _TWIN else "multi-core"
            return (
                ChangeValue(id=self.shared, field="construction", value=make),
                ChangeValue(id=self.shared, field="cores", value=cores),
            )
        if number in self.aboard.numbers:
            self.told.append(
                f"A cable {number} is there already: give this one another number, or leave it out."
            )
        return (AddCable(cable=Cable(id=self.cable_id, number=number or None, construction="single")),)

    def _wire(
        self,
        ends: tuple[TerminalRef | None, TerminalRef | None],
        size: Size | None,
        length: tuple[Known | None, LengthBasis | None],
        notes: str | None,
    ) -> Conductor:
        return Conductor(
            id=self.ids("wire"),
            kind="wire",
            name=self.row.what or None,
            cable=self.cable_id,
            tail=ends[0],
            head=ends[1],
            tail_joint=RING,
            head_joint=RING,
            size=size,
            material="tinned-copper",
            insulation_c=ENTERED_C,
            colour=self.row.colour or None,
            length_m=length[0],
            length_basis=length[1],
            notes=notes,
        )

    def _conductors(self, wire: Conductor, fuse_a: Ampere | None) -> tuple[SingleEdit, ...]:
        """The wire; with a fuse that sits on its first end where one is there."""
        if fuse_a is None:
            return (AddConductor(conductor=wire),)
        fuse = Fuse(
            kind="fuse",
            id=self.ids("fuse"),
            name=fuse_name(self.row.number),
            rating_a=fuse_a,
            reset="replace",
        )
        line, load = (TerminalRef(part=fuse.id, terminal=name) for name in ("line", "load"))
        link = Conductor(
            id=self.ids("link"), kind="link", tail=wire.tail, head=line, tail_joint=wire.tail_joint
        )
        fused = wire.model_copy(update={"tail": load})
        return AddPart(part=fuse), AddConductor(conductor=link), AddConductor(conductor=fused)


_SIDES: tuple[tuple[str, str, Side], ...] = (("From", "To", "tail"), ("To", "From", "head"))
RING = Joint(style="crimped-ring")
_TWIN = 2


def fuse_name(number: str) -> str:
    """What the fuse of a row is called."""
    return f"Fuse of cable {number}"[:LONGEST_NAME] if number else "Fuse"


def _label_of(size: str) -> set[str]:
    """The label of a size as printed, if it is one."""
    try:
        return {printed_size(size).label} if size else set()
    except UnknownSizeError:
        return set()


def _metres(text: str) -> Metre | None:
    """A length as written; feet, of 0.3048 m by definition, where it says so."""
    plain = text.strip()
    feet = next((plain.removesuffix(mark) for mark in _FEET if plain.endswith(mark)), None)
    found = _figure(plain.removesuffix("m") if feet is None else feet)
    return found if feet is None or found is None else found * METRES_PER_FOOT


_FEET = ("ft", "feet", "'")


def _figure(text: str) -> float | None:
    plain = text.strip().replace(",", ".")
    if not plain.isascii() or len(plain) > MOST_DIGITS or "_" in plain:
        return None
    try:
        return float(plain)
    except ValueError:
        return None
