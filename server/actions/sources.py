"""What a charging source does in a mode: what it gives, which batteries take it, which shunt counts it."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from server.boat.boat import Boat
from server.boat.parts import Alternator, AnyPart, Battery, Charger, Converter, MeasuringShunt, Solar

if TYPE_CHECKING:
    from server.engine.answer import BranchFlow, ModeAnswer

SMALLEST_A = 0.05
"""Half of the 0.1 A to which currents are shown."""

Source = Alternator | Charger | Solar | Converter


@dataclass(frozen=True)
class Taking:
    """A battery that is being charged in the mode, whoever charges it, with the volts at its own posts."""

    name: str
    current_a: float
    voltage_v: float


@dataclass(frozen=True)
class AtIdle:
    """The mode with an engine's alternators hot at idle: what this one gives, what goes into the batteries.

    ``battery_a`` is negative where the batteries have to help.
    """

    current_a: float
    battery_a: float


@dataclass(frozen=True)
class SourceFacts:
    """What a source gives in a mode, if it is on, and the shunts that do not count it."""

    part: Source
    current_a: float | None
    voltage_v: float | None
    taking: tuple[Taking, ...]
    uncounted_by: tuple[str, ...]
    shunts: int
    at_idle: "AtIdle | None" = None


def source_named(boat: Boat, part_id: str | None) -> Source | None:
    """The charging source of this id."""
    part: AnyPart | None = next((one for one in boat.parts if one.id == part_id), None)
    return part if isinstance(part, Alternator | Charger | Solar | Converter) else None


def source_facts(boat: Boat, part: Source, answer: "ModeAnswer") -> SourceFacts:
    """What a source does in the mode that was answered."""
    flows = {flow.element: flow for flow in answer.flows}
    mine = [flow for name, flow in flows.items() if name == part.id or name.startswith(f"{part.id}.")]
    given = max(mine, key=lambda flow: abs(flow.current_a), default=None)
    return SourceFacts(
        part=part,
        current_a=None if given is None else sum(flow.current_a for flow in mine),
        voltage_v=None if given is None else abs(given.drop_v),
        taking=tuple(_taking(boat, flows)),
        uncounted_by=_uncounted_by(boat, part, answer.mode),
        shunts=sum(isinstance(one, MeasuringShunt) for one in boat.parts),
        at_idle=None if given is None else _at_idle(boat, part, answer.mode),
    )


def _at_idle(boat: Boat, part: Source, mode: str) -> AtIdle | None:
    """The mode solved with the alternators at what they give hot at idle; None where that is not stated."""
    from server.engine.analysis import analyse_mode

    if not isinstance(part, Alternator) or part.hot_idle_a is None:
        return None
    idling = tuple(
        one.model_copy(update={"hot_cruise_a": one.hot_idle_a})
        if isinstance(one, Alternator) and one.hot_idle_a is not None and one.engine == part.engine
        else one
        for one in boat.parts
    )
    solved = analyse_mode(boat.model_copy(update={"parts": idling}), mode, events=(), explained=())
    amps = {flow.element: flow.current_a for flow in solved.flows}
    # Of batteries in series each carries the same current: by its share of the volts it counts once.
    given = (
        amps.get(one.id, 0.0) * one.nominal_voltage_v / boat.nominal_voltage_v
        for one in boat.parts
        if isinstance(one, Battery)
    )
    return AtIdle(amps.get(part.id, 0.0), -sum(given))


def _taking(boat: Boat, flows: "dict[str, BranchFlow]") -> list[Taking]:
    charged = [
        Taking(part.name, -flows[part.id].current_a, abs(flows[part.id].drop_v))
        for part in boat.parts
        if isinstance(part, Battery) and part.id in flows
    ]
    return [one for one in charged if one.current_a >= SMALLEST_A]


def _uncounted_by(boat: Boat, part: Source, mode_id: str) -> tuple[str, ...]:
    """The shunts past which the source's current comes back to their bank."""
    import networkx as nx

    from server.checks.paths import Paths

    graph = Paths(boat, next(mode for mode in boat.modes if mode.id == mode_id)).without_shunts
    past = []
    for shunt in boat.parts:
        if isinstance(shunt, MeasuringShunt):
            banked = [
                (one.id, "negative")
                for one in boat.parts
                if isinstance(one, Battery)
                and (one.bank == shunt.bank or (shunt.bank is None and one.use == "house"))
            ]
            if any(nx.has_path(graph, (part.id, "negative"), post) for post in banked):
                past.append(shunt.name)
    return tuple(past)
