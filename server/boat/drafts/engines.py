"""Engines of a draft: block, starter, alternator and strap."""

from dataclasses import dataclass

from server.boat.devices import LoadInput, Motor
from server.boat.drafts.sheet import ENGINE_SPACE, Sheet
from server.boat.drafts.sizing import gauge_for
from server.boat.drafts.wish import EngineSize
from server.boat.parts import Alternator, EngineBlock, Load
from server.boat.value import Id
from server.units import Ampere, Ratio, Second, Volt

LOADED: Volt = 10.0 / 12.0
"""A starter's terminals while it turns the engine, as a share of the nominal voltage."""
AT_24_V: Ratio = 0.55
"""A 24 V starter's current against a 12 V one's for the same engine."""
RUN_UP_S: Second = 0.15
ALTERNATOR_A: Ampere = 70.0
ALTERNATOR_FUSE_A: Ampere = 100.0
SETPOINT_V: Volt = 14.2


@dataclass(frozen=True, slots=True)
class Starter:
    """What a starter draws at 12 V at standstill, and turning the engine; common practice, no source."""

    inrush_a: Ampere
    running_a: Ampere


STARTERS: dict[EngineSize, Starter] = {
    "small": Starter(500.0, 160.0),
    "medium": Starter(800.0, 230.0),
    "large": Starter(1100.0, 300.0),
}


def engine(sheet: Sheet, prefix: str, side_m: float, negative: Id) -> tuple[str, str]:
    """An engine strapped to the negative bus; answers the terminals of its starter and its alternator.

    ``prefix`` is empty, or tells two engines apart.
    """
    title = f"{prefix.capitalize()} engine" if prefix else "Engine"
    block, starter, alternator = (
        f"{prefix}-{what}".lstrip("-") for what in ("engine", "starter", "alternator")
    )
    spot = sheet.spot(0.72, side_m, 0.4)
    sheet.put(
        EngineBlock(
            kind="engine-block",
            id=block,
            name=title,
            place=spot,
            zone=ENGINE_SPACE,
            studs=4,
            fuel="diesel",
            negative="block",
        )
    )
    sheet.put(
        Load(
            kind="load",
            id=starter,
            name=f"{title} starter",
            place=spot,
            zone=ENGINE_SPACE,
            role="starter",
            inputs=(LoadInput(id="motor", demand=_demand(sheet)),),
            heavy=True,
            consequence="operation",
            duty="momentary",
            duty_on_s=10.0,
        )
    )
    factor = sheet.volts / 12.0
    sheet.put(
        Alternator(
            kind="alternator",
            id=alternator,
            name=f"{title} alternator",
            place=spot,
            zone=ENGINE_SPACE,
            rated_current_a=ALTERNATOR_A,
            hot_idle_a=25.0,
            hot_cruise_a=55.0,
            setpoint_v=SETPOINT_V * factor,
            regulator="internal",
            sense_at="own-terminal",
            case="grounded",
            self_limiting="yes",
            open_circuit_harms="yes",
            engine=block,
        )
    )
    sheet.link(f"{starter}-case", f"{starter}.negative", sheet.stud(block))
    sheet.link(f"{alternator}-case", f"{alternator}.negative", sheet.stud(block))
    sheet.heavy(f"{block}-strap", sheet.stud(negative), sheet.stud(block), colour="black")
    return f"{starter}.motor", f"{alternator}.positive"


def _demand(sheet: Sheet) -> Motor:
    known, factor = STARTERS[sheet.wish.engine], sheet.volts / 12.0
    share = 1.0 if factor == 1.0 else AT_24_V
    return Motor(
        kind="motor",
        running_current_a=known.running_a * share,
        running_voltage_v=LOADED * sheet.volts,
        inrush_current_a=known.inrush_a * share,
        inrush_voltage_v=LOADED * sheet.volts,
        run_up_s=RUN_UP_S,
        winding="series",
    )


def charging(sheet: Sheet, alternator: str, bus: Id) -> None:
    """The alternator's cable to a bus that always has its battery, fused at the bus."""
    slug = alternator.split(".", maxsplit=1)[0]
    out = (f"{sheet.fuse_on(bus, slug, ALTERNATOR_FUSE_A)}.load", alternator)
    gauge = gauge_for(ALTERNATOR_FUSE_A, ALTERNATOR_A, 2 * sheet.metres(*out), 0.03 * sheet.volts, hot=True)
    sheet.wire(f"{slug}-pos", *out, gauge, "red")
