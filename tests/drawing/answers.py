"""Small hand-written answers, so that what the picture says is known beforehand."""

from dataclasses import fields

from server.boat.value import TerminalRef
from server.engine.answer import (
    Band,
    BranchFlow,
    Drop,
    ElementShare,
    EventAnswer,
    EventInfo,
    InputAnswer,
    LoadState,
    Mark,
    ModeAnswer,
    OthersEffect,
    PickUp,
    TapAnswer,
    Verdict,
)

NOBODY = OthersEffect(None, None, None, 0, 0, 0, 0, 0)


def drop(fraction: float) -> Drop:
    known = {
        "design_current_a": 2.0,
        "current_basis": "stated",
        "from_battery_v": 0.3,
        "from_panelboard_v": None,
        "counted_from": "battery",
        "judged_v": 0.3,
        "judged_fraction": fraction,
        "limit_fraction": 0.03,
        "limit_source": "a rule",
        "in_circuit_v": 0.2,
        "handbook_v": 0.3,
        "verdict": "pass",
        "judged_low_fraction": fraction,
        "judged_high_fraction": fraction,
        "conductors_v": 0.2,
    }
    return Drop(**{field.name: known[field.name] for field in fields(Drop) if field.name in known})  # type: ignore[arg-type]


def share(element: str) -> ElementShare:
    return ElementShare(
        element, element, "conductor", 0.4, 0.001, 1.0, 1.0, unavoidable=False, side="positive"
    )


def in_event(verdict: Verdict, lowest_v: float, shared: tuple[str, ...] = ()) -> EventAnswer:
    band = Band(lowest_v - 0.1, lowest_v, lowest_v + 0.1)
    path = tuple(share(e) for e in shared)
    return EventAnswer("start", band, 9.0, "maker", False, verdict, 3.0, 2.9, 0.1, 0.01, path, 11.0)


def load_answer(
    part: str,
    event: EventAnswer | None = None,
    *,
    state: LoadState = "fed",
    on: bool = True,
    heavy: bool = False,
) -> InputAnswer:
    return InputAnswer(
        part, "supply", part, heavy, state, "", on, 12.34, 2.0, drop(0.041), (event,) if event else ()
    )


def mode_answer(
    loads: tuple[InputAnswer, ...],
    *,
    heavy: str = "",
    flows: dict[str, float] | None = None,
    drops: dict[str, float] | None = None,
    live: frozenset[tuple[str, str]] = frozenset(),
) -> ModeAnswer:
    event = EventInfo("start", "Start", "any", heavy, "supply", heavy, 366.0, None, None, 1, "")
    branches = tuple(
        BranchFlow(e, a, v, a, v) for e, a in (flows or {}).items() for v in [(drops or {}).get(e, 0.0)]
    )
    return ModeAnswer("any", loads, (event,), branches, live, (), (), ())


def tap(
    at: str, rank: int | None, mark: Mark, lowest_v: float | None = 11.0, *, present: bool = False
) -> TapAnswer:
    part, terminal = at.split(".")
    band = Band(lowest_v, lowest_v, lowest_v) if lowest_v is not None else None
    return TapAnswer(
        TerminalRef(part=part, terminal=terminal),
        (),
        at,
        present,
        rank,
        mark,
        (),
        band,
        9.0,
        "keeps-running",
        12.0,
        0.2,
        0.02,
        0.001,
        2.0,
        "estimated",
        1.0,
        protected=True,
        others=NOBODY,
    )


def pick_up(*taps: TapAnswer, part: str = "radio", polarity: str = "negative") -> PickUp:
    present = next((t for t in taps if t.present), None)
    return PickUp(part, polarity, part, polarity, "any", "start", present, taps)  # type: ignore[arg-type]
