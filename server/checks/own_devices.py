"""The fuse or breaker of a lead's own way: whether the lead would lose it where it is put down."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.leads import Lead, leads
from server.checks.feeds import Device
from server.checks.ground import Ground
from server.checks.hand import Hand
from server.checks.paths import Node, node
from server.checks.words import the


def own_device(hand: Hand) -> Device | None:
    """The device of the way on which a lead lies; none where the lead has one in itself or feeds the boat."""
    if hand.lead.tap is None or hand.has_device or hand.is_source or hand.lead.polarity == "negative":
        return None
    tap = node(hand.lead.tap)
    return next((one for one in hand.ground.devices if one.load == tap), None)


def lost_device(own: Device | None, ground: Ground, to: Node) -> str:
    """A lead's own device in words where a larger one or none stands for it at a place; else empty.

    Where its rating is not stated, only another way is known to have a device for one lead alone.
    """
    if own is None or to == own.load:
        return ""
    kind = "breaker" if own.is_breaker else "fuse"
    if own.rating_a is None:
        return "" if any(one.load == to for one in ground.devices) else kind
    device = ground.fed.get(ground.piece[to])
    new_a = None if device is None else device.rating_a
    return f"{own.rating_a:g} A {kind}" if new_a is None or new_a > own.rating_a else ""


def lost_by_change(boat: Boat, after: Boat) -> Iterator[str]:
    """For each lead that a change put down elsewhere: the device of its own that it lost, in a sentence."""
    if not (boat.modes and after.modes):
        return
    before, now = Ground(boat, boat.modes[0]), Ground(after, after.modes[0])
    held = {(one.part, one.terminal): one for one in leads(after)}
    for one in leads(boat):
        moved = held.get((one.part, one.terminal))
        if moved is None or moved.tap in {None, one.tap} or Hand(now, moved).has_device:
            continue
        lost = lost_device(own_device(Hand(before, one)), now, node(moved.tap))
        if lost:
            yield _sentence(now, moved, lost)


def _sentence(now: Ground, moved: Lead, lost: str) -> str:
    name = the(now.parts[moved.part].name)
    device = None if moved.tap is None else now.fed.get(now.piece[node(moved.tap)])
    rated = device is not None and device.rating_a is not None
    there = f"{device.rating_a:g} A" if device is not None and rated else "no known fuse or breaker"
    begun = f"{name[0].upper()}{name[1:]}"
    return f"{begun} loses its {lost}: {there} stands before its positive lead now. See that it may."
