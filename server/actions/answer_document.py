"""The published form of an answer, the same for the JSON interface and for ``tapchart check --json``."""

from typing import TYPE_CHECKING, Any, Literal

from server.boat.acceptance import Acceptance
from server.boat.boat import Boat
from server.boat.finding import Figure, Finding, Mend, Severity
from server.boat.value import TerminalRef, Value

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from server.engine.answer import Band, Drop, EventAnswer, InputAnswer, ModeAnswer

FORMAT: Literal["tapchart.answer"] = "tapchart.answer"
VERSION: Literal[1] = 1


class Range(Value):
    """A computed value with the lowest and highest that the assumptions allow."""

    low: float
    value: float
    high: float


class Share(Value):
    """What one element adds to a sag in volts; negative where it helps."""

    element: str
    name: str
    share_v: float
    side: Literal["positive", "negative", "battery"]
    unavoidable: bool
    wire_v: float | None
    tail_joint_v: float | None
    head_joint_v: float | None


class EventResult(Value):
    """One load in one event.

    ``lowest_v``, ``verdict`` and what else is said of the voltage are those of the event solved in time;
    where ``basis`` is ``first-instant`` it could not be, and they are those of the instant after the press.
    The sag, its parts, ``shared_path``, ``floor_v`` and ``best_tap_v`` always speak of that instant, as does
    ``at_first_v``. ``margin_v`` is the lowest voltage less the need. ``below_need_s`` is the longest stretch
    below the need, ``hold_up_s`` what the load rides through, ``maximum_v`` what it stands at most.
    ``best_tap`` is the bar, post or panel (or the place where a lead lies now) that gives it the highest
    voltage of all that the checks allow and that make nothing else restart; null where there is none or none
    was searched.
    """

    event: str
    basis: Literal["in-time", "first-instant"]
    lowest_v: Range
    at_first_v: Range
    highest_v: float | None
    average_v: float | None
    below_need_s: float | None
    hold_up_s: float | None
    hold_up_assumed: bool
    maximum_v: float | None
    maximum_source: str
    reason: str
    margin_v: float | None
    need_v: float | None
    need_source: str
    need_assumed: bool
    verdict: Literal["keeps-running", "restarts", "too-close-to-call", "limit-not-known"]
    sag_v: float
    heavy_alone_v: float
    others_v: float
    transfer_resistance_ohm: float
    shared_path: tuple[Share, ...]
    floor_v: float
    best_tap: TerminalRef | None
    best_tap_v: float | None
    can_restart: bool
    unknown: tuple[str, ...]


class DropResult(Value):
    """Steady voltage drop as designed, in circuit, and by the handbook formula."""

    design_current_a: float
    current_basis: str
    from_battery_v: float
    from_panelboard_v: float | None
    counted_from: Literal["battery", "panelboard"]
    judged_fraction: float
    limit_fraction: float | None
    limit_source: str
    in_circuit_v: float | None
    handbook_v: float | None
    verdict: Literal["pass", "fail", "cannot-tell"]
    judged_low_fraction: float
    judged_high_fraction: float
    conductors_v: float
    unknown: tuple[str, ...]


class LoadResult(Value):
    """One input of one load in one mode; its id is part and input."""

    id: str
    name: str
    heavy: bool
    state: Literal["fed", "not-connected", "switched-off", "shorted", "cannot-run", "not-solved"]
    on: bool
    voltage_v: float | None
    current_a: float | None
    drop: DropResult | None
    events: tuple[EventResult, ...]


class ModeResult(Value):
    """One mode; ``partly`` means that some of the boat could not be solved, and ``troubles`` says what.

    ``not_in_time`` says of every event that cannot be followed in time why.
    """

    id: str
    name: str
    state: Literal["solved", "partly"]
    troubles: tuple[str, ...]
    not_in_time: tuple[str, ...]
    loads: tuple[LoadResult, ...]


class FindingResult(Value):
    """A finding with its stable id; ``accepted`` says who lets it stand."""

    id: str
    code: str
    severity: Severity
    subjects: tuple[str, ...]
    mode: str | None
    event: str | None
    figure: Figure | None
    limit: Figure | None
    message: str
    source: str
    source_status: Literal["verified", "derived", "office", "memory", "common-practice", "document"]
    rule_kind: Literal["law", "standard", "yardstick"]
    mends: tuple[Mend, ...]
    accepted: Acceptance | None


class Assumption(Value):
    """A value that was assumed, with the range it plausibly lies in."""

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


class AnswerDocument(Value):
    """Everything worked out about one boat, or about the modes that were asked for."""

    format: Literal["tapchart.answer"] = FORMAT
    version: Literal[1] = VERSION
    boat: str
    modes: tuple[ModeResult, ...]
    findings: tuple[FindingResult, ...]
    assumptions: tuple[Assumption, ...]
    not_assessed: tuple[str, ...]


def answer_document(
    boat: Boat,
    solved: "Sequence[ModeAnswer]",
    findings: "Sequence[Finding]",
    left_open: "Sequence[str]" = (),
    not_in_time: "Mapping[str, Sequence[str]] | None" = None,
) -> AnswerDocument:
    """The published form of some solved modes and the findings in them.

    ``left_open`` is what could not be assessed besides what the modes themselves say; ``not_in_time`` why
    events of a mode cannot be followed in time, by mode.
    """
    assumptions = {(one.key, one.subject): one for answer in solved for one in answer.assumptions}
    return AnswerDocument(
        boat=boat.name,
        modes=tuple(_mode(boat, answer, (not_in_time or {}).get(answer.mode, ())) for answer in solved),
        findings=tuple(
            FindingResult(**{name: getattr(one, name) for name in FindingResult.model_fields})
            for one in findings
        ),
        assumptions=tuple(
            Assumption(**{name: getattr(one, name) for name in Assumption.model_fields})
            for one in assumptions.values()
        ),
        not_assessed=tuple(
            dict.fromkeys((*(text for answer in solved for text in answer.not_assessed), *left_open))
        ),
    )


def answer_schema() -> dict[str, Any]:
    """The published JSON Schema of an answer."""
    return {"$id": f"{FORMAT}/{VERSION}", **AnswerDocument.model_json_schema()}


def _mode(boat: Boat, answer: "ModeAnswer", not_in_time: "Sequence[str]") -> ModeResult:
    name = next(mode.name for mode in boat.modes if mode.id == answer.mode)
    unsolved = tuple(one.message for one in answer.troubles if one.code != "switched-off")
    return ModeResult(
        id=answer.mode,
        name=name,
        state="partly" if unsolved else "solved",
        troubles=unsolved,
        not_in_time=tuple(not_in_time),
        loads=tuple(_load(load) for load in answer.loads),
    )


def _load(load: "InputAnswer") -> LoadResult:
    return LoadResult(
        id=load.id,
        name=load.name,
        heavy=load.heavy,
        state=load.state,
        on=load.on,
        voltage_v=load.voltage_v,
        current_a=load.current_a,
        drop=None if load.drop is None else _drop(load.drop),
        events=tuple(_event(seen) for seen in load.events),
    )


def _drop(drop: "Drop") -> DropResult:
    return DropResult(**{name: getattr(drop, name) for name in DropResult.model_fields})


def _event(seen: "EventAnswer") -> EventResult:
    same = set(EventResult.model_fields) & set(seen.__dataclass_fields__)
    point = seen.in_time
    return EventResult(
        **{name: getattr(seen, name) for name in same},
        basis="first-instant" if point is None else "in-time",
        lowest_v=_range(seen.lowest),
        at_first_v=_range(seen.at_first or seen.lowest),
        highest_v=None if point is None else point.highest.value,
        average_v=None if point is None else point.average_v,
        below_need_s=None if point is None or point.need_v is None else point.below_need_s,
        hold_up_s=None if point is None else point.hold_up_s,
        hold_up_assumed=point is not None and point.hold_up_assumed,
        maximum_v=None if point is None else point.maximum_v,
        maximum_source="" if point is None else point.maximum_source,
        reason="" if point is None else point.reason,
        margin_v=None if seen.need_v is None else seen.lowest.value - seen.need_v,
        shared_path=tuple(
            Share(**{name: getattr(share, name) for name in Share.model_fields}) for share in seen.shared_path
        ),
    )


def _range(band: "Band") -> Range:
    return Range(low=band.low, value=band.value, high=band.high)
