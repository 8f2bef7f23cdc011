"""Taking things off a boat together with every mention of them."""

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

from server.boat.acceptance import Acceptance
from server.boat.boat import Boat, DataLink, NotSeen, Zone
from server.boat.conductors import Conductor
from server.boat.listed import GROUPS
from server.boat.modes import Event, Mode, Reading
from server.boat.parts import Alternator, AnyPart
from server.boat.photos import Photo, Pin
from server.boat.runs import Run, Waypoint
from server.boat.value import Value

_FEWEST_LINKED = 2

T = TypeVar("T", bound=Value)
_OnDeck = TypeVar("_OnDeck", Waypoint, Zone)


def without(boat: Boat, ids: Iterable[str]) -> Boat:
    """The boat without these things.

    Conductor ends on them become loose; what cannot stand without them, such as a mode's events or the
    readings on a part, goes too.
    """
    gone = frozenset(ids)
    while (more := gone | _orphans(boat, gone)) != gone:
        gone = more
    changes: dict[str, tuple[Any, ...]] = {
        group: _kept(getattr(boat, group), gone, _REWRITE.get(group)) for group in GROUPS
    }
    changes["accepted"] = tuple(one for one in boat.accepted if gone.isdisjoint(_named_by(one)))
    changes["row_order"] = tuple(part for part in boat.row_order if part not in gone)
    changes["assumptions"] = tuple(o for o in boat.assumptions if o.subject not in gone)
    changed: dict[str, object] = {k: v for k, v in changes.items() if not _same(v, getattr(boat, k))}
    if boat.underlay is not None and boat.underlay.photo in gone:
        changed["underlay"] = None
    return boat.model_copy(update=changed)


def _named_by(one: Acceptance) -> set[str | None]:
    return {*one.subjects, one.mode, one.event}


def _orphans(boat: Boat, gone: frozenset[str]) -> set[str]:
    """Things left without what they are about."""

    def link(it: DataLink) -> bool:
        return len([part for part in it.parts if part not in gone]) < _FEWEST_LINKED

    def event(it: Event) -> bool:
        return it.mode in gone or it.heavy.part in gone

    def reading(it: Reading) -> bool:
        return it.plus.part in gone or it.minus.part in gone

    def run(it: Run) -> bool:
        return it.start in gone or it.end in gone

    orphans: tuple[Iterable[Any], ...] = (
        filter(run, boat.runs),
        filter(link, boat.links),
        filter(event, boat.events),
        filter(reading, boat.readings),
        (o for o in boat.observations if o.subject in gone),
    )
    return {item.id for items in orphans for item in items}


def _kept(
    items: tuple[Any, ...], gone: frozenset[str], rewrite: Callable[..., Any] | None
) -> tuple[Any, ...]:
    stay = (item for item in items if item.id not in gone)
    return tuple(stay) if rewrite is None else tuple(rewrite(item, gone) for item in stay)


def _same(one: tuple[Any, ...], other: tuple[Any, ...]) -> bool:
    return len(one) == len(other) and all(a is b for a, b in zip(one, other, strict=True))


def _changed(item: T, **changes: object) -> T:
    """The item itself where nothing changes, so that unchanged things stay shared."""
    new = {name: value for name, value in changes.items() if value != getattr(item, name)}
    return item.model_copy(update=new) if new else item


def _or_none(name: str | None, gone: frozenset[str]) -> str | None:
    return None if name in gone else name


def _conductor(it: Conductor, gone: frozenset[str]) -> Conductor:
    tail = None if it.tail is not None and it.tail.part in gone else it.tail
    head = None if it.head is not None and it.head.part in gone else it.head
    return _changed(
        it, tail=tail, head=head, cable=_or_none(it.cable, gone), reading=_or_none(it.reading, gone)
    )


def _part(it: AnyPart, gone: frozenset[str]) -> AnyPart:
    kept = _changed(
        it, zone=_or_none(it.zone, gone), island=_or_none(it.island, gone), deck=_or_none(it.deck, gone)
    )
    if kept.waypoint in gone:
        kept = kept.model_copy(update={"waypoint": None, "from_waypoint_m": None})
    return _changed(kept, engine=_or_none(kept.engine, gone)) if isinstance(kept, Alternator) else kept


def _run(it: Run, gone: frozenset[str]) -> Run:
    return _changed(it, zone=_or_none(it.zone, gone))


def _on_deck(it: _OnDeck, gone: frozenset[str]) -> _OnDeck:
    return _changed(it, deck=_or_none(it.deck, gone))


def _link(it: DataLink, gone: frozenset[str]) -> DataLink:
    return _changed(it, parts=tuple(part for part in it.parts if part not in gone))


def _mode(it: Mode, gone: frozenset[str]) -> Mode:
    positions = tuple(setting for setting in it.positions if setting.part not in gone)
    return _changed(it, positions=positions, on=tuple(on for on in it.on if on.part not in gone))


def _event(it: Event, gone: frozenset[str]) -> Event:
    return _changed(it, steps=tuple(step for step in it.steps if step.part not in gone))


def _reading(it: Reading, gone: frozenset[str]) -> Reading:
    return _changed(it, mode=_or_none(it.mode, gone), event=_or_none(it.event, gone))


def _not_seen(it: NotSeen, gone: frozenset[str]) -> NotSeen:
    return _changed(it, subject=_or_none(it.subject, gone))


def _photo(it: Photo, gone: frozenset[str]) -> Photo:
    """A photo stays without what it showed: it is evidence."""
    pins = tuple(_pin(pin, gone) for pin in it.pins)
    return _changed(it, subject=_or_none(it.subject, gone), pins=pins)


def _pin(it: Pin, gone: frozenset[str]) -> Pin:
    terminal = None if it.terminal is not None and it.terminal.part in gone else it.terminal
    return _changed(it, terminal=terminal, conductor=_or_none(it.conductor, gone))


_REWRITE: dict[str, Callable[..., Any]] = {
    "zones": _on_deck,
    "waypoints": _on_deck,
    "runs": _run,
    "conductors": _conductor,
    "parts": _part,
    "links": _link,
    "modes": _mode,
    "events": _event,
    "readings": _reading,
    "not_seen": _not_seen,
    "photos": _photo,
}
