"""A network as a deck for a general circuit simulator, so that another program can check every answer.

Piecewise parts are written as the laws they follow, not as the states our own solution found;
only a combining relay, which remembers, is written in the state it is given.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from server.engine.islands import islands
from server.engine.network import Network
from server.engine.states import LIMITER_DROOP

SETTINGS = ".options reltol=1e-10 abstol=1e-12 vntol=1e-10 gmin=1e-18 itl1=2000 pivrel=0.1"
"""Tolerances above rounding: tighter ones make a simulator fail on large networks.

Joints and what leaks backwards lie sixteen decades apart, so pivots are chosen by size too, not only for
sparsity.
"""

REVERSE = 1e-12
"""Reverse over forward conductance of a regulated source: with none, one that feeds nothing has no answer."""

Flags = NDArray[np.bool_]


def deck(  # noqa: PLR0913 - one keyword for each thing a deck may say
    network: Network,
    title: str,
    *,
    absent: Flags | None = None,
    relays: Flags | None = None,
    labels: Sequence[str] | None = None,
    guess_v: Sequence[float] | None = None,
    comments: Sequence[str] = (),
) -> str:
    """The deck of an operating point; nodes are ``n0``, ``n1`` … as numbered in the network.

    ``absent`` marks elements left out, ``relays`` the closed combining relays; ``labels`` names the elements,
    ``comments`` stand at the top.
    ``guess_v`` gives node voltages to start from: piecewise sources have flat stretches on which a simulator
    loses its way; where it arrives is its own.
    """
    out = np.zeros(network.size, bool) if absent is None else absent.copy()
    out[network.merged] = True
    closed = np.zeros(len(network.relays), bool) if relays is None else relays
    out[network.spans["relays"]] |= ~closed
    notes = [f"* {' '.join(line.splitlines())}" for line in comments]
    lines = [f"* {_one_line(title)}", *notes, SETTINGS, *_grounds(network, out)]
    for number, line in _elements(network):
        if not out[number]:
            note = f" ; {_one_line(labels[number])}" if labels else ""
            lines += [part + note for part in line.split("\n")]
    if guess_v is not None:
        used = set(network.node_of.tolist())
        lines += [f".nodeset v(n{n})={v:.9g}" for n, v in enumerate(guess_v) if n in used and not np.isnan(v)]
    return "\n".join([*lines, ".op", ".end", ""])


def _one_line(text: str) -> str:
    return " ".join(text.replace(";", ",").split())


def _grounds(network: Network, out: Flags) -> Iterator[str]:
    """Tie every piece to the simulator's ground at one node, fed or not; the tie carries no current."""
    tail = network.solved_tail
    sources = np.concatenate(
        [tail[network.spans[kind]][~out[network.spans[kind]]] for kind in ("sources", "limited")]
    )
    pieces = islands(network.pattern.links((~out).astype(np.float64)), sources, sources)
    for label in np.unique(pieces.label[tail[~out]]).tolist():
        yield f"Vground{label} n{pieces.ground[label]} 0 0"


def _elements(network: Network) -> Iterator[tuple[int, str]]:
    tail, head, at = network.solved_tail, network.solved_head, network.spans

    def rows(kind: str) -> Iterator[tuple[int, int, str, str]]:
        for row, number in enumerate(range(at[kind].start, at[kind].stop)):
            yield row, number, f"n{tail[number]}", f"n{head[number]}"

    for kind in ("resistors", "resistive", "relays"):
        ohms = network.of_kind(kind).ohm  # type: ignore[attr-defined]
        for row, number, a, b in rows(kind):
            yield number, f"R{number} {a} {b} {ohms[row]:.17g}"
    for row, number, a, b in rows("sources"):
        inner = f"e{number}"
        emf, ohm = network.sources.emf_v[row], network.sources.ohm[row]
        yield number, f"V{number} {inner} {a} {emf:.17g}\nR{number} {inner} {b} {ohm:.17g}"
    for row, number, a, b in rows("limited"):
        law = _limited(network, row, f"V({b},{a})")
        yield number, f"B{number} {a} out{number} I={law}\nVout{number} out{number} {b} 0"
    for row, number, a, b in rows("diodes"):
        drop, ohm = network.diodes.drop_v[row], network.diodes.ohm[row]
        yield number, f"B{number} {a} {b} I=max(V({a},{b})-{drop:.17g},0)/{ohm:.17g}"
    for row, number, a, b in rows("loads"):
        yield number, f"B{number} {a} {b} I={_load(network, row, f'V({a},{b})')}"


def _limited(network: Network, row: int, volts: str) -> str:
    """Set point behind a resistance, next to nothing backwards, with the small droop of a limiting source."""
    source = network.limited
    setpoint, ohm, limit = (float(figure[row]) for figure in (source.setpoint_v, source.ohm, source.limit_a))
    knee = setpoint - ohm * limit
    droop = limit * LIMITER_DROOP / max(knee, 1.0)
    regulating = f"max({setpoint:.17g}-{volts},{REVERSE:.17g}*({setpoint:.17g}-{volts}))/{ohm:.17g}"
    return f"{volts} < {knee:.17g} ? {limit:.17g}+{droop:.17g}*({knee:.17g}-{volts}) : {regulating}"


def _load(network: Network, row: int, volts: str) -> str:
    """Constant power or current above the cut-out voltage, a resistance below it."""
    loads, converters = network.loads, network.converters
    cut_out = float(loads.cut_out_v[row])
    feeding = np.flatnonzero(converters.load == row)
    amount = _converter_input(network, int(feeding[0])) if len(feeding) else f"{loads.amount[row]:.17g}"
    if len(feeding):
        return f"({amount})/max({volts},{max(cut_out, 1e-3):.17g})"
    running = f"({amount})/max({volts},1e-3)" if loads.is_power[row] else amount
    if cut_out <= 0:
        return running
    slope = loads.amount[row] / cut_out ** (2 if loads.is_power[row] else 1)
    return f"{volts} > {cut_out:.17g} ? {running} : {slope:.17g}*{volts}"


def _converter_input(network: Network, row: int) -> str:
    """The power a converter takes: what its output gives, over its efficiency, and what it idles at."""
    converters = network.converters
    output = int(converters.output[row])
    number = network.spans["limited"].start + output
    volts = f"V(n{network.solved_head[number]},n{network.solved_tail[number]})"
    return f"max({volts}*I(Vout{number}),0)/{converters.efficiency[row]:.17g}+{converters.idle_w[row]:.17g}"
