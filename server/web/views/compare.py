"""Two boats side by side: what differs, what it does, what it takes, and the steps in order."""

from collections.abc import Sequence
from dataclasses import dataclass

from server.actions.comparing import Compared, shared_events
from server.actions.comparing_words import KINDS, Difference, Kind
from server.actions.options import Family
from server.actions.yard import OpenBoat
from server.boat.events import events_of
from server.web.views.bench import DiagramView
from server.web.views.compare_copper import CopperView
from server.web.views.compare_findings import FindingsBetweenView
from server.web.views.compare_loads import LoadsView
from server.web.views.compare_sides import Sides, short_name, short_side, side_name
from server.web.views.compare_steps import StepsView
from server.web.views.compare_work import WorkView
from server.web.views.controls import HeadView, head_view
from server.web.views.forms import ChoiceView, FormView
from server.web.views.history import GoOnView
from server.web.views.options_tabs import TabsView, tabs_view

TITLES: dict[Kind, str] = {
    "leads": "Leads",
    "cables": "Cables",
    "parts": "Parts",
    "modes": "Modes and events",
    "rest": "What else is stated",
}
CAUTION = (
    "A plan only. Before work on the wiring: stop the engine and take the negative off every battery. "
    "The full text of the standards, local codes and licensed practice decide."
)


@dataclass(frozen=True)
class DiffersView:
    """What differs of one kind."""

    id: str
    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class ChooserView:
    """What is compared, in which mode and event."""

    action: str
    left: tuple[ChoiceView, ...]
    right: tuple[ChoiceView, ...]
    events: tuple[ChoiceView, ...]
    swap_url: str


@dataclass(frozen=True)
class CompareView:
    """``compare/page.html``."""

    title: str
    head: HeadView
    tabs: TabsView
    chooser: ChooserView
    first: GoOnView
    second: GoOnView
    same: str
    groups: tuple[DiffersView, ...]
    loads: LoadsView
    diagram: DiagramView
    look: FormView
    shows_before: bool
    look_at: tuple[tuple[str, str], ...]
    look_at_url: str
    selected: str
    side: str
    turn_url: str
    turn_words: str
    findings: FindingsBetweenView
    steps: StepsView
    copper: CopperView
    work: WorkView
    deeds: tuple[GoOnView, ...]
    caution: str = CAUTION


def chooser_view(sides: Sides, family: Family, of: Compared) -> ChooserView:
    """The lists of boats and options, and of the events that both have."""
    family_rows = (family.root, *(one.row for one in family.options))
    names_of = {row.id: short_name(row, family.root) for row in family_rows}
    chosen = of.chosen
    names = {(one.mode, one.id): one.name for one in events_of(sides.second.boat)}
    modes = {mode.id: mode.name for mode in sides.second.boat.modes}
    events = [
        ChoiceView(
            event,
            f"{names[mode, event]} ({modes[mode]})",
            chosen is not None and (chosen.mode, chosen.event) == (mode, event),
        )
        for mode, event in shared_events(sides.first.boat, sides.second.boat)
    ]
    return ChooserView(
        action=f"/boats/{sides.boat}/compare",
        left=_choices(names_of, sides.left, short_side(sides.first, sides.root)),
        right=_choices(names_of, sides.right, short_side(sides.second, sides.root)),
        events=tuple(events),
        swap_url=f"/boats/{sides.boat}/compare?left={sides.right}&right={sides.left}",
    )


def _choices(known: dict[str, str], value: str, words: str) -> tuple[ChoiceView, ...]:
    named = known if value in known else {**known, value: words}
    return tuple(ChoiceView(key, name, key == value) for key, name in named.items())


def groups_view(found: Sequence[Difference]) -> tuple[DiffersView, ...]:
    """What differs, by kind."""
    lines = {kind: tuple(one.words for one in found if one.kind == kind) for kind in KINDS}
    return tuple(DiffersView(f"differs-{kind}", TITLES[kind], lines[kind]) for kind in KINDS if lines[kind])


def compare_title(sides: Sides) -> str:
    """What is compared, in a line."""
    return f"{side_name(sides.first)} and {side_name(sides.second)}"


def page_head(opened: OpenBoat) -> tuple[HeadView, TabsView]:
    """The head and the tabs of the comparison."""
    return head_view(opened, "options"), tabs_view(opened.id, "compare")
