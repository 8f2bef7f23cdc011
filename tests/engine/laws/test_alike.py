"""Moves that change the state of a source or converter, told from the place of one of them solved in full."""

import numpy as np
import pytest

from server.boat.events import events_of
from server.boat.leads import lead
from server.engine.effects import Effects, Seen, others_after
from server.engine.held_lead import HeldLead
from server.engine.outcome import Outcome
from server.engine.solution import Solution
from server.engine.tap_numbers import EventNumbers, solved_after
from server.engine.target_numbers import TargetNumbers
from tests.engine.demo import demo_boat

LEADS = [
    ("3-workboat", "starting", "port-start", "converter", "output"),
    ("3-workboat", "starting", "port-start", "converter", "input"),
    ("2-trawler", "at-anchor", "inverter-surge", "inverter", "positive"),
]


BOATS = sorted({name for name, *_ in LEADS})


@pytest.fixture(params=LEADS, ids=[f"{part}.{terminal}" for *_, part, terminal in LEADS])
def event(request: pytest.FixtureRequest) -> EventNumbers:
    """The event after every move of a lead."""
    name, mode, event_id, part, terminal = request.param
    boat = demo_boat(name)
    solution = Solution.of(boat, mode)
    held = HeldLead(
        solution,
        solution.event(event_id),
        solution.places,
        lead(boat, part, terminal, solution.places.landings),
    )
    found = TargetNumbers(held, held.places_to_land()).event
    assert found is not None
    return found


def test_every_move_is_in_one_group_or_needs_none(event: EventNumbers) -> None:
    """Bases and what follows from them are together the moves that no quick answer holds for."""
    grouped = [move for one in event.alike for move in (one.base, *one.moves.tolist())]

    assert sorted(grouped) == np.flatnonzero(event.in_full).tolist()
    assert grouped


def test_a_followed_move_has_the_volts_and_bands_of_its_full_solution(event: EventNumbers) -> None:
    """1e-9 of the nominal voltage for the volts, over all that is no plain resistor, and for the bands."""
    inputs = event.solved.elements
    for one in event.alike:
        for move in one.moves.tolist():
            full = solved_after(event.solved, event.moves, move).present.element_v
            fed = inputs[~np.isnan(full[inputs])]
            widths = np.array(event.widths_after(move, fed))
            followed = np.array([[side[move] for side in event.widths(int(load))] for load in fed]).T

            assert event.voltage_v[move] == pytest.approx(full[event.first :], abs=1e-8, nan_ok=True)
            assert followed == pytest.approx(widths, abs=1e-8)


def test_some_moves_follow_others() -> None:
    """On the workboat all places for the converter's output but its own leave it feeding nothing."""
    boat = demo_boat("3-workboat")
    solution = Solution.of(boat, "starting")
    held = HeldLead(
        solution,
        solution.event("port-start"),
        solution.places,
        lead(boat, "converter", "output", solution.places.landings),
    )
    found = TargetNumbers(held, held.places_to_land()).event

    assert found is not None
    assert sum(len(one.moves) for one in found.alike) > len(found.alike)


def effects_of(event: EventNumbers) -> Effects:
    """The loads of an event that are not heavy."""
    boat = next(boat for boat in map(demo_boat, BOATS) if event.solved.event in events_of(boat))
    solution = Solution.of(boat, event.solved.event.mode)
    return Effects.of(solution, event.solved, Outcome.of(solution, event.solved))


def test_a_followed_move_gives_its_neighbours_their_verdicts(event: EventNumbers) -> None:
    """As their volts and bands after the full solution give them."""
    effects = effects_of(event)
    seen = effects.orders(others_after(effects, event))

    for move in np.flatnonzero(event.in_full).tolist():
        full = solved_after(event.solved, event.moves, move).present.element_v[effects.elements]
        below, above = event.widths_after(move, effects.elements)
        expected = effects.orders(Seen(full[None], below[None], above[None]))[0]
        told = ~np.isnan(full)
        assert seen[move][told].tolist() == expected[told].tolist()


def test_a_move_by_itself_gives_the_verdicts_that_it_gives_among_many(event: EventNumbers) -> None:
    """Bands are worked out by load where many moves ask, and by move where many loads ask."""
    effects = effects_of(event)
    seen = effects.orders(others_after(effects, event))

    for move in np.flatnonzero(~event.in_full).tolist():
        alone = EventNumbers(event.solved, event.moves.some(np.array([move])), (event.leads[move],))
        assert effects.orders(others_after(effects, alone))[0].tolist() == seen[move].tolist()
