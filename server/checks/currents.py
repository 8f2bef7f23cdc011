"""The current a lead has to carry, as far as the devices before it must let it through."""

from server.boat.boat import Boat
from server.boat.devices import Motor
from server.boat.parts import Alternator, AnyPart, Charger, Converter, Load, Outboard, Solar
from server.boat.value import nominal
from server.engine.drop import design_current
from server.units import Ampere, Volt

INRUSH_SHARE = 1 / 3
"""A device smaller than this share of an inrush opens before the motor has run up.

Common practice, no source: fuses of windlasses and winches are usually a third to a half of their inrush.
"""


def lead_current(boat: Boat, part: AnyPart, terminal: str) -> Ampere:
    """The least rating, in amperes, of a device that may stand before this lead.

    The design or running current, whichever is larger, and for a heavy motor a share of its inrush; for a
    source what it is rated to give.
    """
    nominal_v = _nominal_v(boat, part)
    match part:
        case Load():
            inputs = [one for one in part.inputs if terminal in {one.id, one.returns_to}]
            return sum(
                max(design_current(part, one.id, nominal_v)[0], _run_up(one.demand, heavy=part.heavy))
                for one in inputs
            )
        case Outboard():
            return _run_up(part.starter, heavy=True)
        case Alternator() | Charger() | Solar():
            return part.rated_current_a
        case Converter() if terminal == "output":
            return part.rated_current_a
        case Converter():
            return part.rated_current_a * part.output_v / nominal_v / (part.efficiency or 1.0)
        case _:
            return design_current(part, terminal, nominal_v)[0]


def _run_up(demand: object, *, heavy: bool) -> Ampere:
    if not isinstance(demand, Motor):
        return 0.0
    running = nominal(demand.running_current_a)
    if not heavy or demand.inrush_current_a is None:
        return running
    return max(running, INRUSH_SHARE * nominal(demand.inrush_current_a))


def _nominal_v(boat: Boat, part: AnyPart) -> Volt:
    islands = {one.id: one.nominal_voltage_v for one in boat.islands}
    return boat.nominal_voltage_v if part.island is None else islands[part.island]
