"""Small events in time from closed forms, for the tests of chart, views and pages.

The source: 12.6 V behind 10 mΩ, and a heavy load that draws 400 A at first and settles at 100 A with a time
constant of 50 ms, from 0 to 2 s; so a load at the bus sees 12.6 V - 10 mΩ·i(t), and one nearer to the battery
less. At the release a spike of 5 V dies away with a time constant of 100 µs.
"""

import math
from collections.abc import Sequence

import numpy as np

from server.boat.value import TerminalRef
from server.engine.answer import AssumedValue, Band, Trouble, Verdict
from server.engine.transient.answer import (
    Cause,
    CauseShare,
    EventRun,
    Instant,
    Phase,
    PointAnswer,
    Waveform,
)

RELEASE_S = 2.0
END_S = 3.0
PHASES = (
    Phase("before", -0.05, 0.0),
    Phase("start", 0.0, 0.3),
    Phase("run", 0.3, RELEASE_S),
    Phase("release", RELEASE_S, RELEASE_S + 0.0003),
    Phase("after", RELEASE_S + 0.0003, END_S),
)
_AFTER = [10.0**power for power in np.linspace(-6, math.log10(0.999), 60)]
TIME_S = np.array([-0.05, 0.0, 0.0, *_AFTER, 1.5, RELEASE_S, RELEASE_S, *[RELEASE_S + t for t in _AFTER]])
_PRESSED = (TIME_S >= 0) & (TIME_S <= RELEASE_S)
_PRESSED[[1, int(np.flatnonzero(RELEASE_S == TIME_S)[1])]] = False


def amperes() -> Waveform:
    values = np.where(_PRESSED, 100 + 300 * np.exp(-np.maximum(TIME_S, 0) / 0.05), 0.0)
    return Waveform("heavy-current", "Starter motor", "A", TIME_S, values)


def volts(key: str, name: str, ohm: float = 0.01, spike_v: float = 5.0) -> Waveform:
    """12.6 V less what the heavy current takes over ``ohm``, and the spike after the release."""
    after = (TIME_S >= RELEASE_S) & ~_PRESSED
    spike = np.where(after, spike_v * np.exp(-np.maximum(TIME_S - RELEASE_S, 0) / 1e-4), 0.0)
    return Waveform(key, name, "V", TIME_S, 12.6 - ohm * amperes().values + spike)


def point(  # noqa: PLR0913 - each names one thing of the answer
    key: str,
    name: str,
    *,
    ohm: float = 0.01,
    need_v: float | None = 9.0,
    maximum_v: float | None = None,
    verdict: Verdict = "restarts",
    assumed: bool = False,
    band: bool = False,
) -> PointAnswer:
    """A load that sees the heavy current over ``ohm``: lowest 12.6 V - 400 A · ohm, at once."""
    lowest = 12.6 - 400 * ohm
    below = 0.0 if need_v is None or lowest >= need_v else 0.05 * math.log(3 / (360 * 0.01 / ohm / 100 - 1))
    return PointAnswer(
        key=key,
        name=name,
        before_v=12.6,
        lowest=Instant(lowest, 0.0),
        highest=Instant(17.6, RELEASE_S),
        release_highest=Instant(17.6, RELEASE_S),
        average_v=12.6 - 107.5 * ohm,
        lowest_band=Band(lowest - 0.4, lowest, lowest + 0.3) if band else None,
        highest_band=Band(15.4, 17.6, 19.2) if band else None,
        need_v=need_v,
        need_source="its manual",
        need_assumed=assumed,
        maximum_v=maximum_v,
        maximum_source="" if maximum_v is None else "its manual",
        hold_up_s=0.002 if need_v is not None else None,
        hold_up_assumed=True,
        below_need_s=below,
        verdict=verdict,
        reason=f"{name} is judged by a closed form.",
        dip_causes=(
            cause("bank", "House bank", "battery", "source", 100 * ohm),
            cause("strap", "Engine strap", "conductor", "resistance", 250 * ohm),
            cause("strap", "Engine strap", "conductor", "inductance", 50 * ohm),
        ),
        kick_causes=(cause("strap", "Engine strap", "conductor", "inductance", 5.0),),
    )


def cause(element: str, name: str, kind: str, why: Cause, share_v: float) -> CauseShare:
    return CauseShare(element, name, kind, why, share_v)


POINTS = (
    point("autopilot.supply", "Autopilot", maximum_v=16.0),
    point("plotter.supply", "Plotter", ohm=0.005, verdict="keeps-running"),
    point("lamp.supply", "Cabin lamp", ohm=0.002, need_v=None, verdict="limit-not-known"),
)


def run(points: Sequence[PointAnswer] = POINTS, ohms: Sequence[float] = (0.01, 0.005, 0.002)) -> EventRun:
    """The event with these loads, each with its waveform and the heavy current."""
    return EventRun(
        event="engine-start",
        name="Engine start",
        mode="starting",
        heavy_name="Starter motor",
        conditions="battery charged 60 %, 0 °C",
        phases=PHASES,
        inrush_a=Instant(400.0, 0.0),
        settled_a=100.0,
        points=tuple(points),
        waveforms=(*(volts(p.key, p.name, ohm) for p, ohm in zip(points, ohms, strict=True)), amperes()),
        derived=(assumed("motor-inductance", "Winding's main inductance", 1e-4, "H"),),
        assumptions=(assumed("arc-voltage", "Voltage of the opening arc", 18.0, "V"),),
        troubles=(Trouble("not-connected", ("anchor-light",), "Anchor light is not connected."),),
        not_assessed=("the radio's coil",),
    )


def assumed(key: str, title: str, value: float, unit: str) -> AssumedValue:
    return AssumedValue(
        key, title, None, value * 0.8, value, value * 1.2, unit, "common practice, no source", "memory", False
    )


def probe(minus: str = "house") -> tuple[TerminalRef, TerminalRef]:
    return TerminalRef(part="strap", terminal="stud-1"), TerminalRef(part=minus, terminal="negative")
