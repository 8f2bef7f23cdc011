"""The office's own tables on the page of rules, in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.boats import fresh_request_id
from server.practice.office_text import HEADS, TextProblem
from server.web.views.forms import ChoiceView, FormView

if TYPE_CHECKING:
    from server.actions.office import BoatTable, OfficeTableRow, OwnTable

EXAMPLE = """size; 70; 90; 105
1.5; …; …; …
10 AWG; …; …; …
engine space; …; …; …
bundle 4-6; …"""
"""How rows look; the figures are the office's to fill in."""
NONE = "none"
KEPT = "keep"


@dataclass(frozen=True)
class HeadFieldView:
    """One thing that has to be said of a table."""

    id: str
    name: str
    label: str
    value: str
    error: str


@dataclass(frozen=True)
class EntryView:
    """The form for a table, with what was typed and what is wrong with it."""

    action: str
    request_id: str
    heads: tuple[HeadFieldView, ...]
    rows: str
    problems: tuple[str, ...]
    example: str
    is_open: bool


@dataclass(frozen=True)
class OwnTableView:
    """A stored table."""

    id: str
    title: str
    origin: str
    file_url: str
    remove_url: str
    columns: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]
    bundles: str


@dataclass(frozen=True)
class PutAwayView:
    """A table that was put away, with the form that brings it back."""

    id: str
    title: str
    origin: str
    action: str


@dataclass(frozen=True)
class BoatTableView:
    """A boat with the table it is judged by, and a form to choose another."""

    id: str
    name: str
    url: str
    practice: str
    judged_by: str
    form: FormView
    choices: tuple[ChoiceView, ...]


@dataclass(frozen=True)
class OfficeView:
    """``rules/_office.html``."""

    tables: tuple[OwnTableView, ...]
    put_away: tuple[PutAwayView, ...]
    boats: tuple[BoatTableView, ...]
    entry: EntryView


def office_view(
    tables: "tuple[OwnTable, ...]",
    put_away: "tuple[OfficeTableRow, ...]",
    boats: "tuple[BoatTable, ...]",
    entry: EntryView,
) -> OfficeView:
    """The whole section."""
    return OfficeView(
        tables=tuple(map(_table, tables)),
        put_away=tuple(
            PutAwayView(f"own-{row.id}", _title(row), _origin(row), f"/rules/tables/{row.id}/bring-back")
            for row in put_away
        ),
        boats=tuple(_boat(one, tables) for one in boats),
        entry=entry,
    )


def entry_view(typed: Mapping[str, str] | None = None, problems: tuple[TextProblem, ...] = ()) -> EntryView:
    """The form, empty or with what was typed."""
    values = typed or {}
    wrong = {one.place: f"{one.message} {one.mend}" for one in problems if one.place in HEADS}
    return EntryView(
        action="/rules/tables",
        request_id=fresh_request_id(),
        heads=tuple(
            HeadFieldView(
                id=f"own-{key.replace(' ', '-')}",
                name=field_name(key),
                label=label,
                value=values.get(field_name(key), ""),
                error=wrong.get(key, ""),
            )
            for key, label in HEADS.items()
        ),
        rows=values.get("rows", ""),
        problems=tuple(f"{str(one)[:1].upper()}{str(one)[1:]}" for one in problems if one.place not in HEADS),
        example=EXAMPLE,
        is_open=bool(problems),
    )


def field_name(key: str) -> str:
    """The name a thing has in the form.

    >>> field_name("typed by")
    'typed_by'
    """
    return key.replace(" ", "_")


def typed_text(typed: Mapping[str, str]) -> str:
    """The text of what was typed: the rows first, so that their numbers are those of the box."""
    heads = [f"# {key}: {value}" for key in HEADS if (value := _line(typed.get(field_name(key), "")))]
    return "\n".join([typed.get("rows", ""), *heads])


def _line(text: str) -> str:
    return " ".join(text.split())


def _table(own: "OwnTable") -> OwnTableView:
    table, row = own.table, own.row
    temperatures = sorted({one.insulation_c for size in table.sizes for one in size.figures})
    lines = [(size.label, size.figures, "{:g} A") for size in table.sizes]
    if table.engine_space:
        lines.append(("in an engine space", table.engine_space, "× {:g}"))
    return OwnTableView(
        id=f"own-{row.id}",
        title=_title(row),
        origin=_origin(row),
        file_url=f"/rules/tables/{row.id}",
        remove_url=f"/rules/tables/{row.id}/remove",
        columns=("Size", *(f"{one:g} °C insulation" for one in temperatures)),
        cells=tuple(
            (name, *(_cell({f.insulation_c: f.value for f in figures}.get(t), form) for t in temperatures))
            for name, figures, form in lines
        ),
        bundles="; ".join(_bundle(b.from_conductors, b.to_conductors, b.factor) for b in table.bundles),
    )


def _title(row: "OfficeTableRow") -> str:
    return f"{row.standard}, edition {row.edition}, {row.clause}"


def _origin(row: "OfficeTableRow") -> str:
    return f"Typed by {row.typed_by}, checked by {row.checked_by}."


def _cell(value: float | None, form: str) -> str:
    return "–" if value is None else form.format(value)


def _bundle(first: int, last: int | None, factor: float) -> str:
    count = f"{first} or more" if last is None else f"{first} to {last}" if last > first else f"{first}"
    return f"{count} in a bundle: × {factor:g}"


def _boat(one: "BoatTable", tables: "tuple[OwnTable, ...]") -> BoatTableView:
    named = {own.row.id: f"{own.row.standard}, {own.row.edition}" for own in tables}
    choices = [ChoiceView(NONE, "the published tables", one.table is None)]
    if one.table is not None and one.kept is None:
        choices.append(
            ChoiceView(KEPT, f"as in its file: {one.table.standard}, {one.table.edition}", chosen=True)
        )
    choices += [ChoiceView(key, title, key == one.kept) for key, title in named.items()]
    return BoatTableView(
        id=f"own-boat-{one.boat_id}",
        name=one.name,
        url=f"/boats/{one.boat_id}",
        practice=one.practice,
        judged_by=one.table.source if one.table else "the published tables",
        form=FormView(
            f"/boats/{one.boat_id}/ampacity-table",
            (("revision", str(one.rev)), ("request_id", fresh_request_id())),
        ),
        choices=tuple(choices),
    )
