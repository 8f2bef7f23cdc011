"""Survey rows as text: pasted, read from a file, and written as CSV that no spreadsheet runs.

A cell that a spreadsheet would take for a formula is written with an apostrophe before it, and read without.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from server.actions.survey_list import plain
from server.actions.survey_rows import COLUMNS, NAMES, TITLES, SurveyRow

MOST_ROWS = 300
MOST_CELLS = 40
FORMULA = frozenset("=+-@\t\r")
"""What a cell may begin with that a spreadsheet runs."""


EMPTY = SurveyRow()


class TableError(ValueError):
    """Rows that cannot be read at all: where, what is wrong, and what to do."""

    def __init__(self, place: str, message: str, mend: str) -> None:
        """Keep all three; together they make the message."""
        super().__init__(f"{place}: {message} {mend}")
        self.place, self.message, self.mend = place, message, mend


@dataclass(frozen=True)
class TextRow:
    """One row of a text: on which line it ends, what it says, and its cells as they came."""

    line: int
    row: SurveyRow
    cells: tuple[str, ...]


def read_text(text: str) -> tuple[TextRow, ...]:
    """The rows of a text; empty ones and a row of heads are left out.

    What stands in a column of another name is kept in the note.

    Raises:
        TableError: a quote is never closed, or there is too much of it.
    """
    return named((line, cells) for line, cells in _cells(text))


def named(lines: Iterable[tuple[int, Sequence[str]]]) -> tuple[TextRow, ...]:
    """Rows of cells, each put under its column's name; see ``read_text``.

    Raises:
        TableError: there are too many rows or cells.
    """
    found: list[TextRow] = []
    order: tuple[str, ...] | None = None
    for line, raw in lines:
        cells = tuple(unquoted(cell.strip()) for cell in trimmed(raw))
        if not any(cells):
            continue
        if len(cells) > MOST_CELLS:
            raise TableError(
                f"line {line}", f"it has {len(cells)} cells.", f"Keep {MOST_CELLS} columns at most."
            )
        if order is None:
            heads = tuple(_column(cell) for cell in cells)
            is_heads = _are_heads(heads)
            order = heads if is_heads else tuple(COLUMNS)
            if is_heads:
                continue
        if len(found) == MOST_ROWS:
            raise TableError(f"line {line}", f"there are more than {MOST_ROWS} rows.", "Send them in parts.")
        found.append(TextRow(line, _row(order, cells), tuple(raw)))
    return tuple(found)


def written(rows: Iterable[SurveyRow]) -> str:
    """Rows as CSV with a row of heads; cells that a spreadsheet would run are quoted, empty rows left out."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(TITLES)
    writer.writerows([quoted(getattr(row, name)) for name in NAMES] for row in rows if row != EMPTY)
    return out.getvalue()


def as_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows of cells as text that ``read_text`` reads again, tabs between the cells."""
    out = io.StringIO()
    csv.writer(out, delimiter="\t", lineterminator="\n").writerows(rows)
    return out.getvalue().removesuffix("\n")


def trimmed(cells: Sequence[str]) -> list[str]:
    """The cells up to the last that says something."""
    last = max((n for n, cell in enumerate(cells) if cell.strip()), default=-1)
    return list(cells[: last + 1])


def quoted(cell: str) -> str:
    """A cell that a spreadsheet takes for text.

    >>> quoted("=1+1"), quoted("Battery"), quoted("'-1")
    ("'=1+1", 'Battery', "''-1")
    """
    return f"'{cell}" if cell[:1] in FORMULA | {"'"} and cell else cell


def unquoted(cell: str) -> str:
    """A cell as it was before ``quoted``."""
    return cell[1:] if cell.startswith("'") and cell[1:2] in FORMULA | {"'"} and cell[1:] else cell


def _cells(text: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    try:
        for cells in reader:
            yield reader.line_num, cells
    except csv.Error as error:
        message = f"the cells cannot be told apart ({error})."
        raise TableError(
            f"line {reader.line_num}", message, "Look for a quotation mark that is not closed."
        ) from None


def _delimiter(text: str) -> str:
    """What parts the cells: by the first line that has any of the marks outside of quotation marks."""
    for line in text.splitlines():
        bare = "".join(line.split('"')[::2])
        if "\t" in bare:
            return "\t"
        if ";" in bare or "," in bare:
            return ";" if bare.count(";") >= bare.count(",") else ","
    return ","


def _column(head: str) -> str:
    """The column that a head names; the head itself where it names none."""
    plain_head = head.casefold()
    return next((key for key, words in COLUMNS.items() if plain_head in words), head)


def _are_heads(cells: Sequence[str]) -> bool:
    """Whether a row names columns: at least two, and half of its cells."""
    named_columns = sum(cell in COLUMNS for cell in cells)
    return named_columns > 1 and 2 * named_columns >= sum(map(bool, cells))


def _row(order: tuple[str, ...], cells: tuple[str, ...]) -> SurveyRow:
    known: dict[str, str] = {}
    more: list[str] = []
    for n, cell in enumerate(cells):
        key = order[n] if n < len(order) else ""
        if key in COLUMNS and key not in known:
            known[key] = cell
        elif cell:
            more.append(f"{key}: {cell}" if key else cell)
    row = SurveyRow(**known)
    return plain(replace(row, note="; ".join(filter(None, [row.note, *more]))) if more else row)
