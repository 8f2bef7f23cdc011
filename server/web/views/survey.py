"""The survey list: one row after another, put in while walking through the boat."""

from collections.abc import Mapping
from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.actions.survey_list import rows_of
from server.actions.survey_rows import NAMES, SurveyRow
from server.actions.terminal_choice import terminals_by_words
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.practice.sizes import sizes
from server.web.views.controls import HeadView, head_view
from server.web.views.fitting import COLOURS
from server.web.views.forms import FormView

SHOWN_ROWS = 20
KEPT = ("size", "colour")
"""What stands in the next row as it was given for the last."""
_SHORT = frozenset({"number", "length", "fuse"})


@dataclass(frozen=True)
class CellField:
    """One field of the row that is being written."""

    id: str
    name: str
    label: str
    value: str
    error: str
    unit: str
    offers: str
    is_short: bool


@dataclass(frozen=True)
class SurveyRowView:
    """One row that is there, with the way to its card, where it is mended or taken out."""

    id: str
    title: str
    url: str
    row: SurveyRow


@dataclass(frozen=True)
class SurveyView:
    """``survey/_survey.html``; root ``#survey``."""

    title: str
    head: HeadView
    boat: str
    form: FormView
    undo: FormView
    undo_words: str
    fields: tuple[CellField, ...]
    terminals: tuple[str, ...]
    sizes: tuple[str, ...]
    colours: tuple[str, ...]
    rows: tuple[SurveyRowView, ...]
    count: int
    unfinished: int
    told: str
    rows_url: str
    lists_url: str


_FIELDS = (
    ("number", "Number or tag", "", ""),
    ("what", "What", "", ""),
    ("tail", "From", "", "survey-terminals"),
    ("head", "To", "", "survey-terminals"),
    ("size", "Size", "", "survey-sizes"),
    ("length", "Length", "m", ""),
    ("fuse", "Fuse", "A", ""),
    ("colour", "Colour", "", "survey-colours"),
    ("note", "Note", "", ""),
)


def survey_view(
    opened: OpenBoat,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    told: str = "",
) -> SurveyView:
    """The list with a row to be written; ``typed`` stands in it, ``errors`` beside it."""
    rows = rows_of(opened.boat)
    wires = [one for one in opened.boat.conductors if one.kind == "wire"]
    path = f"/boats/{opened.id}"
    stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
    return SurveyView(
        title=f"Survey of {opened.row.name}",
        head=head_view(opened, "fitting"),
        boat=opened.id,
        form=FormView(f"{path}/survey", (("request_id", fresh_request_id()),)),
        undo=FormView(f"{path}/survey/undo", stamp),
        undo_words="" if opened.undo is None else opened.undo.label,
        fields=tuple(_field(one, typed or {}, errors or {}) for one in _FIELDS),
        terminals=tuple(terminals_by_words(opened.boat)),
        sizes=tuple(one.label for one in sizes()),
        colours=COLOURS,
        rows=tuple(
            SurveyRowView(
                f"survey-row-{wire.id}", row.number or row.what or "no number", _card(path, wire), row
            )
            for wire, row in list(zip(wires, rows, strict=True))[: -SHOWN_ROWS - 1 : -1]
        ),
        count=len(rows),
        unfinished=sum(not _is_finished(one) for one in rows),
        told=told,
        rows_url=f"{path}/fitting/rows",
        lists_url=f"{path}/lists",
    )


def _field(
    asked: tuple[str, str, str, str], typed: Mapping[str, str], errors: Mapping[str, str]
) -> CellField:
    name, label, unit, offers = asked
    value, error = typed.get(name, ""), errors.get(name, "")
    return CellField(f"survey-{name}", name, label, value, error, unit, offers, name in _SHORT)


def told_after(boat: Boat, put: str) -> str:
    """What is to be said of a row that was put in, by its wire: also where a page was loaded since."""
    wires = (one for one in boat.conductors if one.kind == "wire")
    for wire, row in zip(wires, rows_of(boat), strict=True):
        if wire.id == put:
            ends = (("From", row.tail, wire.tail), ("To", row.head, wire.head))
            loose = [f"{word}: {text}: not aboard yet." for word, text, at in ends if text and at is None]
            return " ".join(("The row is in.", *loose))
    return ""


def _card(path: str, wire: Conductor) -> str:
    return f"{path}?selected={wire.id}#thing"


def _is_finished(row: SurveyRow) -> bool:
    return all((row.tail, row.head, row.size, row.length))


def row_of(fields: Mapping[str, str]) -> SurveyRow:
    """The row that a form carries."""
    return SurveyRow(**{name: fields.get(name, "").strip() for name in NAMES})


def next_row(row: SurveyRow) -> dict[str, str]:
    """What stands in the fields after a row: what usually stays, and the next number."""
    kept = {name: getattr(row, name) for name in KEPT}
    is_counted = row.number.isascii() and row.number.isdecimal() and len(row.number) <= _LONGEST_COUNT
    return kept | ({"number": str(int(row.number) + 1)} if is_counted else {})


_LONGEST_COUNT = 9
