"""The circuit of an event in time as a transient deck for a general circuit simulator.

Its elements are those of the circuit. A simulator that steps through time needs a few things beside them;
``approximations`` says which, and how far each moves an answer. Every deck carries them as comments.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from server.engine.arrays import Indices
from server.engine.islands import pieces
from server.engine.transient.circuit import Conversion, MotorDrive, TransientCircuit
from server.engine.transient.switched import Amps
from server.papers import switched_deck
from server.units import Ampere, Second, Volt

OPEN_CONTACT_V = 100.0
"""What a contact holds before it is pressed: more than any supply on a boat."""
MIDDLE_V = 9.0
"""What a closing contact still holds at its instant: half of a supply between 12 and 24 V, so that on average
the current begins neither early nor late."""
SPEED_AT_REST = 1e-6
"""Below this share of the running speed the load's torque fades out, so that it holds like a brake."""
LEAST_V = 1e-3
"""No constant power is drawn at a lower voltage, as in the circuit."""


@dataclass(frozen=True, slots=True)
class Stepping:
    """How the simulator is asked to step, and how far the deck strays from the circuit.

    ``lead_in_s`` lies between the simulator's time zero and the circuit's; a contact opens and closes within
    ``ramp_s``, centred on its instant; what it holds fades out below ``arc_width_a``, without a corner where
    ``is_rounded``; a resistance beside each inductance has the time constant ``damping_s`` with it. A step
    may err by ``truncation`` times the tolerances, by the simulator's own estimate.
    """

    longest_step_s: Second = 50e-6
    relative: float = 1e-7
    volts: Volt = 1e-6
    amps: Ampere = 1e-5
    ramp_s: Second = 1e-8
    lead_in_s: Second = 1e-4
    arc_width_a: Ampere = 1e-3
    damping_s: Second = 5e-10
    method: str = "gear"
    truncation: float = 1.0
    is_rounded: bool = False


NORMAL = Stepping()
"""What every circuit tried runs with: Gear integration, contacts of 10 ns, damping of 0.5 ns."""
SWITCHING = Stepping(longest_step_s=5e-6)
"""For circuits in which contacts move by what they see: with longer steps the simulator stops there."""
FOLLOWING = Stepping(lead_in_s=5e-3, longest_step_s=5e-6, relative=1e-6, volts=1e-5, amps=1e-4)
"""For circuits with diodes or limited sources, whose laws have corners."""
CORNERED = replace(FOLLOWING, relative=1e-7, arc_width_a=1e-2, truncation=7.0, is_rounded=True)
"""For circuits with both, and for contacts that change over: else it stops where their arc goes out."""


def stepping_for(circuit: TransientCircuit) -> Stepping:
    """What a circuit runs with."""
    moving = [one for one in circuit.switched if one.moves]
    follows = [one for one in moving if one.follows]
    opening = [one for one in moving if not one.follows]
    if opening and (follows or any(switched_deck.changes_over(one) for one in opening)):
        return CORNERED
    return FOLLOWING if follows else SWITCHING if opening else NORMAL


def _against(amps: str, stepping: Stepping) -> str:
    """What a contact holds points against its current: -1 to 1."""
    share = f"{amps}/{stepping.arc_width_a:g}"
    return f"tanh({share})" if stepping.is_rounded else f"max(-1,min(1,{share}))"


def approximations(stepping: Stepping) -> Iterator[str]:
    """What the deck has and the circuit has not, with its effect, in sentences."""
    ramp, damping, width = stepping.ramp_s, stepping.damping_s, stepping.arc_width_a
    yield f"The simulator's time is {stepping.lead_in_s:g} s ahead of the event's: so long it stands at rest."
    yield f"A contact moves within {ramp:g} s, centred on its instant, where the event's moves in no time:"
    yield "  an edge whose voltage falls off within 20 us shows up to 3 mV less per 10 ns of ramp and 10 V."
    yield f"Beside each inductance lies a resistance (L/R = {damping:g} s), or the simulator stops, its step"
    yield "  too small, wherever nothing but inductances meet: next to an edge, voltages that change within"
    yield "  50 ns move by 1 %; after 1 us nothing is left of it."
    yield f"Arc and open contact: their voltage fades below {width:g} A, so an open contact leaks up to"
    yield f"  {width * 1e3:g} mA; a kick that grows until the arc is out is reached that much before."
    yield f"A load holds its motor at rest from {SPEED_AT_REST:g} of the running speed down; a motor at rest"
    yield "  creeps that fast: a back-EMF of microvolts."
    yield "An input capacitance is charged by a copy of its load's current and gives its load a copy of its"
    yield "  voltage: the same equations, but with the capacitor between the leads a simulator that steps in"
    yield "  picoseconds loses digits of their currents, and stops."
    yield "No first guess of the voltages is given: one (.nodeset) can lead a simulator to factors so rounded"
    yield "  that it settles on wrong voltages. Check each run by its voltages at rest."


def transient_deck(  # noqa: PLR0913 - what is written, and how
    circuit: TransientCircuit,
    title: str,
    *,
    stepping: Stepping = NORMAL,
    labels: Sequence[str] = (),
    comments: Sequence[str] = (),
    probes: Mapping[str, tuple[int, int]] = MappingProxyType({}),
) -> str:
    """The deck of an event; nodes are ``n0``, ``n1`` … as numbered in the circuit.

    ``labels`` names the branches, ``comments`` stand at the top. The current of motor 0 is that through
    ``Vmotor0``, its speed, as a share of the running speed, the voltage of the node ``speed0``. The voltage
    between the two nodes of each of ``probes`` is that of a node with its name, which is saved, and whose
    lowest and highest the simulator is asked for.
    """
    moving = any(one.moves for one in circuit.switched)
    strays = [*approximations(stepping), *(switched_deck.approximations() if moving else ())]
    notes = (*comments, "Beside the circuit's own elements:", *(f"  {a}" for a in strays))
    lines = [
        f"* {_one_line(title)}",
        *(f"* {' '.join(line.splitlines())}" for line in notes),
        f".options method={stepping.method} reltol={stepping.relative:g} abstol={stepping.amps:g} "
        f"vntol={stepping.volts:g} gmin=1e-15 trtol={stepping.truncation:g} itl4=100",
        *_grounds(circuit),
        *_branches(circuit, stepping, labels),
        *_capacitors(circuit),
        *_draws(circuit, stepping),
        *switched_deck.movers(circuit, stepping.lead_in_s),
    ]
    shafts = dict[int, int]()
    for number, motor in enumerate(circuit.motors):
        movers = [str(n) for n, one in enumerate(circuit.switched) if number in one.motors and one.moves]
        lines += _motor(number, motor, shafts, circuit.end_s, stepping, movers)
    lines += _probes(probes, circuit.end_s, stepping)
    stop, step = circuit.end_s + stepping.lead_in_s, stepping.longest_step_s
    return "\n".join([*lines, f".tran {step:.12g} {stop:.12g} 0 {step:.12g}", ".end", ""])


def _one_line(text: str) -> str:
    return " ".join(text.replace(";", ",").split())


def _grounds(circuit: TransientCircuit) -> Iterator[str]:
    """Tie every piece to the simulator's ground; the tie carries no current."""
    for number, node in enumerate(_ground_nodes(circuit).tolist()):
        yield f"Vground{number} n{node} 0 0"


def _ground_nodes(circuit: TransientCircuit) -> Indices:
    """The lowest node of every piece."""
    kinds = circuit.branches, circuit.capacitors, circuit.draws
    tail: Indices = np.array(
        [*(n for k in kinds for n in k.tail), *(m.tail for m in circuit.motors)], np.intp
    )
    head: Indices = np.array(
        [*(n for k in kinds for n in k.head), *(m.head for m in circuit.motors)], np.intp
    )
    used = np.unique(np.concatenate([tail, head]))
    label = pieces(circuit.nodes, tail, head)[used]
    lowest: Indices = used[np.unique(label, return_index=True)[1]]
    return lowest


def _branches(circuit: TransientCircuit, stepping: Stepping, labels: Sequence[str]) -> Iterator[str]:
    rows = circuit.branches
    valves, contacts, idle = switched_deck.valves(circuit), switched_deck.contacts(circuit), circuit.idle
    converters = {one.switch for one in circuit.converters}
    switches = {
        one.source: f"*{switched_deck.stands(contacts[one.switch], part, stepping.lead_in_s)}"
        for one in circuit.converters
        for part in circuit.switched
        if one.switch in part.rows and part.moves
    }
    borders = [b for one in circuit.switched for state in one.states for b in state.borders]
    measured = {border.reading.row for border in borders if isinstance(border.reading, Amps)}
    measured |= converters
    for k, (tail, head) in enumerate(zip(rows.tail.tolist(), rows.head.tolist(), strict=True)):
        if tail == head or idle[k]:  # too short to be anything but one node, or open throughout
            continue
        note = f" ; {_one_line(labels[k])}" if labels else ""
        ohm, henry, emf = float(rows.ohm[k]), float(rows.henry[k]), float(rows.emf_v[k])
        at, end = f"n{tail}", f"n{head}"
        if k in valves:
            law = switched_deck.valve_law(valves[k], circuit, f"V({at},{end})", stepping.lead_in_s)
            yield f"Bvalve{k} {at} {end} I={law}{switches.get(k, '')}{note}"
            continue
        if k in contacts or k in measured:
            yield f"Vthrough{k} {at} t{k} 0"
            at = f"t{k}"
        if k in contacts and k not in converters:
            sign = _against(f"I(Vthrough{k})", stepping)
            yield f"Bcontact_{k} {at} h{k} V={switched_deck.held(contacts[k])}*{sign}"
            at = f"h{k}"
        if emf:
            yield f"V{k} e{k} {at} {_emf(circuit, k, emf, stepping.lead_in_s)}{note}"
            at = f"e{k}"
        yield f"R{k} {at} {f'l{k}' if henry else end} {ohm:.17g}{note}"
        if henry:
            yield from _inductance(str(k), f"l{k}", end, henry, stepping)


def _emf(circuit: TransientCircuit, row: int, emf_v: Volt, lead_in_s: Second) -> str:
    """A branch's EMF, or the corners that it follows."""
    for one in circuit.supplies:
        share = float(one.shares(len(circuit.branches))[row])
        if share:
            volts = emf_v + share * one.rise_v
            corners = zip((one.time_s + lead_in_s).tolist(), volts.tolist(), strict=True)
            return f"PWL({' '.join(f'{at_s:.15g} {at_v:.17g}' for at_s, at_v in corners)})"
    return f"{emf_v:.17g}"


def _inductance(name: str, tail: str, head: str, henry: float, stepping: Stepping) -> Iterator[str]:
    yield f"L{name} {tail} {head} {henry:.17g}"
    yield f"Rdamp{name} {tail} {head} {henry / stepping.damping_s:.17g}"


def _capacitors(circuit: TransientCircuit) -> Iterator[str]:
    """Each between ground and a node of its own; an ideal transformer of 1:1 ties it to its load."""
    rows = circuit.capacitors
    for k, (tail, head) in enumerate(zip(rows.tail.tolist(), rows.head.tolist(), strict=True)):
        yield f"Rc{k} n{tail} c{k} {rows.ohm[k]:.17g}"
        yield f"Ec{k} c{k} n{head} charge{k} 0 1"
        yield f"Fc{k} 0 charge{k} Ec{k} 1"
        yield f"C{k} charge{k} 0 {rows.farad[k]:.17g}"


def _draws(circuit: TransientCircuit, stepping: Stepping) -> Iterator[str]:
    rows = circuit.draws
    converters = {one.draw: one for one in circuit.converters}
    outputs = {one.output for one in circuit.converters}
    for k, (tail, head) in enumerate(zip(rows.tail.tolist(), rows.head.tolist(), strict=True)):
        if k in outputs:  # draws nothing
            continue
        amount, cut_out, volts = float(rows.amount[k]), float(rows.cut_out_v[k]), f"V(n{tail},n{head})"
        if k in converters:
            yield f"Bgives{k} gives{k} 0 V={_drawn_w(converters[k], circuit, stepping)}"
            law = f"V(gives{k})/max({volts},{LEAST_V:g})"
            law = f"{volts} > {cut_out:.17g} ? {law} : V(gives{k})*{volts}/{cut_out**2:.17g}"
            yield f"Bdraw{k} n{tail} n{head} I={law}"
            continue
        law = f"{amount:.17g}/max({volts},{LEAST_V:g})" if rows.is_power[k] else f"{amount:.17g}"
        if cut_out > 0:
            siemens = amount / cut_out ** (2 if rows.is_power[k] else 1)
            law = f"{volts} > {cut_out:.17g} ? {law} : {siemens:.17g}*{volts}"
        yield f"Bdraw{k} n{tail} n{head} I={law}"


def _drawn_w(one: Conversion, circuit: TransientCircuit, stepping: Stepping) -> str:
    """What a converter's input draws by what its output gives; what it drew while rest is sought."""
    plus, minus = int(circuit.draws.tail[one.output]), int(circuit.draws.head[one.output])
    given = f"max(0,V(n{plus},n{minus})*I(Vthrough{one.switch}))"
    at_rest = float(circuit.draws.amount[one.draw])
    half_s = stepping.lead_in_s / 2
    return f"time < {half_s:g} ? {at_rest:.17g} : {given}/{one.efficiency:.17g}+{one.idle_w:.17g}"


def _probes(probes: Mapping[str, tuple[int, int]], end_s: Second, stepping: Stepping) -> Iterator[str]:
    """A voltage against ground for each pair of nodes; its extremes from rest to just before the end.

    The last step is left out: cut to end on time, it divides rounding by femtoseconds.
    """
    start, end = stepping.lead_in_s / 2, stepping.lead_in_s + end_s - stepping.longest_step_s
    for number, (name, (plus, minus)) in enumerate(probes.items()):
        yield f"Eprobe{number} {name} 0 n{plus} n{minus} 1"
        yield f".save v({name})"
        for what, function in (("lowest", "min"), ("highest", "max")):
            yield f".measure tran {what}_{name} {function} v({name}) from={start:.12g} to={end:.12g}"


def _motor(  # noqa: PLR0913, PLR0917 - a motor, and what it shares with others
    n: int,
    motor: MotorDrive,
    shafts: dict[int, int],
    end_s: Second,
    stepping: Stepping,
    movers: Sequence[str],
) -> Iterator[str]:
    """Contact, winding, back-EMF, and the turning mass as a capacitor whose voltage is the speed.

    A motor pressed again has a contact and winding for each press, and one mass; ``shafts`` keeps whose.
    ``movers`` are the switched parts that open its contact too.
    """
    amps = f"I(Vmotor{n})"
    flux = _flux(motor, amps)
    yield f"* motor {n}: {_one_line(motor.name)}"
    held = " ".join(f"{t:.15g} {v:.12g}" for t, v in _held(motor, end_s, stepping))
    yield f"Vhold{n} hold{n} 0 PWL({held})"
    held = "+".join([f"V(hold{n})", *(switched_deck.held(k) for k in movers)])
    holds = f"({held})" if movers else held
    yield f"Bcontact{n} n{motor.tail} m{n}a V={holds}*{_against(amps, stepping)}"
    yield f"Vmotor{n} m{n}a m{n}b 0"
    yield f"Rmotor{n} m{n}b m{n}c {motor.ohm:.17g}"
    if motor.eddy_ohm is None:
        henry = motor.leakage_henry + motor.main_henry
        yield from _inductance(f"motor{n}", f"m{n}c", f"m{n}d", henry, stepping)
    else:
        yield from _inductance(f"leak{n}", f"m{n}c", f"m{n}x", motor.leakage_henry, stepping)
        yield f"Lmain{n} m{n}x m{n}d {motor.main_henry:.17g}"
        yield f"Reddy{n} m{n}x m{n}d {motor.eddy_ohm:.17g}"
    pressed = motor.press_s + stepping.lead_in_s - stepping.ramp_s / 2
    shaft = n if motor.continues is None else shafts[motor.continues]
    shafts[n] = shaft
    yield f"Bemf{n} m{n}d n{motor.head} V={flux}*V(speed{shaft})"
    yield f"Bdriving{n} 0 speed{shaft} I=time < {pressed:.15g} ? 0 : {flux}*{amps}"
    if shaft != n:
        return
    yield f"Cspeed{n} speed{n} 0 {motor.inertia_j:.17g}"
    yield f"Bload{n} speed{n} 0 I={_load(n, motor)}"
    yield f"Cturn{n} turn{n} 0 1"
    yield f"Gturn{n} 0 turn{n} speed{n} 0 1"
    # A simulator asks for a way to ground without the capacitors; these bleed off a millionth in a second.
    yield f"Rspeed{n} speed{n} 0 {1e6 / motor.inertia_j:.17g}"
    yield f"Rturn{n} turn{n} 0 1e6"


def _held(motor: MotorDrive, end_s: Second, stepping: Stepping) -> Iterator[tuple[Second, float]]:
    """What the contact holds against a current: everything, nothing, then the arc's growing voltage."""
    half, lead, arc = stepping.ramp_s / 2, stepping.lead_in_s, motor.arc
    conducts_s = stepping.ramp_s * MIDDLE_V / OPEN_CONTACT_V
    press, release, stop = motor.press_s + lead, motor.release_s + lead, end_s + lead
    yield 0.0, OPEN_CONTACT_V
    if motor.press_s >= min(end_s, motor.release_s):
        return
    yield press + conducts_s - stepping.ramp_s, OPEN_CONTACT_V
    yield press + conducts_s, 0.0
    if motor.release_s < end_s:
        yield release - half, 0.0
        yield release + half, arc.volts + arc.slope_v_per_s * half
        yield stop, arc.volts + arc.slope_v_per_s * (stop - release)


def _flux(motor: MotorDrive, amps: str) -> str:
    """Flux at running speed in volts; a series-wound motor's saturates by Froelich's law."""
    if motor.winding == "permanent-magnet":
        return f"{motor.flux_v:.17g}"
    if motor.saturation_a is None:
        return f"({motor.flux_ohm:.17g}*{amps})"
    return f"({motor.flux_ohm:.17g}*{amps}/(1+abs({amps})/{motor.saturation_a:.17g}))"


def _load(n: int, motor: MotorDrive) -> str:
    """What holds the motor back at full speed: friction, and the load with its ripple, which also brakes."""
    turn = f"sin({2 * math.pi * motor.ripples_per_s_at_speed:.17g}*V(turn{n}))"
    load = f"{motor.load_w:.17g}*(1+{motor.ripple_fraction:.17g}*{turn})"
    brake = f"max(-1,min(1,V(speed{n})/{SPEED_AT_REST:g}))"
    return f"{motor.friction_w:.17g}*V(speed{n})+{load}*{brake}"
