"""Many cables at once, as rows from a spreadsheet or a survey list: read, shown, put in where they fit."""

from collections.abc import Sequence
from dataclasses import dataclass

from server.actions.survey_list import read_list
from server.actions.survey_rows import NAMES, TITLES, ReadRow
from server.actions.survey_text import TextRow, as_text
from server.boat.boat import Boat
from server.web.views.controls import HeadView
from server.web.views.forms import FormView


@dataclass(frozen=True)
class RowCellView:
    """One cell, and whether something is wrong with it."""

    text: str
    is_wrong: bool


@dataclass(frozen=True)
class RowView:
    """One row as read: its cells, and what is wrong with it or worth knowing."""

    line: int
    cells: tuple[RowCellView, ...]
    error: str
    note: str


@dataclass(frozen=True)
class RowsView:
    """``fitting/rows.html``."""

    title: str
    head: HeadView
    form: FormView
    file_form: FormView
    csv_url: str
    back_url: str
    survey_url: str
    text: str
    titles: tuple[str, ...] = TITLES
    rows: tuple[RowView, ...] = ()
    good: int = 0
    told: str = ""
    wrong: str = ""


@dataclass(frozen=True)
class Read:
    """The rows of a text as they are read onto a boat."""

    lines: tuple[TextRow, ...]
    rows: tuple[ReadRow, ...]

    @property
    def good(self) -> int:
        """How many can be put in."""
        return sum(row.is_good for row in self.rows)

    def views(self) -> tuple[RowView, ...]:
        """Every row with its errors beside it."""
        return tuple(_row_view(line.line, row) for line, row in zip(self.lines, self.rows, strict=True))

    def left_over(self) -> str:
        """The rows that are not good, under a row of heads; nothing where all are."""
        rest = [row.row for row in self.rows if not row.is_good]
        return as_text([TITLES, *([getattr(row, name) for name in NAMES] for row in rest)]) if rest else ""


def read_on(boat: Boat, lines: Sequence[TextRow]) -> Read:
    """Rows of a text on a boat."""
    return Read(tuple(lines), read_list(boat, [line.row for line in lines]))


def _row_view(line: int, read: ReadRow) -> RowView:
    return RowView(
        line=line,
        cells=tuple(RowCellView(getattr(read.row, name), name in read.errors) for name in NAMES),
        error=" ".join(read.errors.values()),
        note=" ".join(read.told),
    )
