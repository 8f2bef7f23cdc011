"""What a change of the plan did: to conductors, drops, volts and findings, before and after."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.actions.answers import answer
from server.actions.choices import Chosen, event_by_id
from server.actions.compare import Comparison, comparison
from server.actions.yard import OpenBoat, Yard, document, revision_of
from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.laid import Bundle, Laid
from server.practice.sourced import Sourced
from server.store.values import Revision

NOTICEABLE_DROP = 0.0005
"""Half of the 0.1 % to which drop is shown: a smaller change is none (our own threshold)."""


@dataclass(frozen=True)
class WireChange:
    """A conductor before and after."""

    before: Conductor
    after: Conductor


@dataclass(frozen=True)
class DropChange:
    """The judged drop of a load's input before and after, as a share of the nominal voltage."""

    name: str
    before: float
    after: float
    limit: float | None


@dataclass(frozen=True)
class AmpacityChange:
    """What a conductor may carry all day before and after, and beside how many others it lies then."""

    conductor: Conductor
    before: Sourced
    after: Sourced
    beside: int


@dataclass(frozen=True)
class PlanChange:
    """What one change of the plan brought; ``compared`` is None where there is no mode to compare in."""

    revision: Revision
    wires: tuple[WireChange, ...]
    carries: tuple[AmpacityChange, ...]
    drops: tuple[DropChange, ...]
    compared: Comparison | None


def plan_change(yard: Yard, opened: OpenBoat, since: int, chosen: Chosen | None) -> PlanChange:
    """What the changes since an earlier revision did."""
    earlier = revision_of(yard, opened.id, since)
    before, after = document(yard, earlier), opened.boat
    wires, carries = _wires(before, after), tuple(_carries(before, after))
    if chosen is None or not _has(before, chosen):
        return PlanChange(opened.revision, wires, carries, (), None)
    return PlanChange(
        opened.revision,
        wires,
        carries,
        _drops(yard, (earlier.sha, before), opened, chosen),
        comparison(yard, earlier, opened, chosen),
    )


def _has(boat: Boat, chosen: Chosen) -> bool:
    """Whether a boat has a mode and event to compare in."""
    has_event = chosen.event is None or event_by_id(boat, chosen.event) is not None
    return has_event and any(mode.id == chosen.mode for mode in boat.modes)


def _wires(before: Boat, after: Boat) -> tuple[WireChange, ...]:
    old = {one.id: one for one in before.conductors}
    both = ((old[one.id], one) for one in after.conductors if one.id in old and old[one.id] is not one)
    return tuple(WireChange(was, now) for was, now in both if _told(was) != _told(now))


def _carries(before: Boat, after: Boat) -> Iterator[AmpacityChange]:
    """The conductors that may carry more or less, by their heat and by what they are bundled with."""
    from server.checks.protection import conductor_ampacity

    old, bundles = {one.id: one for one in before.conductors}, Laid.of(after).bundles
    for one in after.conductors:
        was = conductor_ampacity(before, old[one.id]) if one.id in old else None
        now = conductor_ampacity(after, one)
        if isinstance(was, Sourced) and isinstance(now, Sourced) and abs(now.value / was.value - 1) > _SAME:
            yield AmpacityChange(one, was, now, bundles.get(one.id, Bundle()).wires - 1)


_SAME = 1e-6
"""Two ampacities that differ by less, as a share, are one figure rounded twice."""


def _told(one: Conductor) -> tuple[object, ...]:
    return one.length_m, one.length_basis, one.in_engine_space


def _drops(yard: Yard, earlier: tuple[str, Boat], opened: OpenBoat, chosen: Chosen) -> tuple[DropChange, ...]:
    before = answer(yard, *earlier, chosen.mode, chosen.event)
    had = {one.id: one.drop.judged_fraction for one in before.loads if one.drop is not None}
    after = answer(yard, opened.sha, opened.boat, chosen.mode, chosen.event)
    changed = [
        DropChange(one.name, had[one.id], one.drop.judged_fraction, one.drop.limit_fraction)
        for one in after.loads
        if one.drop is not None
        and one.id in had
        and abs(one.drop.judged_fraction - had[one.id]) >= NOTICEABLE_DROP
    ]
    return tuple(sorted(changed, key=lambda one: one.before - one.after))
