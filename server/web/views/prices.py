"""The page of the yard's own prices and hours."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from server.actions.boats import fresh_request_id
from server.actions.comparing_work import part_names
from server.actions.prices import HOURS, PriceListRow, PriceProblem, Prices
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.boat.parts import AnyPart
from server.practice.sizes import sizes
from server.web.views.controls import HeadView, head_view
from server.web.views.figures import plain_number
from server.web.views.forms import FormView
from server.web.views.options_tabs import TabsView, tabs_view

HOUR_LABELS = {
    "lead moved": "A lead moved to another place",
    "end made": "An end of a cable made",
    "part fitted": "A part fitted",
    "part taken out": "A part taken out",
}


@dataclass(frozen=True)
class PriceFieldView:
    """One figure: ``name`` is what the form calls it."""

    id: str
    name: str
    label: str
    value: str
    unit: str


@dataclass(frozen=True)
class PricesView:
    """``prices/page.html``."""

    title: str
    head: HeadView
    tabs: TabsView
    form: FormView
    told: str
    problems: tuple[str, ...]
    currency: str
    note: str
    hour: str
    hours: tuple[PriceFieldView, ...]
    cables: tuple[PriceFieldView, ...]
    parts: tuple[PriceFieldView, ...]
    other_sizes: tuple[str, ...]
    file_action: str
    file_url: str


def prices_view(  # noqa: PLR0913 - each names one thing of the page
    opened: OpenBoat,
    boats: Sequence[Boat],
    of: Prices,
    row: PriceListRow | None,
    *,
    typed: Mapping[str, str] | None = None,
    problems: Sequence[PriceProblem] = (),
) -> PricesView:
    """The list in force, with a field for every size and kind of part aboard and on the options."""
    path = f"/boats/{opened.id}/prices"
    kept = dict(fields_of(of)) if typed is None else dict(typed)
    labels = [*dict.fromkeys((*_sizes(boats), *of.cable))]
    names = [*dict.fromkeys((*_kinds(boats), *of.part))]
    known = set(labels)
    return PricesView(
        title="Prices and hours",
        head=head_view(opened, "options"),
        tabs=tabs_view(opened.id, "prices"),
        form=FormView(path, (("request_id", fresh_request_id()),)),
        told="Nothing is entered yet." if row is None else f"In force since {_moment(row)}.",
        problems=tuple(f"{one.place}: {one.message}" for one in problems),
        currency=kept.get("currency", ""),
        note=kept.get("note", ""),
        hour=kept.get("hour", ""),
        hours=tuple(_field("hours", which, HOUR_LABELS[which], "h", kept) for which in HOURS),
        cables=tuple(_field("cable", label, label, "a metre", kept) for label in labels),
        parts=tuple(_field("part", name, name, "each", kept) for name in names),
        other_sizes=tuple(one.label for one in sizes() if one.label not in known),
        file_action=f"{path}/file",
        file_url=f"{path}/file",
    )


def fields_of(of: Prices) -> Iterator[tuple[str, str]]:
    """The list as the fields of the form."""
    yield "currency", of.currency
    yield "note", of.note
    if of.hour is not None:
        yield "hour", plain_number(of.hour)
    for what, figures in (("cable", of.cable), ("part", of.part), ("hours", of.hours)):
        for which, figure in figures.items():
            yield f"{what}:{which}", plain_number(figure)


def text_of(fields: Mapping[str, str]) -> str:
    """The form as the text of a list; what is left empty is not stated."""
    lines = list[str]()
    for name, typed in fields.items():
        what, _, which = name.partition(":")
        figure = " ".join(typed.split())
        if figure and (
            name in {"currency", "note", "hour"} or (which and what in {"cable", "part", "hours"})
        ):
            lines.append(f"{what};{which};{figure}")
    for what in ("cable", "part"):
        which, figure = (" ".join(fields.get(f"new_{what}_{key}", "").split()) for key in ("which", "figure"))
        if which or figure:
            lines.append(f"{what};{which};{figure}")
    return "\n".join(lines)


def _field(what: str, which: str, label: str, unit: str, kept: Mapping[str, str]) -> PriceFieldView:
    name = f"{what}:{which}"
    key = "".join(letter if letter.isalnum() and letter.isascii() else "-" for letter in which.lower())
    return PriceFieldView(f"{what}-{key}", name, label, kept.get(name, ""), unit)


def _sizes(boats: Sequence[Boat]) -> list[str]:
    found = {
        one.size.label: one.size.area_mm2
        for boat in boats
        for one in boat.conductors
        if one.size is not None and one.kind == "wire"
    }
    return sorted(found, key=lambda label: found[label])


def _kinds(boats: Sequence[Boat]) -> list[str]:
    """Fuses and breakers by their rating too, all others by their kind."""
    found: dict[str, None] = {}
    for boat in boats:
        for part in boat.parts:
            found.update(dict.fromkeys(_names(part)))
    return sorted(
        found,
        key=lambda name: [(one.isdigit(), one.zfill(9) if one.isdigit() else one) for one in name.split()],
    )


def _names(part: AnyPart) -> tuple[str, ...]:
    return part_names(part) if part.kind in {"fuse", "breaker"} else part_names(part)[-1:]


def _moment(row: PriceListRow) -> str:
    return f"{datetime.fromtimestamp(row.at_us / 1e6, UTC):%Y-%m-%d %H:%M} UTC"
