"""What a load shares with a heavy load: more copper there, or the heavy load on another bar or bank."""

from collections.abc import Iterator

from server.boat.events import events_of
from server.boat.finding import Mend
from server.boat.leads import Lead
from server.checks.mending import sizes, wiring
from server.checks.mending.patient import Patient
from server.checks.mending.wiring import Taps
from server.engine.answer import CommonWire

MOST_WIRES = 3
"""So many of the wires that a load shares with a heavy load are made thicker, each by itself."""


def thicker_shared(patient: Patient) -> Iterator[Mend]:
    """The wires in which the load loses most to the heavy load, each in the next sizes."""
    wires = sorted(_common(patient), key=lambda one: -one.share_v)
    for one in wires[:MOST_WIRES]:
        yield from sizes.thicker(patient, [one.element])


def heavy_elsewhere(patient: Patient, taps: Taps) -> Iterator[Mend]:
    """The leads of the heavy load on another bar: that of a bank of its own, where the boat has one.

    What is bolted metal on metal, as a starter to its engine, stays.
    """
    event = next((one for one in events_of(patient.boat) if one.id == patient.finding.event), None)
    if event is not None:
        part = event.heavy.part
        wired = [one.terminal for one in patient.leads_of(part) if not _is_bolted(patient, one)]
        yield from wiring.moved(patient, part, wired, taps)


def _is_bolted(patient: Patient, lead: Lead) -> bool:
    return all(patient.conductors[name].kind == "link" for name in lead.conductors)


def _common(patient: Patient) -> Iterator[CommonWire]:
    part, name = patient.finding.subjects[:2]
    for mode in patient.modes:
        for load in mode.loads:
            if mode.mode == patient.finding.mode and (load.part, load.input) == (part, name):
                for seen in load.events:
                    yield from seen.common_wires if seen.event == patient.finding.event else ()
