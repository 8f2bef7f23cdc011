"""The answer in one sentence, and the one next step."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from server.actions.boats import TEACHING_BOAT
from server.boat.boat import Boat
from server.boat.events import events_of
from server.checks.words import agreed, listed, need_words, the, when
from server.drawing.chart_axis import duration
from server.web.views.figures import sag_volts
from server.web.views.loads import basis_words, seen_in, worst_first
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from collections.abc import Sequence

    from server.actions.in_time import Standing
    from server.engine.answer import InputAnswer, ModeAnswer


@dataclass(frozen=True)
class AdviceView:
    """``workbench/_advice.html``: what one move would do; ``more_url`` while that is still looked for."""

    words: str = ""
    more_url: str = ""


CAUTION = "Only as sure as what was entered: see what was assumed and what was not seen."


@dataclass(frozen=True)
class GuideView:
    """``workbench/_guide.html``: what happens, in words, and where to go on.

    ``fitting_url`` is where parts are put in, on a boat that has nothing to be computed yet;
    ``complaint_url`` stands on the teaching boat, which a first visit opens.
    """

    sentence: str
    advice: AdviceView = AdviceView()
    also: str = ""
    button: str = ""
    button_url: str = ""
    caution: str = CAUTION
    figures: str = ""
    basis: str = ""
    fitting_url: str = ""
    complaint_url: str = ""


def guide_view(
    boat: Boat,
    state: ViewState,
    answer: "ModeAnswer | None",
    moves: "Sequence[str] | None" = None,
    standing: "Standing | None" = None,
) -> GuideView:
    """The worst that happens in the chosen event, and the move that mends it, where that was looked for.

    ``standing`` says whether that is the event in time or as yet its first instant: then nothing is looked
    for until the event itself is known.
    """
    view = _guide(boat, state, answer)
    if state.boat == TEACHING_BOAT:
        view = replace(view, complaint_url="/complaint")
    worst = None if answer is None else worst_hit(answer, state.event)
    if worst is not None and view.button:
        view = replace(view, advice=advice_view(worst, moves, state, standing))
    return view if standing is None else replace(view, basis=basis_words(standing))


def advice_view(
    worst: "InputAnswer", moves: "Sequence[str] | None", state: ViewState, standing: "Standing | None" = None
) -> AdviceView:
    """What one move of one of a load's leads would do, or where that comes from."""
    if moves is not None:
        return AdviceView(_advice(worst, moves))
    waits = standing is not None and standing.is_refining
    return AdviceView(more_url="" if waits else state.url("/advice"))


def _guide(boat: Boat, state: ViewState, answer: "ModeAnswer | None") -> GuideView:
    if answer is None:
        empty = "This boat is empty." if not boat.parts else "This boat has no mode and no load yet."
        told = f"{empty} Put in what is aboard, and it is worked out."
        return GuideView(told, fitting_url=state.path("/fitting"))
    event = next((one for one in events_of(boat) if one.id == state.event), None)
    if event is None:
        return GuideView("Nothing heavy starts in this mode.")
    info = next((one for one in answer.events if one.event == event.id), None)
    if info is not None and info.inrush_a is None:
        unfed = f"The {the(info.heavy_name).removeprefix('the ')} gets no power in this mode"
        return GuideView(f"{unfed}, so nothing can be said of its start.")
    moment = when(boat, event)
    hit = _hit(answer, state.event)
    if not hit:
        unknown = _unknown(answer, state.event)
        those = "everything that is on" + (" and whose need is known" if unknown else "")
        return GuideView(f"{moment}, {those} keeps running.", also=unknown)
    worst = hit[0]
    name, restarts = the(worst.name), agreed(worst.name, "restarts", "restart")
    is_down = _verdict(worst, state.event) == "restarts"
    told = f"{name} {restarts}" if is_down else f"it is too close to call whether {name} {restarts}"
    return GuideView(
        f"{moment}, {told}.",
        also=_also(hit[1:], state.event),
        button="Show why",
        button_url="" if state.selected in {worst.part, worst.id} else state.selecting(worst.id).url(),
        figures=_figures(worst, state.event),
    )


def _figures(load: "InputAnswer", event: str | None) -> str:
    """How low it falls, against what it needs, and for how long."""
    seen = seen_in(load, event)
    if seen is None or seen.need_v is None:
        return ""
    lowest, need = sag_volts(seen.lowest.value), need_words(seen)
    below_s = 0.0 if seen.in_time is None else seen.in_time.below_need_s
    below = f"; below that for {duration(below_s)}" if below_s > 0 else ""
    return f"Lowest {lowest}, needs {need}{below}."


def worst_hit(answer: "ModeAnswer", event: str | None) -> "InputAnswer | None":
    """The load that is worst off of those that restart or are too close to call."""
    return next(iter(_hit(answer, event)), None)


def _hit(answer: "ModeAnswer", event: str | None) -> "list[InputAnswer]":
    return sorted(hit_loads(answer, event), key=lambda load: worst_first(load, event))


def _advice(load: "InputAnswer", moves: "Sequence[str]") -> str:
    """What one move of one of its leads would do."""
    if moves:
        return f"What to do: {moves[0][:1].lower()}{moves[0][1:]}."
    return f"No safe move of one lead of {the(load.name)} alone clears it: see what it shares."


def hit_loads(answer: "ModeAnswer", event: str | None) -> "list[InputAnswer]":
    """The loads that restart in an event, or are too close to call."""
    bad = {"restarts", "too-close-to-call"}
    return [load for load in answer.loads if load.on and not load.heavy and _verdict(load, event) in bad]


def _verdict(load: "InputAnswer", event: str | None) -> str:
    seen = seen_in(load, event)
    return "" if seen is None else seen.verdict


def _also(others: "list[InputAnswer]", event: str | None) -> str:
    restart = [load.name for load in others if _verdict(load, event) == "restarts"]
    close = [load.name for load in others if _verdict(load, event) != "restarts"]
    words = []
    if restart:
        words.append(f"So does: {listed(restart)}." if len(restart) == 1 else f"So do: {listed(restart)}.")
    if close:
        words.append(f"Too close to call: {listed(close)}.")
    return " ".join(words)


def _unknown(answer: "ModeAnswer", event: str | None) -> str:
    names = [
        load.name
        for load in answer.loads
        if load.on and not load.heavy and _verdict(load, event) == "limit-not-known"
    ]
    return f"For these nobody has said what they need: {listed(names)}." if names else ""
