"""What an event in time answers: plain frozen values, the same for page, JSON interface and command line.

Volts are differences between two named terminals. Time is zero at the first press.
"""

from dataclasses import dataclass
from typing import Literal

from server.boat.value import TerminalRef
from server.engine.answer import AssumedValue, Band, Trouble, Verdict
from server.engine.arrays import Floats

PhaseName = Literal["before", "start", "run", "release", "after", "dip", "plateau", "recovery"]
Cause = Literal["resistance", "inductance", "source"]
BandBasis = Literal["none", "first-instant", "drawn"]


@dataclass(frozen=True, slots=True)
class Phase:
    """A stretch of the event; ``start`` ends when the motor has run up, ``release`` when the arc is out.

    A test wave has a dip, a plateau and a recovery instead.
    """

    name: PhaseName
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Instant:
    """A value and when it stood."""

    value: float
    at_s: float


@dataclass(frozen=True, slots=True)
class PointPair:
    """Two terminals between which volts are read: ``plus`` minus ``minus``."""

    plus: TerminalRef
    minus: TerminalRef


@dataclass(frozen=True, slots=True)
class CauseShare:
    """What one element adds to the dip, or the kick, at the instant of the extreme; the shares add up."""

    element: str
    name: str
    kind: str
    cause: Cause
    share_v: float


@dataclass(frozen=True, slots=True)
class PointAnswer:
    """One load's input, or a pair of probes, through the event.

    ``key`` is ``part.input``, or ``probe``. ``below_need_s`` is the longest stretch below the need,
    ``perhaps_below_s`` the same at the worst end of every band, ``surely_below_s`` at the best.
    ``release_highest`` is the highest from the release on. Bands come from the assumptions, None where not
    computed. ``reason`` says in a sentence why the verdict is what it is.
    ``band_basis``: the bands were drawn over all assumptions, or taken over from the first instant of the
    steady network. ``matters_most`` is the title of the assumption that widens ``lowest_band`` most.
    """

    key: str
    name: str
    before_v: float
    lowest: Instant
    highest: Instant
    release_highest: Instant | None
    average_v: float
    lowest_band: Band | None
    highest_band: Band | None
    need_v: float | None
    need_source: str
    need_assumed: bool
    maximum_v: float | None
    maximum_source: str
    hold_up_s: float | None
    hold_up_assumed: bool
    below_need_s: float
    verdict: Verdict
    reason: str
    dip_causes: tuple[CauseShare, ...]
    kick_causes: tuple[CauseShare, ...]
    band_basis: BandBasis = "none"
    matters_most: str | None = None
    perhaps_below_s: float = 0.0
    surely_below_s: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Waveform:
    """Values over time, edges as two values at one instant; between them straight lines are true to 1 mV."""

    key: str
    name: str
    unit: Literal["V", "A"]
    time_s: Floats
    values: Floats


@dataclass(frozen=True, slots=True)
class LinkOffsetInTime:
    """How far the negatives of parts on one data link come apart: ``higher`` above ``lower``, at the worst.

    ``offset`` is the largest that lasts a millisecond, and when; ``high`` and ``low`` are their ids.
    ``before_v`` is the same before the press. ``current_a`` is what the offset would drive through the
    screen, None where that is isolated or its resistance not known; the screen is no part of the network.
    """

    link: str
    name: str
    offset: Instant
    before_v: float
    higher: str
    lower: str
    current_a: float | None
    high: str
    low: str


@dataclass(frozen=True, slots=True, eq=False)
class DeviceCurrent:
    """The current through a fuse or breaker, without its sign, from the press on; straight lines between."""

    element: str
    time_s: Floats
    current_a: Floats


@dataclass(frozen=True, slots=True)
class Turning:
    """The means of a heavy load's own voltage and current from when it is up to speed to its release."""

    voltage_v: float
    current_a: float


@dataclass(frozen=True, slots=True, eq=False)
class EventFigures:
    """What an event in time is judged by: see ``EventRun``; its points are without causes.

    ``happens`` are the parts that left their state in it.
    """

    inrush_a: Instant
    points: tuple[PointAnswer, ...]
    links: tuple[LinkOffsetInTime, ...]
    devices: tuple[DeviceCurrent, ...]
    happens: tuple[Trouble, ...]


@dataclass(frozen=True, slots=True, eq=False)
class EventRun:
    """An event solved in time: phases, every load, the heavy current, and what was assumed or left out.

    ``inrush_a`` is the largest current of the heavy load, ``settled_a`` its current at the end of the run.
    ``waveforms`` holds one in volts for every point and one in amperes, ``heavy-current``; ``devices`` the
    currents of the fuses and breakers that the event runs through, ``happens`` the parts that left their
    state and were followed in it; ``troubles`` has those too, and what was not followed. ``turning`` is read
    at the heavy load's own terminals; None where it stands at its release.
    """

    event: str
    name: str
    mode: str
    heavy_name: str
    conditions: str
    phases: tuple[Phase, ...]
    inrush_a: Instant
    settled_a: float
    points: tuple[PointAnswer, ...]
    waveforms: tuple[Waveform, ...]
    derived: tuple[AssumedValue, ...]
    assumptions: tuple[AssumedValue, ...]
    troubles: tuple[Trouble, ...]
    not_assessed: tuple[str, ...]
    links: tuple[LinkOffsetInTime, ...] = ()
    devices: tuple[DeviceCurrent, ...] = ()
    happens: tuple[Trouble, ...] = ()
    turning: Turning | None = None
