"""The history of a boat as a list to read, and one revision of it to look at."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby
from typing import TYPE_CHECKING

from server.actions.boats import fresh_request_id
from server.actions.history import Past, RevisionEntry
from server.actions.takings import Restoring, TakingOver, taking_of
from server.actions.yard import AUTHOR, OpenBoat
from server.boat.events import events_of
from server.web.views.bench import DiagramView
from server.web.views.controls import HeadView, head_view
from server.web.views.forms import ChoiceView, FormView
from server.web.views.guide import GuideView
from server.web.views.options_tabs import TabsView, tabs_view
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.actions.comparing_words import Difference
    from server.web.views.loads import LoadRowView

MOST_SHOWN = 200
"""Revisions on one page; older ones follow on the next."""
_STEPS = {"created": "", "edit": "", "undo": "Undone: ", "redo": "Done again: "}


@dataclass(frozen=True)
class GoOnView:
    """A place to go on to."""

    id: str
    words: str
    url: str


@dataclass(frozen=True)
class PastView:
    """One revision: when, who, what; ``restore`` where it differs from the boat as it is now."""

    id: str
    number: str
    time: str
    at: str
    author: str
    what: str
    mark: str
    view_url: str
    compare_url: str
    branches: tuple[GoOnView, ...]
    restore: FormView | None


@dataclass(frozen=True)
class DayView:
    """The revisions of one day, the newest first."""

    date: str
    rows: tuple[PastView, ...]


@dataclass(frozen=True)
class HistoryView:
    """``history/page.html``."""

    title: str
    head: HeadView
    tabs: TabsView
    count: str
    own_name: str
    own_name_told: str
    days: tuple[DayView, ...]
    older_url: str


@dataclass(frozen=True)
class RevisionView:
    """``history/revision.html``: the boat as it was, to be looked at only."""

    title: str
    head: HeadView
    tabs: TabsView
    told: str
    what: str
    action: str
    look_at: tuple[tuple[str, str], ...]
    selected: str
    side: str
    modes: tuple[ChoiceView, ...]
    events: tuple[ChoiceView, ...]
    turn_url: str
    turn_words: str
    sentence: str
    basis: str
    diagram: DiagramView
    loads: "tuple[LoadRowView, ...]"
    differs: "tuple[Difference, ...]"
    compare_url: str
    branch_url: str
    back_url: str
    restore: FormView | None


def history_view(opened: OpenBoat, past: Sequence[Past], before: int | None, author: str) -> HistoryView:
    """The list, from the newest revision (or the one before ``before``) on; ``author`` is who looks at it."""
    left = [one for one in past if before is None or one.entry.rev < before]
    shown = left[:MOST_SHOWN]
    older = f"/boats/{opened.id}/history?before={shown[-1].entry.rev}" if len(left) > len(shown) else ""
    return HistoryView(
        title=f"History of {opened.row.name}",
        head=head_view(opened, "options"),
        tabs=tabs_view(opened.id, "history"),
        count=f"{len(past)} revision{'' if len(past) == 1 else 's'}, the newest first. "
        "Nothing in it is ever changed: undoing and restoring add a revision too.",
        own_name="" if author == AUTHOR else author,
        own_name_told=f"What is done on this device is written down as by “{author}”.",
        days=tuple(
            DayView(date, tuple(_row(opened, one) for one in rows))
            for date, rows in groupby(shown, key=lambda one: f"{_moment(one.entry):%Y-%m-%d}")
        ),
        older_url=older,
    )


def _row(opened: OpenBoat, one: Past) -> PastView:
    rev = one.entry.rev
    mark = "as it is now" if one.is_now else "the same as now" if one.is_same_as_now else ""
    return PastView(
        id=f"revision-{rev}",
        number=str(rev),
        time=f"{_moment(one.entry):%H:%M}",
        at=_moment(one.entry).isoformat(timespec="seconds"),
        author=one.entry.author,
        what=step_words(one.entry),
        mark=" · ".join(words for words in (mark, "as surveyed" if one.is_survey else "") if words),
        view_url=f"/boats/{opened.id}/history/{rev}",
        compare_url="" if mark else compare_url(opened.id, rev),
        branches=tuple(GoOnView(f"branch-{row.id}", row.name, f"/boats/{row.id}") for row in one.branches),
        restore=None if mark else restore_form(opened, rev),
    )


def compare_url(boat: str, rev: int) -> str:
    """A revision beside the boat as it is now."""
    return f"/boats/{boat}/compare?left={boat}~{rev}&right={boat}"


def restore_form(opened: OpenBoat, rev: int) -> FormView:
    """A form that brings a revision back."""
    stamp = (("revision", str(opened.row.head)), ("request_id", fresh_request_id()), ("to", str(rev)))
    return FormView(f"/boats/{opened.id}/history/restore", stamp)


def step_words(entry: RevisionEntry) -> str:
    """What a revision did."""
    taking = taking_of(entry)
    match taking:
        case Restoring():
            told = entry.label
        case TakingOver():
            told = f"{entry.label} (its revision {taking.rev})"
        case None:
            told = entry.label or ("Begun" if entry.step == "created" else "An edit")
    return _STEPS[entry.step] + told


def moment_words(entry: RevisionEntry) -> str:
    """When a revision was made.

    >>> from types import SimpleNamespace
    >>> moment_words(SimpleNamespace(at_us=0))
    '1970-01-01 00:00 UTC'
    """
    return f"{_moment(entry):%Y-%m-%d %H:%M} UTC"


def _moment(entry: RevisionEntry) -> datetime:
    return datetime.fromtimestamp(entry.at_us / 1e6, UTC)


def revision_view(  # noqa: PLR0913 - each names one thing of the page
    opened: OpenBoat,
    state: ViewState,
    *,
    guide: GuideView,
    diagram: DiagramView,
    loads: "tuple[LoadRowView, ...]",
    differs: "tuple[Difference, ...]",
    side: str | None,
) -> RevisionView:
    """One revision; ``side`` is the polarity that a narrow picture shows, None where it shows both."""
    rev, path = opened.rev, f"/boats/{opened.id}/history/{opened.rev}"
    is_now = rev == opened.row.head
    last = "the boat as it is now" if is_now else f"one of {opened.row.head}"
    other = {"positive": "negative", "negative": "positive"}.get(side or "", "")
    kept = tuple(pair for pair in state.pairs if pair[0] in {"mode", "event"})
    events = [one for one in events_of(opened.boat) if one.mode == state.mode]
    query = "".join(f"&{name}={value}" for name, value in kept)
    return RevisionView(
        title=f"{opened.row.name}, revision {rev}",
        head=head_view(opened, "options"),
        tabs=tabs_view(opened.id, ""),
        told=f"Revision {rev}, {last}: {moment_words(opened.revision)}, by {opened.revision.author}.",
        what=step_words(opened.revision),
        action=path,
        look_at=kept,
        selected=state.selected or "",
        side=side or "",
        modes=tuple(ChoiceView(one.id, one.name, one.id == state.mode) for one in opened.boat.modes),
        events=tuple(ChoiceView(one.id, one.name, one.id == state.event) for one in events),
        turn_url=f"{path}?side={other}{query}" if other else "",
        turn_words=f"Show the {other} side",
        sentence=guide.sentence,
        basis=guide.basis,
        diagram=diagram,
        loads=loads,
        differs=differs,
        compare_url=compare_url(opened.id, rev),
        branch_url=f"/boats/{opened.id}/options?from={rev}#new-option",
        back_url=f"/boats/{opened.id}/history#revision-{rev}",
        restore=None if is_now else restore_form(opened, rev),
    )
