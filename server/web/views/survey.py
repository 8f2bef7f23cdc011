"""The survey list: one row after another, put in while walking through the boat."""

from collections import Counter
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from itertools import count
from urllib.parse import urlencode

from server.actions.boats import fresh_request_id
from server.actions.coming_aboard import part_name
from server.actions.fitting import hangs_on
from server.actions.survey_list import rows_of
from server.actions.survey_mending import seen_as
from server.actions.survey_rows import NAMES, SurveyRow
from server.actions.survey_spots import MOST_ASKED, Spots
from server.actions.terminal_choice import terminals_by_words
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.practice.sizes import sizes
from server.web.views.controls import HeadView, head_view
from server.web.views.fitting import BACK, COLOURS
from server.web.views.forms import FormView

SHOWN_ROWS = 20
KEPT = ("size", "colour")
"""What stands in the next row as it was given for the last."""
_WIDE = frozenset({"tail", "head"})


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
    is_wide: bool


@dataclass(frozen=True)
class MendView:
    """The form in which a row is changed where it stands, the way out of it, and to the cable's card."""

    form: FormView
    fields: tuple[CellField, ...]
    shut_url: str
    card_url: str


@dataclass(frozen=True)
class LooseView:
    """A loose end that says where it goes: what it may lie on, or the way to put in what it speaks of."""

    id: str
    side: str
    words: str
    put_url: str
    form: FormView
    choices: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class SurveyRowView:
    """One row that is there, with the way to change it; ``mend`` is set while it is being changed.

    An end that speaks of something that is not aboard has a way to put that in.
    """

    id: str
    title: str
    url: str
    row: SurveyRow
    ends: tuple[LooseView, ...]
    length: str
    shares_number: bool
    told: str
    mend: MendView | None


@dataclass(frozen=True)
class ShownView:
    """One choice of which rows are listed."""

    id: str
    words: str
    url: str
    chosen: bool


@dataclass(frozen=True)
class SurveyListView:
    """``survey/_list.html``; root ``#survey-list``."""

    undo: FormView
    undo_words: str
    terminals: tuple[str, ...]
    rows: tuple[SurveyRowView, ...]
    count: int
    unfinished: int
    told: str
    shown: tuple[ShownView, ...]
    lists_url: str


@dataclass(frozen=True)
class SurveyView:
    """``survey/_survey.html``; root ``#survey``."""

    title: str
    head: HeadView
    boat: str
    form: FormView
    fields: tuple[CellField, ...]
    sizes: tuple[str, ...]
    colours: tuple[str, ...]
    listed: SurveyListView
    rows_url: str


@dataclass(frozen=True)
class Looked:
    """Which rows are looked at, the one that is being changed, and the one that was, with what is said."""

    show: str = ""
    wire: str = ""
    typed: Mapping[str, str] | None = None
    errors: Mapping[str, str] | None = None
    changed: str = ""
    told: str = ""


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
    looked: Looked | None = None,
) -> SurveyView:
    """The list with a row to be written; ``typed`` stands in it, ``errors`` beside it."""
    path, looked = f"/boats/{opened.id}", looked or Looked()
    hidden = (("request_id", fresh_request_id()), ("show", looked.show))
    return SurveyView(
        title=f"Survey of {opened.row.name}",
        head=head_view(opened, "fitting"),
        boat=opened.id,
        form=FormView(f"{path}/survey", hidden),
        fields=_fields(FORM, typed or {}, errors or {}),
        sizes=tuple(one.label for one in sizes()),
        colours=COLOURS,
        listed=list_view(opened, looked, told),
        rows_url=f"{path}/fitting/rows",
    )


def list_view(opened: OpenBoat, looked: Looked, told: str = "") -> SurveyListView:
    """The rows that are there, the last first; one of them open to be changed."""
    path = f"/boats/{opened.id}"
    wires = [one for one in opened.boat.conductors if one.kind == "wire"]
    rows = list(zip(wires, rows_of(opened.boat), strict=True))
    open_ones = [(wire, row) for wire, row in rows if not _is_finished(wire, row)]
    listed = {"all": rows, "unfinished": open_ones}.get(looked.show, rows[-SHOWN_ROWS:])
    listed += [one for one in rows if one[0].id == looked.wire and one not in listed]
    stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()), ("show", looked.show))
    spots, doubled = Spots(opened.boat), _doubled(opened.boat)
    return SurveyListView(
        undo=FormView(f"{path}/survey/undo", stamp),
        undo_words="" if opened.undo is None else opened.undo.label,
        terminals=tuple(terminals_by_words(opened.boat)),
        rows=tuple(_row(path, looked, wire, row, spots, doubled) for wire, row in reversed(listed)),
        count=len(rows),
        unfinished=len(open_ones),
        told=told,
        shown=tuple(_shown(path, looked.show, len(rows), len(open_ones))),
        lists_url=f"{path}/lists",
    )


def _shown(path: str, show: str, count: int, unfinished: int) -> Iterator[ShownView]:
    last = f"The last {SHOWN_ROWS}" if count > SHOWN_ROWS else ""
    many = f"All {count}" if count > SHOWN_ROWS or unfinished else ""
    for name, words in (
        ("", last or (many if unfinished else "")),
        ("all", many if last else ""),
        ("unfinished", f"Unfinished: {unfinished}" if unfinished or show == "unfinished" else ""),
    ):
        if words:
            yield ShownView(f"survey-show-{name or 'last'}", words, list_url(path, name), name == show)


def list_url(path: str, show: str, row: str = "", put: str = "") -> str:
    """The address of the list as it is looked at; with the row that is open, or that was just put in."""
    asked = urlencode({key: value for key, value in (("show", show), ("row", row), ("put", put)) if value})
    return f"{path}/survey{'?' * bool(asked)}{asked}"


def _row(  # noqa: PLR0913, PLR0917 - each names one thing of the row
    path: str,
    looked: Looked,
    wire: Conductor,
    row: SurveyRow,
    spots: Spots,
    doubled: Container[str],
) -> SurveyRowView:
    return SurveyRowView(
        f"survey-row-{wire.id}",
        row.number or row.what or "no number",
        list_url(path, looked.show, wire.id),
        row,
        ends=tuple(_loose(path, looked, wire, row, spots)),
        length=_shown_length(row.length),
        shares_number=wire.id in doubled,
        told=looked.told if looked.changed == wire.id else "",
        mend=_mend(path, looked, wire, row) if wire.id == looked.wire else None,
    )


def _loose(path: str, looked: Looked, wire: Conductor, row: SurveyRow, spots: Spots) -> Iterator[LooseView]:
    for side, end, text in (("tail", wire.tail, row.tail), ("head", wire.head, row.head)):
        if end is None and text:
            identity, choices = f"survey-row-{wire.id}-{side}", spots.choices(text)
            hidden = (
                ("request_id", fresh_request_id()),
                ("show", looked.show),
                ("wire", wire.id),
                ("seen", seen_as(row)),
            )
            put = f"{path}/fitting?{urlencode({'name': part_name(text), 'back': BACK})}"
            yield LooseView(
                identity,
                side,
                text,
                "" if spots.is_aboard(text) else put,
                FormView(f"{path}/survey/row", hidden),
                tuple((f"{identity}-{n}", words) for n, words in enumerate(choices, 1))
                if len(choices) <= MOST_ASKED
                else (),
            )


def _doubled(boat: Boat) -> frozenset[str]:
    """The wires of cables that share their number with another cable."""
    named = Counter(one.number for one in boat.cables if one.number)
    shared = {one.id for one in boat.cables if one.number and named[one.number] > 1}
    return frozenset(one.id for one in boat.conductors if one.cable in shared)


def _shown_length(length: str) -> str:
    """A length without digits that no tape shows.

    >>> _shown_length("3.6576"), _shown_length("about 2"), _shown_length("2 to 4")
    ('3.66', 'about 2', '2 to 4')
    """
    return " ".join(
        f"{float(one):.2f}".rstrip("0").rstrip(".") if one[:1].isdigit() else one for one in length.split()
    )


def _mend(path: str, looked: Looked, wire: Conductor, row: SurveyRow) -> MendView:
    hidden = (
        ("request_id", fresh_request_id()),
        ("show", looked.show),
        ("wire", wire.id),
        ("seen", seen_as(row)),
    )
    typed = looked.typed or {name: getattr(row, name) for name in NAMES}
    return MendView(
        FormView(f"{path}/survey/row", hidden),
        _fields(MEND, typed, looked.errors or {}),
        list_url(path, looked.show),
        _card(path, wire),
    )


FORM, MEND = "survey", "mend"
"""What the ids of the fields begin with: of the row that is written, and of one that is changed."""


def _fields(form: str, typed: Mapping[str, str], errors: Mapping[str, str]) -> tuple[CellField, ...]:
    return tuple(
        CellField(
            f"{form}-{name}",
            name,
            label,
            typed.get(name, ""),
            errors.get(name, ""),
            unit,
            offers,
            name in _WIDE,
        )
        for name, label, unit, offers in _FIELDS
    )


def told_after(boat: Boat, put: str) -> str:
    """What is to be said of a row that was put in, by its wire: also where a page was loaded since."""
    wires = (one for one in boat.conductors if one.kind == "wire")
    for wire, row in zip(wires, rows_of(boat), strict=True):
        if wire.id == put:
            ends = (("From", row.tail, wire.tail), ("To", row.head, wire.head))
            loose = [f"{word}: {text}: not aboard yet." for word, text, at in ends if text and at is None]
            return " ".join(("The row is in.", *loose))
    return ""


def told_of(boat: Boat, came: str) -> str:
    """What is to be said of a part that was put in for rows that spoke of it; empty for none."""
    part = next((one for one in boat.parts if one.id == came), None)
    if part is None:
        return ""
    ends = hangs_on(boat, came)
    laid = f"{ends or 'No'} cable end{'' if ends == 1 else 's'}"
    return f"{part.name} is in. {laid} of these rows {'lies' if ends == 1 else 'lie'} on it now."


def _card(path: str, wire: Conductor) -> str:
    return f"{path}?selected={wire.id}#thing"


def _is_finished(wire: Conductor, row: SurveyRow) -> bool:
    """Whether both ends lie on something aboard, and size and length are known."""
    return wire.tail is not None and wire.head is not None and bool(row.size and row.length)


def row_of(fields: Mapping[str, str]) -> SurveyRow:
    """The row that a form carries."""
    return SurveyRow(**{name: fields.get(name, "").strip() for name in NAMES})


def next_row(row: SurveyRow, boat: Boat) -> dict[str, str]:
    """What stands in the fields after a row: what usually stays, and the next number that is free."""
    kept = {name: getattr(row, name) for name in KEPT}
    if not (row.number.isascii() and row.number.isdecimal() and len(row.number) <= _LONGEST_COUNT):
        return kept
    taken = {one.number for one in boat.cables}
    return kept | {"number": next(str(n) for n in count(int(row.number) + 1) if str(n) not in taken)}


_LONGEST_COUNT = 9
