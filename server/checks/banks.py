"""Banks side by side, lithium beside lead, and charging sources that have or may come to have no battery."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.finding import Finding, Severity
from server.boat.modes import Mode
from server.boat.parts import Alternator, Battery, Charger, Combiner, Contact, Outboard, Solar
from server.checks.paths import Paths
from server.checks.words import the
from server.engine.answer import ModeAnswer
from server.engine.switching import Switching

COMMON = "common practice, no source"
Group = frozenset[str]


def unlike_banks(
    subjects: tuple[str, ...], message: str, severity: Severity, mode: str | None = None
) -> Finding:
    """Lithium beside lead, told as it has come about."""
    return Finding(
        code="unlike-banks-joined",
        severity=severity,
        subjects=subjects,
        mode=mode,
        message=message,
        source=COMMON,
        source_status="common-practice",
    )


def in_order(boat: Boat, groups: tuple[Group, ...]) -> tuple[str, ...]:
    """The batteries of some groups in document order."""
    every = frozenset().union(*groups)
    return tuple(part.id for part in boat.parts if part.id in every)


def is_mixed(boat: Boat, batteries: Group) -> bool:
    """Whether lithium and lead are among some batteries."""
    kinds = {p.chemistry == "lifepo4" for p in boat.parts if isinstance(p, Battery) and p.id in batteries}
    return len(kinds) > 1


def banks_in_words(boat: Boat, groups: tuple[Group, ...]) -> str:
    """The banks by name, in document order."""
    named = [
        next(p.bank or p.name for p in boat.parts if isinstance(p, Battery) and p.id in group)
        for group in groups
    ]
    return " and ".join(the(name) for name in named)


def unlike_banks_now(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Lithium beside lead as a mode sets the switches, and relays that join the two while one is charged."""
    if not all(_by_kind(boat)):
        return
    mode = next(mode for mode in boat.modes if mode.id == answer.mode)
    switches = tuple(p for p in boat.parts if isinstance(p, Contact) and p.is_battery_switch)
    switching = Switching(boat, mode, switches)
    for group in sorted(switching.mixes(switching.now), key=sorted):
        alike = tuple(group & some for some in _by_kind(boat))
        yield unlike_banks(
            in_order(boat, alike),
            f"In {mode.name}, {banks_in_words(boat, alike)} stand side by side: lithium and lead charge and "
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
                    yield unlike_banks(
                        (relay.id, *in_order(boat, (some, others))),
                        f"{relay.name} joins {banks_in_words(boat, (some, others))} while one is charged: "
                        "lithium and lead charge and discharge at different voltages. Use a DC-DC charger.",
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
