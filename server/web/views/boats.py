"""The page of all boats."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from server.actions.boats import fresh_request_id
from server.actions.cards import Summary
from server.actions.pictures import kept_picture
from server.actions.yard import BoatRow
from server.web.views.bench import Drawn
from server.web.views.findings import standing_words
from server.web.views.forms import FormView

ROLES = {"surveyed": "as surveyed", "option": "option", "working": "in work"}


@dataclass(frozen=True)
class CardView:
    """``boats/_card.html``: one boat; without a picture while that is still being worked out."""

    id: str
    name: str
    url: str
    card_url: str
    role: str
    changed: str
    changed_at: str
    label: str
    picture: Drawn | None
    counts: str
    worst: str
    not_seen: str
    duplicate: FormView
    copy_name: str
    rename: FormView
    rename_error: str
    rename_typed: str
    delete: FormView
    export_url: str


@dataclass(frozen=True)
class BoatGroupView:
    """A boat's card with those of its options; ``aside`` tells of options that were put aside."""

    id: str
    boat: CardView
    options: tuple[CardView, ...]
    options_url: str
    aside: str


@dataclass(frozen=True)
class DeletedView:
    """A boat that can be brought back."""

    name: str
    button_id: str
    restore: FormView


@dataclass(frozen=True)
class ProblemView:
    """One thing wrong with a file: where, what, and what to do."""

    place: str
    message: str
    mend: str


@dataclass(frozen=True)
class BoatsView:
    """``boats/page.html``."""

    groups: tuple[BoatGroupView, ...]
    deleted: tuple[DeletedView, ...]
    just_deleted: DeletedView | None
    import_request_id: str
    problems: tuple[ProblemView, ...]
    problems_file: str
    demo_request_id: str
    has_demo: bool
    title: str = "Boats"


def card_view(
    row: BoatRow, summary: Summary | None, rename_error: str = "", rename_typed: str = ""
) -> CardView:
    """One boat's card."""
    path = f"/boats/{row.id}"
    changed = datetime.fromtimestamp(row.updated_us / 1e6, UTC)

    def form(below: str) -> FormView:
        hidden = (("revision", str(row.head)), ("request_id", fresh_request_id()))
        return FormView(f"{path}/{below}", hidden)

    return CardView(
        id=row.id,
        name=row.name,
        url=path,
        card_url=f"{path}/card",
        role=ROLES[row.role],
        changed=f"{changed:%Y-%m-%d %H:%M} UTC",
        changed_at=changed.isoformat(timespec="seconds"),
        label=row.label,
        picture=None if summary is None else kept_picture(summary.picture),
        counts="" if summary is None else standing_words(summary.counts, summary.accepted),
        worst="" if summary is None else summary.worst,
        not_seen=_not_seen(summary),
        duplicate=form("duplicate"),
        copy_name=f"{row.name}, copy"[:120],
        rename=form("rename"),
        rename_error=rename_error,
        rename_typed=rename_typed if rename_error else row.name,
        delete=form("delete"),
        export_url=f"{path}/export",
    )


def grouped(rows: Sequence[BoatRow]) -> tuple[tuple[BoatRow, ...], ...]:
    """The boats in their order, each followed by its options."""
    known = {row.id for row in rows}
    options = [row for row in rows if row.role == "option" and row.forked_from in known]
    return tuple((row, *_below(row, options)) for row in rows if row not in options)


def group_view(rows: Sequence[BoatRow], card: Callable[[BoatRow], CardView]) -> BoatGroupView:
    """A boat, which comes first, with its options; what was put aside is counted only."""
    root, *options = rows
    aside = sum(row.aside_us is not None for row in options)
    return BoatGroupView(
        id=f"group-{root.id}",
        boat=card(root),
        options=tuple(card(row) for row in options if row.aside_us is None),
        options_url=f"/boats/{root.id}/options",
        aside="" if not aside else f"{aside} option{'' if aside == 1 else 's'} put aside",
    )


def _below(row: BoatRow, options: Sequence[BoatRow]) -> Iterator[BoatRow]:
    for option in options:
        if option.forked_from == row.id:
            yield option
            yield from _below(option, options)


def deleted_view(row: BoatRow) -> DeletedView:
    """A deleted boat with the way back."""
    return DeletedView(row.name, f"restore-{row.id}", FormView(f"/boats/{row.id}/restore", ()))


def _not_seen(summary: Summary | None) -> str:
    if summary is None or not summary.not_seen:
        return ""
    return f"{summary.not_seen} {'place was' if summary.not_seen == 1 else 'places were'} not seen"
