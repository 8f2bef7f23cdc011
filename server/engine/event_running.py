"""What flows where while a heavy load runs on after its start, and without what runs for a short time."""

from collections.abc import Collection, Mapping

from server.boat.boat import Boat
from server.engine.operating_point import operating_point
from server.engine.solution import Solution, event_states
from server.units import Ampere


def running_currents(boat: Boat, mode_id: str, event_id: str) -> Mapping[str, Ampere]:
    """The current, without its sign, in every part and conductor with the event's heavy load running.

    Relays have settled by then, unlike at the first instant of the start. Of several elements the largest.

    Raises:
        UnknownModeError: the boat has no such mode or event.
    """
    solved = Solution.of(boat, mode_id).event(event_id)
    off, _ = event_states(solved.net, solved.heavy)
    off[solved.net.inputs[solved.heavy]] = False
    amps = abs(operating_point(solved.net.network, off).current_a).tolist()
    return {name: max(amps[row] for row in rows) for name, rows in solved.net.rows_of.items()}


def currents_without(boat: Boat, mode_id: str, parts: Collection[str]) -> Mapping[str, Ampere]:
    """The current, without its sign, in every part and conductor with some loads of the mode off.

    Raises:
        UnknownModeError: the boat has no such mode.
    """
    net = Solution.of(boat, mode_id).net
    off = net.off.copy()
    off[[row for (part, _), row in net.inputs.items() if part in parts]] = True
    amps = abs(operating_point(net.network, off).current_a).tolist()
    return {name: max(amps[row] for row in rows) for name, rows in net.rows_of.items()}
