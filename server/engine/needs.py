"""What a load needs to keep running, and whether it gets it."""

from dataclasses import dataclass

from server.boat.devices import ConstantPower
from server.boat.parts import AnyPart, Inverter, Load, Outboard
from server.boat.value import Known, bounds, nominal
from server.engine.answer import Band, Verdict
from server.engine.figures import Figures
from server.units import Volt

ELECTRONIC_ROLES = frozenset({"electronics", "autopilot", "radio", "backbone"})
MIDWAY_12_OR_24_V: Volt = 18.0
LARGEST_24_V: Volt = 30.0


VERDICT_ORDER: dict[Verdict, int] = {
    "keeps-running": 0,
    "limit-not-known": 1,
    "too-close-to-call": 2,
    "restarts": 3,
}
"""The best verdict first."""


@dataclass(frozen=True, slots=True)
class Need:
    """The lowest voltage a load stands, as a range, and where that comes from.

    ``low_v`` is None where there is no such limit, or where it is not known.
    """

    low_v: Volt | None
    value_v: Volt | None
    high_v: Volt | None
    source: str
    assumed: bool
    can_restart: bool

    @property
    def band(self) -> Band | None:
        """The range; None where the limit is not known, or known exactly."""
        if self.low_v is None or self.value_v is None or self.high_v is None or self.low_v == self.high_v:
            return None
        return Band(self.low_v, self.value_v, self.high_v)


def need_of(part: AnyPart, terminal: str, nominal_v: Volt, figures: Figures) -> Need:
    """What one input needs: as stated, else for electronics as assumed; lamps and motors cannot restart."""
    stated, source = _stated(part, terminal)
    if stated is not None:
        low, high = bounds(stated)
        return Need(low, nominal(stated), high, source, assumed=False, can_restart=True)
    if not _is_electronic(part, terminal):
        reason = "has no electronics that could restart (by its kind; common practice, no source)"
        return Need(None, None, None, reason, assumed=True, can_restart=False)
    if nominal_v > LARGEST_24_V:
        return Need(None, None, None, "not stated, and nothing to assume", assumed=True, can_restart=True)
    system = "12v" if nominal_v < MIDWAY_12_OR_24_V else "24v"
    taken = figures.level(f"electronics_cut_out_voltage_{system}", part.id)
    used = figures.used[taken.number]
    source = "assumed" if used is None else f"assumed: {used.source}"
    return Need(taken.low, taken.value, taken.high, source, assumed=True, can_restart=True)


def _stated(part: AnyPart, terminal: str) -> tuple[Known | None, str]:
    match part:
        case Load():
            one = next(one for one in part.inputs if one.id == terminal)
            return one.minimum_voltage_v, one.limit_source or "as entered for this load"
        case Inverter():
            stated = part.low_cut_out_v if part.minimum_voltage_v is None else part.minimum_voltage_v
            return stated, "as entered for this inverter"
        case Outboard():
            return part.control_minimum_v, "as entered for this engine"
        case _:
            return None, ""


def _is_electronic(part: AnyPart, terminal: str) -> bool:
    match part:
        case Load():
            demand = next(one.demand for one in part.inputs if one.id == terminal)
            return part.role in ELECTRONIC_ROLES or isinstance(demand, ConstantPower)
        case Inverter() | Outboard():
            return True
        case _:
            return False


def verdict(lowest: Band, need: Need, *, at_best: bool = False) -> Verdict:
    """Keeps running only with the whole band above the need, restarts only with all of it below.

    ``at_best`` says that a wire of unknown resistance lies on the way: the voltage may be lower still.
    """
    if need.low_v is None or need.high_v is None:
        return "limit-not-known"
    if lowest.low >= need.high_v:
        return "too-close-to-call" if at_best else "keeps-running"
    if lowest.high < need.low_v:
        return "restarts"
    return "too-close-to-call"
