"""Electronics that stand below what they need all the while, in the steady state of a mode."""

from collections.abc import Iterator

from server.boat.boat import Boat
from server.boat.finding import Figure, Finding
from server.checks.words import the
from server.engine.answer import InputAnswer, ModeAnswer
from server.engine.needs import Need, need_of
from server.engine.solution import Solution
from server.units import Volt


def low_voltages(boat: Boat, answer: ModeAnswer) -> Iterator[Finding]:
    """Inputs that are on and fed with less than they need; an assumed need is to be looked up."""
    solution = Solution.of(boat, answer.mode)
    name = next(mode.name for mode in boat.modes if mode.id == answer.mode)
    for load in answer.loads:
        if not load.on or load.state != "fed" or load.voltage_v is None:
            continue
        part = solution.parts[load.part]
        need = need_of(part, load.input, solution.nominal_v(part), solution.net.figures)
        limit = need.value_v if need.assumed else need.high_v
        if limit is not None and load.voltage_v < limit:
            yield _low(answer.mode, name, load, load.voltage_v, need)


def _low(mode: str, name: str, load: InputAnswer, volts: Volt, need: Need) -> Finding:
    least, most = need.low_v or 0.0, need.high_v or 0.0
    sure = not need.assumed and volts < least
    range_ = f"{least:.1f} V" if least == most else f"{least:.1f} to {most:.1f} V"
    told = (
        f"it needs {range_}" + ("" if sure else ": measure what it gets, or read its limit off its plate")
        if not need.assumed
        else f"such equipment is assumed to need {range_}: look up what its maker says"
    )
    return Finding(
        code="low-voltage",
        severity="fault" if sure else "cannot-tell",
        subjects=(load.part, load.input),
        mode=mode,
        figure=Figure(value=volts, unit="V", basis="computed"),
        limit=Figure(
            value=need.value_v if need.assumed and need.value_v is not None else least if sure else most,
            unit="V",
            basis="assumed" if need.assumed else "rule",
        ),
        message=f"In {name}, {the(load.name)} stands at {volts:.1f} V all the while; {told}.",
        source=need.source,
        source_status="memory" if need.assumed else "document",
    )
