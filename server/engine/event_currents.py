"""What flows through parts and conductors at the first instant of a start."""

from collections.abc import Mapping

from server.boat.boat import Boat
from server.engine.solution import Solution
from server.units import Ampere


def event_currents(boat: Boat, mode_id: str, event_id: str) -> Mapping[str, Ampere]:
    """The current, without its sign, in every part and conductor; of several elements the largest.

    Raises:
        UnknownModeError: the boat has no such mode or event.
    """
    solved = Solution.of(boat, mode_id).event(event_id)
    amps = abs(solved.present.current_a).tolist()
    return {name: max(amps[row] for row in rows) for name, rows in solved.net.rows_of.items()}


def start_currents(boat: Boat, mode_id: str, event_id: str) -> Mapping[str, Ampere]:
    """The same of what the start alone adds, in every part and conductor.

    Raises:
        UnknownModeError: the boat has no such mode or event.
    """
    solved = Solution.of(boat, mode_id).event(event_id)
    amps = abs(solved.present.current_a - solved.absent.current_a).tolist()
    return {name: max(amps[row] for row in rows) for name, rows in solved.net.rows_of.items()}
