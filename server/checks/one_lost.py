"""One conductor of a heavy load's way come loose: does a thin one burn in its place?"""

from collections.abc import Iterator

import numpy as np

from server.boat.boat import Boat
from server.boat.conductors import Conductor
from server.boat.events import events_of
from server.boat.finding import Figure, Finding
from server.checks.words import conductor_words, when
from server.engine.answer import ModeAnswer
from server.engine.one_lost import lost_ways
from server.engine.solution import Solution
from server.practice.withstand import let_through_limit, withstand
from server.units import Ampere, Second

CRANKING_S: Second = 10.0
"""How long a starter is cranked at most (from memory, confirm with its maker)."""
SMALLEST_A: Ampere = 1e-3


def burning_in_its_place(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Conductors that reach their limit within a start when another one comes loose, the worst for each."""
    solution = Solution.of(boat, answer.mode)
    events = {event.id: event for event in events_of(boat)}
    wires = {one.id: one for one in boat.conductors if one.kind == "wire" and one.size is not None}
    for info in answer.events:
        solved = solution.event(info.event)
        labels = solved.net.labels
        rows = np.array([n for n, label in enumerate(labels) if label.element in wires], np.intp)
        limits = np.array([_let_through(wires[labels[row].element]) for row in rows])
        ways = lost_ways(solved)
        amps = np.abs(ways.current_a[rows])
        seconds = limits[:, None] / np.maximum(amps, SMALLEST_A) ** 2
        for column in np.flatnonzero((seconds < CRANKING_S).any(axis=0)):
            worst = int(seconds[:, column].argmin())
            hurt, lost = wires[labels[rows[worst]].element], labels[ways.opened[column]].element
            at, time = float(amps[worst, column]), float(seconds[worst, column])
            yield _finding(boat, when(boat, events[info.event]), lost, hurt, at, time)


def _let_through(conductor: Conductor) -> float:
    """k²S² of a wire in A²s, for the least that its insulation can be."""
    area_mm2 = 0.0 if conductor.size is None else conductor.size.area_mm2
    return let_through_limit(withstand(conductor.insulation_c).least.value, area_mm2)


def _finding(  # noqa: PLR0913, PLR0917 - everything that the sentence says
    boat: Boat, moment: str, lost: str, hurt: Conductor, amps: Ampere, seconds: Second
) -> Finding:
    other = next((one for one in boat.conductors if one.id == lost), None)
    names = {part.id: part.name for part in boat.parts}
    loose = (
        conductor_words(boat, other) if other is not None else names.get(lost.split(".", maxsplit=1)[0], lost)
    )
    size = "" if hurt.size is None else f" of {hurt.size.label}"
    k = withstand(hurt.insulation_c).least
    return Finding(
        code="burns-in-its-place",
        severity="advice",
        subjects=(hurt.id, lost),
        figure=Figure(value=amps, unit="A", basis="computed"),
        message=f"{moment} with {loose} loose, {amps:.0f} A run through {conductor_words(boat, hurt)}{size}: "
        f"its insulation is at its limit after about {seconds:.1g} s.",
        source=f"adiabatic limit k²S², {k.source}",
        source_status=k.status,
    )
