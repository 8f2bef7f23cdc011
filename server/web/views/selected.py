"""The selected load: its loop as a strip whose volts add up, its leads, and its own values."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.pick_ups import lead_ends
from server.actions.words import VERDICTS
from server.boat.boat import Boat
from server.boat.leads import Landings, Lead, lead
from server.boat.parts import Load
from server.boat.value import Span
from server.checks.words import listed, need_words
from server.web.views.event_figures import VERDICT_MARKS, kick_volts, spare_words
from server.web.views.figures import NONE, band_volts, exact, most, per_cent, sag_volts
from server.web.views.forms import FieldView, change_form
from server.web.views.lengths import conductor_name, length_field, size_field
from server.web.views.state import ViewState
from server.web.views.strip import LoopView, Strip, loop_view

if TYPE_CHECKING:
    from server.engine.answer import EventAnswer, InputAnswer, LoopStep


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
    """One figure with all its digits, for “how got”; with an id and an address while it is computed."""

    name: str
    value: str
    id: str = ""
    more_url: str = ""


@dataclass(frozen=True)
class BestPlaceView:
    """``_best_place.html``: the volts at the best place for the selected load, once they are known."""

    value: str


@dataclass(frozen=True)
class SelectedView:
    """``workbench/_selected.html``: the section is empty while nothing is selected."""

    name: str = ""
    verdict: str = ""
    verdict_mark: str = ""
    summary: str = ""
    unknown: str = ""
    strip: LoopView | None = None
    leads: tuple[LeadView, ...] = ()
    both_url: str = ""
    both_id: str = ""
    fields: tuple[FieldView, ...] = ()
    exact: tuple[ExactView, ...] = ()
    close_url: str = ""
    close_focus: str = ""


def selected_view(load: "InputAnswer", strip: Strip) -> SelectedView:
    """The selected load in the chosen event, with its strip."""
    boat, state, seen = strip.boat, strip.state, strip.seen
    leads = _leads(load, strip)
    return SelectedView(
        name=load.name,
        verdict="" if seen is None or load.heavy else VERDICTS[seen.verdict],
        verdict_mark="" if seen is None or load.heavy else VERDICT_MARKS[seen.verdict],
        summary=_summary(load, seen),
        unknown=_unknown(load, seen),
        strip=loop_view(strip) if strip.loop else None,
        leads=leads,
        both_url=strip.state.selecting(load.id).url("/pick-up-both") if all(one.url for one in leads) else "",
        both_id=f"both-{load.part}",
        fields=_fields(boat, state, strip.revision, load),
        exact=(*_exact(load, seen), *_best(state, seen), *_steady(strip.loop)),
        close_focus=f"select-{load.part}-{load.input}",
        close_url=state.selecting(None).url(),
    )


def _summary(load: "InputAnswer", seen: "EventAnswer | None") -> str:
    if load.state != "fed":
        return load.reason
    if not load.on:
        return "It is off in this mode: no event is worked out for it."
    if seen is None:
        return "No heavy load starts in this mode."
    need = "nobody has said what it needs" if seen.need_v is None else f"it needs {need_words(seen)}"
    if seen.need_v is not None and seen.need_assumed:
        need += f" (source: {seen.need_source.removeprefix('assumed: ')})"
    spare = (
        ""
        if seen.need_v is None
        else f": {spare_words(seen.lowest.value, seen.need_v, 'to spare', 'too little')}"
    )
    floor = f"At the bare battery posts it would have {sag_volts(seen.floor_v)} at the first instant."
    return f"Lowest {_lowest(seen)}; {need}{spare}.{_told(seen)} {floor}"


def _lowest(seen: "EventAnswer") -> str:
    """The lowest volts with their band; of the first instant, where the event in time is not known."""
    volts = most(sag_volts(seen.lowest.value), seen.unknown)
    band = f" ({band_volts(seen.lowest)})" if seen.lowest.low < seen.lowest.high else ""
    return f"{volts}{band}{'' if seen.in_time is not None else ' at the first instant'}"


def _told(seen: "EventAnswer") -> str:
    """Why it rides through or not, and how high it is kicked."""
    point = seen.in_time
    if point is None:
        return ""
    high = kick_volts(point.highest.value, point.highest_band, point.before_v)
    return f" {point.reason} Highest {high}."


def _unknown(load: "InputAnswer", seen: "EventAnswer | None") -> str:
    """The wires on the way of which nobody knows the size or the length: what is shown leaves them out."""
    drop = () if load.drop is None else load.drop.unknown
    names = tuple(dict.fromkeys((*(() if seen is None else seen.unknown), *drop)))
    if not names:
        return ""
    return (
        f"Size or length is not known of {', '.join(names)}: the volts are at most, the drop at least this."
    )


def _leads(load: "InputAnswer", strip: Strip) -> tuple[LeadView, ...]:
    boat = strip.boat
    landings = Landings.of(boat)
    views = [
        (_shared(strip.loop, found), lead_view(boat, strip.state, strip.revision, load.id, found, landings))
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
    names = listed(landings.parts[part].name for part in found.inline)
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


def _best(state: ViewState, seen: "EventAnswer | None") -> tuple[ExactView, ...]:
    """The best place that the checks allow; an address to fetch it from where it is still being searched."""
    if seen is None or (seen.is_searched and seen.best_tap_v is None):
        return ()
    more = "" if seen.is_searched else state.url("/best-place")
    value = exact(seen.best_tap_v, "V") if seen.is_searched else "computing …"
    return (ExactView("best place that the checks allow, at the first instant", value, "best-place", more),)


def best_place_view(seen: "EventAnswer | None") -> BestPlaceView:
    """What stands for it once it was searched."""
    return BestPlaceView(NONE if seen is None else exact(seen.best_tap_v, "V"))


def _exact(load: "InputAnswer", seen: "EventAnswer | None") -> tuple[ExactView, ...]:
    figures = [
        ("steady voltage", exact(load.voltage_v, "V")),
        ("steady current", exact(load.current_a, "A")),
    ]
    if seen is not None:
        figures += [
            *_in_time(seen),
            ("lowest at the first instant", exact((seen.at_first or seen.lowest).value, "V")),
            ("sag at the first instant", exact(seen.sag_v, "V")),
            ("of it, heavy load alone", exact(seen.heavy_alone_v, "V")),
            ("of it, other loads' response", exact(seen.others_v, "V")),
            ("transfer resistance", exact(seen.transfer_resistance_ohm, "Ω")),
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


def _in_time(seen: "EventAnswer") -> "Iterator[tuple[str, str]]":
    """The lowest and highest of the event in time, and the band from the assumptions."""
    if seen.in_time is not None:
        yield "lowest in the event", exact(seen.in_time.lowest.value, "V")
        yield "highest in the event", exact(seen.in_time.highest.value, "V")
    yield "band from the assumptions", f"{exact(seen.lowest.low, 'V')} to {exact(seen.lowest.high, 'V')}"
