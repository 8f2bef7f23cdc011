"""The selected load: its loop as a strip whose volts add up, its leads, and its own values."""

from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from server.actions.answers import lead_ends
from server.actions.words import VERDICTS
from server.boat.boat import Boat
from server.boat.leads import Landings, Lead, lead
from server.boat.parts import Load
from server.boat.value import Span
from server.checks.words import need_words
from server.web.views.figures import NONE, band_volts, exact, per_cent, sag_volts, signed_volts
from server.web.views.forms import FieldView, change_form
from server.web.views.lengths import conductor_name, length_field, size_field
from server.web.views.loads import seen_in
from server.web.views.state import ViewState

if TYPE_CHECKING:
    from server.engine.answer import ElementShare, EventAnswer, InputAnswer, LoopStep


@dataclass(frozen=True)
class StepView:
    """One element of the loop."""

    id: str
    name: str
    side: str
    shared: bool
    share: str
    words: str
    tap: str


@dataclass(frozen=True)
class BesideView:
    """An element of a parallel way beside the loop."""

    name: str
    share: str
    words: str


@dataclass(frozen=True)
class LeadView:
    """One lead of the load: where it lies, and the way to pick it up."""

    id: str
    title: str
    url: str
    lies: str
    reason: str
    fields: tuple[FieldView, ...]


@dataclass(frozen=True)
class ExactView:
    """One figure with all its digits, for “how got”."""

    name: str
    value: str


@dataclass(frozen=True)
class SelectedView:
    """``workbench/_selected.html``: the section is empty while nothing is selected."""

    name: str = ""
    verdict: str = ""
    verdict_mark: str = ""
    summary: str = ""
    steps: tuple[StepView, ...] = ()
    beside: tuple[BesideView, ...] = ()
    sum_words: str = ""
    leads: tuple[LeadView, ...] = ()
    fields: tuple[FieldView, ...] = ()
    exact: tuple[ExactView, ...] = ()
    close_url: str = ""
    close_focus: str = ""


_MARKS = {
    "restarts": "restarts",
    "too-close-to-call": "close",
    "limit-not-known": "unknown",
    "keeps-running": "runs",
}


def selected_view(
    boat: Boat, state: ViewState, revision: int, load: "InputAnswer", loop: "tuple[LoopStep, ...]"
) -> SelectedView:
    """The selected load in the chosen event."""
    seen = seen_in(load, state.event)
    return SelectedView(
        name=load.name,
        verdict="" if seen is None or load.heavy else VERDICTS[seen.verdict],
        verdict_mark="" if seen is None or load.heavy else _MARKS[seen.verdict],
        summary=_summary(boat, load, seen),
        steps=_steps(loop, seen),
        beside=_beside_steps(loop, seen),
        sum_words=_sum_words(loop, seen),
        leads=_leads(boat, state, revision, load, loop),
        fields=_fields(boat, state, revision, load),
        exact=(*_exact(load, seen), *_steady(loop)),
        close_focus=f"select-{load.part}-{load.input}",
        close_url=state.selecting(None).url(),
    )


SMALLEST_TOLD_V = 0.005
"""Half of the 0.01 V to which shares are shown."""

_WHOLE = 0.995
"""From here on a share reads as all of it when rounded to whole per cent."""


def _summary(boat: Boat, load: "InputAnswer", seen: "EventAnswer | None") -> str:
    if load.state != "fed":
        return load.reason
    if seen is None:
        return "No heavy load starts in this mode."
    need = (
        "nobody has said what it needs"
        if seen.need_v is None
        else f"it needs {need_words(boat, load.part, load.input, seen.need_v)}"
    )
    if seen.need_v is not None and seen.need_assumed:
        need += f", which is assumed ({seen.need_source})"
    spare = "" if seen.need_v is None else _spare(seen.lowest.value - seen.need_v)
    floor = f"At the bare battery posts it would have {sag_volts(seen.floor_v)}."
    return f"Lowest {band_volts(seen.lowest)}; {need}{spare}. {floor}"


def _spare(margin_v: float) -> str:
    return f": {sag_volts(margin_v)} to spare" if margin_v >= 0 else f": {sag_volts(-margin_v)} too little"


def _steps(loop: "tuple[LoopStep, ...]", seen: "EventAnswer | None") -> tuple[StepView, ...]:
    """The loop; runs of elements that only this load uses and that add nothing to the dip in one line."""
    views: list[StepView] = []
    for idle, run in groupby(loop, key=lambda step: seen is not None and _is_idle(step)):
        steps = list(run)
        if idle and len(steps) > 1:
            views.append(_folded(len(views) + 1, steps))
        else:
            views += [_step(len(views) + 1 + n, step, seen) for n, step in enumerate(steps)]
    return tuple(views)


def _is_idle(step: "LoopStep") -> bool:
    """Whether an element is the load's own and adds nothing that would be told."""
    return not step.shared and step.side != "load" and abs(step.share_v) < SMALLEST_TOLD_V


def _folded(number: int, steps: "list[LoopStep]") -> StepView:
    total = sum(step.share_v for step in steps)
    return StepView(
        id=f"step-{number}",
        name=f"{len(steps)} elements that only this load uses",
        side=steps[0].side,
        shared=False,
        share=signed_volts(total),
        words=", ".join(step.name for step in steps),
        tap="",
    )


def _step(number: int, step: "LoopStep", seen: "EventAnswer | None") -> StepView:
    return StepView(
        id=f"step-{number}",
        name=step.name,
        side=step.side,
        shared=step.shared,
        share="" if seen is None or step.side == "load" else signed_volts(step.share_v),
        words=_carries(step),
        tap="" if step.tap is None else f"tap-{step.tap.part}--{step.tap.terminal}",
    )


def _carries(step: "LoopStep | ElementShare") -> str:
    """How much of the load's current an element carries, where that is not all of it."""
    if abs(step.load_fraction) > _WHOLE or step.side == "load":
        return ""
    return f"carries {step.load_fraction * 100:.0f} %".replace("-", "−")


def _beside(loop: "tuple[LoopStep, ...]", seen: "EventAnswer | None") -> "tuple[ElementShare, ...]":
    """The elements of parallel ways that the loop does not walk, and that share in the dip all the same."""
    walked = {step.element for step in loop}
    return () if seen is None else tuple(one for one in seen.shared_path if one.element not in walked)


def _beside_steps(loop: "tuple[LoopStep, ...]", seen: "EventAnswer | None") -> tuple[BesideView, ...]:
    telling = [one for one in _beside(loop, seen) if abs(one.share_v) >= SMALLEST_TOLD_V]
    views = [BesideView(one.name, signed_volts(one.share_v), _carries(one)) for one in telling]
    rest = sum(one.share_v for one in _beside(loop, seen)) - sum(one.share_v for one in telling)
    if abs(rest) >= SMALLEST_TOLD_V:
        views.append(BesideView("Smaller ones together", signed_volts(rest), ""))
    return tuple(views)


def _sum_words(loop: "tuple[LoopStep, ...]", seen: "EventAnswer | None") -> str:
    if seen is None or not loop:
        return ""
    total = sum(step.share_v for step in loop if step.side != "load")
    total += sum(one.share_v for one in _beside(loop, seen))
    return f"The shares add up to {signed_volts(total)}; the dip is {signed_volts(seen.sag_v)}."


def _leads(
    boat: Boat, state: ViewState, revision: int, load: "InputAnswer", loop: "tuple[LoopStep, ...]"
) -> tuple[LeadView, ...]:
    landings = Landings.of(boat)
    views = [
        (_shared(loop, found), lead_view(boat, state, revision, load.id, found, landings))
        for found in (
            lead(boat, load.part, name, landings) for name in lead_ends(boat, load.part, load.input)
        )
    ]
    # The side that shares more with the heavy load first: its move gains more.
    return tuple(view for _, view in sorted(views, key=lambda pair: -pair[0]))


def _shared(loop: "tuple[LoopStep, ...]", found: Lead) -> float:
    return sum(step.share_v for step in loop if step.shared and step.side == found.polarity)


def lead_view(  # noqa: PLR0913, PLR0917 - each names one thing of the view
    boat: Boat, state: ViewState, revision: int, selected: str, found: Lead, landings: Landings
) -> LeadView:
    """One lead: where it lies, the way to pick it up, and its cables; ``selected`` stays selected."""
    movable = found.last is not None
    lies = "loose" if found.tap is None else landings.parts[found.tap.part].name
    names = ", ".join(landings.parts[part].name for part in found.inline)
    through = f", through {names}" if names else ""
    conductors = {conductor.id: conductor for conductor in boat.conductors}
    fields = [
        field
        for name in found.conductors
        for field in (
            length_field(state, revision, conductors[name], conductor_name(boat, conductors[name])),
            size_field(state, revision, conductors[name], conductor_name(boat, conductors[name])),
        )
    ]
    return LeadView(
        id=f"pick-up-{found.part}--{found.terminal}",
        title=f"{'Positive' if found.polarity == 'positive' else 'Negative'} lead",
        url=state.selecting(selected).url("/pick-up", part=found.part, terminal=found.terminal)
        if movable
        else "",
        lies=f"on {lies}{through}" if movable else "",
        reason=found.reason or "",
        fields=tuple(fields),
    )


def _fields(boat: Boat, state: ViewState, revision: int, load: "InputAnswer") -> tuple[FieldView, ...]:
    part = next(part for part in boat.parts if part.id == load.part)
    if not isinstance(part, Load):
        return ()
    one = next(one for one in part.inputs if one.id == load.input)
    given = one.minimum_voltage_v
    note = one.limit_source or "" if given is not None else "not entered: the answer is assumed or not known"
    if isinstance(given, Span):
        note = f"{given.low:g} to {given.high:g} V; {note}".rstrip("; ")
    value = "" if given is None else f"{given.nominal if isinstance(given, Span) else given:g}"
    form = change_form(state, "/minimum-voltage", revision, part=part.id, input=one.id)
    return (FieldView(f"field-{part.id}-{one.id}", form, "Lowest volts it runs on", value, "V", note),)


def _steady(loop: "tuple[LoopStep, ...]") -> tuple[ExactView, ...]:
    return tuple(ExactView(f"steady over {step.name}", exact(step.steady_v, "V")) for step in loop)


def _exact(load: "InputAnswer", seen: "EventAnswer | None") -> tuple[ExactView, ...]:
    figures = [
        ("steady voltage", exact(load.voltage_v, "V")),
        ("steady current", exact(load.current_a, "A")),
    ]
    if seen is not None:
        figures += [
            ("lowest in the event", exact(seen.lowest.value, "V")),
            ("band from the assumptions", f"{exact(seen.lowest.low, 'V')} to {exact(seen.lowest.high, 'V')}"),
            ("sag", exact(seen.sag_v, "V")),
            ("of it, heavy load alone", exact(seen.heavy_alone_v, "V")),
            ("of it, other loads' response", exact(seen.others_v, "V")),
            ("transfer resistance", exact(seen.transfer_resistance_ohm, "Ω")),
            ("best place by volts, not judged for safety", exact(seen.best_tap_v, "V")),
        ]
    if load.drop is not None:
        drop = load.drop
        figures += [
            ("design current", f"{exact(drop.design_current_a, 'A')} ({drop.current_basis})"),
            ("design drop from the battery", exact(drop.from_battery_v, "V")),
            ("design drop from the panelboard", exact(drop.from_panelboard_v, "V")),
            ("drop in circuit", exact(drop.in_circuit_v, "V")),
            ("handbook formula, conductors only", exact(drop.handbook_v, "V")),
            ("limit", f"{per_cent(drop.limit_fraction)} ({drop.limit_source})"),
        ]
    return tuple(ExactView(name, value) for name, value in figures if value != NONE)
