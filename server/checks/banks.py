"""Banks that a switch or a relay joins: lithium beside lead, and currents above what stands in the loop."""

from collections.abc import Iterator, Mapping

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding, Severity
from server.boat.modes import Mode
from server.boat.parts import Alternator, Battery, Breaker, Charger, Combiner, Contact, Fuse, Outboard, Solar
from server.checks.paths import Paths
from server.checks.words import the
from server.engine.answer import ModeAnswer
from server.engine.paralleling import Paralleling, joined_groups, paralleling
from server.engine.switching import Positions, Switching, TooManySwitchesError
from server.units import Ampere

COMMON = "common practice, no source"
MOST_GONE_THROUGH = 64
"""Of more combinations only those next to where the modes put the switches are asked for."""
Group = frozenset[str]


def banks_joined(boat: Boat) -> Iterator[Finding]:
    """Turns that put lithium beside lead, or send more through the loop than something in it may carry."""
    if not boat.modes:
        return
    try:
        switching = Switching.of(boat, boat.modes[0])
    except TooManySwitchesError:
        return
    told = set[tuple[Group, ...]]()
    for here in _asked(boat, switching):
        for turn in switching.turns(here):
            for groups in joined_groups(switching, turn.before, turn.after):
                if groups not in told:
                    told.add(groups)
                    found = paralleling(switching, turn.before, turn.after, groups)
                    yield from _mixed(boat, turn.switch, groups)
                    yield from _too_much(boat, turn.switch, found)


def _asked(boat: Boat, switching: Switching) -> Iterator[Positions]:
    count = 1
    for switch in switching.switches:
        count *= len(switch.positions)
    if count <= MOST_GONE_THROUGH:
        yield from switching.states
    else:
        yield from dict.fromkeys(Switching(boat, mode, switching.switches).now for mode in boat.modes)


def _mixed(boat: Boat, switch: str, groups: tuple[Group, ...]) -> Iterator[Finding]:
    every = frozenset().union(*groups)
    if _is_mixed(boat, every):
        parts = {part.id: part for part in boat.parts}
        yield _unlike(
            (switch, *_batteries(boat, groups)),
            f"{parts[switch].name} can put {_banks(boat, groups)} side by side: lithium and lead charge and "
            "discharge at different voltages, and one drives its whole current into the other. Fit a DC-DC "
            "charger between them, or an interlock.",
            "advice",
        )


def _unlike(subjects: tuple[str, ...], message: str, severity: Severity, mode: str | None = None) -> Finding:
    return Finding(
        code="unlike-banks-joined",
        severity=severity,
        subjects=subjects,
        mode=mode,
        message=message,
        source=COMMON,
        source_status="common-practice",
    )


def _batteries(boat: Boat, groups: tuple[Group, ...]) -> tuple[str, ...]:
    """The batteries of some groups in document order."""
    every = frozenset().union(*groups)
    return tuple(part.id for part in boat.parts if part.id in every)


def _is_mixed(boat: Boat, batteries: Group) -> bool:
    kinds = {p.chemistry == "lifepo4" for p in boat.parts if isinstance(p, Battery) and p.id in batteries}
    return len(kinds) > 1


def _banks(boat: Boat, groups: tuple[Group, ...]) -> str:
    """The banks by name, in document order."""
    named = [
        next(p.bank or p.name for p in boat.parts if isinstance(p, Battery) and p.id in group)
        for group in groups
    ]
    return " and ".join(the(name) for name in named)


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
                subjects=(switch, worst, *_batteries(boat, found.groups)),
                figure=Figure(value=amps, unit="A", basis="computed" if is_stated else "assumed"),
                limit=Figure(value=rated, unit="A", basis="rule"),
                message=f"When {the(parts[switch].name)} joins {_banks(boat, found.groups)}, "
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


def unlike_banks_now(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Lithium beside lead as a mode sets the switches, and relays that join the two while one is charged."""
    if not all(_by_kind(boat)):
        return
    mode = next(mode for mode in boat.modes if mode.id == answer.mode)
    switches = tuple(p for p in boat.parts if isinstance(p, Contact) and p.is_battery_switch)
    switching = Switching(boat, mode, switches)
    for group in sorted(switching.mixes(switching.now), key=sorted):
        alike = tuple(group & some for some in _by_kind(boat))
        yield _unlike(
            _batteries(boat, alike),
            f"In {mode.name}, {_banks(boat, alike)} stand side by side: lithium and lead charge and "
            "discharge at different voltages. Separate them.",
            "fault",
            mode.id,
        )
    yield from _by_relay(boat, mode)


def _by_kind(boat: Boat) -> tuple[Group, Group]:
    batteries = [part for part in boat.parts if isinstance(part, Battery)]
    lithium = frozenset(part.id for part in batteries if part.chemistry == "lifepo4")
    return lithium, frozenset(part.id for part in batteries) - lithium


def _by_relay(boat: Boat, mode: Mode) -> Iterator[Finding]:
    pieces = Paths.of(boat, mode).closed_pieces
    lithium, lead = _by_kind(boat)
    at = {name: pieces[name, "positive"] for name in (*lithium, *lead)}
    for relay in boat.parts:
        if isinstance(relay, Combiner):
            sides = pieces[relay.id, "a"], pieces[relay.id, "b"]
            for one, other in (sides, sides[::-1]):
                some = frozenset(name for name in lithium if at[name] == one)
                others = frozenset(name for name in lead if at[name] == other)
                if one != other and some and others:
                    yield _unlike(
                        (relay.id, *_batteries(boat, (some, others))),
                        f"{relay.name} joins {_banks(boat, (some, others))} while one is charged: lithium "
                        "and lead charge and discharge at different voltages. Use a DC-DC charger instead.",
                        "advice",
                    )


def packs_that_open(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Lithium packs, whose electronics may open under load, that are a running source's only battery."""
    packs = [part for part in boat.parts if isinstance(part, Battery) and part.chemistry == "lifepo4"]
    if not packs:
        return
    mode = next(mode for mode in boat.modes if mode.id == answer.mode)
    switches = tuple(p for p in boat.parts if isinstance(p, Contact) and p.is_battery_switch)
    switching, on = Switching(boat, mode, switches), {one.part for one in mode.on}
    for pack in packs:
        lone = switching.lone_without(pack.id) & on
        for source in boat.parts:
            if source.id in lone and isinstance(source, Alternator | Charger | Solar | Outboard):
                yield _opens(pack, source)


def sources_alone(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Charging sources that run in the mode with no battery joined to them."""
    mode = next(mode for mode in boat.modes if mode.id == answer.mode)
    on = {one.part for one in mode.on}
    running = [p for p in boat.parts if p.id in on and isinstance(p, Alternator | Charger | Solar | Outboard)]
    if not running:
        return
    switches = tuple(p for p in boat.parts if isinstance(p, Contact) and p.is_battery_switch)
    switching = Switching(boat, mode, switches)
    lone = switching.state(switching.now).lone
    for source in running:
        if source.id in lone:
            harmless = source.open_circuit_harms == "no"
            yield Finding(
                code="source-alone",
                severity="advice" if harmless else "fault",
                subjects=(source.id,),
                mode=mode.id,
                message=f"In {mode.name}, {the(source.name)} runs with no battery joined to it: "
                + ("it charges nothing." if harmless else "its voltage rises onto everything that is on it.")
                + " See where the battery switches stand, and where its lead lands.",
                source=COMMON,
                source_status="common-practice",
            )


def _opens(pack: Battery, source: Alternator | Charger | Solar | Outboard) -> Finding:
    held = isinstance(source, Alternator) and source.suppressor == "yes"
    harms = "no" if held else source.open_circuit_harms
    severity: Severity = "cannot-tell" if harms is None else "fault" if harms == "yes" else "advice"
    ending = {
        "yes": "it is harmed by that, and its voltage jumps onto everything that is on.",
        "no": "all on it goes dark or follows its voltage.",
        None: "ask its maker whether that harms it, and look for a suppressor on it.",
    }[harms]
    return Finding(
        code="pack-opens",
        severity=severity,
        subjects=(pack.id, source.id),
        message=f"When the electronics of {the(pack.name)} open under load, {the(source.name)} has no "
        f"battery left: {ending} Keep a lead-acid battery on it, or charge the pack through a DC-DC charger.",
        source=COMMON,
        source_status="common-practice",
    )
