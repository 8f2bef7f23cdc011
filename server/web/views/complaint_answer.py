"""The answer to a complaint: the suspect stretch, every stretch beside it, and where the leads belong."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.boats import fresh_request_id
from server.actions.complaint_states import Word, starter_current
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
    from server.actions.complaint_legs import Leg, Legs
    from server.engine.answer import AssumedValue, EventAnswer, PickUp, TapAnswer

STRETCHES: dict[Word, str] = {
    "battery": "The battery itself, post to post",
    "positive": "The positive between battery and starter",
    "negative": "The negative between engine block and battery",
}
TURNS_SHARE = 0.25
"""With less than this share of its battery's volts no starter turns an engine; common practice, no source."""
ALIKE = 0.1
"""Up to this share a clamp and the starter's entered current count as the same; our own choice."""
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
        current=_current(boat, found),
        stretches=tuple(map(_stretch, found.all)),
        total="" if found.total_v is None else _volts(found.total_v),
        device=answered.device,
        device_words=_device(boat, answered),
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
    alike = [STRETCHES[one.word] for one in found.all if one is not leg and _is_alike(one, leg)]
    same = f" {' and '.join(alike)} as much." if alike else ""
    return f"{STRETCHES[leg.word]} {verb} {_volts(leg.measured_v)}{whole}.{same}"


def _is_alike(one: "Leg", leg: "Leg") -> bool:
    return None not in {one.measured_v, leg.measured_v} and _volts(one.measured_v) == _volts(leg.measured_v)


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
        if found.left_v is not None and found.left_v < TURNS_SHARE * found.battery.rest_v:
            return (
                f"That leaves the starter {_volts(found.left_v)}, too little to turn an engine: read again, "
                "while it cranks."
            )
        if any(one.is_open for one in found.all if one.measured_v is not None):
            return (
                "Whether that is too much cannot be told: with so little entered, a sound boat might take as "
                "much. Enter what is known of battery, sizes and lengths."
            )
        return (
            "That is no more than sound copper and a sound battery may take: no bad joint shows. "
            "Then it is a matter of where the leads lie."
        )
    return f"If it were sound, it would take {_range(suspect)}."


def _range(leg: "Leg") -> str:
    low, high = _volts(min(leg.low_v, leg.rest_v)).removesuffix(" V"), _volts(min(leg.high_v, leg.rest_v))
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


def _current(boat: Boat, found: "Legs") -> str:
    current = found.current
    if current.is_measured:
        told = f"By the clamp the starter drew {_amperes(current.value_a)}."
        entered = starter_current(boat)
        if entered is None or abs(current.value_a - entered) <= ALIKE * entered:
            return told
        return (
            f"{told} The device, the picture and the findings do not use the clamp: they go on with the "
            f"{_amperes(entered)} that stand for the starter."
        )
    if current.low_a < current.high_a:
        ends = f"{current.low_a:.0f} to {_amperes(current.high_a)}"
        return f"The starter is taken to draw {ends}: a clamp would settle it."
    return f"The starter cannot have drawn more than {_amperes(current.high_a)}: a clamp would settle it."


def _amperes(value: float) -> str:
    return f"{value:.0f} A"


def _stretch(leg: "Leg") -> StretchView:
    says = "not measured"
    if leg.measured_v is not None:
        says = "suspect" if leg.is_suspect else "cannot tell" if leg.is_open else "as sound"
    return StretchView(
        id=f"stretch-{leg.word}",
        name=STRETCHES[leg.word],
        measured=_volts(leg.measured_v),
        sound=f"{_volts(min(leg.sound_v, leg.rest_v))} ({_range(leg)})",
        says=says,
        is_suspect=leg.is_suspect,
    )


def _device(boat: Boat, answered: "Answered") -> str:
    """What it has at its lowest against its need; a meter's mean below either goes before the computed."""
    seen, shown = answered.seen, _shown_at_device(boat)
    low, ends = seen.lowest.value, sag_volts(seen.lowest.low).removesuffix(" V")
    known = f"{ends} to {sag_volts(seen.lowest.high)} as far as is known"
    told = f"{sag_volts(low)} at its lowest ({known})"
    if shown is not None and shown < low:
        told = f"{_volts(shown)} or less at its lowest by the meter, {sag_volts(low)} as computed ({known})"
    need = "" if seen.need_v is None else f", needs {sag_volts(seen.need_v)}"
    taken = " (assumed)" if seen.need_assumed else ""
    return f"{told}{need}{taken}: {_verdict(seen, shown)}."


def _verdict(seen: "EventAnswer", shown: float | None) -> str:
    """By the meter where that is below its need all the while the engine cranks, else as computed."""
    least = seen.need_v if seen.need_band is None else seen.need_band.low
    if shown is None or least is None or not seen.can_restart or shown >= least:
        return VERDICTS[seen.verdict]
    return "restarts, for the meter showed less than that all the while it cranked"


def _shown_at_device(boat: Boat) -> float | None:
    return next((one.volts_v for one in boat.readings if one.id == "reading-device"), None)


def _own(boat: Boat, answered: "Answered") -> str:
    """What a meter showed at the device against what the other readings leave for it, or what is computed."""
    reading, left = _shown_at_device(boat), answered.left
    if reading is None:
        return ""
    told = f"At the {answered.device} the meter showed {_volts(reading)} while it cranked"
    if left is None:
        computed = "" if answered.cranked_v is None else f"; {_volts(answered.cranked_v)} is computed there"
        return f"{told}{computed}. With all readings on its way the page says whether its own leads are bad."
    told = f"{told}; the other readings leave {_between(left.low_v, left.high_v)} for it."
    least, most = left.low_v - reading, left.high_v - reading
    if least > UNEXPLAINED_V:
        return f"{told} {_between(least, most)} are not explained: look at its own leads, {_OWN_THINGS}."
    if most > UNEXPLAINED_V:
        return (
            f"{told} Up to {_volts(most)} are not explained: look at what it shares with the starter first, "
            f"then at its own leads, {_OWN_THINGS}."
        )
    if most < -UNEXPLAINED_V:
        return f"{told} It cannot have more than that: take the readings again."
    return told


_OWN_THINGS = "their joints, fuse and switch"


def _between(low: float, high: float) -> str:
    ends = _volts(low), _volts(high)
    return ends[1] if ends[0] == ends[1] else f"{ends[0].removesuffix(' V')} to {ends[1]}"


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
            "No good place for it is entered yet: put in what else is aboard, or give the electronics a "
            "fused bus of their own ahead of the starter's cable."
        )
    is_right_now = held.present is not None and not held.present.breaks
    if best.present or (is_right_now and best.mark in {"worse", "same"}):
        return "No place that is entered is better: leave it."
    change = "" if held.present is None else f"{lowest_words(held.present).removesuffix(' V')} → "
    told = f"Best place: {best.place}, {change}{lowest_words(best)}, {VERDICTS[best.verdict]}"
    gains = best.mark not in {"worse", "same"}
    return f"{told}." if gains else f"{told}; it is the right place though it gains no volts."
