"""Many cables at once, as rows from a spreadsheet or a survey list: read, shown, put in where they fit."""

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import reduce

from server.actions.fitting import CableAnswers, cable_edit
from server.boat.boat import Boat
from server.boat.edits import EditError, Several, SingleEdit, apply
from server.web.views.controls import HeadView
from server.web.views.fitting_answers import cable_answers
from server.web.views.forms import FormView

MOST_ROWS = 200
COLUMNS: Mapping[str, tuple[str, ...]] = {
    "number": ("number", "no", "no.", "cable", "tag"),
    "tail": ("from", "tail"),
    "head": ("to", "head"),
    "size": ("size", "gauge", "section"),
    "length": ("length", "length m", "metres", "m"),
    "fuse": ("fuse", "fuse a", "device"),
    "colour": ("colour", "color"),
}
"""The columns by the words at their heads; without a row of heads they come in this order."""
TITLES = ("Number", "From", "To", "Size", "Length in m", "Fuse in A", "Colour")


@dataclass(frozen=True)
class RowView:
    """One row as read: its cells, and what is wrong with it or worth knowing."""

    line: int
    cells: tuple[str, ...]
    error: str
    note: str


@dataclass(frozen=True)
class RowsView:
    """``fitting/rows.html``."""

    title: str
    head: HeadView
    form: FormView
    back_url: str
    text: str
    titles: tuple[str, ...] = TITLES
    rows: tuple[RowView, ...] = ()
    good: int = 0
    told: str = ""


@dataclass(frozen=True)
class Read:
    """One row with the edits it asks for; none where something is wrong."""

    view: RowView
    text: str
    edits: tuple[SingleEdit, ...]


def read_rows(boat: Boat, text: str) -> tuple[Read, ...]:
    """Every row of a pasted table, each read on the boat as the rows before it leave it.

    An end that names no terminal of the boat becomes a loose end, and what was written is kept as a note.
    """
    found = []
    for line, cells, raw in _lines(text):
        read = _row(boat, line, cells, raw)
        try:
            boat = reduce(apply, read.edits, boat)
        except EditError as error:
            refused = replace(read.view, error=f"{error.message} {error.mend}")
            read = replace(read, view=refused, edits=())
        found.append(read)
    return tuple(found)


def whole_edit(rows: tuple[Read, ...]) -> Several | None:
    """All good rows as one edit; None where there is none."""
    edits = tuple(edit for row in rows for edit in row.edits)
    count = sum(bool(row.edits) for row in rows)
    if not edits:
        return None
    return Several(edits=edits, label=f"Put in {count} cable{'s' * (count > 1)}")


def left_over(rows: tuple[Read, ...]) -> str:
    """The rows that were not good, as they came."""
    return "\n".join(row.text for row in rows if not row.edits)


def _lines(text: str) -> Iterator[tuple[int, Mapping[str, str], str]]:
    """Line number, cells by column, and the line as it came; empty lines and a row of heads are left out."""
    lines = text.splitlines()
    order: tuple[str, ...] | None = None
    delimiter = next((mark for mark in "\t;" if any(mark in line for line in lines)), ",")
    for number, line in enumerate(lines, start=1):
        cells = [cell.strip() for cell in next(csv.reader([line], delimiter=delimiter), [])]
        if not any(cells):
            continue
        if order is None:
            heads = tuple(_column(cell) for cell in cells)
            order = heads if sum(bool(one) for one in heads) > 1 else tuple(COLUMNS)
            if order is heads:
                continue
        yield number, {key: cell for key, cell in zip(order, cells, strict=False) if key}, line


def _column(head: str) -> str:
    """The column that a head names; empty where it names none."""
    return next((key for key, words in COLUMNS.items() if head.casefold() in words), "")


def _row(boat: Boat, line: int, cells: Mapping[str, str], raw: str) -> Read:
    answers, errors = cable_answers(boat, cells)
    ends = {"tail": answers.tail, "head": answers.head}
    unknown = {end: cells[end] for end, at in ends.items() if at is None and cells.get(end)}
    wrong = [words for key, words in errors.items() if key not in unknown]
    note = "; ".join(f"{'From' if end == 'tail' else 'To'}: {text}" for end, text in unknown.items())
    shown = tuple(cells.get(key, "") for key in COLUMNS)
    told = " ".join(_told(boat, answers.number, note))
    if wrong:
        return Read(RowView(line, shown, " ".join(wrong), told), raw, ())
    return Read(RowView(line, shown, "", told), raw, _edits(answers, note))


def _told(boat: Boat, number: str | None, note: str) -> Iterator[str]:
    """What is worth knowing of a row that can be put in."""
    if note:
        yield f"{note}: not aboard yet, so a loose end with this note."
    if number and any((one.number or "").strip() == number.strip() for one in boat.cables):
        yield f"A cable {number.strip()} is there already: give this one another number, or leave it out."


def _edits(answers: CableAnswers, note: str) -> tuple[SingleEdit, ...]:
    return cable_edit(replace(answers, note=note or None)).edits
