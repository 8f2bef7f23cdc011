"""Starting current that takes a thin conductor beside its way."""

from collections.abc import Iterator, Mapping

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.events import events_of
from server.boat.finding import Figure, Finding
from server.boat.parts import Load
from server.boat.value import nominal
from server.checks.one_lost import CRANKING_S
from server.checks.opening import span_words
from server.checks.protection import conductor_ampacity
from server.checks.words import conductor_words, part_of, when
from server.engine.answer import ModeAnswer
from server.engine.event_currents import start_currents
from server.practice.sourced import Sourced
from server.practice.time_current import Opening
from server.practice.withstand import withstand
from server.units import Ampere, Ratio, Second, SquareMillimetre

BESIDE: Ratio = 0.5
"""A wire that carries less of the heavy current than this is beside its way."""
LEAST_A: Ampere = 1.0
"""No conductor of a published size heats by less."""
THIN: Ratio = 0.25
"""And it is thin if it has less than this share of the copper on the way: our own bound."""


def starts_beside_their_way(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Thin wires beside a heavy load's way that carry more of its start than they may carry all day.

    Two returns between the same parts, a bonding wire beside an engine's strap, a charge lead between two
    banks: copper does not know what it was laid for. Wires of a named parallel group are meant so. Where no
    ampacity is known, those that would burn within the longest start.
    """
    events = {event.id: event for event in events_of(boat)}
    wires = {one.id: one for one in boat.conductors if one.kind == "wire" and one.size is not None}
    for info in answer.events:
        event = events[info.event]
        heavy = part_of(boat, event.heavy.part)
        held_s = heavy.duty_on_s if isinstance(heavy, Load) else None
        if info.inrush_a:
            amps = start_currents(boat, answer.mode, info.event)
            for wire in _thin(wires, amps, info.inrush_a):
                allowed = conductor_ampacity(boat, wire)
                known = allowed if isinstance(allowed, Sourced) else None
                burns = withstand(wire.insulation_c).burns_after(amps[wire.id], _area(wire))
                if burns[0] <= CRANKING_S if known is None else amps[wire.id] > known.value:
                    yield _finding(boat, when(boat, event), wire, amps[wire.id], known, burns, held_s)


def _thin(wires: Mapping[str, Conductor], amps: Mapping[str, Ampere], heavy_a: Ampere) -> Iterator[Conductor]:
    on_way = (_area(one) for name, one in wires.items() if amps.get(name, 0.0) >= BESIDE * heavy_a)
    most = max(on_way, default=0.0)
    for name, one in wires.items():
        is_beside = LEAST_A < amps.get(name, 0.0) < BESIDE * heavy_a
        if is_beside and one.parallel_group is None and _area(one) < THIN * most:
            yield one


def _area(wire: Conductor) -> SquareMillimetre:
    return 0.0 if wire.size is None else wire.size.area_mm2


def _finding(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat,
    moment: str,
    wire: Conductor,
    amps: Ampere,
    allowed: Sourced | None,
    burns: tuple[Second, Second],
    held_s: Second | None,
) -> Finding:
    may = "" if allowed is None else f", which may carry {allowed.value:.0f} A all day"
    k = withstand(wire.insulation_c).least
    return Finding(
        code="start-beside-its-way",
        severity="danger" if held_s is not None and burns[1] <= held_s else "advice",
        subjects=(wire.id,),
        figure=Figure(value=amps, unit="A", basis="computed"),
        limit=None if allowed is None else Figure(value=allowed.value, unit="A", basis="rule"),
        message=f"{moment}, {amps:.0f} A of it run through {conductor_words(boat, wire)}{_size(wire)}{may}: "
        f"it lies beside the way that is meant, and is at its limit after {span_words(Opening(*burns))}. "
        "Take one end off, or make both ways large enough.",
        source=(f"{allowed.source}; " if allowed else "") + f"adiabatic limit k²S², {k.source}",
        source_status=k.status if allowed is None else allowed.status,
    )


def _size(wire: Conductor) -> str:
    length = "" if wire.length_m is None else f", {nominal(wire.length_m):g} m long"
    return "" if wire.size is None else f" of {wire.size.label}{length}"
