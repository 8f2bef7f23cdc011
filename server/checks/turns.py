"""Turns of battery switches: what they join, and which charging source they leave without a battery."""

from collections.abc import Iterator, Mapping

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding
from server.boat.parts import AnyPart, Battery, Breaker, Contact, Fuse
from server.checks.banks import COMMON, Group, banks_in_words, in_order, is_mixed, unlike_banks
from server.checks.words import the
from server.engine.paralleling import Paralleling, joined_groups, paralleling
from server.engine.switching import Positions, Switching, TooManySwitchesError
from server.units import Ampere

MOST_GONE_THROUGH = 64
"""Of more combinations only those next to where the modes put the switches are asked for."""


def banks_joined(boat: Boat) -> Iterator[Finding]:
    """Turns that put lithium beside lead, or send more through the loop than something in it may carry."""
    if not boat.modes:
        return
    try:
        switching = Switching.of(boat, boat.modes[0])
    except TooManySwitchesError:
        return
    told = set[tuple[Group, ...]]()
    for here in asked(boat, switching):
        for turn in switching.turns(here):
            for groups in joined_groups(switching, turn.before, turn.after):
                if groups not in told:
                    told.add(groups)
                    found = paralleling(switching, turn.before, turn.after, groups)
                    yield from _mixed(boat, turn.switch, groups)
                    yield from _too_much(boat, turn.switch, found)


def turns_that_lose(boat: Boat) -> Iterator[Finding]:
    """Turns between two positions that both have a battery, on whose way a charging source has none.

    Where nobody says which the switch does first, that is to be seen on it. A turn to OFF is no such turn: to
    take the battery off is what it is for, and the page of switches says so.
    """
    if not boat.modes:
        return
    try:
        switching = Switching.of(boat, boat.modes[0])
    except TooManySwitchesError:
        return
    parts, told = {part.id: part for part in boat.parts}, set[tuple[str, str]]()
    for here in asked(boat, switching):
        for turn in switching.turns(here):
            for source in sorted(turn.lone):
                if (turn.switch, source) not in told:
                    told.add((turn.switch, source))
                    yield _loses(parts[turn.switch], parts[source], certain=turn.certain)


def _loses(switch: AnyPart, source: AnyPart, *, certain: bool) -> Finding:
    what = f"Between two of its positions, {the(switch.name)}"
    return Finding(
        code="turn-loses-battery",
        severity="fault" if certain else "cannot-tell",
        subjects=(switch.id, source.id),
        message=f"{what} takes the battery off {the(source.name)} for an instant, for it breaks before it "
        "makes: turn it with the engine stopped alone, or fit one that makes first."
        if certain
        else f"{what} may take the battery off {the(source.name)} for an instant: look on it or in its "
        "maker's sheet whether it makes before it breaks.",
        source=COMMON,
        source_status="common-practice",
    )


def asked(boat: Boat, switching: Switching) -> Iterator[Positions]:
    """The combinations that are gone through: all, or of too many those in which the modes put them."""
    count = 1
    for switch in switching.switches:
        count *= len(switch.positions)
    if count <= MOST_GONE_THROUGH:
        yield from switching.states
    else:
        yield from dict.fromkeys(Switching(boat, mode, switching.switches).now for mode in boat.modes)


def _mixed(boat: Boat, switch: str, groups: tuple[Group, ...]) -> Iterator[Finding]:
    every = frozenset().union(*groups)
    if is_mixed(boat, every):
        parts = {part.id: part for part in boat.parts}
        yield unlike_banks(
            (switch, *in_order(boat, groups)),
            f"{parts[switch].name} can put {banks_in_words(boat, groups)} side by side: lithium and lead "
            "charge and discharge at different voltages, and one drives its whole current into the other. "
            "Fit a DC-DC charger between them, or an interlock.",
            "advice",
        )


def _too_much(boat: Boat, switch: str, found: Paralleling) -> Iterator[Finding]:
    """The element of the loop that is farthest above its rating, as stated or at worst."""
    ratings = _ratings(boat)
    for is_stated, through, total_a in (
        (True, found.through_a, found.current_a),
        (False, found.worst_through_a, found.worst_a),
    ):
        over = {name: amps / ratings[name] for name, amps in through.items() if name in ratings}
        worst = max(over, key=over.__getitem__, default=None)
        if worst is not None and over[worst] > 1:
            parts = {part.id: part for part in boat.parts}
            amps, rated = through[worst], ratings[worst]
            when = "as the batteries are stated" if is_stated else "at worst, one full and the other low"
            yield Finding(
                code="paralleling-current",
                severity="fault" if is_stated else "advice",
                subjects=(switch, worst, *in_order(boat, found.groups)),
                figure=Figure(value=amps, unit="A", basis="computed" if is_stated else "assumed"),
                limit=Figure(value=rated, unit="A", basis="rule"),
                message=f"When {the(parts[switch].name)} joins {banks_in_words(boat, found.groups)}, "
                f"{total_a:.0f} A flow between them at the first instant, {when}; "
                f"{the(parts[worst].name)} carries {amps:.0f} A and is rated {rated:.0f} A. "
                "Bring them to the same charge first.",
                source="rating as entered; rest voltages over the resistance of the loop, computed",
                source_status="document",
            )
            return


def _ratings(boat: Boat) -> Mapping[str, Ampere]:
    """What fuses, breakers, switches and lithium packs stand for a moment, where it is stated."""
    found: dict[str, Ampere | None] = {}
    for part in boat.parts:
        match part:
            case Fuse() | Breaker():
                found[part.id] = part.rating_a
            case Contact():
                found[part.id] = part.cranking_a or part.five_minute_a or part.continuous_a
            case Battery():
                found[part.id] = None if part.pack is None else part.pack.charge_limit_a
            case _:
                pass
    return {name: rated for name, rated in found.items() if rated is not None}
