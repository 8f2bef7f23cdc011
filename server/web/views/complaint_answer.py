"""The answer to a complaint: the suspect stretch, every stretch beside it, and where the leads belong."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.boats import fresh_request_id
from server.actions.words import BREAKS, VERDICTS
from server.actions.yard import OpenBoat
from server.boat.boat import Boat
from server.checks.words import listed
from server.web.views.complaint import CAUTIONS
from server.web.views.complaint_fields import READINGS, ComplaintRowView, row_views
from server.web.views.controls import HeadView, head_view
from server.web.views.figures import NONE, exact_range, sag_volts
from server.web.views.forms import FormView
from server.web.views.tap_words import lowest_words

if TYPE_CHECKING:
    from server.actions.complaint import Answered
    from server.actions.complaint_legs import Leg, Legs, Word
    from server.engine.answer import AssumedValue, PickUp, TapAnswer

STRETCHES: "dict[Word, str]" = {
    "battery": "The battery itself, post to post",
    "positive": "The positive between battery and starter",
    "negative": "The negative between engine block and battery",
}
UNEXPLAINED_V = 0.5
"""From here on a device's own leads are named for what is missing at it; common practice, no source."""


@dataclass(frozen=True)
class StretchView:
    """One stretch: what the meter showed, what it would take if it were sound, and what that says."""

    id: str
    name: str
    measured: str
    sound: str
    says: str
    is_suspect: bool


@dataclass(frozen=True)
class ComplaintLeadView:
    """Where one lead of the device lies, and the best place for it."""

    id: str
    title: str
    now: str
    best: str


@dataclass(frozen=True)
class AssumedFigureView:
    """A figure that nobody gave: what, how much, between which ends, from where."""

    title: str
    value: str
    source: str


@dataclass(frozen=True)
class AnsweredView:
    """``complaint/answer.html``."""

    title: str
    head: HeadView
    sentence: str
    why: str
    look: str
    current: str
    stretches: tuple[StretchView, ...]
    total: str
    device: str
    device_words: str
    own: str
    leads: tuple[ComplaintLeadView, ...]
    not_seen: tuple[str, ...]
    assumed: tuple[AssumedFigureView, ...]
    assumed_url: str
    picture_url: str
    fitting_url: str
    survey_url: str
    lists_url: str
    form: FormView
    readings: tuple[ComplaintRowView, ...]
    has_readings: bool
    cautions: tuple[str, ...] = CAUTIONS


def answered_view(
    opened: OpenBoat,
    answered: "Answered",
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
) -> AnsweredView:
    """The page of an answered complaint; ``typed`` stands in the readings' fields, ``errors`` beside them."""
    boat, path, found = opened.boat, f"/boats/{opened.id}", answered.legs
    stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
    return AnsweredView(
        title=f"Why the {answered.device} restarts",
        head=head_view(opened, "complaint"),
        sentence=_sentence(found),
        why=_why(found),
        look=_look(found.suspect),
        current=_current(found),
        stretches=tuple(map(_stretch, found.all)),
        total="" if found.total_v is None else _volts(found.total_v),
        device=answered.device,
        device_words=_device(answered),
        own=_own(boat, answered),
        leads=tuple(map(_lead, answered.leads)),
        not_seen=tuple(one.what for one in boat.not_seen),
        assumed=tuple(map(_assumed, answered.assumed)),
        assumed_url=f"{path}?mode=starting&event=engine-start&open=assumptions#assumptions",
        picture_url=f"{path}?selected=device&mode=starting&event=engine-start",
        fitting_url=f"{path}/fitting",
        survey_url=f"{path}/survey",
        lists_url=f"{path}/lists",
        form=FormView(f"{path}/complaint", stamp),
        readings=row_views((READINGS,), _typed(boat) if typed is None else typed, errors or {}),
        has_readings=any(one.measured_v is not None for one in found.all),
    )


def _typed(boat: Boat) -> dict[str, str]:
    """The readings that are there, as they were typed."""
    kept = {one.id.removeprefix("reading-"): one for one in boat.readings}
    clamp = next((one.amps_a for one in kept.values() if one.amps_a is not None), None)
    typed = {f"{word}_v": f"{one.volts_v:g}" for word, one in kept.items()}
    return typed if clamp is None else typed | {"clamp_a": f"{clamp:g}"}


def _assumed(one: "AssumedValue") -> AssumedFigureView:
    told = exact_range(one.value, one.low, one.high, one.unit)
    unsure = "; from memory, confirm" if one.status == "memory" else ""
    return AssumedFigureView(one.title, told, f"{one.source}{unsure}")


def _volts(value: float | None) -> str:
    """Volts as a hand meter shows them.

    >>> _volts(1.1), _volts(0.0512), _volts(None)
    ('1.1 V', '0.05 V', '–')
    """
    return NONE if value is None else f"{round(value, 2):g} V"


def _sentence(found: "Legs") -> str:
    """Where most of the start's volts go, of all that is measured."""
    leg = found.suspect or _largest(found)
    if leg is None:
        return "Nothing was measured yet: below is what sound copper and a sound battery would take."
    whole = "" if found.total_v is None else f" of the {_volts(found.total_v)} that go on the way"
    verb = "gives way by" if leg.word == "battery" else "takes"
    return f"{STRETCHES[leg.word]} {verb} {_volts(leg.measured_v)}{whole}."


def _largest(found: "Legs") -> "Leg | None":
    return max(
        (one for one in found.all if one.measured_v is not None),
        key=lambda one: one.measured_v or 0.0,
        default=None,
    )


def _why(found: "Legs") -> str:
    suspect = found.suspect
    if suspect is None:
        if _largest(found) is None:
            return "With two to four readings while it cranks, the page says which stretch is bad."
        return (
            "That is no more than sound copper and a sound battery may take: no bad joint shows. "
            "Then it is a matter of where the leads lie."
        )
    return f"If it were sound, it would take {_range(suspect)}."


def _range(leg: "Leg") -> str:
    low, high = _volts(leg.low_v).removesuffix(" V"), _volts(leg.high_v)
    return f"{low} to {high}"


def _look(suspect: "Leg | None") -> str:
    if suspect is None:
        return ""
    if suspect.word == "battery":
        return (
            "Charge it fully, let it rest, and have it load-tested; feel its clamps for heat after a start. "
            "Measure on the posts themselves, not on the clamps."
        )
    where = listed(suspect.names)
    if len(suspect.elements) == 1:
        return f"Look there first: both lugs and what they sit on, then the cable: {where}."
    return (
        f"The meter spans {len(suspect.elements)} things: {where}. Measure across each of them while it "
        "cranks: the bad one keeps most of the volts. Until then each of its cables counts as possibly bad."
    )


def _current(found: "Legs") -> str:
    current = found.current
    if current.is_measured:
        return f"By the clamp the starter drew {_amperes(current.value_a)}."
    if current.low_a < current.high_a:
        ends = f"{current.low_a:.0f} to {_amperes(current.high_a)}"
        return f"The starter is taken to draw {ends}: a clamp would settle it."
    return f"The starter cannot have drawn more than {_amperes(current.high_a)}: a clamp would settle it."


def _amperes(value: float) -> str:
    return f"{value:.0f} A"


def _stretch(leg: "Leg") -> StretchView:
    says = "not measured"
    if leg.measured_v is not None:
        says = "suspect" if leg.is_suspect else "as sound"
    return StretchView(
        id=f"stretch-{leg.word}",
        name=STRETCHES[leg.word],
        measured=_volts(leg.measured_v),
        sound=f"{_volts(leg.sound_v)} ({_range(leg)})",
        says=says,
        is_suspect=leg.is_suspect,
    )


def _device(answered: "Answered") -> str:
    seen = answered.seen
    need = "" if seen.need_v is None else f", needs {sag_volts(seen.need_v)}"
    taken = " (assumed)" if seen.need_assumed else ""
    return (
        f"{sag_volts(seen.lowest.value)} at its lowest ({sag_volts(seen.lowest.low).removesuffix(' V')} to "
        f"{sag_volts(seen.lowest.high)} as far as is known){need}{taken}: {VERDICTS[seen.verdict]}."
    )


def _own(boat: Boat, answered: "Answered") -> str:
    """What a meter showed at the device against what is computed there with the stretches as measured."""
    reading = next((one.volts_v for one in boat.readings if one.id == "reading-device"), None)
    if reading is None or answered.cranked_v is None:
        return ""
    told = f"At the {answered.device} the meter showed {_volts(reading)} while it cranked, "
    told += f"{_volts(answered.cranked_v)} is computed there."
    if answered.cranked_v - reading > UNEXPLAINED_V:
        missing = _volts(answered.cranked_v - reading)
        return (
            f"{told} {missing} are not explained: look at its own leads, their joints, fuse and switch too."
        )
    return told


def _lead(held: "PickUp") -> ComplaintLeadView:
    pole = f"{held.polarity.capitalize()} lead"
    ranked = sorted((one for one in held.taps if one.rank), key=lambda one: one.rank or 0)
    best = next(iter(ranked), None)
    return ComplaintLeadView(
        id=f"complaint-lead-{held.polarity}",
        title=pole,
        now=" ".join(_now(held)),
        best=_best(held, best),
    )


def _now(held: "PickUp") -> Iterator[str]:
    present = held.present
    if present is None:
        yield "It is loose."
        return
    yield f"Now on {present.place}: {lowest_words(present)}."
    if present.breaks:
        yield f"Wrong there: {listed(BREAKS[one] for one in present.breaks)}."


def _best(held: "PickUp", best: "TapAnswer | None") -> str:
    if best is None:
        return (
            "Nothing that is entered takes it rightly: put in what else is aboard, or give the electronics a "
            "fused bus of their own ahead of the starter's cable."
        )
    is_right_now = held.present is not None and not held.present.breaks
    if best.present or (is_right_now and best.mark in {"worse", "same"}):
        return "No place that is entered is better: leave it."
    change = "" if held.present is None else f"{lowest_words(held.present).removesuffix(' V')} → "
    told = f"Best place: {best.place}, {change}{lowest_words(best)}, {VERDICTS[best.verdict]}"
    gains = best.mark not in {"worse", "same"}
    return f"{told}." if gains else f"{told}; it is the right place though it gains no volts."
