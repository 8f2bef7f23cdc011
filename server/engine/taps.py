"""Pick up a lead: what would come of landing it at each place, ranked.

An answer at a place is by definition the analysis of the boat that the move edit would produce: the moved
conductor comes from the edit's own function, its length rule included.
"""

from dataclasses import replace

from server.boat.boat import Boat
from server.boat.edit_values import MoveLead
from server.boat.edit_wiring import move_lead
from server.boat.leads import Lead, lead
from server.boat.value import TerminalRef
from server.engine.answer import Break, PickUp, TapAnswer
from server.engine.held_lead import HeldLead
from server.engine.places import Places
from server.engine.ranking import merged, ranked, reranked
from server.engine.solution import Solution, UnknownModeError
from server.engine.target_numbers import TargetNumbers


class NoLeadError(LookupError):
    """No lead that could be moved begins at this terminal; the message says why."""


def pick_up(boat: Boat, part: str, terminal: str, mode_id: str, event_id: str | None) -> PickUp:
    """Every place a lead could land, with what would come of it, ranked; the inadmissible last.

    Raises:
        UnknownModeError: the boat has no such mode, event or part.
        NoLeadError: no lead begins there.
    """
    solution = Solution.of(boat, mode_id)
    if part not in solution.parts:
        raise UnknownModeError(f"no part “{part}”")
    places = solution.places
    held = lead(boat, part, terminal, places.landings)
    if held.last is None or held.far is None:
        raise NoLeadError(held.reason or "no lead begins there")
    if held.tap is None:
        return _pick_up_loose(boat, held, mode_id, event_id)
    solved = None if event_id is None else solution.event(event_id)
    return _answer(HeldLead(solution, solved, places, held))


def breaks_at(boat: Boat, part: str, terminal: str, mode_id: str, to: TerminalRef) -> tuple[Break, ...]:
    """What landing a lead on one terminal would break: what ``pick_up`` says of that place, and it alone.

    Raises:
        UnknownModeError: the boat has no such mode.
        NoLeadError: no lead begins there.
    """
    solution = Solution.of(boat, mode_id)
    held = lead(boat, part, terminal, solution.places.landings)
    if held.last is None or held.far is None:
        raise NoLeadError(held.reason or "no lead begins there")
    return HeldLead(solution, None, solution.places, held).breaks_at((to.part, to.terminal))


def _pick_up_loose(boat: Boat, held: Lead, mode_id: str, event_id: str | None) -> PickUp:
    """A lead that hangs loose is landed anywhere first, so that there is one to move."""
    loose = HeldLead(Solution.of(boat, mode_id), None, Places(boat), held)
    first = next(iter(loose.places_to_land()), None)
    if first is None:
        return PickUp(
            part=held.part,
            terminal=held.terminal,
            name=loose.names.element(held.part),
            polarity=held.polarity,
            mode=mode_id,
            event=event_id,
            present=None,
            taps=(),
        )
    to = TerminalRef(part=first.terminal[0], terminal=first.terminal[1])
    landed = move_lead(boat, MoveLead(part=held.part, terminal=held.terminal, to=to))
    found = pick_up(landed, held.part, held.terminal, mode_id, event_id)
    taps = tuple(replace(one, present=False) for one in found.taps)
    return replace(found, present=None, taps=reranked(taps))


def _answer(held: HeldLead) -> PickUp:
    """All targets ranked."""
    numbers = TargetNumbers(held, held.places_to_land())
    answers = [_answer_at(held, numbers, at) for at in range(len(numbers.targets))]
    taps = ranked(merged(answers), held.places.bars)
    return PickUp(
        part=held.held.part,
        terminal=held.held.terminal,
        name=held.names.input(*held.inputs[0]) if held.inputs else held.names.element(held.held.part),
        polarity=held.held.polarity,
        mode=held.solution.mode.id,
        event=None if held.solved is None else held.solved.event.id,
        present=next((one for one in taps if one.present), None),
        taps=tuple(taps),
        occupied_ways=held.occupied_ways,
        observed=numbers.observed_key,
    )


def _answer_at(held: HeldLead, numbers: TargetNumbers, at: int) -> TapAnswer:
    one, others = numbers.targets[at], numbers.others(at)
    terminal = held.places.ref(one.terminal)
    return TapAnswer(
        terminal=terminal,
        same_as=tuple(map(held.places.ref, one.same)),
        place=held.names.terminal(terminal),
        present=one.present,
        rank=None,
        mark=numbers.mark(at, others),
        breaks=one.breaks,
        lowest=numbers.lowest[at],
        need_v=None if numbers.need is None else numbers.need.value_v,
        verdict=numbers.verdicts[at],
        steady_v=numbers.steady_v(at),
        drop_v=numbers.drop_v(at),
        drop_fraction=numbers.drop_fraction(at),
        shared_ohm=numbers.shared_ohm(at),
        length_m=one.length_m,
        length_basis=one.length_basis,
        counted_fraction=numbers.counted_fraction(at),
        protected=held.held.polarity == "negative" or "unprotected" not in one.breaks,
        others=others,
        banks=numbers.banks(at),
        unknown=tuple(held.names.element(name) for name in numbers.unknown(at)),
    )
