"""The options of a boat: listed with what each does, described, put aside, taken over."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.boats import fresh_request_id
from server.actions.history import RevisionEntry
from server.actions.options import Family, Option
from server.actions.yard import BoatRow, OpenBoat
from server.web.views.controls import HeadView, head_view
from server.web.views.forms import ChoiceView, FormView
from server.web.views.history import moment_words, step_words
from server.web.views.options_tabs import TabsView, tabs_view

if TYPE_CHECKING:
    from server.actions.comparing_words import Difference

ROLES = {"surveyed": "as surveyed", "option": "an option", "working": "in work"}
CAUTION = (
    "This changes the plan only. On the boat: stop the engine and take the negative off every battery first."
)


@dataclass(frozen=True)
class StandingView:
    """``options/_standing.html``: what happens in the worst event; ``more_url`` while that is worked out."""

    id: str
    sentence: str = ""
    counts: str = ""
    more_url: str = ""
    page_url: str = ""


@dataclass(frozen=True)
class DescribeView:
    """The form for an option's name and note; ``error`` is about what was typed."""

    form: FormView
    name: str
    note: str
    error: str = ""


@dataclass(frozen=True)
class OptionView:
    """One option: what it is, where it came from, and what can be done with it."""

    id: str
    boat: str
    name: str
    depth: str
    url: str
    note: str
    came_from: str
    came_from_url: str
    steps: tuple[str, ...]
    steps_words: str
    moved_on: str
    taken: str
    standing: StandingView
    compare_url: str
    take_over_url: str
    owner_url: str
    describe: DescribeView
    aside: FormView


@dataclass(frozen=True)
class AsideView:
    """An option that was put aside, with the way back."""

    id: str
    name: str
    note: str
    compare_url: str
    back: FormView


@dataclass(frozen=True)
class NewOptionView:
    """The form for a new option; ``error`` is about what was typed."""

    form: FormView
    sources: tuple[ChoiceView, ...]
    name: str
    note: str
    error: str = ""


@dataclass(frozen=True)
class OptionsView:
    """``options/page.html``."""

    title: str
    head: HeadView
    tabs: TabsView
    boat: str
    boat_url: str
    role: str
    standing: StandingView
    options: tuple[OptionView, ...]
    aside: tuple[AsideView, ...]
    pick: tuple[ChoiceView, ...]
    compare_action: str
    new: NewOptionView


@dataclass(frozen=True)
class TakeOverWayView:
    """One way to take an option over."""

    id: str
    title: str
    told: str
    form: FormView


@dataclass(frozen=True)
class TakeOverView:
    """``options/take_over.html``: what taking an option over does, before it is done."""

    title: str
    head: HeadView
    tabs: TabsView
    error: str
    told: str
    role_told: str
    moved_on: tuple[str, ...]
    differs: "tuple[Difference, ...]"
    ways: tuple[TakeOverWayView, ...]
    back_url: str
    caution: str = CAUTION


@dataclass(frozen=True)
class TypedOption:
    """What was typed of an option and is wrong: of an option's id, or empty for a new one."""

    option: str
    name: str
    note: str
    error: str


def options_view(  # noqa: PLR0913 - each names one thing of the page
    opened: OpenBoat,
    family: Family,
    standings: Mapping[str, StandingView],
    *,
    source: tuple[str, int],
    source_label: str,
    typed: TypedOption | None = None,
) -> OptionsView:
    """The page; ``source`` is what a new option is to begin with unless another is chosen."""
    root = family.root
    standing_ones = [one for one in family.options if one.row.aside_us is None]
    rows = (root, *(one.row for one in standing_ones))
    is_new = typed is not None and not typed.option
    return OptionsView(
        title=f"Options of {root.name}",
        head=head_view(opened, "options"),
        tabs=tabs_view(opened.id, "options"),
        boat=root.name,
        boat_url=f"/boats/{root.id}",
        role=ROLES[root.role],
        standing=standings[root.id],
        options=tuple(_option(one, standings[one.row.id], typed) for one in standing_ones),
        aside=tuple(_aside(one) for one in family.options if one.row.aside_us is not None),
        pick=tuple(ChoiceView(row.id, row.name, chosen=False) for row in rows) if len(rows) > 1 else (),
        compare_action=f"/boats/{opened.id}/compare",
        new=NewOptionView(
            form=FormView(f"/boats/{opened.id}/options", (("request_id", fresh_request_id()),)),
            sources=_sources(rows, source, source_label),
            name=typed.name if is_new and typed else f"{root.name}, option {len(family.options) + 1}"[:120],
            note=typed.note if is_new and typed else "",
            error=typed.error if is_new and typed else "",
        ),
    )


def _sources(rows: Sequence[BoatRow], source: tuple[str, int], source_label: str) -> tuple[ChoiceView, ...]:
    known = {f"{row.id}~{row.head}": f"{row.name}, as it is now" for row in rows}
    value = f"{source[0]}~{source[1]}"
    known.setdefault(value, source_label)
    return tuple(ChoiceView(key, words, key == value) for key, words in known.items())


def _option(one: Option, standing: StandingView, typed: TypedOption | None) -> OptionView:
    row, path = one.row, f"/boats/{one.row.id}"
    own = typed if typed is not None and typed.option == row.id else None
    steps, moved = len(one.steps), len(one.moved_on)
    label = f" ({one.branched.label})" if one.branched.label else ""
    return OptionView(
        id=f"option-{row.id}",
        boat=row.id,
        name=row.name,
        depth=str(min(one.depth, 4)),
        url=path,
        note=row.note,
        came_from=f"from revision {row.forked_rev} of {one.source.name}{label}",
        came_from_url=f"/boats/{one.source.id}/history/{row.forked_rev}",
        steps=tuple(step_words(step) for step in one.steps),
        steps_words="nothing changed yet" if not steps else f"{steps} step{'' if steps == 1 else 's'}",
        moved_on=f"{one.source.name} has moved on by {moved} step{'' if moved == 1 else 's'} since."
        if moved and not one.is_taken
        else "",
        taken=f"Taken over into {one.source.name}." if one.is_taken else "",
        standing=standing,
        compare_url=f"{path}/compare?left={one.source.id}&right={row.id}",
        take_over_url=f"{path}/option/take-over",
        owner_url=f"{path}/owner",
        describe=DescribeView(
            FormView(f"{path}/option/describe", ()),
            own.name if own else row.name,
            own.note if own else row.note,
            own.error if own else "",
        ),
        aside=FormView(f"{path}/option/aside", (("aside", "yes"),)),
    )


def _aside(one: Option) -> AsideView:
    path = f"/boats/{one.row.id}"
    return AsideView(
        id=f"aside-{one.row.id}",
        name=one.row.name,
        note=one.row.note,
        compare_url=f"{path}/compare?left={one.source.id}&right={one.row.id}",
        back=FormView(f"{path}/option/aside", (("aside", "no"),)),
    )


def take_over_view(
    opened: OpenBoat, target: OpenBoat, option: Option, differs: "tuple[Difference, ...]", error: str = ""
) -> TakeOverView:
    """What taking an option over would do to the boat as it is now."""
    ways = [
        TakeOverWayView(
            "take-over-whole",
            "Take over as a whole" if option.moved_on else "Take over",
            f"“{target.row.name}” then is what the option is: every step that it made since is replaced."
            if option.moved_on
            else f"“{target.row.name}” then is what the option is.",
            _way_form(opened, target, "whole"),
        )
    ]
    if option.moved_on and option.steps:
        told = f"The option's own steps are made again on “{target.row.name}” as it is now; its steps stay."
        on_top = TakeOverWayView(
            "take-over-on-top", "Take over on top", told, _way_form(opened, target, "on-top")
        )
        ways.insert(0, on_top)
    return TakeOverView(
        title=f"Take over “{opened.row.name}”",
        head=head_view(opened, "options"),
        tabs=tabs_view(opened.id, ""),
        error=error,
        told=f"It becomes the next revision of “{target.row.name}”, which keeps its name. "
        "Undo there takes it back, and the option itself stays as it is.",
        role_told="That boat is kept as surveyed. After this it is a boat in work; the survey stays in its "
        f"history as revision {target.rev}, and undo makes it a survey again."
        if target.row.role == "surveyed"
        else "",
        moved_on=tuple(_told(step) for step in option.moved_on),
        differs=differs,
        ways=tuple(ways) if differs else (),
        back_url=f"/boats/{opened.id}/options",
    )


def _told(step: RevisionEntry) -> str:
    return f"{step_words(step)} ({step.author}, {moment_words(step)})"


def _way_form(opened: OpenBoat, target: OpenBoat, way: str) -> FormView:
    hidden = (
        ("revision", str(target.rev)),
        ("request_id", fresh_request_id()),
        ("option_revision", str(opened.rev)),
        ("way", way),
    )
    return FormView(f"/boats/{opened.id}/option/take-over", hidden)
