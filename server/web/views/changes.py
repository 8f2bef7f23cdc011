"""What a change did: before and after in pairs, and the way back; or why it was not made."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.web.views.figures import sag_volts
from server.web.views.forms import FormView, change_form
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.actions.compare import Comparison, Pair
    from server.actions.yard import OpenBoat

CAUTION = (
    "This changes the plan only. On the boat: stop the engine and take the negative off every battery first."
)
OPTION_OPENED = "The boat as surveyed is kept as it was found: an option was opened for this change."
AT_ONCE = "Compared at the instant after the press."
STEPS = {"created": "", "edit": "", "undo": "Undone: ", "redo": "Done again: "}
_DIRECTIONS = {"better": "○ better", "worse": "▽ worse", "unchanged": "– unchanged"}


@dataclass(frozen=True)
class PairView:
    """One load before and after."""

    name: str
    before: str
    after: str
    direction: str


@dataclass(frozen=True)
class ChangeView:
    """``workbench/_change.html``: empty until something was changed."""

    label: str = ""
    notice: str = ""
    survey_url: str = ""
    headline: str = ""
    basis: str = ""
    counts: str = ""
    pairs: tuple[PairView, ...] = ()
    removed: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    unjudged: tuple[str, ...] = ()
    undo: FormView | None = None
    look: FormView | None = None
    shows_before: bool = False
    caution: str = ""
    late: "LateChangeView | None" = None


@dataclass(frozen=True)
class ConflictView:
    """``workbench/_conflict.html`` and ``workbench/conflict.html``: the boat has moved on meanwhile."""

    title: str
    changes: tuple[str, ...]
    form: FormView
    page_url: str


@dataclass(frozen=True)
class LateChangeView:
    """``workbench/_change_late.html``: findings that came and went but were not told at once."""

    removed: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    is_told: bool = False


def late_view(comparison: "Comparison") -> LateChangeView:
    """What the other modes and the slower checks have to say of the last change."""
    return LateChangeView(comparison.removed, comparison.added, is_told=True)


def change_view(state: ViewState, opened: "OpenBoat", comparison: "Comparison") -> ChangeView:
    """Before and after the last change, the worse off first; loads that are unchanged are only counted."""
    counts = " · ".join(f"{comparison.count(way)} {way}" for way in ("better", "worse", "unchanged"))
    moved = [pair for pair in comparison.pairs if pair.direction != "unchanged"]
    revision = opened.revision
    opens = opened.row.role == "option" and state.since == 1 and opened.row.forked_from is not None
    return ChangeView(
        label=STEPS[revision.step] + (revision.label or "An edit"),
        notice=OPTION_OPENED if opens else "",
        survey_url=f"/boats/{opened.row.forked_from}" if opens else "",
        headline=_headline(moved),
        basis="" if comparison.is_in_time or state.event is None else AT_ONCE,
        counts=counts,
        pairs=tuple(pair_view(pair) for pair in moved),
        removed=comparison.removed,
        added=comparison.added,
        unjudged=comparison.unjudged,
        undo=change_form(state, "/undo", opened.rev) if opened.undo is not None else None,
        look=FormView(state.path("/picture"), state.pairs),
        shows_before=state.looks_back,
        caution=CAUTION,
        late=LateChangeView(),
    )


def _headline(moved: "list[Pair]") -> str:
    if not moved:
        return "No load is noticeably better or worse off."
    most = max(moved, key=lambda pair: abs(pair.gain_v))
    before, after = _volts(most.before_v, most.before_verdict), _volts(most.after_v, most.after_verdict)
    return f"{most.name}: {before} → {after}."


def pair_view(pair: "Pair") -> PairView:
    """One load before and after, in words."""
    return PairView(
        pair.name,
        _volts(pair.before_v, pair.before_verdict),
        _volts(pair.after_v, pair.after_verdict),
        _DIRECTIONS[pair.direction],
    )


def _volts(value: float | None, verdict: str | None) -> str:
    words = {str(key): word for key, word in VERDICTS.items()}
    return sag_volts(value) + (f", {words[verdict]}" if verdict in words else "")
