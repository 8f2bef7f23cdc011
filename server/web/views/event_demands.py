"""What an event asks of supplies and data links, and an alternator that loses its battery."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.checks.words import listed
from server.drawing.chart_axis import duration
from server.web.views.event_why import SMALLEST_V
from server.web.views.figures import amperes, sag_volts

if TYPE_CHECKING:
    from server.engine.transient.answer import LinkOffsetInTime
    from server.engine.transient.coil_release import CoilRelease
    from server.engine.transient.coil_run import CoilLetGo
    from server.engine.transient.load_dump import LostBattery
    from server.engine.transient.profiles import Comparison
    from server.practice.load_dump import LoadDump


@dataclass(frozen=True)
class DemandView:
    """One published requirement: met or not, and by how much."""

    title: str
    source: str
    word: str
    told: str


def demands(compared: "Sequence[Comparison]") -> tuple[DemandView, ...]:
    """Every requirement with what the waveform makes of it."""
    return tuple(
        DemandView(one.requirement.title, one.requirement.source, "met" if one.met else "not met", _told(one))
        for one in compared
    )


@dataclass(frozen=True)
class LinkView:
    """How far the negatives of the parts on one data link come apart."""

    name: str
    apart: str
    before: str
    between: str
    current: str


def link_rows(links: "Sequence[LinkOffsetInTime]") -> tuple[LinkView, ...]:
    """Every data link with its offset at the worst."""
    return tuple(
        LinkView(
            name=one.name,
            apart=sag_volts(one.offset.value),
            before=sag_volts(one.before_v),
            between=f"{one.higher} above {one.lower}",
            current="isolated, or not known" if one.current_a is None else amperes(one.current_a),
        )
        for one in links
    )


def links_words(links: "Sequence[LinkOffsetInTime]") -> str:
    """How far the negatives on the worst link come apart, for the heading; empty where there is none."""
    worst = max(links, key=lambda one: one.offset.value, default=None)
    return "" if worst is None else f"up to {sag_volts(worst.offset.value)} on {worst.name}"


def _told(one: "Comparison") -> str:
    if one.at_v is None or one.ours_s is None:
        return f"lowest {sag_volts(one.margin_v)} above the lowest it allows"
    if one.failing == "too-high":
        return f"above its {sag_volts(one.at_v)} for {duration(one.ours_s)}"
    allowed = f" where it allows {duration(one.allowed_s)}" if one.allowed_s else ""
    return f"below {sag_volts(one.at_v)} for {duration(one.ours_s)}{allowed}"


def lost_battery_words(boat: Boat, lost: "Sequence[LostBattery]") -> tuple[str, ...]:
    """What takes the battery off an alternator in this mode, one sentence each."""
    names = {part.id: part.name for part in boat.parts}
    positions = {
        (part.id, position.id): position.name
        for part in boat.parts
        if part.kind == "contact"
        for position in part.positions
    }
    return tuple("".join(_sentence(one, names, positions)) for one in lost)


def _sentence(
    one: "LostBattery", names: dict[str, str], positions: dict[tuple[str, str], str]
) -> Iterator[str]:
    switch = one.switch or ""
    before, after = (positions.get((switch, at or ""), at) for at in (one.before, one.after))
    alternator = names[one.alternator]
    match one.how:
        case "already":
            yield f"{alternator} has no battery in this mode as it stands"
        case "device":
            yield f"{alternator} loses its battery where “{names[switch]}” opens"
        case "position":
            yield f"{alternator} loses its battery with “{names[switch]}” at {after}"
        case "turn":
            surely = "loses" if one.certain else "may lose"
            turned = f"“{names[switch]}” is turned from {before} to {after}"
            yield f"{alternator} {surely} its battery while {turned}"
    if one.field_opens:
        yield "; the switch opens its field first"
    if one.suppressed:
        yield "; it has suppression of its own"
    if one.sharing:
        yield f"; on it alone then: {listed(names.get(part, part) for part in one.sharing)}"
    yield "."


def coil_words(boat: Boat, coils: "Sequence[CoilRelease]") -> tuple[str, ...]:
    """What coils do when they are let go: a sentence for each, and one for all that nothing suppresses."""
    names = {part.id: part.name for part in boat.parts}
    told = tuple(_let_go(names[one.part], one) for one in coils if one.suppression is not None)
    bare = listed(dict.fromkeys(names[one.part] for one in coils if one.suppression is None))
    if not bare:
        return told
    return (
        *told,
        f"{bare}: no diode, resistor or varistor is known beside the coil. If there is none, hundreds to"
        " thousands of volts stand for a moment across the contact that lets it go: look, and note it.",
    )


def _let_go(name: str, one: "CoilRelease") -> str:
    kind = (one.suppression or "").replace("-", " ")
    if one.kick_v is None or one.falls_s is None:
        return (
            f"{name}: a {kind} beside its coil, but not its figure: read it off the part or its data sheet."
        )
    low, high = duration(one.falls_s.low), duration(one.falls_s.high)
    return (
        f"{name}: {sag_volts(one.kick_v)} across its coil, by the {kind} beside it;"
        f" its current is down to a tenth in {low}{'' if low == high else f' to {high}'}."
    )


def moved_words(boat: Boat, mode: str, moved: "Sequence[CoilLetGo]") -> tuple[str, ...]:
    """What coils do to the loads of a mode when a contact of their own lets them go."""
    names = {part.id: part.name for part in boat.parts}
    told = [
        f"{names[one.key[0]]}, let go in “{mode}” by a contact of its own, moves {one.load} by"
        f" {sag_volts(one.moved_v)} for a moment{_with_a_bare_coil([one])}."
        for one in moved
        if one.moved_v >= SMALLEST_V
    ]
    quiet = [one for one in moved if one.moved_v < SMALLEST_V]
    if quiet:
        those = listed(dict.fromkeys(names[one.key[0]] for one in quiet))
        told.append(
            f"{those}: let go in “{mode}” by a contact of its own, none of this moves any load by"
            f" {sag_volts(SMALLEST_V)}{_with_a_bare_coil(quiet)}."
        )
    return tuple(told)


def _with_a_bare_coil(coils: "Sequence[CoilLetGo]") -> str:
    """What was taken where nothing is known beside a coil."""
    if not any(one.is_bare for one in coils):
        return ""
    return ", taken with 1,500 V across a bare coil (what a maker of suppressors reports, a weak source)"


def load_dump_words(published: "LoadDump | None") -> str:
    """The published size of what then comes; a figure of this boat is never computed."""
    if published is None:
        return "No figure for this system voltage is published in what is shipped here."
    size = f"{published.lowest_v:g} to {published.highest_v:g} V"
    time = f"{duration(published.shortest_s)} to {duration(published.longest_s)}"
    return (
        f"Test pulse for road vehicles of {published.system_v:g} V: {size} for {time},"
        f" {published.clamped_v:g} V where the alternator has suppression ({published.source})."
        " A boat's own may differ: it is not computed."
    )
