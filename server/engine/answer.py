"""What the engine answers: plain frozen values, the same for page, JSON interface and command line.

Volts are differences between two named terminals, never node potentials.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from server.boat.value import TerminalRef

if TYPE_CHECKING:
    from server.engine.transient.answer import DeviceCurrent, LinkOffsetInTime, PointAnswer

Verdict = Literal["keeps-running", "restarts", "too-close-to-call", "limit-not-known"]
LoadState = Literal["fed", "not-connected", "switched-off", "shorted", "cannot-run", "not-solved"]
DropVerdict = Literal["pass", "fail", "cannot-tell"]
Mark = Literal["clears", "better", "same", "worse", "breaks"]
Break = Literal[
    "unprotected",
    "always-live",
    "uncounted",
    "stud-full",
    "way-occupied",
    "other-voltage",
    "other-polarity",
    "wrong-switching",
    "device-too-small",
    "device-too-large",
    "engine-return",
]


@dataclass(frozen=True, slots=True)
class Band:
    """A computed value with the lowest and highest that the assumptions allow."""

    low: float
    value: float
    high: float


@dataclass(frozen=True, slots=True)
class AssumedValue:
    """An assumption that a result used: which, for what, how much, from where."""

    key: str
    title: str
    subject: str | None
    low: float
    value: float
    high: float
    unit: str
    source: str
    status: str
    overridden: bool


@dataclass(frozen=True, slots=True)
class ElementShare:
    """What one element adds to a sag; negative where it helps.

    ``element`` is a part's or conductor's id, or ``part.way``. ``wire_v``, ``tail_joint_v`` and
    ``head_joint_v`` split a conductor's ``share_v`` by resistance; None where it was measured as a whole,
    and ``wire_v`` also for a wire of unknown size or length.
    """

    element: str
    name: str
    kind: str
    share_v: float
    resistance_ohm: float
    load_fraction: float
    heavy_fraction: float
    unavoidable: bool
    side: Literal["positive", "negative", "battery"]
    wire_v: float | None = None
    tail_joint_v: float | None = None
    head_joint_v: float | None = None


@dataclass(frozen=True, slots=True)
class CommonWire:
    """A wire that carries most of a load's current and most of a heavy load's, and the load's volts in it.

    ``share_v`` is what it adds to the load's sag, the fractions are those of either's current.
    """

    element: str
    share_v: float
    load_fraction: float
    heavy_fraction: float


@dataclass(frozen=True, slots=True)
class LoopStep:
    """One element of a load's loop, battery + round to battery −: its steady volts and its share of a sag.

    ``load_fraction`` is the part of the load's current in this element, in the event's conditions where an
    event is asked for; where ways run side by side only the one that carries most is listed.
    ``wire_v``, ``tail_joint_v`` and ``head_joint_v`` split a conductor's ``share_v``, see ``ElementShare``.
    """

    element: str
    name: str
    kind: str
    steady_v: float
    share_v: float
    load_fraction: float
    shared: bool
    side: Literal["positive", "load", "negative", "battery"]
    tap: TerminalRef | None
    wire_v: float | None = None
    tail_joint_v: float | None = None
    head_joint_v: float | None = None


@dataclass(frozen=True, slots=True)
class Drop:
    """Steady voltage drop of one input, as designed, in circuit, and by the handbook formula.

    ``judged_low_fraction`` and ``judged_high_fraction`` are what the way comes to with every assumed figure
    on it at its low or its high end; ``conductors_v`` is what the wires alone lose of ``judged_v``, without
    joints and devices. ``unknown`` names the wires of unknown resistance on the way: all figures are then
    "at least", and the verdict is not better than "cannot-tell". It is "cannot-tell" too where the likeliest
    figure is over the limit and the lowest is not; "pass" may have a high end above the limit.
    """

    design_current_a: float
    current_basis: str
    from_battery_v: float
    from_panelboard_v: float | None
    counted_from: Literal["battery", "panelboard"]
    judged_v: float
    judged_fraction: float
    limit_fraction: float | None
    limit_source: str
    in_circuit_v: float | None
    handbook_v: float | None
    verdict: DropVerdict
    judged_low_fraction: float
    judged_high_fraction: float
    conductors_v: float
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class EventAnswer:
    """One input in one event: how low, against which need, why, and what better there is.

    ``can_restart`` is false for lamps, motors and the like: they have no limit that anybody could look up.
    ``need_band`` is the range of what it needs where one is stated or assumed.
    ``unknown`` names the wires of unknown resistance on the load's way: it then never surely keeps running.
    ``split`` is the shared path where the sag was split over the elements, as is asked of ``analyse_mode``;
    ``is_searched`` tells whether a better tap was looked for.
    ``analyse_mode`` answers for the first instant. Where the event was solved in time, ``in_time`` is what
    the input has in it, ``lowest`` and ``verdict`` are taken from there, ``at_first`` is the first instant.
    """

    event: str
    lowest: Band
    need_v: float | None
    need_source: str
    need_assumed: bool
    verdict: Verdict
    sag_v: float
    heavy_alone_v: float
    others_v: float
    transfer_resistance_ohm: float
    split: tuple[ElementShare, ...] | None
    floor_v: float
    best_tap: TerminalRef | None = None
    best_tap_v: float | None = None
    can_restart: bool = True
    unknown: tuple[str, ...] = ()
    common_wires: tuple[CommonWire, ...] = ()
    is_searched: bool = True
    in_time: "PointAnswer | None" = None
    at_first: Band | None = None
    need_band: Band | None = None

    @property
    def shared_path(self) -> tuple[ElementShare, ...]:
        """What each element adds to the sag, the largest first.

        Raises:
            LookupError: the answer was asked for without it.
        """
        if self.split is None:
            raise LookupError(f"the sag of {self.event} was not split for this input")
        return self.split


@dataclass(frozen=True, slots=True)
class InputAnswer:
    """One input of one load in one mode."""

    part: str
    input: str
    name: str
    heavy: bool
    state: LoadState
    reason: str
    on: bool
    voltage_v: float | None
    current_a: float | None
    drop: Drop | None
    events: tuple[EventAnswer, ...]

    @property
    def id(self) -> str:
        """Part and input, as one key."""
        return f"{self.part}.{self.input}"


@dataclass(frozen=True, slots=True)
class EventInfo:
    """One event as solved: its heavy load, the current it draws at the first instant, its worst-hit load.

    ``links`` are the offsets of the data links, and ``devices`` the currents of the fuses and breakers on its
    way, where the event was solved in time, else None; ``happens`` the parts that left their state then.
    """

    event: str
    name: str
    mode: str
    heavy_part: str
    heavy_input: str
    heavy_name: str
    inrush_a: float | None
    worst_part: str | None
    worst_lowest_v: float | None
    restarts: int
    conditions: str
    links: "tuple[LinkOffsetInTime, ...] | None" = None
    devices: "tuple[DeviceCurrent, ...] | None" = None
    happens: "tuple[Trouble, ...]" = ()


@dataclass(frozen=True, slots=True)
class BranchFlow:
    """Current and volts lost in one conductor or part in the mode, and at the event's first instant."""

    element: str
    current_a: float
    drop_v: float
    event_current_a: float | None
    event_drop_v: float | None


@dataclass(frozen=True, slots=True)
class Trouble:
    """A part of the boat that could not be solved, in the boat's own names."""

    code: Literal[
        "not-connected",
        "switched-off",
        "shorted",
        "no-convergence",
        "does-not-settle",
        "cannot-run",
        "loose-end",
        "leaves-its-state",
        "drops-out",
    ]
    subjects: tuple[str, ...]
    message: str


@dataclass(frozen=True, slots=True)
class ModeAnswer:
    """A whole mode, solved: loads, events, flows for the drawing, and what could not be solved."""

    mode: str
    loads: tuple[InputAnswer, ...]
    events: tuple[EventInfo, ...]
    flows: tuple[BranchFlow, ...]
    live_terminals: frozenset[tuple[str, str]]
    troubles: tuple[Trouble, ...]
    assumptions: tuple[AssumedValue, ...]
    not_assessed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OthersEffect:
    """What a move does to everybody else in the event."""

    worst_name: str | None
    worst_before_v: float | None
    worst_after_v: float | None
    restarts_before: int
    restarts_after: int
    better: int
    worse: int
    unchanged: int


@dataclass(frozen=True, slots=True)
class BankAnswer:
    """A bank while a source charges, before and after a move of the source's lead.

    Volts are at its posts, the mean of its strings; currents are what it takes, negative while it gives.
    ``counted`` tells whether the source's current passes the bank's shunt; None where it has none.
    """

    name: str
    before_v: float | None
    after_v: float | None
    current_before_a: float
    current_after_a: float
    counted: bool | None


@dataclass(frozen=True, slots=True)
class TapAnswer:
    """What would come of putting the held lead down at one target.

    ``device_a`` is the rating of the largest device that would stand before the lead; ``device_judged`` is
    false where nothing tells whether it fits the conductors, and ``bank_monitored`` where no measuring shunt
    counts for the bank that feeds the load. ``loses`` names the device of its own that the lead would lose to
    a larger one or to none, empty where it keeps one as small. ``exact`` is false where the
    figures are those of the first instant of an event that was not followed in time with the lead there.
    """

    terminal: TerminalRef
    same_as: tuple[TerminalRef, ...]
    place: str
    present: bool
    rank: int | None
    mark: Mark
    breaks: tuple[Break, ...]
    lowest: Band | None
    need_v: float | None
    verdict: Verdict
    steady_v: float | None
    drop_v: float | None
    drop_fraction: float | None
    shared_ohm: float | None
    length_m: float | None
    length_basis: str
    counted_fraction: float
    protected: bool
    others: OthersEffect
    exact: bool = True
    device_a: float | None = None
    device_judged: bool = True
    loses: str = ""
    bank_monitored: bool = True
    unknown: tuple[str, ...] = ()
    banks: tuple[BankAnswer, ...] = ()


@dataclass(frozen=True, slots=True)
class PickUp:
    """A picked-up lead: where it lies and every tap's answer, ranked; the inadmissible last, with reasons.

    ``occupied_ways`` are panel ways that are no taps because another lead has them. ``observed`` is the part
    and input whose volts are told, the one on the lead with the least to spare; None for a heavy load's own.
    """

    part: str
    terminal: str
    name: str
    polarity: Literal["positive", "negative"]
    mode: str
    event: str | None
    present: TapAnswer | None
    taps: tuple[TapAnswer, ...]
    occupied_ways: int = 0
    observed: tuple[str, str] | None = None
