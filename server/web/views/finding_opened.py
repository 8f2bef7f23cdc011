"""A finding opened: its arithmetic, its source, the mends with what each does, and who lets it stand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.checks.words import listed
from server.web.views.findings import RULE_WORDS, SEVERITIES, STATUS_WORDS
from server.web.views.forms import FormView, change_form
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.actions.mending import Offer
    from server.boat.finding import Finding, MendStep
    from server.checks.copper import Bought
    from server.checks.working import Step

VERDICTS = {"cannot-tell": "Cannot tell"}
"""What is not called failed."""
NONE_FOUND = "No single change was found that clears it without harm."
TO_LIFE = frozenset({"danger"})
MOST_LISTED = 6


@dataclass(frozen=True)
class WorkingView:
    """One line of arithmetic, and where the thing it speaks of is shown."""

    what: str
    numbers: str
    result: str
    origin: str
    url: str


@dataclass(frozen=True)
class EffectView:
    """Findings that an edit makes go, come or change, in one line each."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class MendStepView:
    """A step that is done by hand: what to do, and what it does to the loads, in one line each."""

    what: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class OfferView:
    """A mend as a form with one button, and what it does to the others; one by hand has steps alone."""

    form: FormView
    button_id: str
    label: str
    effects: tuple[EffectView, ...]
    cable: str
    steps: tuple[MendStepView, ...] = ()


@dataclass(frozen=True)
class MendsView:
    """``findings/_mends.html``: ``more_url`` is where the rest comes from while they are worked out.

    ``wait_url`` is the page that waits for all of them, for who has no script; ``shown`` how many there are;
    ``none`` what to say once all were tried and none is offered.
    """

    id: str
    offers: tuple[OfferView, ...] = ()
    more_url: str = ""
    wait_url: str = ""
    shown: int = 0
    in_place: bool = False
    none: str = ""


@dataclass(frozen=True)
class Typed:
    """What was typed into the form that lets a finding stand, and what is wrong with it."""

    by: str = ""
    reason: str = ""
    error: str = ""


@dataclass(frozen=True)
class AcceptView:
    """The form with which a surveyor lets a finding stand."""

    id: str
    form: FormView
    typed: Typed
    warning: str


@dataclass(frozen=True)
class OpenedView:
    """``findings/_opened.html``; ``reason_url`` is where the reason for what it is about is entered."""

    id: str
    verdict: str
    rule: str
    source: str
    steps: tuple[WorkingView, ...]
    come_back: str
    mends: MendsView
    accept: AcceptView | None
    withdraw: FormView | None
    reason_url: str = ""


def opened_view(  # noqa: PLR0913, PLR0917 - each names one thing that is shown
    state: ViewState,
    boat: Boat,
    revision: int,
    finding: "Finding",
    steps: "Sequence[Step]",
    mends: MendsView,
    *,
    accept: AcceptView,
    kept: Mapping[str, str],
    come_back: str,
) -> OpenedView:
    """The whole of a finding, but for what stands in its row."""
    is_open = finding.accepted is None
    words = STATUS_WORDS[finding.source_status]
    return OpenedView(
        id=f"opened-{finding.id}",
        verdict=_verdict(finding),
        rule=RULE_WORDS[finding.rule_kind],
        source=finding.source + (f" ({words})" if words else ""),
        steps=tuple(_step(state, boat, one) for one in steps),
        come_back=come_back,
        mends=mends,
        accept=accept if is_open else None,
        withdraw=None
        if is_open
        else change_form(state, "/findings/withdraw", revision, finding=finding.id, **kept),
        reason_url=f"{state.url('/switching')}#stay-{finding.subjects[0]}"
        if finding.code == "alive-when-off" and is_open
        else "",
    )


def _verdict(finding: "Finding") -> str:
    """Advice that is held to no limit fails nothing."""
    if finding.severity == "advice" and finding.limit is None:
        return "Advice"
    return VERDICTS.get(finding.severity, "Fails")


def accept_view(
    state: ViewState, revision: int, finding: "Finding", typed: Typed, kept: Mapping[str, str]
) -> AcceptView:
    """The form that lets a finding stand, with a warning where somebody's life hangs on it."""
    warning = (
        "This can hurt somebody. It stays in every print, marked, with your name beside it."
        if finding.severity in TO_LIFE
        else ""
    )
    form = change_form(state, "/findings/accept", revision, finding=finding.id, **kept)
    return AcceptView(f"accept-{finding.id}", form, typed, warning)


def mends_view(  # noqa: PLR0913 - what was found, and what is shown of it
    state: ViewState,
    revision: int,
    finding: "Finding",
    offered: "Sequence[Offer]",
    *,
    shown: int,
    more_url: str,
    in_place: bool,
) -> MendsView:
    """The mends of a finding from a number on; ``in_place`` where the workbench is swapped, not loaded."""
    return MendsView(
        id=f"mends-{finding.id}" + (f"-{shown}" if shown else ""),
        offers=tuple(
            OfferView(
                form=change_form(state, "/mend", revision, finding=finding.id, mend=str(number)),
                button_id=f"mend-{finding.id}-{number}",
                label=one.mend.label,
                effects=tuple(_effects(one, finding.id)),
                cable=_cable(one.bought),
                steps=tuple(_by_hand(step) for step in one.mend.steps),
            )
            for number, one in enumerate(offered)
            if number >= shown
        ),
        more_url=more_url,
        shown=len(offered),
        in_place=in_place,
        none="" if offered or more_url else NONE_FOUND,
    )


def _by_hand(step: "MendStep") -> MendStepView:
    groups = (
        ("Goes dead", step.goes_dead),
        ("Without power for an instant", step.blinks),
        ("Then alive", step.alive),
        ("Then dead", step.dead),
    )
    return MendStepView(step.what, tuple(f"{title}: {listed(names)}." for title, names in groups if names))


def _effects(offer: "Offer", mended: str) -> list[EffectView]:
    of = offer.effect
    groups = (
        ("Goes away too", [_line(one) for one in of.gone if one.id != mended]),
        ("Comes instead", [_line(one) for one in of.come]),
        ("Changes", [_changed(before, after) for before, after in of.changed]),
    )
    return [EffectView(title, _cut(lines)) for title, lines in groups if lines]


def _cut(lines: list[str]) -> tuple[str, ...]:
    more = len(lines) - MOST_LISTED
    return (*lines[:MOST_LISTED], *([f"and {more} more"] if more > 0 else []))


def _line(finding: "Finding") -> str:
    sign, word = SEVERITIES[finding.severity]
    return f"{sign} {word}: {finding.message}"


def _changed(before: "Finding", after: "Finding") -> str:
    sign, word = SEVERITIES[after.severity]
    if before.figure is None or after.figure is None:
        return f"{sign} {word}: {after.message}"
    figures = f"{before.figure.value:.4g} → {after.figure.value:.4g} {after.figure.unit}"
    return f"{sign} {word}, {figures}: {after.message}"


def _cable(bought: "Sequence[Bought]") -> str:
    told = [f"{one.length_m:.1f} m of {one.label} ({one.copper_kg:.2g} kg of copper)" for one in bought]
    return "" if not told else f"Cable: {', '.join(told)}."


def _step(state: ViewState, boat: Boat, step: "Step") -> WorkingView:
    says_so = step.origin in step.source
    origin = step.source if says_so else ", ".join(filter(None, (step.origin, step.source)))
    return WorkingView(step.what, step.numbers, step.result, origin, _url(state, boat, step.subject))


def _url(state: ViewState, boat: Boat, subject: str | None) -> str:
    """Where the lists show a part or conductor."""
    if any(one.id == subject for one in boat.conductors):
        return f"{state.path('/lists')}#cable-{subject}"
    return f"{state.path('/lists')}#part-{subject}" if any(one.id == subject for one in boat.parts) else ""
