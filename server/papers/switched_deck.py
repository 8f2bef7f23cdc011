"""Switched parts of an event in a simulator's deck: contacts with their delays and arcs, diodes, sources.

A contact is a switch with hysteresis whose control is what two timers have counted: one while its reading is
past the border of the closed state, one while past that of the open one; each is set back when it is not.
A diode or limited source is its whole law, i = max(0, the least of its lines), for the simulator to follow.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple

from server.engine.transient.circuit import TransientCircuit
from server.engine.transient.switched import Amps, Arc, Border, Change, Clock, State, Switched, Volts
from server.units import Second

BLUR_V = 1e-5
"""By so much more or less than its border a reading is past it, or no longer."""
READ_S = 1e-7
"""A reading is followed with this time constant."""
MOVES_S = 1e-6
"""A contact moves with this one."""
COUNT_F = 1e-6
"""The capacitances of timers, whose voltage counts."""
ROUNDED_A = 0.1
CONVERTER_MOVES_S = 3e-6
"""A converter stops and starts with this one: faster, the simulator stops too."""
LEAKS = 2e-3
"""An open switch still shows so much of the volt that it switches."""
LEAST_S = 1e-5
"""No timer is shorter."""
STARTS_S = 1e-5
"""A source that starts gives its whole current after this."""
LONGEST_ARC_S = 1.0
OPEN_V = 100.0
"""What an open contact holds: more than any supply on a boat."""


def approximations() -> Iterator[str]:
    """What the deck does beside the circuit where parts switch."""
    yield f"A switched contact follows its reading {READ_S * 1e9:g} ns late, and moves within"
    yield f"  {MOVES_S * 1e6:g} us, a converter's within {CONVERTER_MOVES_S * 1e6:g} us; a limited source's"
    yield f"  corner is rounded by {ROUNDED_A / 2:g} A."


def with_plain_converters(circuit: TransientCircuit, changes: Iterable[Change]) -> TransientCircuit:
    """The same, with converters that never changed their state in an event kept in it.

    A simulator seldom finds the rest of a part whose island lives on nothing but its own law.
    """
    moved = {change.number for change in changes}
    own = {row for one in circuit.converters for row in (one.source, one.switch)}
    switched = tuple(
        one if number in moved or own.isdisjoint(one.rows) else one.within(0.0)
        for number, one in enumerate(circuit.switched)
    )
    return replace(circuit, switched=switched)


def valves(circuit: TransientCircuit) -> dict[int, Switched]:
    """The diodes and limited sources by their branch."""
    return {one.rows[0]: one for one in circuit.switched if one.follows and one.moves}


class Group(NamedTuple):
    """Branches of a part that open and close together: the name of what moves them, and when they stand.

    ``stands`` tells for each state of the part whether they are closed.
    """

    name: str
    rows: tuple[int, ...]
    stands: tuple[bool, ...]


def groups(number: int, one: Switched) -> list[Group]:
    """The groups of part ``number``; one that moves motors' contacts alone has one without branches."""
    opened = [one.open_rows(state) for state in range(len(one.states))]
    rows = dict[tuple[bool, ...], tuple[int, ...]]()
    for row in one.rows:
        stands = tuple(row not in there for there in opened)
        if not all(stands):
            rows[stands] = (*rows.get(stands, ()), row)
    if not one.rows:
        rows[tuple(not state.is_open for state in one.states)] = ()
    ordered = sorted(rows, key=lambda stands: not stands[one.start])
    names = [str(number), *(f"{number}x{k}" for k in range(1, len(rows)))]
    return [Group(name, rows[stands], stands) for name, stands in zip(names, ordered, strict=True)]


def changes_over(one: Switched) -> bool:
    """Whether a part closes some branches as it opens others."""
    moving = {group.stands for group in groups(0, one)}
    return any(tuple(not closed for closed in stands) in moving for stands in moving)


def contacts(circuit: TransientCircuit) -> dict[int, str]:
    """The contacts by their branch: the name of what moves them."""
    return {
        row: group.name
        for number, one in enumerate(circuit.switched)
        if one.moves and not one.follows
        for group in groups(number, one)
        for row in group.rows
    }


def valve_law(one: Switched, circuit: TransientCircuit, volts: str, lead_in_s: Second) -> str:
    """The current of a diode or source as a formula of its voltage; of one that starts, from then on."""
    row = one.rows[0]
    own = float(circuit.branches.ohm[row]), float(circuit.branches.emf_v[row])
    lines = [
        own if state.line is None else (state.line.ohm, state.line.emf_v)
        for state in one.states
        if not state.is_open
    ]
    laws = [f"(({volts})+({emf:.17g}))/{ohm:.17g}" for ohm, emf in lines]
    least = laws[0]
    for law in laws[1:]:
        least = _smaller(least, law)
    starts = [b.level for b in one.states[one.start].borders if isinstance(b.reading, Clock)]
    runs = "".join(f"*min(1,max(0,(time-{at_s + lead_in_s:.15g})/{STARTS_S:g}))" for at_s in starts)
    return f"max(0,{least}){runs}"


def _smaller(one: str, other: str) -> str:
    """The smaller of two currents, its corner rounded by half of ``ROUNDED_A``."""
    return f"(({one})+({other})-sqrt((({one})-({other}))^2+{ROUNDED_A**2:g}))/2"


def held(name: str) -> str:
    """What a contact holds against a current, as the node of a formula."""
    return f"V(held{name})"


def stands(name: str, one: Switched, lead_in_s: Second) -> str:
    """How far a part's contact is closed, 0 to 1, as a formula; as at first while it seeks rest."""
    at_rest = 0 if one.states[one.start].is_open else 1
    return f"(time < {lead_in_s / 2:g} ? {at_rest} : max(0,V(stands{name})-{LEAKS:g}))"


def movers(circuit: TransientCircuit, lead_in_s: Second) -> Iterator[str]:
    """What moves the contacts: readings, timers, the switch, and what the open contact holds.

    Timers count from half of the time at rest on, so that no search for a first state moves a contact.
    """
    for number, one in enumerate(circuit.switched):
        if one.moves and not one.follows:
            yield from _mover(number, one, lead_in_s)


def _mover(n: int, one: Switched, lead_in_s: Second) -> Iterator[str]:
    yield f"* switched {n}: {' '.join(one.name.split())}"
    for group in groups(n, one):
        yield f"Vone{group.name} one{group.name} 0 1"
        if group.name == str(n):
            yield f"Vcounts{n} counts{n} 0 PWL(0 0 {lead_in_s * 0.5:g} 0 {lead_in_s * 0.55:g} 1)"
        yield from _will(n, one, group, lead_in_s)
        yield from _contact(group, one.arc, starts_closed=group.stands[one.start])


def _will(n: int, one: Switched, group: Group, lead_in_s: Second) -> Iterator[str]:
    """Where a group of branches is to go: above 0 closed, below it open."""
    measuring = [k for k, state in enumerate(one.states) if _borders(state)]
    moves_by_itself = {group.stands[k] for k in measuring} == {True, False}
    if not moves_by_itself:
        yield f"Vwill{group.name} will{group.name} 0 PWL({_by_steps(one, group.stands, lead_in_s, -1)})"
        return
    sleeps = len(measuring) < len(one.states)
    if group.name == str(n):
        awake = tuple(k in measuring for k in range(len(one.states)))
        if sleeps:
            yield f"Vawake{n} awake{n} 0 PWL({_by_steps(one, awake, lead_in_s, 0)})"
        for what, wanted in (("open", True), ("close", False)):
            state = next(one.states[k] for k in measuring if group.stands[k] is wanted)
            yield from _timers(n, what, state, sleeps=sleeps)
        moves = f"V(close{n})-V(open{n})"
        yield f"Bwill{n} will{n} 0 V={f'V(awake{n}) > 0.5 ? {moves} : -1' if sleeps else moves}"
    else:
        yield f"Bwill{group.name} will{group.name} 0 V=-V(will{n})"


def _by_steps(one: Switched, stands: tuple[bool, ...], lead_in_s: Second, low: int) -> str:
    """1 and ``low`` as the steps of an event lead from state to state."""
    state, values = one.start, [f"0 {1 if stands[one.start] else low}"]
    while (step := _step(one.states[state])) is not None:
        at_s, was = step.level + lead_in_s, stands[state]
        state = step.to
        if stands[state] != was:
            there = (1, low) if was else (low, 1)
            values += [f"{at_s:.15g} {there[0]}", f"{at_s + MOVES_S:.15g} {there[1]}"]
    return " ".join(values)


def _step(state: State) -> Border | None:
    """The step that ends a state, if one does."""
    return next((border for border in state.borders if isinstance(border.reading, Clock)), None)


def _borders(state: State) -> list[Border]:
    """The borders of a state that something is read for."""
    return [border for border in state.borders if not isinstance(border.reading, Clock)]


def _contact(group: Group, own: Arc | None, *, starts_closed: bool) -> Iterator[str]:
    """The switch of a group of branches, and what it holds while it is open; a converter's holds nothing."""
    n = group.name
    moves_s = CONVERTER_MOVES_S if own is None else MOVES_S
    yield f".model moves{n} sw(vt=0 vh={COUNTED:.17g} ron=1m roff=1meg)"
    yield f"Smoves{n} one{n} moved{n} will{n} 0 moves{n} {'ON' if starts_closed else 'OFF'}"
    yield f"Rmoved{n} moved{n} 0 1k"
    yield f"Rstands{n} moved{n} stands{n} 1k"
    yield f"Cstands{n} stands{n} 0 {moves_s / 1e3:g}"
    if own is None:
        return
    apart = f"max(0,1-V(stands{n}))"
    yield f".model apart{n} sw(vt=-0.5 vh=0 ron=1 roff=1e9)"
    yield f".model joined{n} sw(vt=0.5 vh=0 ron=1 roff=1e9)"
    yield f"Isince{n} 0 grows{n} {COUNT_F:g}"
    yield f"Sshunt{n} grows{n} 0 moved{n} 0 joined{n}"
    yield f"Ssince{n} grows{n} since{n} 0 moved{n} apart{n}"
    yield f"Sback{n} since{n} 0 moved{n} 0 joined{n}"
    yield f"Csince{n} since{n} 0 {COUNT_F:g}"
    yield f"Rsince{n} since{n} 0 1e9"
    arc = f"{own.volts:.17g}+{own.slope_v_per_s:.17g}*V(since{n})"
    yield f"Bheld{n} held{n} 0 V={apart}*min({OPEN_V:g},{arc})"


COUNTED = 1 - math.exp(-1)
"""What a timer, a capacitance charged to 1 V through a resistance, has after its time constant."""


def _timers(n: int, what: str, state: State, *, sleeps: bool) -> Iterator[str]:
    """A node that counts up while any border of a state is passed, and is set back when it no longer is.

    Of a part that ``sleeps`` nothing is read while it does.
    """
    nodes = []
    for k, border in enumerate(_borders(state)):
        node, level = f"{what}{n}_{k}", f"{border.level:.17g}"
        nodes.append(f"V({node})")
        sign = "" if border.is_upper else "-"
        yield f"Bread{node} raw{node} 0 V={sign}({_reading(border)}){f'*V(awake{n})' if sleeps else ''}"
        yield f"Rread{node} raw{node} read{node} 1k"
        yield f"Cread{node} read{node} 0 {READ_S / 1e3:g}"
        yield f".model past{node} sw(vt={sign}{level} vh={BLUR_V:g} ron=1m roff=1e9)"
        yield f".model not{node} sw(vt=-0.5 vh=0 ron=1 roff=1e9)"
        yield f"Spast{node} counts{n} past{node} read{node} 0 past{node} OFF"
        yield f"Rpast{node} past{node} 0 1k"
        yield f"Rcount{node} past{node} up{node} {max(border.lasting_s, LEAST_S) / COUNT_F:.17g}"
        yield f".model is{node} sw(vt=0.5 vh=0 ron=1m roff=1e9)"
        yield f"Sis{node} up{node} {node} past{node} 0 is{node} OFF"
        yield f"Sback{node} {node} 0 0 past{node} not{node} ON"
        yield f"C{node} {node} 0 {COUNT_F:g}"
        yield f"R{node} {node} 0 1e9"
    longest = "0"
    for node in nodes:
        longest = f"max({longest},{node})"
    yield f"B{what}{n} {what}{n} 0 V={longest}"


def _reading(border: Border) -> str:
    """What a border is read from, as a formula."""
    if isinstance(border.reading, Amps):
        return f"I(Vthrough{border.reading.row})"
    pairs = border.reading.pairs if isinstance(border.reading, Volts) else ()
    reading = "0"
    for number, (plus, minus) in enumerate(pairs):
        volts = f"V(n{plus},n{minus})"
        reading = f"max({reading},{volts})" if number else volts
    return reading
