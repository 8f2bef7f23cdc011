"""A sheet for the owner, in plain sentences: will it start, what keeps running, what it costs, what to mind.

What cannot be told from the wiring is said so, with what to look at. Nothing is left out to make it shorter
without saying that there is more.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from server.checks.words import agreed, listed, the
from server.units import Ampere, Volt

MOST_LINES = 6
"""So many lines of one kind are printed; how many more there are is said."""

MOST_NAMED = 10
"""So many loads that keep running are named; all that restart are."""


@dataclass(frozen=True)
class Moment:
    """One heavy load's start in its worst stated condition.

    ``when`` begins a sentence; ``conditions`` says in which state the battery is taken to be. ``inrush_a`` is
    the most it draws, for an instant; ``motor_v`` and ``motor_a`` are the means at the motor's own terminals
    while it turns, ``motor_need_v`` what it is stated to need.
    ``why_not`` says why nothing can be told. The names are those of loads that are on; ``volts`` are the
    lowest that each has and what it needs, where both are known.
    """

    when: str
    heavy: str
    conditions: str
    is_engine: bool
    inrush_a: Ampere | None = None
    motor_v: Volt | None = None
    motor_a: Ampere | None = None
    motor_need_v: Volt | None = None
    why_not: str = ""
    restarts: tuple[str, ...] = ()
    close: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    keeps: tuple[str, ...] = ()
    relied_on: tuple[str, ...] = ()
    volts: Mapping[str, tuple[Volt, Volt]] = field(default_factory=dict)


@dataclass(frozen=True)
class Danger:
    """A danger in plain words, and small below what a yard reads: figures and where they are from."""

    told: str
    source: str


@dataclass(frozen=True)
class OwnerFacts:
    """What the sheet tells of: the boat as it would be, and as it is until then.

    ``work`` is what would be done, in words; ``cost`` what it costs, empty where nothing is to be done.
    ``dangers`` are findings of danger on the boat as it would be, ``faults`` what else is not right there;
    ``measured`` is what readings on the boat until then point to.
    """

    moments: tuple[Moment, ...]
    until_then: tuple[Moment, ...]
    work: tuple[str, ...]
    cost: str
    dangers: tuple[Danger, ...]
    not_measured: int
    not_seen: int
    faults: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()


@dataclass(frozen=True)
class Section:
    """A heading with its sentences; ``small`` stands below them."""

    id: str
    title: str
    lines: tuple[str, ...]
    small: tuple[str, ...] = ()


def owner_sheet(of: OwnerFacts) -> tuple[Section, ...]:
    """The sections of the sheet, in the order an owner asks; a section without a sentence is left out."""
    then = "until the work is done" if of.work else "as the boat is now"
    found = (
        Section("start", "Will it start the engine?", tuple(_starts(of.moments))),
        Section("keeps", "What keeps running meanwhile?", tuple(_keeps(of.moments))),
        Section("measured", "What the meter says", of.measured),
        *_planned(of.work, of.cost),
        Section("until", f"What to leave off {then}", tuple(_leave_off(of.until_then))),
        Section(
            "danger",
            "What is still a danger" if of.work else "What is a danger",
            _cut([one.told for one in of.dangers]),
            tuple(one.source for one in of.dangers[: _shown(len(of.dangers))]),
        ),
        Section("faults", "What else is to be put right", _cut(of.faults)),
        Section("mind", "Mind", tuple(_mind(of))),
    )
    return tuple(one for one in found if one.lines)


def planned(work: Sequence[str], cost: str) -> tuple[Section, ...]:
    """What would be done and what it costs, which is known before any start is worked out."""
    return tuple(one for one in _planned(work, cost) if one.lines)


def _planned(work: Sequence[str], cost: str) -> tuple[Section, Section]:
    return (
        Section("work", "What is done", _cut(work)),
        Section("cost", "What it costs", (cost,) if cost else ()),
    )


def _starts(moments: Sequence[Moment]) -> Iterator[str]:
    engines = [one for one in moments if one.is_engine]
    if not engines:
        yield "Cannot tell: no engine start is described for this boat. Put the starter in, then look again."
    for one in engines:
        yield _start(one)
    if unstated := tuple(one.heavy for one in engines if _turns(one) and one.motor_need_v is None):
        fires, makers = ("the engine fires", "maker") if len(unstated) == 1 else ("they fire", "makers")
        yield (
            f"Whether {fires} at that cannot be told from the wiring: look up the lowest cranking "
            f"voltage that the {makers} of {_and(unstated)} {'states' if len(unstated) == 1 else 'state'}."
        )


def _turns(one: Moment) -> bool:
    """Whether it is known what the motor has while it turns."""
    return one.inrush_a is not None and not one.why_not and one.motor_v is not None


def _start(one: Moment) -> str:
    name, state = the(one.heavy), f" ({one.conditions})" if one.conditions else ""
    if one.inrush_a is None:
        return f"No: {name} gets no power in this mode."
    if one.why_not or one.motor_v is None or one.motor_a is None:
        why = f": {one.why_not}" if one.why_not else ""
        return f"Cannot tell{why}. Measure the volts at {name} while it cranks."
    turning = f"about {one.motor_a:.0f} A at {_volts(one.motor_v)} while it turns"
    drawn = f"{name} draws up to {one.inrush_a:.0f} A for an instant, then {turning}"
    said = f"{drawn}, in the worst state that is described{state}."
    if one.motor_need_v is None:
        return f"{said[:1].upper()}{said[1:]}"
    if round(one.motor_v, 1) >= round(one.motor_need_v, 1):
        return f"Yes, as far as the wiring goes: {said} It needs {_volts(one.motor_need_v)}."
    return f"No: {said} It needs {_volts(one.motor_need_v)}."


def _keeps(moments: Sequence[Moment]) -> Iterator[str]:
    """What happens at each start; those that nothing suffers from come together at the end."""
    unharmed = [one for one in moments if _is_unharmed(one)]
    for one in moments:
        if one in unharmed:
            continue
        if one.inrush_a is None or one.why_not:
            yield f"{one.when}: cannot tell{f', for {one.why_not}' if one.why_not else ''}."
            continue
        yield from _harm(one)
    if unharmed:
        first, rest = unharmed[0], unharmed[1:]
        named = f": {_some(first.keeps)}" if first.keeps else ""
        yield f"{first.when}, everything that is on keeps running{named}."
        yield from _nearest(first)
        if rest:
            also = "; ".join(f"{one.when[:1].lower()}{one.when[1:]}" for one in rest)
            yield f"So does everything that is then on: {also}."


def _is_unharmed(one: Moment) -> bool:
    known = one.inrush_a is not None and not one.why_not
    return known and not (one.restarts or one.close or one.unknown)


def _harm(one: Moment) -> Iterator[str]:
    if one.restarts:
        yield f"{one.when}, {_and(one.restarts)} {_verb(one.restarts, 'restarts', 'restart')}."
    if one.close:
        yield f"{one.when}, too close to call: {listed(one.close)}."
    yield from _lowest(one, (*one.restarts, *one.close))
    if one.unknown:
        needs = _verb(one.unknown, "needs", "need")
        yield f"{one.when}, nobody has said what {_and(one.unknown)} {needs}."
    if one.keeps:
        yield f"{one.when}, these keep running: {_some(one.keeps)}."


def _lowest(one: Moment, names: Sequence[str]) -> Iterator[str]:
    """The lowest volts of some loads beside what they need."""
    told = [f"{name} {_against(one, name)}" for name in names if name in one.volts]
    if told:
        yield f"At the lowest: {'; '.join(_cut(told))}."


def _nearest(one: Moment) -> Iterator[str]:
    """The load that has the least to spare of those that keep running."""
    known = [name for name in one.keeps if name in one.volts]
    if known:
        name = min(known, key=lambda each: one.volts[each][0] - one.volts[each][1])
        yield f"Nearest to its limit is {the(name)}: at the lowest {_against(one, name)}."


def _against(one: Moment, name: str) -> str:
    lowest, need = one.volts[name]
    return f"{_volts(lowest)}, needs {_volts(need)}"


def _leave_off(moments: Sequence[Moment]) -> Iterator[str]:
    for one in moments:
        off = tuple(dict.fromkeys((*one.restarts, *one.close)))
        if off:
            start = f"{one.when[:1].lower()}{one.when[1:]}".removeprefix("when ")
            yield f"Switch {_and(off)} off before {start}, and on again after it."
            if relied := tuple(name for name in off if name in one.relied_on):
                yield f"Do not rely on {_and(relied)} at that moment: somebody's safety may hang on it."
    if not any(one.restarts or one.close for one in moments):
        if any(one.unknown or one.why_not or one.inrush_a is None for one in moments):
            yield "Nothing is known to restart; what cannot be told is named above."
        elif moments:
            yield "Nothing has to be left off for a start."


def _mind(of: OwnerFacts) -> Iterator[str]:
    if of.not_measured:
        yield f"{_counted(of.not_measured, 'length of cable is', 'lengths of cable are')} not measured."
    if of.not_seen:
        yield f"{_counted(of.not_seen, 'place was', 'places were')} not seen."
    yield (
        "A planning aid and no certificate: the full text of the standards, local codes and a licensed "
        "person on the boat decide."
    )
    yield (
        "Stop the engine and take the negative off every battery before anybody works on the wiring. Do not "
        "crank for long: mind what the maker of the starter allows, and the water in the exhaust."
    )


def _counted(count: int, one: str, many: str) -> str:
    return f"{count} {one if count == 1 else many}"


def _cut(lines: Sequence[str]) -> tuple[str, ...]:
    """The first lines, and how many more there are."""
    shown = _shown(len(lines))
    return tuple(lines) if shown == len(lines) else (*lines[:shown], f"And {len(lines) - shown} more.")


def _shown(count: int) -> int:
    """How many of so many lines are printed; the last place is for how many more there are."""
    return count if count <= MOST_LINES else MOST_LINES - 1


def _some(names: Sequence[str]) -> str:
    """Names one after another, and how many more there are."""
    if len(names) <= MOST_NAMED:
        return listed(names)
    return f"{listed(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more"


def _and(names: Sequence[str]) -> str:
    """Names in a sentence, parted by semicolons where a name itself holds a comma."""
    told = [the(name) for name in names]
    if len(told) == 1:
        return told[0]
    return f"{listed(told[:-1])} and {told[-1]}"


def _verb(names: Sequence[str], one: str, many: str) -> str:
    return many if len(names) > 1 else agreed(the(names[0]), one, many)


def _volts(value: Volt) -> str:
    return f"{value:.1f} V"
