"""The strip of a selected load: its loop element by element, with volts and the places for its leads."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import TYPE_CHECKING

from server.actions.words import VERDICTS
from server.boat.boat import Boat
from server.boat.conductors import Conductor, Joint
from server.boat.value import TerminalRef
from server.checks.shown_shares import DIGITS, between, dip_shares, rounded_to_sum
from server.checks.words import listed
from server.web.views.figures import NONE, most, sag_volts, signed_volts, volts
from server.web.views.forms import FormView, change_form
from server.web.views.state import ViewState
from server.web.views.taps import CAUTION

if TYPE_CHECKING:
    from server.engine.answer import ElementShare, EventAnswer, LoopStep, PickUp, TapAnswer

SMALLEST_TOLD_V = 0.005
"""Half of the 0.01 V to which shares are shown."""

JOINT_TOLD_V = 0.1
"""From here on a joint shows in the volts of an event, which are told to 0.1 V."""

_WHOLE = 0.995
"""From here on a share reads as all of it when rounded to whole per cent."""


@dataclass(frozen=True)
class PutHereView:
    """A place on the way where a lead may be put: one button."""

    form: FormView
    button_id: str
    words: str


@dataclass(frozen=True)
class StepView:
    """One element of the loop: what it adds to the dip, what it loses steadily, and what may land there."""

    id: str
    name: str
    side: str
    shared: bool
    share: str
    steady: str
    joint: str
    words: str
    tap: str
    here: str = ""
    place: PutHereView | None = None


@dataclass(frozen=True)
class BesideView:
    """An element of a parallel way beside the loop."""

    name: str
    share: str
    joint: str
    words: str


@dataclass(frozen=True)
class LoopView:
    """``workbench/_strip.html``; ``more_url`` where the places for the leads follow."""

    walks: bool
    dips: bool
    caution: str
    steps: tuple[StepView, ...]
    beside: tuple[BesideView, ...]
    sum_words: str
    more_url: str


@dataclass(frozen=True, eq=False)
class Strip:
    """A load's loop in an event, with what its leads would meet; without that no place is offered.

    ``is_late`` says that what they would meet is to follow.
    """

    boat: Boat
    state: ViewState
    revision: int
    loop: "tuple[LoopStep, ...]"
    seen: "EventAnswer | None"
    held: "tuple[PickUp, ...]" = ()
    is_late: bool = False

    @property
    def refines(self) -> bool:
        """Whether the places are answered for the first instant, and the event in time may follow."""
        return any(
            held.observed is not None and not any(tap.exact for tap in held.taps) for held in self.held
        )

    def steps(self) -> tuple[StepView, ...]:
        """The loop; runs of elements that only this load uses and that add nothing to the dip in one line.

        Where places are offered, every element stands by itself.
        """
        views: list[StepView] = []
        offered: set[TerminalRef] = set()
        for idle, run in groupby(self.loop, key=self._is_idle):
            steps = list(run)
            if idle and len(steps) > 1:
                views.append(_folded(len(views) + 1, steps, sum(map(self._shown, steps))))
            else:
                views += [self._step(len(views) + 1 + n, step, offered) for n, step in enumerate(steps)]
        return tuple(views)

    def beside(self) -> tuple[BesideView, ...]:
        """The elements of parallel ways that the loop does not walk, the small ones together."""
        telling = [one for one in self._beside if abs(self._shown(one)) >= SMALLEST_TOLD_V]
        views = [
            BesideView(one.name, signed_volts(self._shown(one)), self._joint(one), _carries(one))
            for one in telling
        ]
        rest = sum(map(self._shown, self._beside)) - sum(map(self._shown, telling))
        if abs(rest) >= SMALLEST_TOLD_V:
            views.append(BesideView("Smaller ones together", signed_volts(rest), "", ""))
        return tuple(views)

    def sum_words(self) -> str:
        """The sum of what is shown, beside the dip that it must come to."""
        if self.seen is None or not self.loop:
            return ""
        total = sum(map(self._shown, self._counted))
        point = self.seen.in_time
        dip = self.seen.sag_v if point is None else between(point.before_v, point.lowest.value)
        when = " at the instant after the press" if point is None else ""
        return f"The shares add up to {signed_volts(total)}; the dip is {signed_volts(dip)}{when}."

    @cached_property
    def _shares_in_time(self) -> Mapping[str, float] | None:
        """What each element adds to the dip where the event is lowest; None where only its start is known."""
        point = None if self.seen is None else self.seen.in_time
        if point is None or not point.dip_causes:
            return None
        found: dict[str, float] = {}
        for cause in point.dip_causes:
            found[cause.element] = found.get(cause.element, 0.0) + cause.share_v
        return found

    def _share(self, step: "LoopStep | ElementShare") -> float:
        shares = self._shares_in_time
        return step.share_v if shares is None else shares.get(step.element, 0.0)

    @cached_property
    def _counted(self) -> "tuple[LoopStep | ElementShare, ...]":
        return (*(step for step in self.loop if step.side != "load"), *self._beside)

    @cached_property
    def _shown_shares(self) -> Mapping[str, float]:
        point = None if self.seen is None else self.seen.in_time
        if point is not None and point.dip_causes:
            rounded = [(cause.element, shown) for cause, shown in dip_shares(point)]
        else:
            values = [one.share_v for one in self._counted]
            shown_v = rounded_to_sum(values, round(sum(values), DIGITS))
            rounded = [(one.element, shown) for one, shown in zip(self._counted, shown_v, strict=True)]
        found: dict[str, float] = {}
        for element, shown in rounded:
            found[element] = found.get(element, 0.0) + shown
        return found

    def _shown(self, step: "LoopStep | ElementShare") -> float:
        """A share in the digits that are shown, as every other page has it."""
        return self._shown_shares.get(step.element, 0.0)

    @cached_property
    def _beside(self) -> "tuple[ElementShare, ...]":
        walked = {step.element for step in self.loop}
        path = () if self.seen is None else self.seen.shared_path
        return tuple(one for one in path if one.element not in walked)

    def _is_idle(self, step: "LoopStep") -> bool:
        """Whether an element is the load's own and adds nothing that would be told."""
        if self.seen is None or self.held:
            return False
        return not step.shared and step.side != "load" and abs(self._share(step)) < SMALLEST_TOLD_V

    def _step(self, number: int, step: "LoopStep", offered: set[TerminalRef]) -> StepView:
        """One element; a place that several elements of one bar share is offered once."""
        held, answer = self._answer(step)
        is_new = answer is not None and answer.terminal not in offered
        if answer is not None:
            offered.add(answer.terminal)
        return StepView(
            id=f"step-{number}",
            name=step.name,
            side=step.side,
            shared=step.shared,
            share="" if self.seen is None or step.side == "load" else signed_volts(self._shown(step)),
            steady=volts(step.steady_v),
            joint=self._joint(step),
            words=_carries(step),
            tap="" if step.tap is None else f"tap-{step.tap.part}--{step.tap.terminal}",
            here=_here(held, answer) if is_new else "",
            place=self._place(number, held, answer) if is_new else None,
        )

    def _joint(self, step: "LoopStep | ElementShare") -> str:
        """A joint whose share of the dip shows in the volts of the event, and which end it is."""
        conductor = self._conductors.get(step.element)
        if self.seen is None or conductor is None:
            return ""
        ends = (
            (step.tail_joint_v, conductor.tail, conductor.tail_joint),
            (step.head_joint_v, conductor.head, conductor.head_joint),
        )
        then = self._share(step) / step.share_v if step.share_v else 1.0
        told = [
            f"the joint at {self._parts[end.part]} {signed_volts(lost * then)} ({_basis(joint)})"
            for lost, end, joint in ends
            if lost is not None and end is not None and abs(lost * then) >= JOINT_TOLD_V
        ]
        return f"of it {', '.join(told)}" if told else ""

    @cached_property
    def _conductors(self) -> Mapping[str, Conductor]:
        return {conductor.id: conductor for conductor in self.boat.conductors}

    @cached_property
    def _parts(self) -> Mapping[str, str]:
        return {part.id: part.name for part in self.boat.parts}

    def _answer(self, step: "LoopStep") -> "tuple[PickUp | None, TapAnswer | None]":
        """What the lead of this side would meet at the element's battery end."""
        held = next((one for one in self.held if one.polarity == step.side), None)
        if held is None or step.tap is None:
            return held, None
        return held, next((one for one in held.taps if step.tap in _terminals(one)), None)

    def _place(self, number: int, held: "PickUp | None", answer: "TapAnswer | None") -> PutHereView | None:
        if held is None or answer is None or answer.present or answer.breaks:
            return None
        form = change_form(
            self.state,
            "/put-down",
            self.revision,
            part=held.part,
            terminal=held.terminal,
            to_part=answer.terminal.part,
            to_terminal=answer.terminal.terminal,
        )
        lowest = NONE if answer.lowest is None else most(sag_volts(answer.lowest.value), answer.unknown)
        about = "" if answer.exact else "≈ "
        words = f"Put the {held.polarity} lead on {answer.place}: {about}{lowest}, {VERDICTS[answer.verdict]}"
        return PutHereView(form, f"step-{number}-put", words)


def loop_view(strip: Strip) -> LoopView:
    """The strip in words."""
    return LoopView(
        walks=bool(strip.held),
        dips=strip.seen is not None,
        caution=CAUTION if strip.held else "",
        steps=strip.steps(),
        beside=strip.beside(),
        sum_words=strip.sum_words(),
        more_url=strip.state.url("/way") if strip.is_late else "",
    )


def _terminals(answer: "TapAnswer") -> Iterator[TerminalRef]:
    yield answer.terminal
    yield from answer.same_as


def _here(held: "PickUp | None", answer: "TapAnswer | None") -> str:
    if held is None or answer is None or not answer.present:
        return ""
    return f"the {held.polarity} lead lies here now"


def _basis(joint: Joint | None) -> str:
    return "assumed" if joint is None or joint.resistance_ohm is None else "as entered"


def _folded(number: int, steps: "list[LoopStep]", share_v: float) -> StepView:
    return StepView(
        id=f"step-{number}",
        name=f"{len(steps)} elements that only this load uses",
        side=steps[0].side,
        shared=False,
        share=signed_volts(share_v),
        steady=volts(sum(step.steady_v for step in steps)),
        joint="",
        words=listed(step.name for step in steps),
        tap="",
    )


def _carries(step: "LoopStep | ElementShare") -> str:
    """How much of the load's current an element carries, where that is not all of it."""
    whole = step.side == "load" or abs(step.load_fraction) > _WHOLE
    return "" if whole else f"carries {step.load_fraction * 100:.0f} %".replace("-", "−")
