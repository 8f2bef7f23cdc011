"""From an edit to the picture after it, beside one solution of that boat; and memory over many edits."""

import gc
import tempfile
import tracemalloc
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from server.actions import answers, boats, changes, pictures
from server.actions.choices import Chosen
from server.actions.yard import OpenBoat, Yard, open_boat, open_yard
from server.boat.boat import Boat
from server.boat.constructors import fuse
from server.boat.document import boat_bytes
from server.boat.edits import MoveLead, SingleEdit, Splice, apply
from server.boat.value import TerminalRef
from server.engine.netlist import netlist
from server.engine.operating_point import operating_point
from server.engine.solution import Solution, event_states
from tests.bench.boats import EVENT, MODE
from tests.bench.events import processor_ms

CHOSEN = Chosen(MODE, EVENT)
MANY_EDITS = 2_000
WARMING_UP = 80
"""More than any store of last results keeps of drawn boats: every one of these is drawn."""
DRAWN_EVERY = 20


@dataclass(frozen=True)
class EditRow:
    """A fuse put into a lead until its picture is there, and the boat's network solved; processor times."""

    conductors: int
    edit_to_picture_ms: float
    of_it_edit_ms: float
    solve_ms: float

    @property
    def solves(self) -> float:
        """How many solutions the whole takes as long as."""
        return self.edit_to_picture_ms / self.solve_ms


@dataclass(frozen=True)
class EditMemoryRow:
    """Memory held before and after many edits, in mebibytes."""

    edits: int
    before_mib: float
    after_mib: float

    @property
    def grown_mib(self) -> float:
        """How much more it is."""
        return self.after_mib - self.before_mib


def edit_row(boat: Boat) -> EditRow:
    """Put fuses into one load's lead after the other, so that nothing is remembered, and draw each boat."""
    numbers = count()
    with tempfile.TemporaryDirectory() as folder:
        yard, option = _working(folder, boat)
        edited = processor_ms(lambda: _edited(yard, option, _cut_in(next(numbers))), runs=5)
        whole = processor_ms(lambda: _drawn(yard, _edited(yard, option, _cut_in(next(numbers)))), runs=5)
        yard.store.close()
    after = apply(boat, _cut_in(0))
    event = Solution.of(after, MODE).event(EVENT)

    def solve() -> object:
        net = netlist(after, after.modes[0], event.event.conditions)
        return operating_point(net.network, event_states(net, event.heavy)[1])

    return EditRow(len(boat.conductors), whole, edited, processor_ms(solve, runs=5))


def edit_memory_row(boat: Boat, edits: int = MANY_EDITS) -> EditMemoryRow:
    """Move leads to and fro many times, drawing now and then; what Python holds before and after."""
    with tempfile.TemporaryDirectory() as folder:
        yard, option = _working(folder, boat)
        loads = sum(part.id.startswith("load-") for part in boat.parts)
        moves = (_move(number % loads, number // loads) for number in count(1))
        tracemalloc.start()
        try:
            before_mib = _held_after(yard, option, moves, min(WARMING_UP, edits), drawn_every=1)
            after_mib = _held_after(yard, option, moves, edits, drawn_every=DRAWN_EVERY)
            return EditMemoryRow(edits, before_mib, after_mib)
        finally:
            tracemalloc.stop()
            yard.store.close()


def _working(folder: str, boat: Boat) -> tuple[Yard, str]:
    """A yard with one option of a boat, which takes edits as they come."""
    yard = open_yard(Path(folder))
    boat_id = boats.take_in(yard, boat_bytes(boat), boats.fresh_request_id()).row.id
    first = changes.apply_edit(yard, boat_id, 1, _move(0, 0), boats.fresh_request_id())
    return yard, first.after.id


def _cut_in(number: int) -> Splice:
    part = fuse(f"cut-in-{number}", "Cut in", 10.0)
    return Splice(conductor=f"plus-{number}", part=part, new_conductor=f"piece-{number}", distance_m=0.1)


def _move(number: int, turn: int) -> MoveLead:
    to = TerminalRef(part="minus-bus-0", terminal=f"stud-{7 + (number + turn) % 12}")
    return MoveLead(part=f"load-{number}", terminal="negative", to=to)


def _edited(yard: Yard, boat_id: str, edit: SingleEdit) -> OpenBoat:
    rev = yard.store.head(boat_id).rev
    return changes.apply_edit(yard, boat_id, rev, edit, boats.fresh_request_id()).after


def _drawn(yard: Yard, opened: OpenBoat) -> None:
    answer = answers.shown_answer(yard, opened, CHOSEN)
    pictures.diagram(yard, opened, answer, event=EVENT, selected=None, earlier=None)


def _held_after(
    yard: Yard, boat_id: str, moves: Iterator[MoveLead], edits: int, *, drawn_every: int
) -> float:
    for number in range(edits):
        opened = _edited(yard, boat_id, next(moves))
        if number % drawn_every == 0:
            _drawn(yard, open_boat(yard, opened.id))
    gc.collect()
    return tracemalloc.get_traced_memory()[0] / 2**20
