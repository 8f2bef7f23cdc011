"""Picking up the own leads of heavy loads and converters: such moves change the event or a source's state."""

from collections.abc import Iterator
from dataclasses import dataclass

from server.actions.judged_taps import judged
from server.boat.boat import Boat
from server.boat.events import events_of
from server.boat.leads import leads
from server.boat.modes import Event
from server.boat.parts import Converter
from server.checks.ground import Ground
from server.engine.solution import Solution
from server.engine.taps import pick_up
from tests.bench.clock import timed
from tests.engine.demo import demo_boat

LARGEST = ("2-trawler", "3-workboat", "5-large-yacht")


@dataclass(frozen=True)
class OwnLeadsRow:
    """The slowest pick-up among the own leads of an event's heavy load and of converters; milliseconds.

    The mode and its event are solved already, as they are for a page that is shown.
    """

    boat: str
    leads: int
    slowest: str
    slowest_ms: float
    median_ms: float


def own_leads_rows(names: tuple[str, ...] = LARGEST) -> Iterator[OwnLeadsRow]:
    """A row for each boat."""
    for name in names:
        boat = demo_boat(name)
        took = sorted(
            (_pick_up_ms(boat, event, *terminal), f"{terminal[0]}.{terminal[1]} in {event.id}")
            for event in events_of(boat)
            for terminal in _own(boat, event)
        )
        slowest_ms, slowest = took[-1]
        yield OwnLeadsRow(name, len(took), slowest, slowest_ms, took[len(took) // 2][0])


def _own(boat: Boat, event: Event) -> Iterator[tuple[str, str]]:
    converters = {part.id for part in boat.parts if isinstance(part, Converter)}
    for found in leads(boat):
        if found.last is not None and found.part in converters | {event.heavy.part}:
            yield found.part, found.terminal


def _pick_up_ms(boat: Boat, event: Event, part: str, terminal: str) -> float:
    solution = Solution.of(boat, event.mode)
    solution.event(event.id)
    ground = Ground(boat, solution.mode)
    return timed(lambda: judged(ground, pick_up(boat, part, terminal, event.mode, event.id)), runs=2).best_ms
