"""The steps from one boat to another, with what stands after each."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.web.views.event_figures import VERDICT_MARKS, spare_words
from server.web.views.figures import NONE, sag_volts
from server.web.views.history import step_words

if TYPE_CHECKING:
    from server.actions.comparing_steps import StepResult, Steps
    from server.engine.answer import EventInfo


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
