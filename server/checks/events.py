"""Whether each load keeps running while a heavy load starts, and stands what it sees when that is released.

Judged by the event in time where that is known; else by its first instant, and the finding says so.
"""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.finding import Basis, Figure, Finding, Severity
from server.boat.parts import Inverter, Load
from server.checks.words import agreed, listed, need_words, part_of, the, when
from server.engine.answer import EventAnswer, InputAnswer, ModeAnswer
from server.engine.figures import Figures
from server.engine.transient.answer import PointAnswer
from server.engine.transient.verdict import duration, within_bands

_CODES = {
    "restarts": "restarts",
    "too-close-to-call": "too-close",
    "limit-not-known": "limit-not-known",
}
BRIEF_S = 1e-3
"""A dip of at most a millisecond is brief: a tenth of what electronics are assumed to ride through."""
AT_FIRST = " That is the instant after the press; the event in time decides."


def event_findings(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every load that is on and does not surely keep running."""
    for load, seen, moment in _seen(boat, answer):
        if seen.verdict in _CODES and (seen.can_restart or seen.verdict != "limit-not-known"):
            yield _finding(boat, answer.mode, load, seen, moment)


def low_dips(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every load that only keeps running because it rides through a dip below its need.

    The dip as computed, or as deep as the assumptions allow.
    """
    for load, seen, moment in _seen(boat, answer):
        point = seen.in_time
        if point is None or seen.verdict != "keeps-running" or seen.need_v is None:
            continue
        if seen.lowest.low < seen.need_v and not is_brief(point):
            yield _dip(boat, answer.mode, load, seen, point, moment)


def is_brief(point: PointAnswer) -> bool:
    """Whether a dip below a need is shorter than what is stated to be ridden through, also at its worst."""
    longest_s = max(point.below_need_s, point.perhaps_below_s)
    stated = None if point.hold_up_assumed else point.hold_up_s
    return 0 < longest_s <= BRIEF_S and (stated is None or longest_s < stated)


def brief_dips(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """One finding for each event of all loads that ride through a dip too brief to be told one by one.

    What each has is told where the finding is opened.
    """
    briefly: dict[str, list[tuple[InputAnswer, EventAnswer, PointAnswer]]] = {}
    moments = dict[str, str]()
    for load, seen, moment in _seen(boat, answer):
        point = seen.in_time
        if point is not None and seen.verdict == "keeps-running" and is_brief(point):
            briefly.setdefault(seen.event, []).append((load, seen, point))
            moments[seen.event] = moment
    for event, those in briefly.items():
        yield _brief(answer.mode, event, moments[event], those)


def _brief(
    mode: str, event: str, moment: str, those: list[tuple[InputAnswer, EventAnswer, PointAnswer]]
) -> Finding:
    longest_s = max(max(point.below_need_s, point.perhaps_below_s) for _, _, point in those)
    lowest_v = min(seen.lowest.value for _, seen, _ in those)
    names = listed(load.name for load, _, _ in those)
    have = "has less than it needs" if len(those) == 1 else "have less than they need"
    message = f"{moment}, {names} {have} for at most {duration(longest_s)}, down to {lowest_v:.1f} V. "
    assumed = [(load.name, point.hold_up_s) for load, _, point in those if point.hold_up_assumed]
    message += _not_known(assumed, among=len(those)) if assumed else "All are stated to ride through more."
    return Finding(
        code="dips-briefly",
        severity="advice",
        subjects=tuple(dict.fromkeys(load.part for load, _, _ in those)),
        mode=mode,
        event=event,
        figure=Figure(value=longest_s * 1e6, unit="µs", basis="computed"),
        message=message,
        source="what each needs as stated or assumed; that a dip of a millisecond is short is our own bound",
        source_status="common-practice",
    )


def _not_known(assumed: list[tuple[str, float | None]], among: int) -> str:
    """Of which loads a hold-up is assumed, and what to look up if that should be wrong."""
    shortest_s = min(held for _, held in assumed if held is not None)
    whom = "any of them" if len(assumed) == among else listed(name for name, _ in assumed)
    return (
        f"How long a dip disturbs {whom} nobody has stated; {duration(shortest_s)} are assumed to be ridden "
        "through. Where one resets or flickers then, look its figure up and enter it."
    )


def high_spikes(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """A finding for every load that sees more volts than it stands, by the maximum stated for it.

    What it stands is never assumed.
    """
    for load, seen, moment in _seen(boat, answer):
        point = seen.in_time
        if point is not None and point.maximum_v is not None and point.highest.value > point.maximum_v:
            yield _spike(boat, answer.mode, load, seen, point, point.maximum_v, moment)


def _seen(boat: Boat, answer: ModeAnswer) -> Iterator[tuple[InputAnswer, EventAnswer, str]]:
    """The loads that are on, but for the heavy ones, in every event, with its moment in words."""
    events = {event.id: when(boat, event) for event in events_of(boat)}
    for load in answer.loads:
        if load.on and not load.heavy:
            for seen in load.events:
                yield load, seen, events.get(seen.event, "When it starts")


def _finding(boat: Boat, mode: str, load: InputAnswer, seen: EventAnswer, moment: str) -> Finding:
    return Finding(
        code=_CODES[seen.verdict],
        severity=_severity(boat, load, seen),
        subjects=(load.part, load.input),
        mode=mode,
        event=seen.event,
        figure=Figure(value=seen.lowest.value, unit="V", basis="computed"),
        limit=_need(seen),
        message=_message(boat, load, seen, moment) + ("" if seen.in_time is not None else AT_FIRST),
        source=seen.need_source,
        source_status="common-practice" if seen.need_assumed else "document",
    )


def _dip(  # noqa: PLR0913, PLR0917 - each names one thing of the finding
    boat: Boat, mode: str, load: InputAnswer, seen: EventAnswer, point: PointAnswer, moment: str
) -> Finding:
    needs, held = need_words(seen), _hold_up(point)
    lowest = f"{seen.lowest.value:.1f} V ({seen.lowest.low:.1f} to {seen.lowest.high:.1f} V)"
    below = (
        f"falls below the {needs} it needs for {duration(point.below_need_s)}"
        if point.below_need_s > 0
        else f"may fall below the {needs} it needs"
    )
    return Finding(
        code="dips-low",
        severity="advice",
        subjects=(load.part, load.input),
        mode=mode,
        event=seen.event,
        figure=Figure(value=seen.lowest.value, unit="V", basis="computed"),
        limit=_need(seen),
        message=f"{moment}, the supply of {the(load.name)} {below}, to {lowest}: it runs on only by {held}.",
        source=seen.need_source,
        source_status="common-practice" if seen.need_assumed else "document",
    )


def _hold_up(point: PointAnswer) -> str:
    if point.hold_up_s is None:
        return "riding through"
    assumed = ", which is assumed" if point.hold_up_assumed else ""
    return f"riding through {duration(point.hold_up_s)}{assumed}"


def _spike(  # noqa: PLR0913, PLR0917 - each names one thing of the finding
    boat: Boat,
    mode: str,
    load: InputAnswer,
    seen: EventAnswer,
    point: PointAnswer,
    maximum_v: float,
    moment: str,
) -> Finding:
    band = point.highest_band
    between = "" if band is None else f" ({band.low:.0f} to {band.high:.0f} V)"
    return Finding(
        code="spike-high",
        severity=_worst(boat, load),
        subjects=(load.part, load.input),
        mode=mode,
        event=seen.event,
        figure=Figure(value=point.highest.value, unit="V", basis="computed"),
        limit=Figure(value=maximum_v, unit="V", basis="rule"),
        message=f"{moment}, {the(load.name)} sees about {point.highest.value:.0f} V{between} and stands "
        f"{maximum_v:.1f} V: it can be damaged.",
        source=point.maximum_source,
        source_status="document",
    )


def _lasting(boat: Boat, load: InputAnswer, point: PointAnswer | None) -> str:
    """For how long it has less than it needs, against what it rides through."""
    if point is None or point.below_need_s <= 0 or point.hold_up_s is None:
        return ""
    held = duration(point.hold_up_s)
    if point.hold_up_assumed:
        level = Figures.of(boat).level("electronics_hold_up", load.part)
        held += f" (assumed, {duration(level.low)} to {duration(level.high)})"
    longest_s = max(point.below_need_s, point.perhaps_below_s)
    is_open = point.verdict == "too-close-to-call"
    between = within_bands(point.surely_below_s, longest_s) if is_open else ""
    return f", less for {duration(point.below_need_s)}{between}, and rides through {held}"


def _is_short(seen: EventAnswer) -> bool:
    """Whether even the highest volts that are possible are less than the least that may be needed."""
    least_v = seen.need_v if seen.need_band is None else seen.need_band.low
    return least_v is not None and seen.lowest.high < least_v


def _need(seen: EventAnswer) -> Figure | None:
    basis: Basis = "assumed" if seen.need_assumed else "rule"
    return None if seen.need_v is None else Figure(value=seen.need_v, unit="V", basis=basis)


def _severity(boat: Boat, load: InputAnswer, seen: EventAnswer) -> Severity:
    if seen.verdict == "limit-not-known":
        return "cannot-tell"
    return "advice" if seen.verdict == "too-close-to-call" else _worst(boat, load)


def _worst(boat: Boat, load: InputAnswer) -> Severity:
    """How bad it is when a load fails: worse where somebody's safety hangs on it."""
    part = part_of(boat, load.part)
    return "danger" if isinstance(part, (Load, Inverter)) and part.consequence == "safety" else "fault"


def _message(boat: Boat, load: InputAnswer, seen: EventAnswer, moment: str) -> str:
    lowest, band = f"{seen.lowest.value:.1f} V", f"{seen.lowest.low:.1f} to {seen.lowest.high:.1f} V"
    name, point = the(load.name), seen.in_time
    left = f"{agreed(load.name, 'is', 'are')} left with"
    needing = agreed(load.name, "needs", "need")
    them = agreed(load.name, "it is", "they are")
    needs = "" if seen.need_v is None else need_words(seen)
    match seen.verdict:
        case "restarts":
            need = f" and {needing} {needs}" if needs else ""
            restarts = agreed(load.name, "restarts", "restart")
            told = f"{them} left with {lowest} ({band}){need}{_lasting(boat, load, point)}."
            return f"{moment}, {name} {restarts}: {told}"
        case "too-close-to-call" if point is not None and _is_short(seen):
            told = f"{name} {left} {band} and {needing} {needs}{_lasting(boat, load, point)}"
            return f"{moment}, {told}: too little; only whether it rides that through cannot be told."
        case "too-close-to-call":
            need = f"{needing} {needs}" if needs else f"{agreed(load.name, 'has', 'have')} a limit near it"
            return (
                f"{moment}, {name} {left} {band} and {need}{_lasting(boat, load, point)}: too close to call."
            )
        case _:
            return (
                f"{moment}, {name} {left} {lowest}; nobody has said what it needs. "
                "Look it up in its manual and enter it."
            )
