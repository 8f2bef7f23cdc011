"""The load table: what every load has in the chosen event and in the steady state."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.actions.words import STATES, VERDICTS
from server.boat.modes import Conditions
from server.web.views.event_figures import VERDICT_MARKS, kick_volts, spare_words
from server.web.views.figures import NONE, amperes, least, most, per_cent, sag_volts, volts
from server.web.views.state import SORT_KEYS, SortKey, ViewState

if TYPE_CHECKING:
    from server.actions.in_time import Basis, Standing
    from server.engine.answer import Drop, DropVerdict, EventAnswer, EventInfo, InputAnswer, ModeAnswer

_TITLES: dict[SortKey, str] = {
    "name": "Load",
    "lowest": "Lowest",
    "highest": "Highest",
    "verdict": "Verdict",
    "need": "Needs",
    "steady": "Steady, in the mode",
    "drop": "Steady drop",
    "current": "Current",
}
_BADNESS = {"restarts": 0, "too-close-to-call": 1, "limit-not-known": 2, "keeps-running": 3}


@dataclass(frozen=True)
class ColumnView:
    """A column's heading, which sorts by it."""

    id: str
    title: str
    url: str
    sorted: str


@dataclass(frozen=True)
class LoadRowView:
    """One input of one load."""

    id: str
    link_id: str
    url: str
    name: str
    selected: bool
    lowest: str
    highest: str
    verdict: str
    verdict_mark: str
    margin: str
    basis: str
    need: str
    steady: str
    drop: str
    drop_verdict: str
    drop_mark: str
    current: str


@dataclass(frozen=True)
class ResultsView:
    """``workbench/_results.html``: every load; what could not be solved stands under it.

    ``basis`` says what the figures of the event are where they are not those of the event in time;
    ``refining`` that those are on their way.
    """

    title: str
    caption: str
    columns: tuple[ColumnView, ...]
    rows: tuple[LoadRowView, ...]
    troubles: tuple[str, ...]
    basis: str = ""
    refining: bool = False


def basis_words(standing: "Standing") -> str:
    """What the figures of an event are, where they are not those of the event in time."""
    if standing.basis == "refining":
        return "At once, from the instant after the press: refining to the event in time …"
    if standing.basis == "first-instant":
        return f"Of the instant after the press only: {standing.why}"
    return ""


def columns(state: ViewState) -> tuple[ColumnView, ...]:
    """The headings; a column sorted by says which way."""
    order = "descending" if state.descending else "ascending"
    return tuple(
        ColumnView(
            f"sort-{key}", _TITLES[key], state.sorting(key).url(), order if state.sort == key else "none"
        )
        for key in SORT_KEYS
    )


def event_words(info: "EventInfo", conditions: Conditions | None) -> str:
    """What an event asks of the boat, and in which state that is: one sentence."""
    drawn = (
        f"{info.heavy_name} starts"
        if info.inrush_a is None
        else (f"{info.heavy_name} draws up to {amperes(info.inrush_a)}")
    )
    stated = [] if conditions is None else list(_stated(conditions))
    return f"{drawn}; battery {', '.join(stated) or 'as the mode has it'}."


def _stated(conditions: Conditions) -> Iterator[str]:
    if conditions.state_of_charge is not None:
        yield f"charged {conditions.state_of_charge * 100:.0f} %"
    if conditions.temperature_c is not None:
        yield f"{conditions.temperature_c:g} °C"
    if conditions.age_factor is not None:
        yield f"age factor {conditions.age_factor:g}"


def rows(
    answer: "ModeAnswer", event: str | None, state: ViewState, basis: "Basis"
) -> tuple[LoadRowView, ...]:
    """The loads, the worst off first unless the reader sorts otherwise."""
    loads = list(answer.loads)
    if state.sort is None:
        loads.sort(key=lambda load: worst_first(load, event))
    else:
        loads = _sorted(loads, event, state.sort, descending=state.descending)
    return tuple(_row(load, seen_in(load, event), state, basis) for load in loads)


def seen_in(load: "InputAnswer", event: str | None) -> "EventAnswer | None":
    """What a load has in an event."""
    return next((seen for seen in load.events if seen.event == event), None)


def worst_first(load: "InputAnswer", event: str | None) -> tuple[int, int, float, str]:
    """An order that puts the load first that has the least to spare, and heavy loads last."""
    seen = seen_in(load, event)
    if seen is None or not load.on:
        return (1, 9, 0.0, load.name)
    return (int(load.heavy), _BADNESS[seen.verdict], _spare_v(seen), load.name)


def _spare_v(seen: "EventAnswer") -> float:
    return seen.lowest.value - (seen.need_v or 0.0)


def _sorted(
    loads: "list[InputAnswer]", event: str | None, sort: SortKey, *, descending: bool
) -> "list[InputAnswer]":
    """The loads by one column; those that have nothing in it stay at the end either way."""
    values = [(_sort_value(load, event, sort), load) for load in loads]
    known = [(value, load) for value, load in values if value is not None]
    known.sort(key=lambda pair: (pair[0], pair[1].name), reverse=descending)
    return [load for _, load in known] + [load for value, load in values if value is None]


def _sort_value(  # noqa: PLR0911 - one line a column
    load: "InputAnswer", event: str | None, sort: SortKey
) -> float | str | None:
    seen = seen_in(load, event)
    match sort:
        case "name":
            return load.name.casefold()
        case "lowest":
            return None if seen is None else seen.lowest.value
        case "highest":
            return None if seen is None or seen.in_time is None else seen.in_time.highest.value
        case "verdict":
            return None if seen is None or load.heavy else _standing_of(seen)
        case "need":
            return None if seen is None else seen.need_v
        case "steady":
            return load.voltage_v
        case "drop":
            return None if load.drop is None else load.drop.judged_fraction
        case "current":
            return load.current_a


def _standing_of(seen: "EventAnswer") -> float:
    """A figure that puts verdicts in order first, then what there is to spare."""
    return _MORE_THAN_ANY_V * _BADNESS[seen.verdict] + _spare_v(seen)


_MORE_THAN_ANY_V = 1e6
_DROPS: "dict[DropVerdict, tuple[str, str]]" = {
    "pass": ("", ""),
    "fail": ("over", "restarts"),
    "cannot-tell": ("cannot tell", "unknown"),
}


_BASES: "dict[Basis, str]" = {
    "refining": "at once",
    "first-instant": "first instant",
    "in-time": "first instant",
}
"""What stands beside a figure of the first instant: the start of a heavy load itself is not followed."""


def _row(load: "InputAnswer", seen: "EventAnswer | None", state: ViewState, basis: "Basis") -> LoadRowView:
    limit = (
        ""
        if load.drop is None or load.drop.limit_fraction is None
        else f" of {per_cent(load.drop.limit_fraction)}"
    )
    verdict = STATES[load.state] or ("" if load.on else "off")
    mark = "off" if verdict else ""
    if not verdict and seen is not None:
        verdict, mark = VERDICTS[seen.verdict], VERDICT_MARKS[seen.verdict]
    if load.heavy:
        verdict, mark = "heavy load", "heavy"
    judged = load.drop is not None and load.drop.limit_fraction is not None
    drop_verdict, drop_mark = _DROPS[load.drop.verdict] if load.drop is not None and judged else ("", "")
    return LoadRowView(
        id=f"load-row-{load.part}-{load.input}",
        link_id=f"select-{load.part}-{load.input}",
        url=state.selecting(load.id).url(),
        name=load.name,
        selected=state.selected in {load.part, load.id},
        lowest=NONE if seen is None else most(sag_volts(seen.lowest.value), seen.unknown),
        highest=_highest(seen),
        verdict=verdict,
        verdict_mark=mark,
        margin=_margin(seen) if mark in VERDICT_MARKS.values() else "",
        basis="" if seen is None or seen.in_time is not None or basis == "none" else _BASES[basis],
        need=_need(seen),
        steady=volts(load.voltage_v),
        drop=NONE if load.drop is None else f"{_lost(load.drop)}{limit}",
        drop_verdict=drop_verdict,
        drop_mark=drop_mark,
        current=amperes(load.current_a),
    )


def _lost(drop: "Drop") -> str:
    band = drop_band(drop)
    return f"{drop_likeliest(drop)} ({band})" if band else drop_likeliest(drop)


def drop_likeliest(drop: "Drop") -> str:
    """The likeliest drop, or the least it is where more is not known."""
    return least(per_cent(drop.judged_fraction), drop.unknown)


def drop_band(drop: "Drop") -> str:
    """From where to where a drop may lie, where that reaches over the limit although the drop passes."""
    limit = drop.limit_fraction
    if limit is None or drop.verdict != "pass" or drop.judged_high_fraction <= limit:
        return ""
    low = per_cent(drop.judged_low_fraction).removesuffix(" %")
    return f"{low} to {per_cent(drop.judged_high_fraction)}"


def _need(seen: "EventAnswer | None") -> str:
    if seen is None:
        return NONE
    if seen.need_v is None:
        return "not known"
    return f"{sag_volts(seen.need_v)} (assumed)" if seen.need_assumed else sag_volts(seen.need_v)


def _highest(seen: "EventAnswer | None") -> str:
    """The highest volts, which only the event in time knows."""
    point = None if seen is None else seen.in_time
    return NONE if point is None else kick_volts(point.highest.value, point.highest_band, point.before_v)


def _margin(seen: "EventAnswer | None") -> str:
    """What the lowest voltage has to spare, or is short of."""
    if seen is None or seen.need_v is None:
        return ""
    return spare_words(seen.lowest.value, seen.need_v, "to spare", "short")
