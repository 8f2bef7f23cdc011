"""Two boats side by side: what differs, what it does, what it takes, and the steps in order."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.comparing import Compared, shared_events
from server.actions.comparing_copper import Copper, Laid, density_words
from server.actions.comparing_words import KINDS, Difference, Kind
from server.actions.comparing_work import metres_words
from server.actions.options import Family
from server.actions.part_words import trade_name
from server.actions.words import VERDICTS
from server.actions.yard import BoatRow, OpenBoat
from server.boat.events import events_of
from server.web.views.bench import DiagramView
from server.web.views.controls import HeadView, head_view
from server.web.views.event_figures import VERDICT_MARKS, spare_words
from server.web.views.figures import NONE, sag_volts
from server.web.views.forms import ChoiceView, FormView
from server.web.views.history import GoOnView, step_words
from server.web.views.loads import LoadRowView
from server.web.views.options import ROLES
from server.web.views.options_tabs import TabsView, tabs_view
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.actions.comparing_steps import StepResult, Steps
    from server.boat.finding import Finding
    from server.checks.effects import Effect
    from server.engine.answer import EventInfo

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
class LoadsPairView:
    """One load on both boats, each as the workbench tells it."""

    id: str
    name: str
    before: LoadRowView | None
    after: LoadRowView | None
    drop: str
    drop_limit: str
    drop_band: str
    direction: str
    mark: str


@dataclass(frozen=True)
class LoadsView:
    """``compare/_loads.html``: ``more_url`` while the event in time is on its way."""

    first: str
    second: str
    event: str
    headline: str
    counts: str
    basis: str
    rows: tuple[LoadsPairView, ...]
    unchanged: tuple[LoadsPairView, ...]
    lost: str
    more_url: str
    page_url: str


@dataclass(frozen=True)
class FindingLineView:
    """A finding that went, came or changed."""

    severity: str
    message: str


@dataclass(frozen=True)
class FindingsBetweenView:
    """``compare/_findings.html``: ``more_url`` while they are worked out."""

    gone: tuple[FindingLineView, ...] = ()
    come: tuple[FindingLineView, ...] = ()
    changed: tuple[FindingLineView, ...] = ()
    told: str = ""
    more_url: str = ""
    page_url: str = ""


@dataclass(frozen=True)
class StepRowView:
    """What stands after one step."""

    number: str
    what: str
    who: str
    worst: str
    lowest: str
    spare: str
    verdict: str
    verdict_mark: str
    restarts: str


@dataclass(frozen=True)
class StepsView:
    """``compare/_steps.html``: ``more_url`` while they are worked out."""

    event: str = ""
    back: tuple[str, ...] = ()
    rows: tuple[StepRowView, ...] = ()
    told: str = ""
    more_url: str = ""
    page_url: str = ""


@dataclass(frozen=True)
class SizeRowView:
    """One size on both boats."""

    size: str
    before: str
    after: str
    more: str
    kg: str


@dataclass(frozen=True)
class CopperView:
    """Conductor by size and the parts that come and go."""

    rows: tuple[SizeRowView, ...]
    total: SizeRowView
    source: str
    bought: tuple[str, ...]
    added: tuple[str, ...]
    removed: tuple[str, ...]


@dataclass(frozen=True)
class WorkRowView:
    """One job, or one thing to be bought."""

    what: str
    count: str
    each: str
    sum: str


@dataclass(frozen=True)
class WorkView:
    """Hours and prices by the yard's own figures."""

    jobs: tuple[WorkRowView, ...]
    things: tuple[WorkRowView, ...]
    total: str
    missing: str
    rule: str
    note: str
    prices_url: str


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


@dataclass(frozen=True)
class Sides:
    """What is compared, as the address names it; ``boat`` is whose page it is, ``root`` its origin."""

    boat: str
    root: BoatRow
    left: str
    right: str
    first: OpenBoat
    second: OpenBoat

    def url(self, below: str = "", **more: str) -> str:
        """The address of the comparison, or of something below it."""
        query = "&".join(
            f"{name}={value}" for name, value in {"left": self.left, "right": self.right, **more}.items()
        )
        return f"/boats/{self.boat}/compare{below}?{query}"

    def kept(self, state: ViewState) -> dict[str, str]:
        """Mode, event and selection, for an address."""
        chosen = {"mode": state.mode, "event": state.event, "selected": state.selected}
        return {name: value for name, value in chosen.items() if value is not None}


def side_name(one: OpenBoat) -> str:
    """A boat, with its revision where that is not the newest."""
    return one.row.name if one.rev == one.row.head else f"{one.row.name}, revision {one.rev}"


def short_name(row: BoatRow, root: BoatRow) -> str:
    """What a boat is called beside those of its family: without the name that they all share."""
    if row.id == root.id and row.role != "option":
        return f"The boat, {ROLES[row.role]}"
    own = row.name.removeprefix(f"{root.name}, ")
    return f"{own[:1].upper()}{own[1:]}"


def short_side(one: OpenBoat, root: BoatRow) -> str:
    """The same of one side, with its revision where that is not the newest."""
    name = short_name(one.row, root)
    return name if one.rev == one.row.head else f"{name}, revision {one.rev}"


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


def findings_between_view(of: "Effect") -> FindingsBetweenView:
    """What went, came and changed, in the words of the findings."""
    told = "" if of.gone or of.come or of.changed else "The findings are the same on both."
    return FindingsBetweenView(
        gone=tuple(map(_line, of.gone)),
        come=tuple(map(_line, of.come)),
        changed=tuple(_changed(before, after) for before, after in of.changed),
        told=told,
    )


def _line(finding: "Finding") -> FindingLineView:
    return FindingLineView(finding.severity.replace("-", " "), finding.message)


def _changed(before: "Finding", after: "Finding") -> FindingLineView:
    graded = f"{before.severity} → {after.severity}" if before.severity != after.severity else after.severity
    return FindingLineView(graded.replace("-", " "), after.message)


def steps_view(of: "Steps", event: str) -> StepsView:
    """The steps with what stands after each."""
    if of.way.base is None:
        return StepsView(told="These two have no history in common, so no steps lead from one to the other.")
    told = "" if of.way.steps or of.way.back else "No steps lie between these two."
    return StepsView(
        event=event,
        back=tuple(step_words(step) for step in of.way.back),
        rows=tuple(_step(number, one, of) for number, one in enumerate(of.results)) if not told else (),
        told=told,
    )


def _step(number: int, one: "StepResult", of: "Steps") -> StepRowView:
    is_base = number == 1 and bool(of.way.back)
    if one.entry is None:
        what = "As it is to begin with"
    elif is_base:
        what = "Its own steps taken back"
    else:
        what = step_words(one.entry)
    shown = number - 1 if of.way.back else number
    return StepRowView(
        number="" if one.entry is None or is_base else str(shown),
        what=what,
        who="" if one.entry is None or is_base else one.entry.author,
        worst="" if one.worst is None else one.worst.name,
        lowest=_lowest(one),
        spare=_spare(one),
        verdict="" if one.worst is None else VERDICTS[one.worst.seen.verdict],
        verdict_mark="" if one.worst is None else VERDICT_MARKS[one.worst.seen.verdict],
        restarts=_restarts(one.info),
    )


def _lowest(one: "StepResult") -> str:
    if not one.is_worked:
        return "not worked out"
    return NONE if one.worst is None else sag_volts(one.worst.seen.lowest.value)


def _spare(one: "StepResult") -> str:
    """What the worst load has to spare: the worst is it by this, not by its volts."""
    if one.worst is None or one.worst.seen.need_v is None:
        return ""
    return spare_words(one.worst.seen.lowest.value, one.worst.seen.need_v, "to spare", "short")


def _restarts(info: "EventInfo | None") -> str:
    if info is None:
        return NONE
    return "none" if info.restarts == 0 else f"{info.restarts} load{'' if info.restarts == 1 else 's'}"


def copper_view(of: Copper) -> CopperView:
    """Metres and kilograms by size; what came and went."""
    return CopperView(
        rows=tuple(_size(one.label, one.before, one.after) for one in of.sizes),
        total=_size("In all", of.before, of.after),
        source=f"Copper alone, as area × length × {density_words()}; insulation, lay and waste are left out.",
        bought=tuple(f"{metres_words(one.length_m)} of {one.label}" for one in of.bought),
        added=tuple(f"{one.name} ({trade_name(one)})" for one in of.added),
        removed=tuple(f"{one.name} ({trade_name(one)})" for one in of.removed),
    )


def _size(label: str, before: Laid, after: Laid) -> SizeRowView:
    more_m, more_kg = after.length_m - before.length_m, after.copper_kg - before.copper_kg
    return SizeRowView(
        size=label,
        before=_metres(before),
        after=_metres(after),
        more="–" if round(more_m, 1) == 0 else f"{signed(more_m, 1)} m",
        kg=f"{after.copper_kg:.2f} kg" + ("" if round(more_kg, 2) == 0 else f" ({signed(more_kg, 2)})"),
    )


def _metres(one: Laid) -> str:
    return f"{one.length_m:.1f}\u00a0m" + (f" and {one.unknown} of unknown length" if one.unknown else "")


def signed(value: float, digits: int) -> str:
    """A figure with its sign, the minus as it is printed.

    >>> signed(1.25, 1), signed(-0.5, 2)
    ('+1.2', '−0.50')
    """
    return f"{value:+.{digits}f}".replace("-", "−")


def compare_title(sides: Sides) -> str:
    """What is compared, in a line."""
    return f"{side_name(sides.first)} and {side_name(sides.second)}"


def page_head(opened: OpenBoat) -> tuple[HeadView, TabsView]:
    """The head and the tabs of the comparison."""
    return head_view(opened, "options"), tabs_view(opened.id, "compare")
