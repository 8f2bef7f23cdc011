"""Piecewise elements: what state each is in, the line it follows there, and when it leaves it."""

from dataclasses import dataclass, replace
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from server.engine.arrays import Flags, Floats, Indices
from server.engine.network import Network

LIMITER_DROOP = 0.01
"""A limiting source gives one per cent more into a dead short than at its knee (a model, no source).

The slope keeps the matrix positive definite where a limiting source feeds an island alone.
"""
DEAD_BAND_V = 1e-9
"""A state is left only when its border is passed by more than rounding."""


class Regulation(IntEnum):
    """What a limited source is doing, in the order of falling output voltage that each belongs to."""

    BLOCKED = -1
    REGULATING = 0
    LIMITING = 1


@dataclass(frozen=True, eq=False)
class States:
    """The state of every piecewise element."""

    limited: NDArray[np.int8]
    diodes: Flags
    relays: Flags
    starved: Flags

    @property
    def key(self) -> bytes:
        """A hashable form."""
        return b"".join(part.tobytes() for part in (self.limited, self.diodes, self.relays, self.starved))

    def differ(self, other: "States") -> tuple[Indices, Indices, Indices, Indices]:
        """The rows of each kind whose states differ."""
        ours = (self.limited, self.diodes, self.relays, self.starved)
        theirs = (other.limited, other.diodes, other.relays, other.starved)
        limited, diodes, relays, starved = (np.flatnonzero(a != b) for a, b in zip(ours, theirs, strict=True))
        return limited, diodes, relays, starved

    def first_change(self, wanted: "States") -> "States":
        """These states with only the first of the wanted changes made (least-index rule); there is one."""
        names = ("limited", "diodes", "relays", "starved")
        changed = zip(names, self.differ(wanted), strict=True)
        name, row = next((name, rows[0]) for name, rows in changed if len(rows))
        values = getattr(self, name).copy()
        values[row] = getattr(wanted, name)[row]
        return replace(self, **{name: values})


def starting_states(network: Network, relays: Flags | None) -> States:
    """Sources regulate, diodes conduct, loads run; relays are open unless told."""
    return States(
        limited=np.zeros(len(network.limited), np.int8),
        diodes=np.ones(len(network.diodes), bool),
        relays=np.zeros(len(network.relays), bool) if relays is None else relays.copy(),
        starved=np.zeros(len(network.loads), bool),
    )


def lines(network: Network, states: States, absent: Flags | None) -> tuple[Floats, Floats]:
    """Conductance g and rise e of every element in its state: i = g (v_tail - v_head + e)."""
    g, e, at = np.zeros(network.size), np.zeros(network.size), network.spans
    g[at["resistors"]] = 1 / np.maximum(network.resistors.ohm, 1e-300)
    g[at["sources"]], e[at["sources"]] = 1 / network.sources.ohm, network.sources.emf_v
    if len(network.limited):
        g[at["limited"]], e[at["limited"]] = _limited_lines(network, states)
    if len(network.diodes):
        g[at["diodes"]] = np.where(states.diodes, 1 / network.diodes.ohm, 0.0)
        e[at["diodes"]] = -network.diodes.drop_v
    if len(network.relays):
        g[at["relays"]] = np.where(states.relays, 1 / network.relays.ohm, 0.0)
    g[at["resistive"]] = 1 / np.maximum(network.resistive.ohm, 1e-300)
    if states.starved.any():
        g[at["loads"]] = np.where(states.starved, starved_conductance(network), 0.0)
    g[network.merged] = 0.0
    if absent is not None:
        g[absent] = 0.0
    return g, e


def starved_conductance(network: Network) -> Floats:
    """The resistance line of each load below its cut-out: through the origin and the point at the cut-out."""
    loads = network.loads
    cut_out = np.where(loads.cut_out_v > 0, loads.cut_out_v, np.inf)
    starved = loads.amount / np.where(loads.is_power > 0, cut_out**2, cut_out)
    starved[network.converters.load] = 0.0
    return starved


def _limited_lines(network: Network, states: States) -> tuple[Floats, Floats]:
    """A limited source's line: its set point behind its resistance, its limit, or nothing."""
    source = network.limited
    knee_v = source.setpoint_v - source.ohm * source.limit_a
    droop = source.limit_a * LIMITER_DROOP / np.maximum(knee_v, 1.0)
    limiting, blocked = states.limited == Regulation.LIMITING, states.limited == Regulation.BLOCKED
    g = np.where(limiting, droop, np.where(blocked, 0.0, 1 / source.ohm))
    e = np.where(limiting, knee_v + source.limit_a / np.maximum(droop, 1e-300), source.setpoint_v)
    return g, e


@dataclass(frozen=True, eq=False)
class Borders:
    """The voltages that decide states; the last axis runs over the elements of a kind."""

    limited: Floats
    diodes: Floats
    relays: Floats
    loads: Floats

    @classmethod
    def at(cls, network: Network, v: Floats) -> "Borders":
        """Read from node voltages: tail minus head; for relays the higher sensed side above the reference."""
        relays = network.relays
        return cls(
            limited=v[network.limited.tail] - v[network.limited.head],
            diodes=v[network.diodes.tail] - v[network.diodes.head],
            relays=np.fmax(v[relays.sense], v[relays.other_sense]) - v[relays.reference],
            loads=v[network.loads.tail] - v[network.loads.head],
        )


@dataclass(frozen=True, eq=False)
class Idle:
    """Elements whose state does not matter: loads without supply or absent, sources that are absent."""

    loads: Flags
    limited: Flags

    @classmethod
    def of(cls, network: Network, unfed: Flags, absent: Flags | None) -> "Idle":
        """Idle elements, from loads without supply and elements taken out."""
        if absent is None:
            return cls(unfed, np.zeros(len(network.limited), bool))
        return cls(unfed | absent[network.spans["loads"]], absent[network.spans["limited"]])


def next_states(
    network: Network, states: States, borders: Borders, idle: Idle, *, relays_held: bool
) -> States:
    """The states the voltages call for; idle elements keep theirs."""
    return States(
        limited=_next_limited(network, states, borders.limited, idle),
        diodes=_next_diodes(network, states, borders.diodes),
        relays=states.relays if relays_held else _next_relays(network, states, borders.relays),
        starved=_next_starved(network, states, borders.loads, idle),
    )


def _next_limited(network: Network, states: States, across: Floats, idle: Idle) -> NDArray[np.int8]:
    source = network.limited
    below = source.setpoint_v + across
    knee = source.ohm * source.limit_a
    blocked, limiting = states.limited == Regulation.BLOCKED, states.limited == Regulation.LIMITING
    wanted = np.full(below.shape, np.int8(Regulation.REGULATING))
    wanted[below > np.where(limiting, knee - DEAD_BAND_V, knee + DEAD_BAND_V)] = Regulation.LIMITING
    wanted[below < np.where(blocked, DEAD_BAND_V, -DEAD_BAND_V)] = Regulation.BLOCKED
    wanted = np.clip(wanted, states.limited - 1, states.limited + 1)  # two lines at once would overshoot
    converters = network.converters
    dead = states.starved[converters.load] | idle.loads[converters.load]
    wanted[..., converters.output[dead]] = Regulation.BLOCKED
    return np.where(idle.limited, states.limited, wanted)


def _next_diodes(network: Network, states: States, across: Floats) -> Flags:
    forward = across - network.diodes.drop_v
    conducts: Flags = forward > np.where(states.diodes, -DEAD_BAND_V, DEAD_BAND_V)
    return conducts


def _next_relays(network: Network, states: States, sensed: Floats) -> Flags:
    relays = network.relays
    closed: Flags = np.where(states.relays, sensed > relays.open_v, sensed >= relays.close_v)
    return closed


def _next_starved(network: Network, states: States, across: Floats, idle: Idle) -> Flags:
    cut_out = network.loads.cut_out_v
    border = np.where(states.starved, cut_out + DEAD_BAND_V, cut_out - DEAD_BAND_V)
    starved: Flags = ~idle.loads & (across < border) & (cut_out > 0)
    return starved
